"""Scaled copies: what is stretched, what keeps its size, what is refused."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from quoting.engine.errors import Refused
from quoting.engine.solid.build import build
from quoting.engine.solid.measure import measure
from quoting.engine.spec.parse import parse_piece
from quoting.engine.spec.scaled import Factors, scaled_document
from quoting.engine.spec.types import Delivery, Oval, Piece, Rectangle, Reinforcement, Round, Sleeve
from tests.quoting.engine.estimate.world import piece


def scaled(of: Piece, factors: Factors) -> Piece:
    return parse_piece(scaled_document(of, factors))


def test_a_longer_table_keeps_its_details() -> None:
    table = piece("reading-room-table")
    longer = scaled(table, Factors(length=1.1))
    assert isinstance(longer.outline, Rectangle)
    assert (longer.outline.length_mm, longer.outline.width_mm) == (2310.0, 900.0)
    assert longer.outline.corner_radii_mm == (60.0,) * 4
    assert longer.edges == table.edges
    assert longer.thickness_mm == table.thickness_mm
    sleeves = next(feature for feature in longer.features if isinstance(feature, Sleeve))
    assert sleeves == Sleeve(((1155.0, 790.0), (1155.0, 110.0)), 60.0)


def test_the_whole_piece_grows_but_not_its_cover() -> None:
    table = replace(piece("shape-rectangle"), reinforcement=Reinforcement("MESH-50", 14.0, 100.0))
    table = replace(table, delivery=Delivery(18.12345, 2), unit="in")
    larger = scaled(table, Factors(1.5, 1.5, 1.5, whole=True))
    assert larger.thickness_mm == pytest.approx(table.thickness_mm * 1.5, abs=1e-4)
    assert larger.reinforcement is not None
    assert larger.reinforcement.cover_mm == pytest.approx(14.0, abs=1e-4)
    assert larger.delivery == table.delivery
    assert larger.unit == "in"


def test_a_round_stretched_one_way_is_an_ellipse() -> None:
    disc = Piece("Disc", "mm", 40.0, Round(800.0))
    assert scaled(disc, Factors(1.25, 1.25)).outline == Round(1000.0)
    assert scaled(disc, Factors(1.25)).outline == Oval(1000.0, 800.0)


@pytest.mark.parametrize("factor", [1.25, 1.6])
@pytest.mark.parametrize("name", ["reading-room-table", "cafe-counter", "shape-polygon", "feature-recess"])
def test_volume_grows_with_the_cube(name: str, factor: float) -> None:
    of = replace(piece(name), reinforcement=None)
    larger = scaled(of, Factors(factor, factor, factor, whole=True))
    volume = measure(build(larger)).volume_m3
    # Sizes are rounded to 0.001 mm of hundreds, and edge treatments to as much of a few.
    assert math.isclose(volume, factor**3 * measure(build(of)).volume_m3, rel_tol=1e-5)


def test_what_cannot_be_cast_is_refused_by_the_usual_rules() -> None:
    table = piece("reading-room-table")
    with pytest.raises(Refused) as refused:
        scaled(table, Factors(length=0.4))
    assert all(fault.path.startswith(("features", "outline")) for fault in refused.value.faults)
    with pytest.raises(Refused):
        scaled(table, Factors(length=7.0))  # 14.7 m


@pytest.mark.parametrize(
    ("factors", "path"),
    [
        (Factors(length=0.0), "length_factor"),
        (Factors(width=-1.0), "width_factor"),
        (Factors(thickness=float("nan")), "thickness_factor"),
        (Factors(length=11.0), "length_factor"),
        (Factors(length=2.0, whole=True), "width_factor"),
    ],
)
def test_factors_out_of_reason(factors: Factors, path: str) -> None:
    with pytest.raises(Refused) as refused:
        scaled_document(piece("hearth"), factors)
    assert [fault.path for fault in refused.value.faults] == [path]
