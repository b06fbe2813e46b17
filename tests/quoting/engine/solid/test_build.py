"""The bodies of a piece: which voids, where, and how a groove or a trough is laid out."""

from __future__ import annotations

import pytest

from quoting.engine.errors import Refused
from quoting.engine.plane.contour import NoRoom
from quoting.engine.plane.shapes import Oval, Rectangle, Round
from quoting.engine.solid.build import Solid, build, channels
from quoting.engine.solid.layers import inset_mm
from quoting.engine.spec.types import (
    Drain,
    DropEdge,
    EdgeTreatment,
    Feature,
    Groove,
    Inlay,
    Insert,
    Opening,
    Piece,
    Recess,
    Sleeve,
    Trough,
)


def built(*features: Feature, **more: object) -> Solid:
    return build(Piece("slab", "mm", 40.0, Rectangle(2000.0, 900.0), features=features, **more))  # type: ignore[arg-type]


def test_every_centre_gives_its_voids_in_the_order_of_the_document() -> None:
    rim = (EdgeTreatment("top", "round", 3.0),)
    solid = built(
        Opening(((300.0, 300.0),), Round(100.0), 0.0, rim),
        Inlay(((600.0, 300.0), (800.0, 300.0)), Rectangle(80.0, 60.0), "glass", 10.0, 8.0, True),
        Inlay(((1000.0, 300.0),), Rectangle(80.0, 60.0), "brass", 6.0),
        Recess(((1200.0, 300.0),), Rectangle(80.0, 60.0), "underside", 12.0),
        Groove(((100.0, 100.0), (1900.0, 100.0)), "top", 8.0, 5.0),
        Sleeve(((1500.0, 300.0),), 60.0),
        Insert(((1600.0, 300.0),), "M8"),
    )
    found = [(v.feature, v.path, v.kind, v.top_mm, v.bottom_mm, v.through, v.backlit) for v in solid.voids]
    assert found == [
        (0, "features[0]", "opening", 0.0, 40.0, True, False),
        (1, "features[1].at[0]", "inlay", 0.0, 10.0, False, True),
        (1, "features[1].at[0]", "inlay_through", 10.0, 40.0, True, True),
        (1, "features[1].at[1]", "inlay", 0.0, 10.0, False, True),
        (1, "features[1].at[1]", "inlay_through", 10.0, 40.0, True, True),
        (2, "features[2]", "inlay", 0.0, 6.0, False, False),
        (3, "features[3]", "recess", 28.0, 40.0, False, False),
        (4, "features[4]", "groove", 0.0, 5.0, False, False),
        (5, "features[5]", "sleeve", 0.0, 40.0, True, False),
    ]
    assert solid.voids[0].edges == rim
    assert solid.voids[2].contour.box_mm == (568.0, 278.0, 632.0, 322.0)


def test_a_trough_hangs_from_the_underside_and_leans_inside() -> None:
    drains = (Drain((1000.0, 450.0), 20.0),)
    solid = built(
        Trough((1000.0, 450.0), 600.0, 200.0, 150.0, 25.0, 30.0, 20.0, 45.0 / 9.0, 0.0, None, drains)
    )
    (body,) = solid.troughs
    assert solid.voids == ()
    assert (body.top_mm, body.bottom_mm, solid.height_mm) == (40.0, 180.0, 180.0)
    assert body.outer.box_mm == (675.0, 325.0, 1325.0, 575.0)
    assert {corner.radius_mm for corner in body.outer.ring} == {45.0}
    assert {corner.radius_mm for corner in body.inner_at(100.0).ring} == {20.0}
    x0, _, x1, _ = body.inner_at(100.0).box_mm
    assert x1 - x0 == pytest.approx(600.0 - 200.0 * body.lean)
    assert body.drains[0].box_mm == pytest.approx((990.0, 440.0, 1010.0, 460.0))


def test_a_sharp_trough_is_as_round_outside_as_its_wall_is_thick() -> None:
    (body,) = built(Trough((1000.0, 450.0), 600.0, 200.0, 150.0, 25.0, 30.0)).troughs
    assert {corner.radius_mm for corner in body.outer.ring} == {25.0}


def test_the_drop_band_lies_between_the_outline_and_its_parallel() -> None:
    solid = built(drop_edge=DropEdge(100.0, 30.0, (0, 1)))
    assert solid.drop_band is not None
    outer, inner = solid.drop_band
    assert outer is solid.outline
    assert inner.box_mm == (0.0, 30.0, 1970.0, 900.0)
    assert built().drop_band is None


def test_a_groove_back_to_its_start_is_two_channels_end_to_end() -> None:
    ring = ((100.0, 100.0), (500.0, 100.0), (500.0, 300.0), (100.0, 300.0), (100.0, 100.0))
    parts = channels(ring, 10.0)
    assert len(parts) == 2
    assert sum(part.area_mm2 for part in parts) == pytest.approx(1200.0 * 10.0)
    assert parts[0].box_mm == (300.0, 95.0, 505.0, 305.0)
    assert parts[1].box_mm == (95.0, 95.0, 300.0, 305.0)


def test_the_inset_of_a_treatment_goes_from_its_size_to_nothing() -> None:
    chamfer, quarter = EdgeTreatment("top", "chamfer", 10.0), EdgeTreatment("top", "round", 10.0)
    assert [inset_mm(chamfer, t) for t in (0.0, 4.0, 10.0, 12.0)] == [10.0, 6.0, 0.0, 0.0]
    assert [inset_mm(quarter, t) for t in (0.0, 4.0, 10.0)] == pytest.approx([10.0, 2.0, 0.0])


# --- what it refuses -------------------------------------------------------------------------------------
def test_a_treatment_that_swallows_a_side_has_no_room() -> None:
    with pytest.raises(NoRoom) as refused:
        build(
            Piece("strip", "mm", 40.0, Rectangle(500.0, 20.0), edges=(EdgeTreatment("top", "chamfer", 11.0),))
        )
    # A refusal like any other: whoever answers for those answers for this.
    assert isinstance(refused.value, Refused)
    assert [fault.code for fault in refused.value.faults] == ["no_room"]
    assert "cannot be cast: side 1 is swallowed" in refused.value.faults[0].message


def test_a_taper_that_closes_the_trough_has_no_room() -> None:
    with pytest.raises(NoRoom, match="a taper of 40° closes the trough"):
        built(Trough((1000.0, 450.0), 600.0, 200.0, 150.0, 25.0, 30.0, 0.0, 40.0))


@pytest.mark.parametrize(
    ("path", "what"),
    [
        (((100.0, 100.0), (300.0, 100.0), (200.0, 100.0)), "doubles back"),
        (((100.0, 100.0), (100.0, 100.0), (200.0, 100.0)), "are the same"),
    ],
)
def test_a_groove_needs_a_path_that_goes_somewhere(path: tuple[tuple[float, float], ...], what: str) -> None:
    with pytest.raises(NoRoom, match=what):
        channels(path, 8.0)


def test_a_treatment_larger_than_an_ovals_least_radius_has_no_room() -> None:
    with pytest.raises(NoRoom, match="least radius"):
        build(Piece("sliver", "mm", 40.0, Oval(1000.0, 100.0), edges=(EdgeTreatment("top", "round", 6.0),)))
