"""`Idempotency-Key`: a request that creates something, sent twice, creates it once and is answered alike.

After draft-ietf-httpapi-idempotency-key-header-07. The key is a structured-field string (RFC 8941, section
3.3.3), so it stands in quotes. It belongs to one person and is kept for 24 hours. Sending one is up to the
asker. The same key with another request is refused with 422, while the first still runs with 409.

The answer is kept in the transaction that makes the change: a process killed midway leaves neither, and the
key is free again as soon as `LEASE` is over. A view that changes nothing says `writes_nothing`: it may work
for many seconds, and SQLite lets nobody else write while a transaction is open.
"""

from __future__ import annotations

import hashlib
import re
from collections.abc import Callable
from contextlib import nullcontext
from datetime import timedelta
from http import HTTPStatus
from typing import cast

from django.db import IntegrityError, transaction
from django.http import HttpRequest, HttpResponse
from django.urls import Resolver404, resolve
from django.utils import timezone

from shop.accounts.models import StoredAnswer, User
from shop.error_pages import API_PREFIX, problem_answer

KEPT = timedelta(hours=24)
LEASE = timedelta(minutes=10)  # longer than any worker is let run
LONGEST_KEY = 255
KEPT_HEADERS = ("Content-Type", "ETag", "Location", "Content-Disposition", "WWW-Authenticate")
_STRING = re.compile(r'"((?:[\x20-\x21\x23-\x5b\x5d-\x7e]|\\["\\])*)"')
# Nothing was tried: the same key may be used again once what was missing is there.
_NOT_TRIED = frozenset({401, 403, 404, 408, 412, 428, 429})


def read_key(header: str) -> str | None:
    """Return the key in the header, None where it is no structured-field string of 1 to 255 characters.

    >>> read_key('"8e03978e-40d5-43e8-bc93-6894a57f9324"')
    '8e03978e-40d5-43e8-bc93-6894a57f9324'
    >>> read_key("8e03978e-40d5-43e8-bc93-6894a57f9324") is None
    True
    """
    found = _STRING.fullmatch(header.strip(" "))
    key = re.sub(r"\\(.)", r"\1", found[1]) if found else ""
    return key if 0 < len(key) <= LONGEST_KEY else None


class RepeatMiddleware:
    """Answers a repeated POST of the API from what was kept of the first."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        """Pass the request on, once for each key."""
        header = request.headers.get("Idempotency-Key")
        concerned = request.method == "POST" and request.path_info.startswith(API_PREFIX)
        if header is None or not concerned or not request.user.is_authenticated:
            return self.get_response(request)
        key = read_key(header)
        if key is None:
            said = f'Idempotency-Key must be a quoted string of 1 to {LONGEST_KEY} characters: "…".'
            return problem_answer(HTTPStatus.BAD_REQUEST, "bad_key", said)
        mark = _mark(request)
        held, mine = _hold(request, key, mark)
        if mine:
            return self._once(request, held)
        if held.request_sha256 != mark:
            said = "This Idempotency-Key came with another request before."
            return problem_answer(HTTPStatus.UNPROCESSABLE_ENTITY, "key_reused", said)
        if held.status is None:
            said = "The first request with this Idempotency-Key still runs."
            return problem_answer(HTTPStatus.CONFLICT, "still_running", said)
        return HttpResponse(bytes(held.body), status=held.status, headers=held.headers)

    def _once(self, request: HttpRequest, held: StoredAnswer) -> HttpResponse:
        """Do the work and keep its answer in one transaction; give the key back where nothing was done."""
        answer: HttpResponse | None = None
        writes = not _writes_nothing(request)
        try:
            with transaction.atomic() if writes else nullcontext():
                answer = self.get_response(request)
                if answer.status_code >= HTTPStatus.INTERNAL_SERVER_ERROR:
                    if writes:
                        transaction.set_rollback(True)
                elif not answer.streaming and answer.status_code not in _NOT_TRIED:
                    _keep(held, answer)
        finally:
            if answer is None or held.status is None:
                StoredAnswer.objects.filter(pk=held.pk).delete()
        return answer


def _writes_nothing(request: HttpRequest) -> bool:
    try:
        view = resolve(request.path_info).func
    except Resolver404:
        return False
    return bool(getattr(getattr(view, "cls", view), "writes_nothing", False))


def _mark(request: HttpRequest) -> str:
    """Return a hash of what makes a request the same: who may do what, where, and with which document."""
    role = str(getattr(request.user, "role", ""))
    parts = (role, request.get_full_path(), request.content_type or "")
    marked = hashlib.sha256("\n".join(parts).encode() + b"\n")
    if request.content_type == "multipart/form-data":  # may be longer than is held in memory
        _mark_form(request, marked)
    else:
        marked.update(request.body)
    return marked.hexdigest()


def _mark_form(request: HttpRequest, marked: hashlib._Hash) -> None:
    """Add fields and files of a form; what divides them is another each time it is sent."""
    marked.update(repr(sorted(request.POST.lists())).encode())
    for name, files in sorted(request.FILES.lists()):
        for file in files:
            marked.update(f"{name}\n{file.size}\n".encode())
            for block in file.chunks():
                marked.update(block)
            file.seek(0)


def _hold(request: HttpRequest, key: str, mark: str) -> tuple[StoredAnswer, bool]:
    """Return the row of a key and whether this request is the first with it; the database lets one win."""
    now = timezone.now()
    StoredAnswer.objects.filter(begun_at__lte=now - KEPT).delete()
    own = StoredAnswer.objects.filter(user=request.user.pk, key=key)
    own.filter(status=None, begun_at__lte=now - LEASE).delete()
    try:
        with transaction.atomic():
            made = StoredAnswer(user=cast(User, request.user), key=key, request_sha256=mark, begun_at=now)
            made.save(force_insert=True)
    except IntegrityError:
        return own.get(), False
    return made, True


def _keep(held: StoredAnswer, answer: HttpResponse) -> None:
    held.status = answer.status_code
    held.headers = {name: answer[name] for name in KEPT_HEADERS if name in answer}
    held.body = answer.content
    held.save(update_fields=("status", "headers", "body"))
