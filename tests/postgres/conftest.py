"""Races between connections. SQLite's in-memory test database has one, so these run on PostgreSQL alone.

`verify` runs them in its step on PostgreSQL; SQLite with several processes is tested on a file elsewhere.
"""

from __future__ import annotations

import threading
from collections.abc import Callable
from typing import TypeVar

import pytest
from django.conf import settings
from django.db import connection

from shop.accounts.models import User

T = TypeVar("T")
collect_ignore_glob = [] if "postgresql" in settings.DATABASES["default"]["ENGINE"] else ["test_*.py"]


def at_once(times: int, act: Callable[[int], T]) -> list[T]:
    """Let so many threads act at the same moment, each on a connection of its own; return what each got."""
    together, got = threading.Barrier(times), []

    def run(number: int) -> None:
        together.wait()
        try:
            got.append(act(number))
        finally:
            connection.close()

    threads = [threading.Thread(target=run, args=(number,)) for number in range(times)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert len(got) == times, "a thread failed"
    return got


@pytest.fixture
def rowan(transactional_db: None) -> User:
    return User.objects.create_user("rowan", "a long pass phrase", role="owner")
