"""The shop's queue of work, where ``CELERY_BROKER_URL`` names a Redis or Valkey; start a worker with

    celery -A shop.celery worker

It carries text alone. A worker must be of the same release as the site, and needs its environment but no
database. The asker holds every piece until it is answered and sends again what went down with a worker, so
nothing needs keeping on the queue.
"""

from __future__ import annotations

import os
from collections import deque
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import islice
from typing import Any
from urllib.parse import urlsplit

from celery import Celery
from celery.exceptions import TimeoutError as NoAnswer
from celery.exceptions import WorkerLostError
from django.conf import settings
from kombu.exceptions import OperationalError
from redis.exceptions import RedisError

from quoting.engine.estimate.repricing import price_text
from quoting.errors import QueueUnavailable

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "shop.settings")
AHEAD = 64
SILENCE_S = 20
"""So long without an answer, and what waits is sent again: the worker that had it may be gone."""
TRIES = 3
_RECONNECT = {"max_retries": 3, "interval_start": 0, "interval_step": 0.5, "interval_max": 1}
_GONE = (OperationalError, RedisError, OSError, RuntimeError)
"""What the libraries raise where there is no broker; the last when they have given up on a connection."""


def make_app(address: str) -> Any:
    """Return the queue at an address; it takes JSON alone, and gives up soon on a broker that is away."""
    checked = _checked(address)
    made = Celery("shop", broker=checked, backend=checked, fixups=[])
    made.conf.update(
        task_default_queue="reprice",
        task_serializer="json",
        result_serializer="json",
        accept_content=["json"],
        result_expires=3600,
        worker_prefetch_multiplier=1,
        broker_connection_retry_on_startup=True,
        redis_socket_connect_timeout=5,
        result_backend_transport_options={"retry_policy": _RECONNECT},
    )
    made.task(name="shop.price")(price_text)
    return made


def _checked(address: str) -> str:
    """Have the certificate of a server over TLS checked where the address does not say how."""
    if not address.startswith("rediss://") or "ssl_cert_reqs=" in address:
        return address
    return f"{address}{'&' if urlsplit(address).query else '?'}ssl_cert_reqs=required"


app: Any = make_app(settings.CELERY_BROKER_URL) if settings.CELERY_BROKER_URL else None


@dataclass(slots=True)
class _Sent:
    """A document on its way, and what will be its answer."""

    document: str
    answer: Any


def run(prices: str, documents: Sequence[str]) -> Iterator[str]:
    """Have each document priced by the workers; outcomes in the order given, some pieces ahead.

    Raises `QueueUnavailable` when the broker cannot be reached or goes away, or no worker answers.
    """
    if app is None:
        raise QueueUnavailable("no queue is configured: set CELERY_BROKER_URL")
    waiting: deque[_Sent] = deque()
    try:
        with app.connection_for_write() as connection:
            connection.ensure_connection(max_retries=1, interval_start=0, timeout=5)
        rest = iter(documents)
        waiting.extend(_Sent(document, _send(prices, document)) for document in islice(rest, AHEAD))
        while waiting:
            outcome = _first(waiting, prices)
            _let_go(waiting.popleft().answer)
            waiting.extend(_Sent(document, _send(prices, document)) for document in islice(rest, 1))
            yield outcome
    except _GONE:
        raise QueueUnavailable("the queue at CELERY_BROKER_URL cannot be reached") from None
    finally:
        for one in waiting:
            one.answer.backend = None


def _first(waiting: deque[_Sent], prices: str) -> str:
    """Wait for the first outcome; what seems lost is sent again, which is harmless: it is only reckoning."""
    for _ in range(TRIES):
        first = waiting[0].answer
        try:
            outcome = first.get(timeout=SILENCE_S, propagate=False)
        except NoAnswer:
            outcome = None
        if isinstance(outcome, str):
            return outcome
        if outcome is not None and not isinstance(outcome, WorkerLostError):
            raise QueueUnavailable(f"a worker failed, is it of this release? {outcome!r:.200}")
        for one in waiting:
            if one.answer is first or not one.answer.ready():
                _let_go(one.answer)
                one.answer = _send(prices, one.document)
    raise QueueUnavailable(f"no worker of the queue answered within {TRIES * SILENCE_S} s")


def _send(prices: str, document: str) -> Any:
    return app.tasks["shop.price"].apply_async((document, prices), retry=False, expires=600)


def _let_go(answer: Any) -> None:
    """Have the queue forget an answer; it must not ask the queue once more when it is swept up here."""
    answer.forget()
    answer.backend = None
