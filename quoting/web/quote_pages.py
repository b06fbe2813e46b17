"""What the pages of a quote show: the form with its faults, what it comes to, what was issued."""

from __future__ import annotations

import re
from collections.abc import Collection, Mapping
from datetime import datetime
from decimal import Decimal
from typing import Any

from django.core.exceptions import ValidationError
from django.utils import timezone

from catalog import selectors as catalogue
from quoting.documents.client_quote import page
from quoting.engine.errors import Fault, Refused
from quoting.engine.pricing.build_up import achieved_margin
from quoting.models import PieceRevision, Quote, QuoteEvent, QuoteItem, QuoteLine
from quoting.selectors.pieces import clients, newest_revisions
from quoting.selectors.planned_days import planned_pour
from quoting.selectors.quotes import PricedOption, PricedQuote, price_offer
from quoting.web.draft_changes import CELLS
from quoting.web.forms_quote import TypedQuote, offered
from quoting.web.piece_sheet import people
from quoting.web.shown import Figures

Faults = Mapping[str, list[str]]
_ROW = re.compile(r"(items|lines)\[(\d+)\]\.(\w+)")


def form_context(typed: TypedQuote, faults: Faults, shown: Figures) -> dict[str, Any]:
    """The form of a draft: texts as typed, choices, faults at their fields, totals as far as they go."""
    choices = [(str(revision.pk), str(revision)) for revision in newest_revisions()]
    rates = catalogue.shop_terms().tax_rates
    return {
        "fields": [_field(name, typed.fields.get(name, ""), faults) for name in _LABELS],
        "clients": [(str(client.pk), client.name) for client in clients()],
        "client": typed.fields.get("client", ""),
        "new_client": typed.fields.get("new_client", ""),
        "note": typed.fields.get("note", ""),
        "items": [
            _row(f"items[{i}]", row, faults, rates) | {"choices": _with(choices, row["revision"])}
            for i, row in enumerate(typed.items)
        ],
        "lines": [_row(f"lines[{i}]", row, faults, rates) for i, row in enumerate(typed.lines)],
        "faults": [
            {"path": _in_words(path), "message": message, "field": _id(path) if path else ""}
            for path, messages in faults.items()
            for message in messages
        ],
        "note_faults": faults.get("note", []),
        "client_faults": [*faults.get("client", []), *faults.get("new_client", [])],
    } | totals_context(typed, shown)


def totals_context(typed: TypedQuote, shown: Figures) -> dict[str, Any]:
    """What the form as typed comes to; what stands in the way of that instead, if anything does."""
    try:
        asked = offered(typed)
        quote = Quote(quoted_on=asked["quoted_on"], discount=asked["discount"])
        items = [
            QuoteItem(
                quote=quote,
                revision=item.revision,
                quantity=item.quantity,
                tax_category=item.tax_category,
                option=item.option,
            )
            for item in asked["items"]
        ]
        lines = [
            QuoteLine(
                quote=quote,
                text=line.text,
                quantity=line.quantity,
                unit_price=line.unit_price,
                tax_category=line.tax_category,
                option=line.option,
            )
            for line in asked["lines"]
        ]
        return {"totals": priced_context(price_offer(quote, items, lines), shown)}
    except ValidationError as faults:
        return {
            "not_yet": [f"{_in_words(path)} {' '.join(said)}" for path, said in faults.message_dict.items()]
        }
    except Refused as refused:
        return {"not_yet": [_told(fault) for fault in refused.faults]}


def priced_context(priced: PricedQuote, shown: Figures) -> dict[str, Any]:
    """Figures of a quote: what the client pays, and what it costs the shop."""
    return {
        "items": [
            {
                "name": item.item.revision.piece.name,
                "option": item.item.option,
                "quantity": item.estimate.quantity,
                "each": shown.money(item.estimate.price.unit_price),
                "net": shown.money(item.net),
                "mass": shown.mass(item.estimate.weights.total_kg),
                "people": people(item.estimate.handling.people),
            }
            for item in priced.items
        ],
        "lines": [
            {"text": line.line.text, "option": line.line.option, "net": shown.money(line.net)}
            for line in priced.lines
        ],
        "options": [_option(option, shown) for option in priced.options],
    }


def _option(option: PricedOption, shown: Figures) -> dict[str, Any]:
    totals = option.totals
    return {
        "name": option.name,
        "discount": shown.money(-totals.allowances) if totals.allowances else "",
        "net": shown.money(totals.net),
        "tax": [
            {
                "words": f"{tax.category} {shown.rate(tax.rate)} on {shown.money(tax.base)}",
                "tax": shown.money(tax.tax),
            }
            for tax in totals.tax_lines
        ],
        "gross": shown.money(totals.gross),
        "payments": [
            {"name": payment.name[:1].upper() + payment.name[1:], "amount": shown.money(payment.amount)}
            for payment in option.payments
        ],
        "cost": shown.money(option.cost),
        "margin": shown.percent(achieved_margin(totals.net, option.cost)),
    }


def issued_context(quote: Quote, shown: Figures) -> dict[str, Any]:
    """What was issued, from its frozen data alone, the shop's own side of it, and what can be done now."""
    issued, now = quote.issued, timezone.now()
    cost, today = Decimal(issued.basis["cost"]), timezone.localdate()
    state, links = quote.state(today), links_of(quote, now)
    said, answer = page(issued.data), getattr(quote, "answer", None)
    chosen = answer.option if answer is not None else ""
    options = [one for one in said["options"] if chosen in ("", one["name"])]
    return {
        "said": said,
        "totals": [(one["name"], one["gross"]) for one in options] or [("", said["gross"])],
        "issued": issued,
        "state": state,
        "answerable": state == Quote.Status.ISSUED,
        "revisable": state not in (Quote.Status.ACCEPTED, Quote.Status.SUPERSEDED),
        "cost": shown.money(cost),
        "margin": shown.percent(achieved_margin(Decimal(issued.data["net"]), cost)),
        "links": links,
        "links_open": any(link["opens"] for link in links),
        "pour": planned_pour(quote) or today,
        "job": getattr(quote, "job", None),
        "events": happened(quote),
    }


def links_of(quote: Quote, now: datetime) -> list[dict[str, Any]]:
    """The client's links to a quote, newest first, and whether each still opens its page."""
    rows = quote.links.select_related("created_by", "mail")
    return [
        {
            "made": link.created_at,
            "by": _name(link.created_by),
            "sent_to": link.sent_to,
            "mail": getattr(link, "mail", None),
            "expires": link.expires_at,
            "revoked": link.revoked_at,
            "opens": link.revoked_at is None and link.expires_at > now,
        }
        for link in rows
    ]


def happened(quote: Quote) -> list[dict[str, Any]]:
    """What happened to a quote, newest first: when, what, and who did it."""
    rows = quote.events.select_related("by").order_by("-at", "-pk")
    return [
        {"at": event.at, "kind": event.kind, "detail": event.detail, "who": _name(event.by) or _client(event)}
        for event in rows
    ]


def _name(person: Any) -> str:
    return person.get_full_name() if person is not None else ""


def _client(event: QuoteEvent) -> str:
    """Nobody of the shop answers or asks but in his own name."""
    return "the client" if event.kind in ("accepted", "declined", "asked") else ""


_LABELS = {
    "title": ("Title", "What the client asked for, in a few words"),
    "quoted_on": ("Prices of", "The price list of this day is used"),
    "valid_days": ("Valid for, days", ""),
    "discount": ("Discount, %", ""),
}


def _field(name: str, text: str, faults: Faults) -> dict[str, Any]:
    label, help_text = _LABELS[name]
    kind = "date" if name == "quoted_on" else "text"
    return {
        "name": name,
        "id": _id(name),
        "label": label,
        "help": help_text,
        "text": text,
        "kind": kind,
        "faults": faults.get(name, []),
    }


def _row(path: str, row: Mapping[str, str], faults: Faults, rates: Collection[str]) -> dict[str, Any]:
    """A piece or line as typed; a tax category that the shop has no rate for stays among the choices."""
    said = [message for key in faults if key.startswith(f"{path}.") for message in faults[key]]
    wrong = {key: True for key in row if f"{path}.{key}" in faults}
    own = {"path": path, "id": _id(path), "faults": said, "wrong": wrong}
    return {**row, **own, "tax_categories": sorted({*rates, row["tax_category"]})}


def _with(choices: list[tuple[str, str]], chosen: str) -> list[tuple[str, str]]:
    """The choices, with the chosen revision among them even where a newer one exists."""
    if not chosen or any(value == chosen for value, _ in choices):
        return choices
    found = PieceRevision.objects.select_related("piece").filter(pk=chosen) if chosen.isdecimal() else None
    revision = found.first() if found is not None else None
    words = str(revision) if revision is not None else f"{chosen} (unknown)"
    return [*choices, (chosen, words)]


def _told(fault: Fault) -> str:
    """What cannot be priced: a field of the form by its label, what belongs to a piece by its own path."""
    return f"{_in_words(fault.path)}: {fault.message}" if _ROW.fullmatch(fault.path) else str(fault)


def _in_words(path: str) -> str:
    """A path of the form as its labels have it.

    >>> _in_words("lines[0].unit_price"), _in_words("discount")
    ('Line 1, each, without tax', 'Discount, %')
    """
    at = _ROW.fullmatch(path)
    if at is None:
        return _LABELS.get(path, (path.replace("_", " ").capitalize(), ""))[0]
    return f"{'Piece' if at[1] == 'items' else 'Line'} {int(at[2]) + 1}, {CELLS.get(at[3], at[3])}"


def _id(path: str) -> str:
    return "q-" + path.replace("[", "-").replace("]", "").replace(".", "-")
