"""Whether this worker can do its work: for a load balancer or a watchdog, not for people."""

from __future__ import annotations

import logging
from http import HTTPStatus

from django.contrib.auth.decorators import login_not_required
from django.db import Error
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from quoting.selectors.outbox import mail_is_late

log = logging.getLogger(__name__)


@login_not_required
@never_cache
@require_safe
def healthz(request: HttpRequest) -> HttpResponse:
    """Answer 200 when the database answers, 503 when not; what is wrong stands in the log alone.

    `mail` is `late` while a mail to a client has waited for more than an hour: no reason to stop this worker.
    """
    try:
        late = mail_is_late(timezone.now())
    except Error:
        log.exception("the database does not answer")
        return JsonResponse({"status": "unavailable"}, status=HTTPStatus.SERVICE_UNAVAILABLE)
    return JsonResponse({"status": "ok", "mail": "late" if late else "on time"})
