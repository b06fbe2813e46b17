"""Pages that bring a quote to its client: a link made and taken back, an e-mail."""

from __future__ import annotations

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST

from quoting.errors import IllegalMove
from quoting.models import ClientLink, OutgoingMail, Quote
from quoting.selectors.outbox import mail_of
from quoting.selectors.quotes import quotes
from quoting.services.links import create_link, revoke_links
from quoting.services.sending import send_quote
from quoting.web.doors import quoters
from quoting.web.quotes import issued_page

LONGEST_MESSAGE = 4000


@quoters
@require_POST
@never_cache
def make_link(request: HttpRequest, pk: int) -> HttpResponse:
    """A link to the client's page; its address is shown this once."""
    quote = get_object_or_404(quotes(), pk=pk)
    try:
        _, token = create_link(quote, now=timezone.now(), by=request.user)
    except IllegalMove as refused:
        messages.error(request, str(refused))
        return redirect("quoting:quote", pk=pk)
    return issued_page(request, quote, _page_of(request, token))


@quoters
@require_POST
def revoke(request: HttpRequest, pk: int) -> HttpResponse:
    """Take back every link to a quote."""
    quote = get_object_or_404(quotes(), pk=pk)
    if count := revoke_links(quote, now=timezone.now(), by=request.user):
        messages.success(request, f"Taken back: {count}. The address opens nothing any more.")
    return redirect("quoting:quote", pk=pk)


@quoters
def send(request: HttpRequest, pk: int) -> HttpResponse:
    """Ask where to and with which words, then send the quote with its paper and a link of its own."""
    quote = get_object_or_404(quotes(), pk=pk)
    faults: dict[str, list[str]] = {}
    if request.method == "POST":
        try:
            _told(request, _sent(request, quote))
        except IllegalMove as refused:
            faults = {"quote": [str(refused)]}
        except ValidationError as invalid:
            faults = invalid.message_dict
        if not faults:
            return redirect("quoting:quote", pk=pk)
    elif quote.state(timezone.localdate()) != Quote.Status.ISSUED:
        return redirect("quoting:quote", pk=pk)
    context = {"quote": quote, "faults": faults, "typed": request.POST, "longest": LONGEST_MESSAGE}
    return render(request, "quoting/quote_send.html", context, status=422 if faults else 200)


def _sent(request: HttpRequest, quote: Quote) -> ClientLink:
    message = request.POST.get("message", "")
    if len(message) > LONGEST_MESSAGE:
        raise ValidationError({"message": f"Write at most {LONGEST_MESSAGE} letters."})
    return send_quote(
        quote,
        address_of=lambda token: _page_of(request, token),
        now=timezone.now(),
        to=request.POST.get("to", ""),
        message=message,
        by=request.user,
    )


def _told(request: HttpRequest, link: ClientLink) -> None:
    if mail_of(link).status == OutgoingMail.Status.SENT:
        messages.success(request, f"Sent to {link.sent_to}.")
    else:
        messages.warning(request, f"The mail to {link.sent_to} waits in the outbox and is tried again.")


def _page_of(request: HttpRequest, token: str) -> str:
    return request.build_absolute_uri(reverse("client:quote", args=[token]))
