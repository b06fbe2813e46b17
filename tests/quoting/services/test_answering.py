"""Many browsers answer at the same moment, on both databases: one answer, one event, one job at most."""

from __future__ import annotations

from typing import Any

import pytest

from tests.quoting.services.conftest import run

BROWSERS = 8


def _pressed(place: dict[str, str], declining: int, links: str) -> dict[str, Any]:
    kept: dict[str, Any] = run("answering_program", place, str(BROWSERS), str(declining), links)
    assert kept["codes"] == [302] * BROWSERS, "each is led to the page, which says how the quote stands"
    assert len(kept["answers"]) == 1
    assert kept["answers"] == kept["events"]
    assert kept["status"] == kept["answers"][0][0]
    assert kept["jobs"] == (kept["status"] == "accepted")
    return kept


@pytest.mark.parametrize("links", ["own", "one"])
def test_of_many_that_accept_at_once_one_does(place: dict[str, str], links: str) -> None:
    assert _pressed(place, 0, links)["status"] == "accepted"


def test_accepted_and_declined_at_once_it_is_one_of_both(place: dict[str, str]) -> None:
    assert _pressed(place, BROWSERS // 2, "own")["status"] in ("accepted", "declined")
