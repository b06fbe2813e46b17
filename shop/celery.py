"""The shop's queue of work, where ``CELERY_BROKER_URL`` names one; start a worker with

    celery -A shop.celery worker

It carries text alone. A worker must be of the same release as the site, and needs its environment but no
database.
"""

from __future__ import annotations

import os
from collections import deque
from collections.abc import Iterator, Sequence
from itertools import islice
from typing import Any

from celery import Celery
from celery.exceptions import TimeoutError as NoAnswer
from django.conf import settings
from kombu.exceptions import OperationalError

from quoting.engine.estimate.repricing import price_text
from quoting.errors import QueueUnavailable

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "shop.settings")
AHEAD = 64
PATIENCE_S = 60


def make_app(broker: str, results: str) -> Any:
    """Return the queue at an address; it takes JSON alone, and gives up soon on a broker that is away."""
    made = Celery("shop", broker=broker, backend=results, fixups=[])
    made.conf.update(
        task_default_queue="reprice",
        task_serializer="json",
        result_serializer="json",
        accept_content=["json"],
        result_expires=3600,
        broker_connection_retry_on_startup=True,
        redis_socket_connect_timeout=5,
    )
    made.task(name="shop.price")(price_text)
    return made


app = make_app(settings.CELERY_BROKER_URL, settings.CELERY_BROKER_URL) if settings.CELERY_BROKER_URL else None


def run(prices: str, documents: Sequence[str]) -> Iterator[str]:
    """Have each document priced by the workers; outcomes in the order given, some pieces ahead.

    Raises `QueueUnavailable` when the broker cannot be reached or no worker answers.
    """
    if app is None:
        raise QueueUnavailable("no queue is configured: set CELERY_BROKER_URL")
    task = app.tasks["shop.price"]
    try:
        if not app.conf.task_always_eager:
            with app.connection_for_write() as connection:
                connection.ensure_connection(max_retries=1, interval_start=0, timeout=5)
        rest = iter(documents)
        waiting = deque(_sent(task, prices, document) for document in islice(rest, AHEAD))
        while waiting:
            result = waiting.popleft()
            outcome = str(result.get(timeout=PATIENCE_S))
            result.forget()
            waiting.extend(_sent(task, prices, document) for document in islice(rest, 1))
            yield outcome
    except NoAnswer:
        raise QueueUnavailable(f"no worker of the queue answered within {PATIENCE_S} s") from None
    except (OperationalError, OSError):
        raise QueueUnavailable("the queue at CELERY_BROKER_URL cannot be reached") from None


def _sent(task: Any, prices: str, document: str) -> Any:
    return task.apply_async((document, prices), retry=False, expires=600)
