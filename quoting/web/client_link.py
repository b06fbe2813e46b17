"""The client's page behind its unguessable address. Whoever has the address may read and answer, once."""

from __future__ import annotations

from collections.abc import Callable
from functools import wraps
from http import HTTPStatus
from typing import Concatenate, ParamSpec

from django.contrib.auth.decorators import login_not_required
from django.core.exceptions import ValidationError
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.csrf import csrf_exempt
from django.views.decorators.http import require_http_methods, require_safe

from quoting.documents.client_quote import logo_of
from quoting.errors import IllegalMove
from quoting.models import Quote
from quoting.selectors.links import guesses_too_often, link_of
from quoting.services.links import record_attempt
from quoting.services.quotes import accept_quote, ask_about_quote, decline_quote
from quoting.web.client_page import client_context
from quoting.web.visitor import visitor

P = ParamSpec("P")
MOST_QUESTIONS = 20
Page = Callable[Concatenate[HttpRequest, Quote, P], HttpResponse]


def by_link(page: Page[P]) -> Callable[..., HttpResponse]:
    """Give a page the quote that its address opens; nobody needs to sign in, nothing is kept or told on.

    The address is the secret, so a form needs no second one: exempt from the CSRF token, which could not be
    checked anyway, since a page without referrer sends no origin.
    """

    @csrf_exempt
    @login_not_required
    @never_cache
    @wraps(page)
    def opened(request: HttpRequest, token: str, *args: P.args, **kwargs: P.kwargs) -> HttpResponse:
        now, address = timezone.now(), visitor(request)
        if guesses_too_often(address, now):
            answer = render(request, "quoting/client/closed.html", status=HTTPStatus.TOO_MANY_REQUESTS)
            answer["Retry-After"] = "900"
        elif link := link_of(token, now):
            answer = page(request, link.quote, *args, **kwargs)
        else:
            record_attempt(address, now)
            answer = render(request, "quoting/client/closed.html", status=HTTPStatus.NOT_FOUND)
        answer["Referrer-Policy"] = "no-referrer"
        answer["X-Robots-Tag"] = "noindex, nofollow, noarchive"
        return answer

    return opened


@by_link
@require_http_methods(["GET", "HEAD", "POST"])
def client_page(request: HttpRequest, quote: Quote) -> HttpResponse:
    """Read a quote; accept it, decline it, or ask about it."""
    if request.method != "POST":
        return _page(request, quote, {})
    try:
        _answer(quote, {name: str(text) for name, text in request.POST.items()})
    except ValidationError as faults:
        return _page(request, quote, faults.message_dict)
    except IllegalMove:
        pass  # answered meanwhile, here or elsewhere: the page says how it stands
    return redirect(request.path + ("?asked" if request.POST.get("do") == "ask" else ""))


@by_link
@require_safe
def client_paper(request: HttpRequest, quote: Quote) -> HttpResponse:
    """The stored paper, byte for byte."""
    answer = HttpResponse(bytes(quote.issued.pdf), content_type="application/pdf")
    answer["Content-Disposition"] = f'inline; filename="quote-{quote.number}.pdf"'
    return answer


@by_link
@require_safe
def client_logo(request: HttpRequest, quote: Quote) -> HttpResponse:
    """The logo that the quote was issued with."""
    logo = logo_of(quote.issued.data)
    if logo is None:
        raise Http404
    answer = HttpResponse(logo.content, content_type=logo.media_type)
    answer["Content-Disposition"] = "inline"
    return answer


def _page(request: HttpRequest, quote: Quote, faults: dict[str, list[str]]) -> HttpResponse:
    typed = {name: str(text) for name, text in request.POST.items()}
    context = client_context(quote, timezone.localdate(), typed, faults)
    context |= {"asked": "asked" in request.GET and not faults, "paper": f"{request.path}quote.pdf"}
    status = HTTPStatus.UNPROCESSABLE_ENTITY if faults else HTTPStatus.OK
    return render(request, "quoting/client/quote.html", context, status=status)


def _answer(quote: Quote, typed: dict[str, str]) -> None:
    """Do what the pressed button says."""
    name, today = typed.get("name", ""), timezone.localdate()
    match typed.get("do"):
        case "accept":
            if typed.get("agree") != "yes":
                raise ValidationError({"agree": "Tick the box to accept."})
            accept_quote(
                quote,
                name=name,
                option=typed.get("option", ""),
                data_sha256=typed.get("data_sha256", ""),
                on=today,
            )
        case "decline":
            decline_quote(quote, name=name, note=typed.get("reason", ""), on=today)
        case "ask":
            if quote.events.filter(kind="asked").count() >= MOST_QUESTIONS:
                raise ValidationError({"question": "Please write to us directly, or give us a call."})
            ask_about_quote(quote, question=typed.get("question", ""), name=typed.get("asker", ""))
        case _:
            raise ValidationError({"do": "Press one of the buttons."})
