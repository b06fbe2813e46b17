"""Pages of quotes: the list, a draft's form, issuing, what was issued."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.core.paginator import Paginator
from django.db import transaction
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_POST

from catalog import selectors as catalogue
from catalog.web.ordering import csv_file, ordered
from quoting.documents.client_quote import draft_data, quote_pdf
from quoting.engine.errors import Refused
from quoting.errors import DraftOvertaken, IllegalMove
from quoting.models import PieceRevision, Quote
from quoting.selectors.quotes import STATES, price_quote, quotes
from quoting.services.clients import create_client
from quoting.services.quotes import change_draft, draft_quote
from quoting.web.doors import quoters
from quoting.web.draft_changes import changes
from quoting.web.forms_quote import STANDARD, TypedQuote, fields_of, typed_from, typed_of, wanted
from quoting.web.quote_list import as_table, total_words
from quoting.web.quote_pages import Faults, form_context, happened, issued_context, totals_context
from quoting.web.quote_rows import pressed
from quoting.web.shown import figures

QUOTES_ON_A_PAGE = 24
QUOTE_ORDERS = {
    "newest": ("-created_at", "-pk"),
    "number": ("-number", "-pk"),
    "title": ("title", "-pk"),
    "client": ("client__name", "-pk"),
    "state": ("status", "-pk"),
    "valid": ("issued__valid_until", "-pk"),
}


@quoters
@require_GET
def quote_list(request: HttpRequest) -> HttpResponse:
    """Quotes, newest first unless asked otherwise."""
    search, state = request.GET.get("search", "").strip(), request.GET.get("status", "")
    rows, order = ordered(quotes(search=search, state=state), request.GET.get("sort", ""), QUOTE_ORDERS)
    today = timezone.localdate()
    page = Paginator(rows, QUOTES_ON_A_PAGE).get_page(request.GET.get("page"))
    context = {
        "page": page,
        "rows": [(quote, quote.state(today), total_words(quote)) for quote in page],
        "search": search,
        "status": state,
        "statuses": STATES,
        "order": order,
        "query": request.GET.urlencode(),
    }
    return render(request, "quoting/quote_list.html", context)


@quoters
@require_GET
def quote_table(request: HttpRequest) -> HttpResponse:
    """The list as a table for a spreadsheet."""
    search, state = request.GET.get("search", "").strip(), request.GET.get("status", "")
    rows, _ = ordered(quotes(search=search, state=state), request.GET.get("sort", ""), QUOTE_ORDERS)
    return csv_file(as_table(rows, timezone.localdate()), "quotes")


@quoters
def new_quote(request: HttpRequest) -> HttpResponse:
    """A new draft: from a piece, or empty."""
    if request.method == "POST":
        return _act(request, None)
    return _form(request, None, _started(request), {})


@quoters
def quote_page(request: HttpRequest, pk: int) -> HttpResponse:
    """A draft's form, or what was issued."""
    quote = get_object_or_404(quotes(), pk=pk)
    if request.method == "POST":
        return _act(request, quote)
    if quote.status != Quote.Status.DRAFT:
        return issued_page(request, quote)
    return _form(request, quote, typed_of(quote), {})


def issued_page(request: HttpRequest, quote: Quote, address: str = "") -> HttpResponse:
    """What was issued and what can be done with it; `address` of a client's page made just now, if any."""
    context = {"quote": quote, "address": address} | issued_context(quote, figures())
    return render(request, "quoting/quote_issued.html", context)


@quoters
@require_POST
def totals(request: HttpRequest) -> HttpResponse:
    """What the form as typed comes to: a fragment for the page."""
    return render(request, "quoting/_totals.html", totals_context(typed_from(_texts(request)), figures()))


@quoters
@require_GET
def paper(request: HttpRequest, pk: int) -> HttpResponse:
    """The stored paper of what was issued, byte for byte; of a draft, a paper marked as one."""
    quote = get_object_or_404(quotes(), pk=pk)
    if quote.status != Quote.Status.DRAFT:
        return _pdf(bytes(quote.issued.pdf), str(quote.number))
    try:
        priced = price_quote(quote)
    except Refused as refused:
        messages.error(request, str(refused))
        return redirect("quoting:quote", pk=pk)
    return _pdf(quote_pdf(draft_data(priced, timezone.localdate())), "draft")


def _pdf(content: bytes, name: str) -> HttpResponse:
    answer = HttpResponse(content, content_type="application/pdf")
    answer["Content-Disposition"] = f'inline; filename="quote-{name}.pdf"'
    return answer


def _act(request: HttpRequest, quote: Quote | None) -> HttpResponse:
    """Save, or do what another button says to the form as typed."""
    typed = typed_from(_texts(request))
    action, _, upon = request.POST.get("do", "").partition(":")
    if quote is not None and quote.status != Quote.Status.DRAFT:
        return _moved_on(request, quote, typed)
    if action not in ("save", "issue"):
        return _form(request, quote, pressed(typed, request.POST.get("do", "")), {})
    try:
        saved = _saved(request, quote, typed, upon or request.POST.get("upon", ""))
    except ValidationError as faults:
        return _form(request, quote, typed, faults.message_dict)
    except IllegalMove:
        return _moved_on(request, quote, typed)
    except DraftOvertaken as overtaken:
        return _overtaken(request, overtaken.pk, typed, action)
    return _done(request, saved, action)


def _done(request: HttpRequest, saved: Quote, action: str) -> HttpResponse:
    if action == "save":
        messages.success(request, "Draft saved.")
    return redirect("quoting:issue" if action == "issue" else "quoting:quote", pk=saved.pk)


@transaction.atomic
def _saved(request: HttpRequest, quote: Quote | None, typed: TypedQuote, upon: str) -> Quote:
    """Save; `upon` is the version that the form was opened with, empty where the page did not say."""
    asked = wanted(typed)
    if name := typed.fields["new_client"].strip():
        asked["client"] = create_client(name=name)
    if quote is None:
        return draft_quote(asked.pop("client"), **asked, by=request.user)
    changed = int(upon) if upon.isascii() and upon.isdecimal() else None
    return change_draft(quote, **asked, by=request.user, upon=changed)


def _form(
    request: HttpRequest,
    quote: Quote | None,
    typed: TypedQuote,
    faults: Faults,
    overtaken: dict[str, Any] | None = None,
) -> HttpResponse:
    context: dict[str, Any] = {"quote": quote, "events": happened(quote) if quote else ()}
    context["upon"] = request.POST.get("upon") or (quote.version if quote else "")
    context |= {"overtaken": overtaken} | form_context(typed, faults, figures())
    status = 409 if overtaken else 422 if faults else 200
    return render(request, "quoting/quote_form.html", context, status=status)


def _overtaken(request: HttpRequest, pk: int, typed: TypedQuote, action: str) -> HttpResponse:
    """What was typed to a draft that another saved meanwhile: kept, with what saving it would change."""
    quote = get_object_or_404(quotes(), pk=pk)
    mine = changes(typed_of(quote), typed)
    if not mine:  # the same, saved twice
        return _done(request, quote, action)
    newest = quote.events.select_related("by").order_by("-at", "-pk").first()
    return _form(request, quote, typed, {}, {"mine": mine, "who": newest.by if newest else None})


def _moved_on(request: HttpRequest, quote: Quote | None, typed: TypedQuote) -> HttpResponse:
    """What was typed to a draft that is none any more: kept, to be saved as another."""
    name = quote.number or quote.title if quote is not None else "The draft"
    said = f"{name} is no draft any more. What you typed is below; saving it makes a new draft."
    context = {"quote": None, "events": (), "moved_on": True} | form_context(typed, {"": [said]}, figures())
    return render(request, "quoting/quote_form.html", context, status=409)


def _started(request: HttpRequest) -> TypedQuote:
    """The form that the address asks to start from."""
    asked = request.GET
    today, days = timezone.localdate().isoformat(), str(catalogue.shop_terms().validity_days)
    fresh = {"quoted_on": today, "valid_days": days, "discount": "0", "client": asked.get("client", "")}
    if not asked.get("piece", "").isdecimal():
        return TypedQuote(fields_of(fresh))
    revision = get_object_or_404(PieceRevision.objects.select_related("piece"), pk=asked["piece"])
    count = str(revision.document.get("quantity", 1))
    fresh["title"] = revision.piece.name
    item = {"revision": str(revision.pk), "quantity": count, "tax_category": STANDARD, "option": ""}
    return TypedQuote(fields_of(fresh), (item,))


def _texts(request: HttpRequest) -> dict[str, str]:
    return {name: str(request.POST[name]) for name in request.POST}
