"""A person's own address of the shop's calendar: made, replaced, taken back."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST, require_safe

from quoting.selectors.links import calendar_kept
from quoting.services.links import create_calendar, revoke_calendar


@require_safe
def own_calendar(request: HttpRequest) -> HttpResponse:
    """Whether there is an address, and the buttons to make one or take it back."""
    return _page(request)


@require_POST
@never_cache
def new_address(request: HttpRequest) -> HttpResponse:
    """A new address in place of the one before; shown this once."""
    secret = create_calendar(request.user, now=timezone.now())
    return _page(request, request.build_absolute_uri(reverse("client:calendar", args=[secret])))


@require_POST
def revoke_address(request: HttpRequest) -> HttpResponse:
    """Take the address back."""
    if revoke_calendar(request.user, now=timezone.now()):
        messages.success(request, "The address is taken back; no calendar is fed from it any more.")
    return redirect("client:own-calendar")


def _page(request: HttpRequest, address: str = "") -> HttpResponse:
    context = {"address": address, "kept": calendar_kept(request.user)}
    return render(request, "quoting/own_calendar.html", context)
