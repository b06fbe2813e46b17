"""Solids of closed form against published formulas.

Sources: project reference `concrete.md` (ids C15 to C18, C141); textbook mensuration as in Machinery's
Handbook and the CRC Standard Mathematical Tables (circular segment, stadium, frustum of a cone, prismatoid,
theorem of Pappus and Guldin, centroid of the spandrel of a quarter circle), from memory; Abramowitz and
Stegun, Handbook of Mathematical Functions, table 17.1 for E(m), from memory; SciPy's elliptic integrals and
quadrature as the general library that computes the same thing another way.
"""

from __future__ import annotations

import math
from itertools import pairwise

import pytest
from scipy import integrate, special

from quoting.engine.plane.contour import contour_of
from quoting.engine.plane.cut import CutContour
from quoting.engine.plane.shapes import Ell, Oval, Polygon, Rectangle, Round, Slot
from quoting.engine.spec.types import (
    EdgeTreatment,
    Groove,
    Inlay,
    Opening,
    Recess,
    Sleeve,
)
from tests.validation.solid_checks import exactly, geometry, volume_mm3

INCH_MM = 25.4
QUARTER_ROUND = 1.0 - math.pi / 4.0
"""What a quarter round takes off its square (C18)."""


# --- slabs -----------------------------------------------------------------------------------------------
def test_area_mass_of_a_40_mm_slab() -> None:
    slab = geometry(Rectangle(1000.0, 1000.0), 40.0)
    assert slab.volume_m3 * 2400.0 == exactly(96.0)  # C15
    panel = geometry(Rectangle(1000.0, 1000.0), 12.5)
    assert panel.volume_m3 * 1920.0 == exactly(24.0)  # C15


def test_mass_of_a_2400_by_900_by_40_slab() -> None:
    assert geometry(Rectangle(2400.0, 900.0), 40.0).volume_m3 * 2400.0 == exactly(207.36)  # C16


def test_mass_of_a_96_by_25_5_by_1_5_inch_slab() -> None:
    volume = geometry(Rectangle(96.0 * INCH_MM, 25.5 * INCH_MM), 1.5 * INCH_MM).volume_m3
    cubic_feet = volume / 0.3048**3
    assert cubic_feet == exactly(2.125)  # C17
    assert cubic_feet * 145.0 == pytest.approx(308.1, abs=0.1)  # C17


def test_form_area_of_a_slab_cast_face_down() -> None:
    slab = geometry(Rectangle(2400.0, 900.0), 40.0)
    assert slab.show_area_m2 == exactly(2.160)  # C141
    assert slab.side_area_m2 == exactly(0.264)  # C141
    assert slab.show_area_m2 + slab.side_area_m2 == exactly(2.424)  # C141


# --- edges -----------------------------------------------------------------------------------------------
@pytest.mark.parametrize(("radius", "published_mm2"), [(3.0, 1.93), (12.0, 30.90)])
def test_rounding_a_straight_edge_removes_0_2146_of_its_square(radius: float, published_mm2: float) -> None:
    plain = volume_mm3(Rectangle(1000.0, 500.0), 40.0)
    rounded = volume_mm3(Rectangle(1000.0, 500.0), 40.0, edges=(EdgeTreatment("top", "round", radius, (0,)),))
    per_mm = (plain - rounded) / 1000.0
    assert per_mm == pytest.approx(published_mm2, rel=2e-3)  # C18, printed to two decimals
    assert per_mm == pytest.approx(QUARTER_ROUND * radius**2, rel=1e-9)  # C18


def test_a_chamfered_slab_is_a_prism_and_a_prismatoid() -> None:
    chamfered = volume_mm3(Rectangle(800.0, 500.0), 40.0, edges=(EdgeTreatment("top", "chamfer", 10.0),))
    lower, upper, middle = 800.0 * 500.0, 780.0 * 480.0, 790.0 * 490.0
    assert chamfered == exactly(30.0 * lower + 10.0 / 6.0 * (lower + 4.0 * middle + upper))


def test_a_rounded_slab_with_mitred_corners() -> None:
    r, length, width = 12.0, 800.0, 500.0
    rounded = volume_mm3(Rectangle(length, width), 40.0, edges=(EdgeTreatment("bottom", "round", r),))
    # A(d) = (L − 2d)(W − 2d), ∫d dt = r²(1 − π/4), ∫d² dt = r³(5/3 − π/2) over the quarter circle.
    removed = 2.0 * (length + width) * QUARTER_ROUND * r**2 - 4.0 * (5.0 / 3.0 - math.pi / 2.0) * r**3
    assert 40.0 * length * width - rounded == pytest.approx(removed, rel=1e-9)


def test_a_chamfered_disc_is_a_cylinder_and_a_frustum() -> None:
    disc = volume_mm3(Round(900.0), 40.0, edges=(EdgeTreatment("bottom", "chamfer", 8.0),))
    frustum = math.pi * 8.0 / 3.0 * (450.0**2 + 450.0 * 442.0 + 442.0**2)
    assert disc == exactly(math.pi * 450.0**2 * 32.0 + frustum)


@pytest.mark.parametrize("at", ["top", "bottom"])
def test_rounding_a_disc_removes_what_pappus_and_guldin_say(at: str) -> None:
    r = 15.0
    plain = volume_mm3(Round(900.0), 40.0)
    rounded = volume_mm3(Round(900.0), 40.0, edges=(EdgeTreatment(at, "round", r),))  # type: ignore[arg-type]
    from_corner = r * (10.0 - 3.0 * math.pi) / (12.0 - 3.0 * math.pi)  # centroid of the spandrel
    removed = QUARTER_ROUND * r**2 * 2.0 * math.pi * (450.0 - from_corner)
    assert plain - rounded == pytest.approx(removed, rel=1e-8)


def test_rounding_the_rim_of_a_hole_removes_what_pappus_and_guldin_say() -> None:
    r = 6.0
    at = ((300.0, 300.0),)
    plain = volume_mm3(Rectangle(600.0, 600.0), 40.0, Opening(at, Round(200.0)))
    rim = (EdgeTreatment("top", "round", r),)
    rounded = volume_mm3(Rectangle(600.0, 600.0), 40.0, Opening(at, Round(200.0), 0.0, rim))
    from_corner = r * (10.0 - 3.0 * math.pi) / (12.0 - 3.0 * math.pi)
    assert plain - rounded == pytest.approx(
        QUARTER_ROUND * r**2 * 2.0 * math.pi * (100.0 + from_corner), rel=1e-7
    )


@pytest.mark.parametrize("profile", ["chamfer", "round"])
@pytest.mark.parametrize("corner_radius", [0.0, 4.0, 12.0, 40.0])
def test_treatments_larger_and_smaller_than_the_corner_radius(profile: str, corner_radius: float) -> None:
    size, length, width = 12.0, 500.0, 300.0

    def area(d: float) -> float:
        r = max(0.0, corner_radius - d)
        return (length - 2.0 * d) * (width - 2.0 * d) - (4.0 - math.pi) * r * r

    def inset(t: float) -> float:
        return size - t if profile == "chamfer" else size - math.sqrt(size**2 - (size - t) ** 2)

    turns = [0.0, size]
    if 0.0 < corner_radius < size:
        back = size - corner_radius
        turns.insert(1, back if profile == "chamfer" else size - math.sqrt(size**2 - back**2))
    expected = sum(
        integrate.quad(lambda t: area(inset(t)), a, b, epsabs=1e-9, epsrel=1e-13, limit=200)[0]
        for a, b in pairwise(turns)
    )
    ours = volume_mm3(
        Rectangle(length, width, (corner_radius,) * 4),
        40.0,
        edges=(EdgeTreatment("top", profile, size),),  # type: ignore[arg-type]
    )
    assert ours == pytest.approx(expected + (40.0 - size) * area(0.0), rel=1e-11)


def test_treatment_of_some_sides_stops_square_at_a_rounded_corner_and_runs_out_at_a_sharp_one() -> None:
    some = (EdgeTreatment("top", "chamfer", 10.0, (0,)),)
    plain = volume_mm3(Rectangle(800.0, 500.0, (50.0, 0.0, 0.0, 0.0)), 40.0)
    treated = volume_mm3(Rectangle(800.0, 500.0, (50.0, 0.0, 0.0, 0.0)), 40.0, edges=some)
    assert plain - treated == pytest.approx(10.0 * 10.0 / 2.0 * (800.0 - 50.0), rel=1e-9)


def test_two_treatments_meeting_at_a_sharp_corner_share_it_once() -> None:
    a, b = 6.0, 10.0
    both = (EdgeTreatment("top", "chamfer", a, (0,)), EdgeTreatment("top", "chamfer", b, (1,)))
    plain = volume_mm3(Rectangle(800.0, 500.0), 40.0)
    shared = integrate.quad(lambda t: max(0.0, a - t) * (b - t), 0.0, b, points=[a])[0]
    removed = a * a / 2.0 * 800.0 + b * b / 2.0 * 500.0 - shared
    assert plain - volume_mm3(Rectangle(800.0, 500.0), 40.0, edges=both) == pytest.approx(removed, rel=1e-8)


# --- curves ----------------------------------------------------------------------------------------------
def test_circle_and_stadium() -> None:
    disc = geometry(Round(900.0), 40.0)
    assert disc.show_area_m2 == exactly(math.pi * 0.45**2)
    assert disc.side_area_m2 == exactly(math.pi * 0.9 * 0.04)
    stadium = geometry(Slot(1500.0, 600.0), 40.0)
    assert stadium.show_area_m2 == exactly(math.pi * 0.3**2 + 2.0 * 0.3 * 0.9)
    assert stadium.edge_length_m == exactly(2.0 * (math.pi * 0.3 + 0.9))


def test_ellipse_area_and_perimeter() -> None:
    half = geometry(Oval(2000.0, 2000.0 * math.sqrt(0.5)), 40.0)
    assert half.show_area_m2 == exactly(math.pi * math.sqrt(0.5))
    assert half.edge_length_m == pytest.approx(
        4.0 * 1.350643881, abs=4e-9
    )  # E(0.5), Abramowitz and Stegun 17.1
    for width in (1999.0, 900.0, 300.0, 50.0):
        oval = geometry(Oval(2000.0, width), 40.0)
        assert oval.edge_length_m == pytest.approx(
            4.0 * special.ellipe(1.0 - (width / 2000.0) ** 2), rel=1e-14
        )


def test_circular_segment() -> None:
    r = 450.0
    cut = CutContour(contour_of(Round(2.0 * r)), "x")
    for h in (10.0, 200.0, 450.0, 800.0):
        area, _ = cut.beyond(2.0 * r - h)
        assert area == pytest.approx(
            r * r * math.acos((r - h) / r) - (r - h) * math.sqrt(2.0 * r * h - h * h), rel=1e-12
        )


@pytest.mark.parametrize("ledge", [3.0, 12.0])
def test_the_lip_of_an_oval_inlay_is_the_area_between_parallel_curves(ledge: float) -> None:
    a, b, depth, thickness = 150.0, 100.0, 10.0, 40.0

    def within(t: float) -> float:
        """½(x dy − y dx) of the curve drawn in along its normal."""
        speed = math.hypot(a * math.sin(t), b * math.cos(t))
        x, y = (
            a * math.cos(t) - ledge * b * math.cos(t) / speed,
            b * math.sin(t) - ledge * a * math.sin(t) / speed,
        )
        bend = 1.0 - ledge * a * b / speed**3
        return 0.5 * (x * b * math.cos(t) + y * a * math.sin(t)) * bend

    through = integrate.quad(within, 0.0, 2.0 * math.pi, epsrel=1e-13, limit=200)[0]
    inlay = Inlay(((400.0, 300.0),), Oval(2 * a, 2 * b), "glass", depth, ledge, True, 30.0)
    ours = 800.0 * 600.0 * thickness - volume_mm3(Rectangle(800.0, 600.0), thickness, inlay)
    assert ours == pytest.approx(math.pi * a * b * depth + through * (thickness - depth), rel=1e-9)


# --- straight-sided outlines and voids -------------------------------------------------------------------
def test_ell_and_polygon() -> None:
    ell = geometry(Ell(2400.0, 1600.0, 1700.0, 900.0, "back-right"), 50.0)
    assert ell.show_area_m2 == exactly(2.4 * 1.6 - 1.7 * 0.9)
    assert ell.edge_length_m == exactly(8.0)
    triangle = geometry(Polygon(((0.0, 0.0), (300.0, 0.0), (0.0, 400.0)), (0.0,) * 3), 50.0)
    assert triangle.volume_m3 == exactly(0.3 * 0.4 / 2.0 * 0.05)
    assert triangle.edge_length_m == exactly(1.2)
    assert triangle.centroid_mm == pytest.approx((100.0, 400.0 / 3.0, 25.0), rel=1e-12)


def test_a_corner_radius_of_an_ell_takes_five_corners_and_gives_one() -> None:
    r = 40.0
    ell = geometry(Ell(2400.0, 1600.0, 1700.0, 900.0, "front-left", r), 50.0)
    assert ell.show_area_m2 * 1e6 == exactly(2400.0 * 1600.0 - 1700.0 * 900.0 - 4.0 * QUARTER_ROUND * r * r)
    assert ell.edge_length_m * 1e3 == exactly(8000.0 - 6.0 * (2.0 - math.pi / 2.0) * r)


@pytest.mark.parametrize(
    ("path", "length"),
    [
        (((200.0, 200.0), (700.0, 200.0)), 500.0),
        (((200.0, 200.0), (700.0, 200.0), (700.0, 400.0)), 700.0),
        (((200.0, 200.0), (700.0, 200.0), (700.0, 400.0), (200.0, 400.0), (200.0, 200.0)), 1400.0),
        (((200.0, 200.0), (500.0, 200.0), (740.0, 380.0)), 600.0),
    ],
)
def test_a_mitred_groove_takes_its_length_times_its_section(
    path: tuple[tuple[float, float], ...], length: float
) -> None:
    groove = Groove(path, "underside", 8.0, 5.0)
    slab = 1000.0 * 600.0 * 40.0
    assert slab - volume_mm3(Rectangle(1000.0, 600.0), 40.0, groove) == pytest.approx(
        length * 8.0 * 5.0, rel=1e-9
    )


def test_every_kind_of_void_counts_where_the_contract_says() -> None:
    slab = Rectangle(2000.0, 800.0)
    g = geometry(
        slab,
        40.0,
        Opening(((300.0, 400.0),), Rectangle(200.0, 100.0), 90.0),
        Inlay(((700.0, 400.0), (1000.0, 400.0)), Rectangle(100.0, 60.0), "glass", 10.0, 8.0, True),
        Inlay(((1200.0, 400.0),), Rectangle(50.0, 50.0), "brass", 6.0),
        Recess(((1400.0, 400.0),), Rectangle(80.0, 80.0), "underside", 15.0),
        Sleeve(((1600.0, 400.0),), 60.0),
        Groove(((100.0, 100.0), (1900.0, 100.0)), "underside", 8.0, 5.0),
    )
    sleeve, through = math.pi * 30.0**2, 84.0 * 44.0
    show = 2000.0 * 800.0 - 200.0 * 100.0 - 2.0 * 6000.0 - 2500.0 - sleeve
    assert g.show_area_m2 * 1e6 == exactly(show)
    assert g.underside_area_m2 * 1e6 == exactly(2000.0 * 800.0 - 200.0 * 100.0 - 2.0 * through - sleeve)
    upright = 600.0 * 40.0 + math.pi * 60.0 * 40.0 + 2.0 * 2.0 * (84.0 + 44.0) * 30.0
    assert g.void_area_m2 * 1e6 == exactly(upright)
    voids = 200.0 * 100.0 * 40.0 + 2.0 * (6000.0 * 10.0 + through * 30.0) + 2500.0 * 6.0
    voids += 6400.0 * 15.0 + sleeve * 40.0 + 1800.0 * 8.0 * 5.0
    assert g.volume_m3 * 1e9 == exactly(2000.0 * 800.0 * 40.0 - voids)
