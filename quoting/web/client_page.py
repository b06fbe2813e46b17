"""What a client's page shows: what was issued, how it stands, the form to answer. All of issued data."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, datetime
from typing import Any

from babel.dates import format_date
from django.utils import timezone

from quoting.documents.client_quote import page
from quoting.models import LAPSED, Quote

STANDS = {
    LAPSED: "This quote has lapsed. Ask us, and we will gladly look at it again.",
    "withdrawn": "We have withdrawn this quote. Please get in touch with us.",
    "superseded": "Another quote has taken the place of this one. Please use the newer one.",
}


def client_context(
    quote: Quote, on: date, typed: Mapping[str, str], faults: Mapping[str, list[str]]
) -> dict[str, Any]:
    """The page of an issued quote on a day, with what was typed and its faults at their fields."""
    said = page(quote.issued.data)
    state = quote.state(on)
    answer = getattr(quote, "answer", None)
    return said | {
        "sums": said,
        "state": state,
        "open": state == Quote.Status.ISSUED,
        "stands": STANDS.get(state, ""),
        "answer": answer,
        "answered": _instant(answer.at, quote.issued.data["locale"]) if answer else "",
        "accepted": answer is not None and answer.kind == answer.Kind.ACCEPTED,
        "data_sha256": quote.issued.data_sha256,
        "typed": typed,
        "faults": faults,
        "choices": [option | {"chosen": typed.get("option") == option["name"]} for option in said["options"]],
    }


def _instant(at: datetime, locale: str) -> str:
    """A moment by the shop's clock, its zone beside it; the day as the quote spells days."""
    local = timezone.localtime(at)
    return f"{format_date(local.date(), 'long', locale=locale)}, {local:%H:%M %Z}"
