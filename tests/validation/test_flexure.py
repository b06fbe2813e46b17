"""Bending of slabs lifted at two places against handbook figures.

Sources (ids of the project's collection of check values in brackets):
- Beam handbook page and engineering quiz, best overhang [C68, C69]; civil reviewer problem set [C70].
- Mechanics-of-materials textbook problem 5.6-18, plank on best supports [C71].
- Handbook beam formulas [C72]; arithmetic on them for a table top and a counter [C73 to C77].
Loads are given a weight through the density that yields them. Tolerances: the last digit printed.
"""

from __future__ import annotations

import pytest

from quoting.engine.plane.turned import Axis
from quoting.engine.solid.build import Solid, build
from quoting.engine.spec.types import Opening, Piece, Rectangle
from quoting.engine.takeoff.flexure import BEST_POINT, GRAVITY, held_at, worst_bending

MPA_PER_PSI = 0.006894757
KN_M3_24 = 24_000 / GRAVITY
LB_FT3_145 = 145 * 16.01846337


def slab(length_mm: float, width_mm: float, thickness_mm: float) -> Solid:
    outline = Rectangle(length_mm, width_mm)
    return build(Piece(name="slab", unit="mm", thickness_mm=thickness_mm, outline=outline))


def density_for(newton_per_mm: float, width_mm: float, thickness_mm: float) -> float:
    """Density in kg/m³ at which a slab weighs a load per length."""
    return newton_per_mm / (width_mm * thickness_mm) / GRAVITY * 1e9


TOP = slab(2400, 900, 40)


def test_c68_c69_the_best_points() -> None:
    assert pytest.approx(0.2071, abs=0.00005) == BEST_POINT
    assert pytest.approx(0.5858, abs=0.00005) == 1 - 2 * BEST_POINT
    best = worst_bending(TOP, "x", KN_M3_24, held_at(TOP, "x", BEST_POINT), on_edge=False)
    ends = worst_bending(TOP, "x", KN_M3_24, held_at(TOP, "x", 0.0), on_edge=False)
    assert best.stress_mpa / ends.stress_mpa == pytest.approx(0.172, abs=0.0005)
    w = KN_M3_24 * GRAVITY * 900 * 40 * 1e-9
    assert abs(best.moment_nmm) == pytest.approx(0.02145 * w * 2400**2, rel=0.0005)


def test_c70_overhangs_of_a_beam() -> None:
    beam = slab(10_000, 500, 300)
    density = density_for(15.0, 500, 300)  # 15 kN/m

    def greatest(overhang_mm: float) -> float:
        supports = (overhang_mm, 10_000 - overhang_mm)
        return abs(worst_bending(beam, "x", density, supports, on_edge=False).moment_nmm) / 1e6

    assert greatest(2000) == pytest.approx(37.5)
    assert greatest(2500) == pytest.approx(15 * 2.5**2 / 2)  # nothing is left at midspan
    assert greatest(10_000 * BEST_POINT) == pytest.approx(32.17, abs=0.005)
    assert greatest(2071) <= min(greatest(2000), greatest(2150))


def test_c71_plank_on_best_supports() -> None:
    plank = slab(915, 305, 22)
    density = density_for(10.28, 305, 22)  # printed q, 10.28 kN/m
    found = worst_bending(plank, "x", density, held_at(plank, "x", BEST_POINT), on_edge=False)
    assert found.stress_mpa == pytest.approx(7.5, rel=0.001)


@pytest.mark.parametrize(("inset", "support", "middle"), [(0.20, 0.0200, 0.0250), (0.25, 0.0313, 0.0)])
def test_c72_sensitivity(inset: float, support: float, middle: float) -> None:
    w = KN_M3_24 * GRAVITY * 900 * 40 * 1e-9
    found = worst_bending(TOP, "x", KN_M3_24, held_at(TOP, "x", inset), on_edge=False)
    assert abs(found.moment_nmm) / (w * 2400**2) == pytest.approx(max(support, middle), abs=0.0001)


def test_c73_to_c75_a_table_top() -> None:
    ends = worst_bending(TOP, "x", KN_M3_24, (0, 2400), on_edge=False)
    assert ends.moment_nmm / 1e6 == pytest.approx(0.622, abs=0.0005)
    assert ends.modulus_mm3 / 1e3 == pytest.approx(240)
    assert ends.stress_mpa == pytest.approx(2.59, abs=0.01)
    assert ends.at_mm == pytest.approx(1200)
    best = worst_bending(TOP, "x", KN_M3_24, held_at(TOP, "x", BEST_POINT), on_edge=False)
    assert abs(best.moment_nmm) / 1e6 == pytest.approx(0.107, abs=0.0005)
    assert best.stress_mpa == pytest.approx(0.445, abs=0.001)
    edge = worst_bending(TOP, "x", KN_M3_24, (0, 2400), on_edge=True)
    assert edge.modulus_mm3 / 1e3 == pytest.approx(5400)
    assert edge.stress_mpa == pytest.approx(0.115, abs=0.0005)
    assert ends.stress_mpa / edge.stress_mpa == pytest.approx(22.5)


def test_c76_a_cantilever_overhang() -> None:
    found = worst_bending(TOP, "x", KN_M3_24, (600, 2400), on_edge=False)
    # The hogging moment over the support; the span beyond it sags more: R = W(1200 − 600)/1800.
    w = 0.864
    assert 600**2 / 2 * w == pytest.approx(155_520)
    reaction = w * 2400 * 600 / 1800
    assert found.moment_nmm == pytest.approx(reaction**2 / (2 * w), rel=1e-3)
    back = worst_bending(TOP, "x", KN_M3_24, (600, 1800), on_edge=False)
    assert abs(back.moment_nmm) / 1e6 == pytest.approx(0.1555, abs=0.00005)
    assert back.stress_mpa == pytest.approx(0.648, abs=0.0005)


def test_c77_a_counter_in_us_units() -> None:
    counter = slab(96 * 25.4, 25.5 * 25.4, 1.5 * 25.4)
    ends = worst_bending(counter, "x", LB_FT3_145, (0, 96 * 25.4), on_edge=False)
    best = worst_bending(counter, "x", LB_FT3_145, held_at(counter, "x", BEST_POINT), on_edge=False)
    assert ends.stress_mpa / MPA_PER_PSI == pytest.approx(386.7, abs=0.1)
    assert best.stress_mpa / MPA_PER_PSI == pytest.approx(66.3, abs=0.1)
    allowed = 5 * 4000**0.5  # 7.5√f'c ÷ 1.5
    assert best.stress_mpa / MPA_PER_PSI < allowed < ends.stress_mpa / MPA_PER_PSI


@pytest.mark.parametrize("axis", ["x", "y"])
def test_an_opening_weakens_the_strips_beside_it(axis: Axis) -> None:
    """Closed form: a slab with a centred square opening, by superposition of slab and opening. Derived
    here.
    """
    side, opening, thickness, density = 1200.0, 600.0, 40.0, 2300.0
    piece = Piece(
        name="counter",
        unit="mm",
        thickness_mm=thickness,
        outline=Rectangle(side, side),
        features=(Opening(centres_mm=((side / 2, side / 2),), shape=Rectangle(opening, opening)),),
    )
    found = worst_bending(build(piece), axis, density, (0.0, side), on_edge=False)
    unit = density * GRAVITY * 1e-9 * thickness
    full, hole = unit * side * side, unit * opening * opening
    # Middle: the reaction's moment less that of the half slab, its half opening left out.
    moment = (full - hole) / 2 * side / 2 - (full / 2 * side / 4 - hole / 2 * opening / 4)
    assert found.moment_nmm == pytest.approx(moment, rel=1e-9)
    assert found.modulus_mm3 == pytest.approx((side - opening) * thickness**2 / 6, rel=1e-9)
    assert found.at_mm == pytest.approx(side / 2)


def test_refuses_supports_out_of_order() -> None:
    with pytest.raises(ValueError, match="in order"):
        worst_bending(TOP, "x", KN_M3_24, (1800, 600), on_edge=False)
