"""What a piece is said to be, word by word."""

from __future__ import annotations

from dataclasses import replace

import pytest

from quoting.engine.estimate.words import describe
from quoting.engine.plane.shapes import Polygon
from quoting.engine.solid.build import build
from quoting.engine.solid.measure import measure
from quoting.engine.spec.types import Delivery, Groove, Sleeve
from quoting.engine.units import format_length
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


def test_features_alike_are_told_once() -> None:
    """Two hundred sleeves put in one by one once took the client five sheets to read."""
    holes = tuple(Sleeve(((50.0 + 60.0 * n, 100.0),), 35.0) for n in range(5))
    pair = Sleeve(((50.0, 200.0), (200.0, 200.0)), 20.0)
    said = describe(replace(piece("shape-rectangle"), features=(*holes[:3], pair, *holes[3:])), {})
    assert [one for one in said if "hole" in one] == [
        "5 sleeved holes, 35 mm across",
        "2 sleeved holes, 20 mm across",
    ]


def test_grooves_alike_are_each_told() -> None:
    groove = Groove(((100.0, 50.0), (400.0, 50.0)), "underside", 8.0, 6.0)
    other = replace(groove, path_mm=((100.0, 90.0), (400.0, 90.0)))
    said = describe(replace(piece("shape-rectangle"), features=(groove, other)), {})
    assert len([one for one in said if "Groove" in one]) == 2


def test_a_rounded_point_is_measured_where_the_piece_ends() -> None:
    """The sentence and the line of sizes over all once told two lengths of one piece."""
    shape = Polygon(
        ((0.0, 0.0), (1500.0, 0.0), (1800.0, 500.0), (1500.0, 1000.0), (0.0, 1000.0)), (25.0,) * 5
    )
    pointed = replace(piece("hearth"), outline=shape)
    length, width, _ = measure(build(pointed)).envelope_mm
    assert length < 1800
    assert f"5-sided, {format_length(length)} × {format_length(width)} over all" in describe(pointed, {})[0]
