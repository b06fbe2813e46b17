"""The page of mail to clients: what waits, since when and why; to try again, or to give up."""

from __future__ import annotations

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST, require_safe

from quoting.errors import IllegalMove
from quoting.models import OutgoingMail
from quoting.selectors.outbox import mails
from quoting.services.outbox import drop, try_again
from quoting.web.doors import quoters

ROWS = 50
Status = OutgoingMail.Status


@quoters
@never_cache
@require_safe
def outbox(request: HttpRequest) -> HttpResponse:
    """Every mail, those that wait first."""
    page = Paginator(mails(), ROWS).get_page(request.GET.get("page"))
    return render(request, "site/outbox.html", {"page": page})


@quoters
@require_POST
def again(request: HttpRequest, pk: int) -> HttpResponse:
    """Try a waiting mail now."""
    mail = get_object_or_404(OutgoingMail, pk=pk)
    try:
        try_again(mail, timezone.now())
    except IllegalMove as refused:
        messages.error(request, str(refused))
        return redirect("outbox")
    mail.refresh_from_db()
    if mail.status == Status.SENT:
        messages.success(request, "Sent.")
    else:
        messages.error(request, f"It did not go: {mail.last_error or mail.get_status_display().lower()}")
    return redirect("outbox")


@quoters
@require_POST
def give_up(request: HttpRequest, pk: int) -> HttpResponse:
    """Drop a waiting mail and take its link back."""
    mail = get_object_or_404(OutgoingMail.objects.select_related("link__quote"), pk=pk)
    try:
        drop(mail, timezone.now(), by=request.user)
    except IllegalMove as refused:
        messages.error(request, str(refused))
    else:
        messages.success(request, "Dropped; its link does not work any more.")
    return redirect("outbox")
