"""Sections against beam formulas (textbook mechanics, from memory) and the solid's own measures."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest
from hypothesis import HealthCheck, given, settings

from quoting.engine.plane.shapes import Oval, Rectangle, Round, Slot
from quoting.engine.plane.turned import Axis
from quoting.engine.solid.build import Solid, build
from quoting.engine.solid.measure import measure
from quoting.engine.solid.section import (
    moment_beyond,
    section_at,
    slicer,
    stations,
    volume_beyond,
)
from quoting.engine.spec.types import DropEdge, EdgeTreatment, Feature, Inlay, Opening, Piece, Recess, Trough
from tests.benchmarks.bench_solid import reading_room_table
from tests.validation.strategies import pieces


def solid(*features: Feature, **more: object) -> Solid:
    return build(Piece("beam", "mm", 40.0, Rectangle(2000.0, 600.0), features=features, **more))  # type: ignore[arg-type]


def test_a_plain_slab_is_a_rectangular_beam_both_ways() -> None:
    cut = section_at(solid(), "x", 700.0)
    assert (cut.net_width_mm, cut.height_mm) == (600.0, 40.0)
    assert cut.area_mm2 == pytest.approx(600.0 * 40.0, rel=1e-12)
    assert cut.i_flat_mm4 == pytest.approx(600.0 * 40.0**3 / 12.0, rel=1e-12)
    assert cut.s_flat_top_mm3 == pytest.approx(600.0 * 40.0**2 / 6.0, rel=1e-12)
    assert cut.s_flat_bottom_mm3 == pytest.approx(cut.s_flat_top_mm3, rel=1e-12)
    assert cut.s_edge_mm3 == pytest.approx(40.0 * 600.0**2 / 6.0, rel=1e-12)
    assert section_at(solid(), "y", 100.0).net_width_mm == 2000.0


def test_an_opening_leaves_two_strips() -> None:
    cut = section_at(solid(Opening(((1000.0, 250.0),), Rectangle(500.0, 300.0))), "x", 1000.0)
    assert cut.net_width_mm == 300.0
    assert cut.s_flat_top_mm3 == pytest.approx(300.0 * 40.0**2 / 6.0, rel=1e-12)
    # Strips 0..100 and 400..600: parallel axes about their common centroid.
    across = (100.0 * 50.0 + 200.0 * 500.0) / 300.0
    i_edge = 40.0 * (100.0**3 + 200.0**3) / 12.0
    i_edge += 40.0 * (100.0 * (50.0 - across) ** 2 + 200.0 * (500.0 - across) ** 2)
    assert cut.centroid_across_mm == pytest.approx(across, rel=1e-12)
    assert cut.i_edge_mm4 == pytest.approx(i_edge, rel=1e-12)
    assert cut.s_edge_mm3 == pytest.approx(i_edge / across, rel=1e-12)


def test_a_drop_edge_makes_a_channel() -> None:
    cut = section_at(solid(drop_edge=DropEdge(120.0, 30.0)), "x", 1000.0)
    web, legs = 600.0 * 40.0, 60.0 * 80.0
    z = (web * 20.0 + legs * 80.0) / (web + legs)
    i_flat = 600.0 * 40.0**3 / 12.0 + web * (z - 20.0) ** 2 + 60.0 * 80.0**3 / 12.0 + legs * (80.0 - z) ** 2
    assert cut.height_mm == 120.0
    assert cut.centroid_z_mm == pytest.approx(z, rel=1e-12)
    assert cut.i_flat_mm4 == pytest.approx(i_flat, rel=1e-12)
    assert cut.s_flat_bottom_mm3 == pytest.approx(i_flat / (120.0 - z), rel=1e-12)


def test_inside_the_band_of_a_drop_edge_the_section_is_solid() -> None:
    band = section_at(solid(drop_edge=DropEdge(120.0, 30.0)), "x", 15.0)
    assert band.area_mm2 == pytest.approx(600.0 * 120.0)
    assert band.height_mm == 120.0
    front = solid(drop_edge=DropEdge(120.0, 30.0, (0,)))
    assert section_at(front, "y", 300.0).height_mm == 40.0
    assert section_at(front, "y", 20.0).height_mm == 120.0


def test_a_trough_hangs_below_and_leans() -> None:
    hung = solid(Trough((1000.0, 300.0), 500.0, 200.0, 160.0, 25.0, 30.0, 0.0, 5.0))
    cut = section_at(hung, "x", 1000.0)
    lean = math.tan(math.radians(5.0))
    area = 600.0 * 40.0 + 250.0 * 150.0 - 160.0 * (200.0 - 160.0 * lean)
    assert cut.area_mm2 == pytest.approx(area, rel=1e-12)
    assert (cut.height_mm, cut.net_width_mm) == (190.0, 400.0)
    # Across the leaning end wall the inside is as deep as the wall there lets it be.
    end = section_at(hung, "x", 1250.0 - 80.0 * lean)
    assert end.area_mm2 == pytest.approx(
        600.0 * 40.0 + 250.0 * 150.0 - 80.0 * (200.0 - 80.0 * lean), rel=1e-12
    )


def test_the_net_width_is_that_of_the_weakest_level() -> None:
    inlay = Inlay(((500.0, 300.0),), Rectangle(300.0, 200.0), "glass", 10.0, 20.0, True)
    recess = Recess(((500.0, 500.0),), Rectangle(100.0, 50.0), "underside", 12.0)
    assert section_at(solid(inlay, recess), "x", 500.0).net_width_mm == 600.0 - max(200.0, 160.0 + 50.0)


def test_edge_treatments_are_deducted() -> None:
    cut = section_at(solid(edges=(EdgeTreatment("top", "chamfer", 12.0),)), "x", 1000.0)
    triangle = 12.0 * 12.0 / 2.0
    area = 600.0 * 40.0 - 2.0 * triangle
    z = (600.0 * 40.0 * 20.0 - 2.0 * triangle * 4.0) / area
    second = 600.0 * 40.0**3 / 3.0 - 2.0 * (12.0**4 / 36.0 + triangle * 4.0**2)
    assert cut.area_mm2 == pytest.approx(area, rel=1e-12)
    assert cut.i_flat_mm4 == pytest.approx(second - area * z * z, rel=1e-12)


def test_curved_outlines_are_cut_as_curves() -> None:
    disc = build(Piece("disc", "mm", 40.0, Round(900.0)))
    assert section_at(disc, "x", 250.0).net_width_mm == pytest.approx(
        2.0 * math.sqrt(450.0**2 - 200.0**2), rel=1e-12
    )
    oval = build(Piece("oval", "mm", 40.0, Oval(1000.0, 600.0)))
    assert section_at(oval, "x", 800.0).net_width_mm == pytest.approx(600.0 * 0.8, rel=1e-12)


@settings(
    max_examples=15, deadline=None, derandomize=True, database=None, suppress_health_check=list(HealthCheck)
)
@given(pieces())
def test_sections_and_what_lies_beyond_belong_to_one_solid(piece: Piece) -> None:
    made = build(piece)
    geometry = measure(made)
    volume = geometry.volume_m3 * 1e9
    axes: tuple[Axis, Axis] = ("x", "y")
    for i, axis in enumerate(axes):
        low, high = slicer(made, axis).span_mm
        assert slicer(made, axis).whole() == pytest.approx(
            (volume, volume * (geometry.centroid_mm[i] - low)), rel=1e-9
        )
        assert volume_beyond(made, axis, low) == pytest.approx(volume, rel=1e-9)
        arm = moment_beyond(made, axis, low) / volume
        assert low + arm == pytest.approx(geometry.centroid_mm[i], rel=1e-9)
        assert volume_beyond(made, axis, high) == 0.0
        at, step = low + 0.437 * (high - low), 1e-3
        rate = (volume_beyond(made, axis, at - step) - volume_beyond(made, axis, at + step)) / (2.0 * step)
        assert rate == pytest.approx(section_at(made, axis, at).area_mm2, rel=1e-4)


def test_stations_are_in_order_inside_the_piece_and_fine_near_openings() -> None:
    table = build(reading_room_table())
    places = stations(table, "x")
    assert list(places) == sorted(places)
    assert 0.0 < places[0] < places[-1] < 2100.0
    inlay = [at for at in places if 175.0 <= at <= 425.0]
    assert len(inlay) >= 15
    assert any(175.0 < at <= 175.02 for at in inlay), "one just past the inlay's end"
    assert max(b - a for a, b in pairwise(places)) <= 2100.0 / 32.0 + 1e-9


def test_the_weakest_station_is_through_an_opening() -> None:
    slab = solid(Opening(((700.0, 300.0),), Round(400.0)))
    weakest = min(stations(slab, "x"), key=lambda at: section_at(slab, "x", at).s_flat_top_mm3)
    assert weakest == pytest.approx(700.0)


def test_a_cut_that_misses_the_piece_is_refused() -> None:
    with pytest.raises(ValueError, match="a cut at 2100 mm misses the piece, which runs from 0 to 2000 mm"):
        section_at(solid(), "x", 2100.0)


def test_a_cut_through_the_middle_of_a_slots_ends_slips_between_no_arcs() -> None:
    rounds = (EdgeTreatment("top", "round", 10.0), EdgeTreatment("bottom", "round", 10.0))
    bench = build(Piece("bench", "mm", 60.0, Slot(1600.0, 420.0), edges=rounds))
    middle, beside = (section_at(bench, "y", at) for at in (210.0, 209.99))
    assert middle.area_mm2 == pytest.approx(beside.area_mm2, rel=1e-6)
    assert middle.s_flat_top_mm3 == pytest.approx(beside.s_flat_top_mm3, rel=1e-6)


@pytest.mark.parametrize("axis", ["x", "y"])
def test_many_cuts_at_once_are_the_single_cuts(axis: Axis) -> None:
    table = build(reading_room_table())
    places = stations(table, axis)
    many = slicer(table, axis).cuts(places)
    volumes, moments = slicer(table, axis).beyond(places)
    for n in range(0, len(places), 7):
        one = section_at(table, axis, places[n])
        assert many.area_mm2[n] == pytest.approx(one.area_mm2, rel=1e-12)
        assert many.s_edge_mm3[n] == pytest.approx(one.s_edge_mm3, rel=1e-12)
        assert volumes[n] == pytest.approx(volume_beyond(table, axis, places[n]), rel=1e-12)
        assert moments[n] == pytest.approx(moment_beyond(table, axis, places[n]), rel=1e-12)
