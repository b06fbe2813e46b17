"""Requests counted at the same moment: every number once, and none waits for another's transaction."""

from __future__ import annotations

from shop.accounts.models import User
from shop.pace import counted
from tests.postgres.conftest import at_once


def test_many_counted_at_once(rowan: User) -> None:
    got = at_once(8, lambda _: [counted(rowan.pk, "default", 5) for _ in range(25)])
    assert sorted(number or 0 for one in got for number in one) == list(range(1, 201))
