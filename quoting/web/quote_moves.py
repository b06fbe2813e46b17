"""Pages that move a quote on: issue, withdraw, revise, the client's answer, throwing a draft away."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from typing import Any
from urllib.parse import urlencode

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_POST

from quoting.documents.client_quote import canonical, digest, draft_data
from quoting.engine.errors import Refused
from quoting.errors import DraftOvertaken, IllegalMove
from quoting.models import Quote
from quoting.selectors.quotes import price_quote, quotes
from quoting.services.quotes import (
    accept_quote,
    decline_quote,
    delete_draft,
    issue_quote,
    revise_quote,
    withdraw_quote,
)
from quoting.services.repeats import quote_again
from quoting.web.doors import quoters
from quoting.web.quote_pages import priced_context
from quoting.web.shown import figures


@quoters
def issue(request: HttpRequest, pk: int) -> HttpResponse:
    """Ask, then number, freeze and print a draft."""
    quote, today = get_object_or_404(quotes(), pk=pk), timezone.localdate()
    if request.method == "POST":
        try:
            issued = issue_quote(quote, on=today, by=request.user, seen=request.POST.get("seen"))
        except DraftOvertaken as overtaken:
            messages.error(request, f"Not issued: {overtaken}")
            return redirect("quoting:issue", pk=pk)
        except (IllegalMove, Refused) as refused:
            messages.error(request, str(refused))
        else:
            messages.success(request, f"Issued as {issued.quote.number}.")
        return redirect("quoting:quote", pk=pk)
    if quote.status != Quote.Status.DRAFT:
        return redirect("quoting:quote", pk=pk)
    return render(request, "quoting/quote_issue.html", {"quote": quote} | _priced(quote, today))


@quoters
def withdraw(request: HttpRequest, pk: int) -> HttpResponse:
    """Ask, then take an issued quote back."""
    quote = get_object_or_404(quotes(), pk=pk)
    faults: dict[str, list[str]] = {}
    reason = request.POST.get("reason", "")
    if request.method == "POST":
        try:
            withdraw_quote(quote, reason=reason, by=request.user)
        except IllegalMove as refused:
            faults = {"quote": [str(refused)]}
        except ValidationError as invalid:
            faults = invalid.message_dict
        else:
            messages.success(request, "Withdrawn.")
            return redirect("quoting:quote", pk=pk)
    context = {"quote": quote, "faults": faults, "reason": reason}
    return render(request, "quoting/quote_withdraw.html", context, status=422 if faults else 200)


@quoters
def delete(request: HttpRequest, pk: int) -> HttpResponse:
    """Ask, then throw a draft away."""
    quote = get_object_or_404(quotes(), pk=pk)
    if request.method != "POST":
        return render(request, "quoting/quote_delete.html", {"quote": quote})
    try:
        delete_draft(quote)
    except IllegalMove as refused:
        messages.error(request, str(refused))
        return redirect("quoting:quote", pk=pk)
    messages.success(request, "Draft thrown away.")
    return redirect("quoting:quotes")


@quoters
@require_POST
def revise(request: HttpRequest, pk: int) -> HttpResponse:
    """A new draft to take the place of an issued quote; nothing issued changes."""
    draft = _drafted(request, pk, revise_quote, "A draft in place of {}, at today's prices.")
    return redirect("quoting:quote", pk=draft.pk if draft else pk)


@quoters
@require_POST
def again(request: HttpRequest, pk: int) -> HttpResponse:
    """A new draft of what an issued quote offered, at today's prices; shows what made the difference."""
    draft = _drafted(request, pk, quote_again, "A new draft of what {} offered, at today's prices.")
    if draft is None:
        return redirect("quoting:quote", pk=pk)
    return redirect(f"{reverse('quoting:bridge', args=[pk])}?{urlencode({'against': draft.pk})}")


def _drafted(request: HttpRequest, pk: int, make: Callable[..., Quote], done: str) -> Quote | None:
    """The draft that `make` makes of a quote, `done` said with the quote's number; None where it may not."""
    quote = get_object_or_404(quotes(), pk=pk)
    try:
        draft = make(quote, on=timezone.localdate(), by=request.user)
    except IllegalMove as refused:
        messages.error(request, str(refused))
        return None
    except ValidationError as invalid:  # a tax category, say, that the shop has given up
        for said in invalid.messages:
            messages.error(request, said)
        return None
    messages.success(request, done.format(quote.number))
    return draft


@quoters
def answer(request: HttpRequest, pk: int) -> HttpResponse:
    """Write down what the client said to an issued quote."""
    quote = get_object_or_404(quotes(), pk=pk)
    faults: dict[str, list[str]] = {}
    if request.method == "POST":
        try:
            _answered(request, quote)
        except IllegalMove as refused:
            faults = {"quote": [str(refused)]}
        except ValidationError as invalid:
            faults = invalid.message_dict
        else:
            return redirect("quoting:quote", pk=pk)
    if quote.status == Quote.Status.DRAFT or (quote.status != Quote.Status.ISSUED and not faults):
        for said in faults.get("quote", []):
            messages.error(request, said)
        return redirect("quoting:quote", pk=pk)
    options = [option["name"] for option in quote.issued.data["options"]]
    context = {"quote": quote, "options": options, "faults": faults, "typed": request.POST}
    return render(request, "quoting/quote_answer.html", context, status=422 if faults else 200)


def _answered(request: HttpRequest, quote: Quote) -> None:
    posted, today = request.POST, timezone.localdate()
    name, note = posted.get("name", ""), posted.get("note", "")
    if posted.get("do") == "decline":
        decline_quote(quote, name=name, on=today, note=note, by=request.user)
        messages.success(request, "Written down as declined.")
        return
    sha256, option = posted.get("data_sha256", ""), posted.get("option", "")
    accept_quote(quote, name=name, data_sha256=sha256, on=today, option=option, note=note, by=request.user)
    messages.success(request, "Written down as accepted.")


def _priced(quote: Quote, on: date) -> dict[str, Any]:
    """What a draft comes to, and the digest of all that its client would read."""
    try:
        priced = price_quote(quote)
        seen = digest(canonical(draft_data(priced, on)))
        return {"totals": priced_context(priced, figures()), "seen": seen}
    except Refused as refused:
        return {"not_yet": [str(fault) for fault in refused.faults]}
