"""When database or disk cannot be written or reached: a plain 503 instead of a failure page.

Nothing is left half done by then: every write is one transaction, and the fault rolled it back.
"""

from __future__ import annotations

import errno
import logging
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from http import HTTPStatus

from django.db import Error, InterfaceError, OperationalError, connection
from django.http import HttpRequest, HttpResponse

from shop.error_pages import plain_answer

RETRY_SECONDS = 30
_DISK = frozenset({errno.ENOSPC, errno.EDQUOT, errno.EROFS, errno.EFBIG, errno.EIO})
WAIT_MS = 100
"""How long a note that a request can do without waits while SQLite is being written to."""
READ_ONLY_TRANSACTION = "25006"  # SQLSTATE, PostgreSQL appendix A; Django files it under InternalError

log = logging.getLogger(__name__)


def is_storage_fault(fault: BaseException | None) -> bool:
    """Return whether a fault says that the store is full, read-only, locked for too long or out of reach."""
    if isinstance(fault, (OperationalError, InterfaceError)):
        return True
    if isinstance(fault, Error):
        return getattr(fault.__cause__, "sqlstate", None) == READ_ONLY_TRANSACTION
    return isinstance(fault, OSError) and fault.errno in _DISK


@contextmanager
def short_wait() -> Iterator[None]:
    """On SQLite wait for the lock on writing only so long."""
    if connection.vendor != "sqlite":
        yield
        return
    with connection.cursor() as cursor:
        cursor.execute("PRAGMA busy_timeout")
        usual = int(cursor.fetchone()[0])
        cursor.execute(f"PRAGMA busy_timeout = {WAIT_MS}")
        try:
            yield
        finally:
            cursor.execute(f"PRAGMA busy_timeout = {usual}")


def storage_answer(request: HttpRequest, fault: BaseException) -> HttpResponse:
    """Log the fault and answer 503 with the time after which to try again."""
    log.error("the store cannot be used", exc_info=fault)
    answer = plain_answer(request, HTTPStatus.SERVICE_UNAVAILABLE)
    answer["Retry-After"] = str(RETRY_SECONDS)
    return answer


class StorageFaultMiddleware:
    """Answers 503 when a view, page or API, runs into a fault of the store."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        """Pass the request on."""
        return self.get_response(request)

    def process_exception(self, request: HttpRequest, exception: Exception) -> HttpResponse | None:
        """Answer faults of the store, leave all others alone."""
        return storage_answer(request, exception) if is_storage_fault(exception) else None


def server_error(request: HttpRequest) -> HttpResponse:
    """Handle 500, for faults outside a view too; the cause goes to the log, never to the visitor."""
    fault = sys.exception()
    if fault is not None and is_storage_fault(fault):
        return storage_answer(request, fault)
    return plain_answer(request, HTTPStatus.INTERNAL_SERVER_ERROR)
