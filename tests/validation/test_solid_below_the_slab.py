"""Drop edges and troughs against published formulas.

Sources: textbook mensuration as in Machinery's Handbook and the CRC Standard Mathematical Tables (prismatoid,
trapezoid, circle), from memory; SciPy's elliptic integrals as the general library that computes the same
thing another way.
"""

from __future__ import annotations

import math

import pytest
from scipy import special

from quoting.engine.plane.shapes import Rectangle
from quoting.engine.solid.build import build
from quoting.engine.solid.measure import measure
from quoting.engine.spec.types import Drain, DropEdge, EdgeTreatment, Trough
from tests.validation.solid_checks import exactly, geometry, piece


def test_drop_edge_all_round() -> None:
    g = geometry(Rectangle(1200.0, 600.0), 30.0, drop_edge=DropEdge(100.0, 25.0))
    band = 1200.0 * 600.0 - 1150.0 * 550.0
    assert g.volume_m3 * 1e9 == exactly(1200.0 * 600.0 * 30.0 + band * 70.0)
    assert g.side_area_m2 * 1e6 == exactly(3600.0 * 100.0)
    assert g.underside_area_m2 * 1e6 == exactly(1150.0 * 550.0)
    assert g.envelope_mm == (1200.0, 600.0, 100.0)


def test_drop_edge_on_two_sides_meets_at_the_corner_once_and_runs_to_the_free_sides() -> None:
    g = geometry(Rectangle(1200.0, 600.0), 30.0, drop_edge=DropEdge(100.0, 25.0, (0, 1)))
    band = 1200.0 * 25.0 + 600.0 * 25.0 - 25.0 * 25.0
    assert g.volume_m3 * 1e9 == exactly(1200.0 * 600.0 * 30.0 + band * 70.0)
    assert g.side_area_m2 * 1e6 == exactly(3600.0 * 30.0 + 1800.0 * 70.0)


def test_a_bottom_treatment_runs_along_the_lowest_arris_of_each_side() -> None:
    drop = DropEdge(100.0, 25.0, (0,))
    plain = geometry(Rectangle(1200.0, 600.0), 30.0, drop_edge=drop)
    chamfer = geometry(
        Rectangle(1200.0, 600.0), 30.0, drop_edge=drop, edges=(EdgeTreatment("bottom", "chamfer", 6.0),)
    )
    # On the drop edge the whole front; on the slab the other three sides from the band's inner face, mitred.
    along = 6.0 * 6.0 / 2.0 * (1200.0 + 1200.0 + 2.0 * 575.0) - 2.0 * 6.0**3 / 3.0
    assert (plain.volume_m3 - chamfer.volume_m3) * 1e9 == pytest.approx(along, rel=1e-8)


def trough(**changes: float | str | tuple[Drain, ...]) -> Trough:
    sizes: dict[str, object] = {
        "length_mm": 600.0, "width_mm": 200.0, "depth_mm": 160.0, "wall_mm": 25.0, "floor_mm": 30.0,
    }  # fmt: skip
    return Trough((800.0, 400.0), **(sizes | changes))  # type: ignore[arg-type]


def test_an_upright_trough() -> None:
    drains = (Drain((700.0, 400.0), 20.0), Drain((900.0, 400.0), 20.0))
    g = geometry(Rectangle(1600.0, 800.0), 40.0, trough(drains=drains, mix="light"))
    outer = 650.0 * 250.0 - (4.0 - math.pi) * 25.0**2
    hole = math.pi * 10.0**2
    below = outer * 150.0 - 600.0 * 200.0 * 120.0 - 2.0 * hole * 30.0
    slab = (1600.0 * 800.0 - 600.0 * 200.0) * 40.0
    assert dict(g.volume_by_mix) == {"": exactly(slab / 1e9), "light": exactly(below / 1e9)}
    assert g.trough_area_m2 * 1e6 == exactly(1600.0 * 160.0 + 600.0 * 200.0 - 2.0 * hole)
    assert g.show_area_m2 * 1e6 == exactly(1600.0 * 800.0 - 600.0 * 200.0)
    assert g.underside_area_m2 * 1e6 == exactly(1600.0 * 800.0 - outer)
    assert g.envelope_mm[2] == 190.0


def test_a_tapered_trough_is_a_prismatoid_with_trapezoid_walls() -> None:
    g = geometry(Rectangle(1600.0, 800.0), 40.0, trough(taper_deg=5.0))
    t = math.tan(math.radians(5.0))

    def inside(z: float) -> float:
        return (600.0 - 2.0 * z * t) * (200.0 - 2.0 * z * t)

    cavity = 160.0 / 6.0 * (inside(0.0) + 4.0 * inside(80.0) + inside(160.0))
    outer = 650.0 * 250.0 - (4.0 - math.pi) * 25.0**2
    assert g.volume_m3 * 1e9 == exactly(1600.0 * 800.0 * 40.0 + outer * 150.0 - cavity)
    slant = 160.0 / math.cos(math.radians(5.0))
    walls = slant * (600.0 + 600.0 - 320.0 * t + 200.0 + 200.0 - 320.0 * t)
    assert g.trough_area_m2 * 1e6 == exactly(walls + inside(160.0))


@pytest.mark.parametrize("taper", [0.0, 1.0, 5.0, 20.0])
def test_the_swept_corners_of_a_tapered_trough(taper: float) -> None:
    r, h, t = 18.0, 160.0, math.tan(math.radians(taper))
    g = geometry(Rectangle(1600.0, 800.0), 40.0, trough(taper_deg=taper, corner_radius_mm=r))
    k = 2.0 * t * t
    # ∫√(1 + 2t² cos² ψ) dψ over ±45° = 2√(1 + k) E(π/4 | k / (1 + k)).
    quarter = 2.0 * math.sqrt(1.0 + k) * special.ellipeinc(math.pi / 4.0, k / (1.0 + k))
    walls = h * math.hypot(1.0, t) * 2.0 * (600.0 + 200.0 - 2.0 * h * t - 4.0 * r)
    floor = (600.0 - 2.0 * h * t) * (200.0 - 2.0 * h * t) - (4.0 - math.pi) * r * r
    assert g.trough_area_m2 * 1e6 == pytest.approx(walls + 4.0 * r * h * quarter + floor, rel=1e-12)


def test_mass_centroid_of_two_mixes() -> None:
    solid = build(piece(Rectangle(1600.0, 800.0), 40.0, trough(mix="light")))
    even, uneven = measure(solid), measure(solid, {"": 2400.0, "light": 1200.0})
    slab, below = (volume for _, volume in even.volume_by_mix)
    outer, inner = 650.0 * 250.0 - (4.0 - math.pi) * 25.0**2, 600.0 * 200.0

    def moment(top: float, bottom: float) -> float:
        return (bottom**2 - top**2) / 2.0 / 1e9

    z_below = (outer * moment(40.0, 190.0) - inner * moment(40.0, 160.0)) / below
    assert even.centroid_mm[2] == pytest.approx((slab * 20.0 + below * z_below) / (slab + below), rel=1e-12)
    heavy = slab * 2400.0 + below * 1200.0
    assert uneven.centroid_mm[2] == pytest.approx(
        (slab * 2400.0 * 20.0 + below * 1200.0 * z_below) / heavy, rel=1e-12
    )
