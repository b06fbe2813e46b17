"""What a piece is said to be, word by word."""

from __future__ import annotations

from dataclasses import replace

import pytest

from quoting.engine.estimate.words import describe
from quoting.engine.spec.types import Delivery
from tests.quoting.engine.estimate.world import piece


@pytest.mark.parametrize(
    ("delivery", "said"),
    [
        (None, "Collected from the workshop"),
        (Delivery(18.0, 0, False), "Delivered"),
        (Delivery(18.0, 1, True), "Delivered, up 1 step and installed"),
        (Delivery(18.0, 3, True), "Delivered, up 3 steps and installed"),
    ],
)
def test_how_it_comes_to_the_client(delivery: Delivery | None, said: str) -> None:
    assert describe(replace(piece("hearth"), delivery=delivery), {})[-1] == said
