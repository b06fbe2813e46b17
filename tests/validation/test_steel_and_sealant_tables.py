"""Steel, sealant, sealer and strips of board against published tables.

Ids are those of the project's collection of check values. Sources: ASTM A615, EN 10080, BS 4449, BS 4483 and
a trade-journal table of welded wire (C30 to C34); a waterproofing handbook and open articles (C131 to C140).
The others are geometry and units, with their formula.
"""

from __future__ import annotations

import json
import math
from decimal import Decimal
from typing import Any

import pytest

from quoting.engine import units
from quoting.engine.cutting.sheets import lay_out_sheets
from quoting.engine.cutting.values import CutRequest, Part, Stock
from quoting.engine.solid.build import build
from quoting.engine.solid.measure import measure
from quoting.engine.takeoff.finishing import film_coverage_m2_per_l, form_area_m2, us_coverage
from quoting.engine.takeoff.reinforcement import fits
from quoting.engine.takeoff.reinforcement_bars import bar_mass_kg_per_m
from quoting.engine.takeoff.sealant import concave_fillet_mm2, run_m, triangular_fillet_mm2
from tests.quoting.engine.takeoff.materials_world import FIXTURES, slab, starter


# --- steel -----------------------------------------------------------------------------------------------
def published() -> dict[str, list[dict[str, Any]]]:
    data: dict[str, list[dict[str, Any]]] = json.loads(
        (FIXTURES / "published" / "reinforcement.json").read_text(encoding="utf-8")
    )
    return data


def rows(table: str, check: str) -> list[dict[str, Any]]:
    return [row for row in published()[table] if row["check"] == check]


def test_c30_us_bars() -> None:
    """ASTM A615: lb/ft × 1.48816 = kg/m, exact as listed."""
    listed = {row["name"]: (row["lb_per_ft"], row["kg_per_m"]) for row in rows("bars", "C30")}
    assert listed == {"#3": (0.376, 0.560), "#4": (0.668, 0.994), "#5": (1.043, 1.552), "#6": (1.502, 2.235)}
    for pounds, kilograms in listed.values():
        assert pounds * units.KG_PER_LB / 0.3048 == pytest.approx(kilograms, abs=0.0006)


def test_c31_metric_bars() -> None:
    for row in rows("bars", "C31"):
        assert bar_mass_kg_per_m(row["diameter_mm"]) == pytest.approx(row["kg_per_m"], abs=0.0005)
        assert math.pi / 4 * row["diameter_mm"] ** 2 == pytest.approx(row["area_mm2"], abs=0.06)
    assert len(rows("bars", "C31")) == 5


def test_c32_bar_schedule() -> None:
    total = 10 * 6 * bar_mass_kg_per_m(12) + 4 * 6 * bar_mass_kg_per_m(20)
    assert total == pytest.approx(112.46, abs=0.1)


def test_c33_us_mesh_keeps_the_printed_weights() -> None:
    """Printed weights hold edge overhangs: 6 to 10 % above the bare grid, and are what is used."""
    listed = rows("mesh", "C33")
    assert len(listed) == 8
    for row in listed:
        assert row["lb_per_100_ft2"] * 0.0488243 == pytest.approx(row["kg_per_m2"], abs=0.006)
        grid = 2 * row["in2_per_ft"] * 3.403 * 100
        assert 1.03 < row["lb_per_100_ft2"] / grid < 1.11


def test_c34_british_mesh() -> None:
    masses = {"A98": 1.54, "A142": 2.22, "A193": 3.02, "A252": 3.95, "A393": 6.16, "D49": 0.77, "D98": 1.54}
    for row in rows("mesh", "C34"):
        assert row["kg_per_m2"] == pytest.approx(masses[row["name"].split()[0]], abs=0.01)
        bare = 2 * bar_mass_kg_per_m(row["wire_mm"]) / row["pitch_mm"] * 1000
        assert row["kg_per_m2"] == pytest.approx(bare, abs=0.01)
    by_name = {row["name"].split()[0]: row["kg_per_m2"] for row in rows("mesh", "C34")}
    sheet = published()["sheets"][0]
    area = sheet["length_mm"] * sheet["width_mm"] / 1e6
    assert area == pytest.approx(11.52)
    for name, kg in (("A142", 25.6), ("A193", 34.8), ("A252", 45.5), ("A393", 71.0)):
        assert by_name[name] * area == pytest.approx(kg, abs=0.2)
    assert starter().materials["MESH-A142"].mass_kg_per_m2 == by_name["A142"]


def test_c45_what_fits_under_cover() -> None:
    assert not fits(40, 16, 2 * 6)
    assert fits(40, 16, 6)
    assert fits(40, 16, 8)
    assert not fits(40, 16, 8.01)


# --- sealer, release, sealant ----------------------------------------------------------------------------
@pytest.mark.parametrize(
    ("sq_ft_gal", "m2_l"), [(100, 2.45), (150, 3.68), (200, 4.91), (250, 6.14), (300, 7.36), (400, 9.82)]
)
def test_c130_coverage(sq_ft_gal: float, m2_l: float) -> None:
    assert sq_ft_gal / us_coverage(1.0) == pytest.approx(m2_l, abs=0.01)


def test_c131_c133_c140_starter_coverages_are_in_the_published_ranges() -> None:
    book = starter()
    sealer, release = book.materials["SEAL-PEN"], book.materials["RELEASE"]
    assert sealer.coverage_m2_per_l is not None and sealer.coverage_next_m2_per_l is not None
    assert 100 <= us_coverage(sealer.coverage_m2_per_l) <= 250  # C131, precast
    assert sealer.coverage_next_m2_per_l > sealer.coverage_m2_per_l  # a second coat goes further
    acrylic = book.materials["SEAL-ACRYL"].coverage_m2_per_l
    assert acrylic is not None and 249 <= us_coverage(acrylic) <= 301  # C133
    assert release.coverage_m2_per_l is not None and 10 <= release.coverage_m2_per_l <= 25  # C140


def test_c136_c137_films() -> None:
    assert film_coverage_m2_per_l(1.0, 25.4) * units.L_PER_US_GALLON / units.M2_PER_SQ_FT == pytest.approx(
        1604, abs=0.5
    )
    assert us_coverage(film_coverage_m2_per_l(0.5, 2 * 25.4)) == pytest.approx(401, abs=0.5)
    assert film_coverage_m2_per_l(0.5, 50) == 10.0


def test_c141_form_area() -> None:
    piece = slab()
    assert form_area_m2(measure(build(piece)), piece) == pytest.approx(2.424, rel=1e-12)


@pytest.mark.parametrize(("leg", "ml_per_m"), [(5, 12.5), (6, 18.0), (10, 50.0)])
def test_c142_triangle(leg: float, ml_per_m: float) -> None:
    assert triangular_fillet_mm2(leg) == ml_per_m


@pytest.mark.parametrize(("radius", "ml_per_m"), [(5, 5.37), (6, 7.73), (8, 13.73), (10, 21.46)])
def test_c143_concave(radius: float, ml_per_m: float) -> None:
    assert concave_fillet_mm2(radius) == pytest.approx(ml_per_m, abs=0.01)


def test_c144_runs() -> None:
    assert run_m(310, triangular_fillet_mm2(6)) == pytest.approx(17.2, abs=0.05)
    assert run_m(310, concave_fillet_mm2(6)) == pytest.approx(40.1, abs=0.05)
    assert run_m(310, triangular_fillet_mm2(10)) == pytest.approx(6.20, abs=0.005)
    assert run_m(310, concave_fillet_mm2(10)) == pytest.approx(14.45, abs=0.005)
    assert concave_fillet_mm2(7) / triangular_fillet_mm2(7) == pytest.approx(0.4292, abs=0.0001)


def test_c145_c146_c147_us_cartridges() -> None:
    ml = 10.1 * units.ML_PER_US_FL_OZ
    assert ml == pytest.approx(298.7, abs=0.05)
    assert ml / 16.387064 == pytest.approx(18.23, abs=0.005)
    assert starter("us").materials["FILLET"].pack_size == pytest.approx(ml, rel=1e-6)
    quarter = 6.35
    assert run_m(ml, quarter**2) / 0.3048 == pytest.approx(24.3, abs=0.1)
    assert run_m(ml, triangular_fillet_mm2(quarter)) / 0.3048 == pytest.approx(48.6, abs=0.1)
    assert run_m(ml, concave_fillet_mm2(quarter)) / 0.3048 == pytest.approx(113, abs=0.3)
    for content, cubic_inches in ((300, 18.31), (310, 18.92), (600, 36.61)):
        assert content / 16.387064 == pytest.approx(cubic_inches, abs=0.01)


@pytest.mark.parametrize(
    ("wide", "strip", "kerf", "count"),
    [
        (1220, 150, 3.2, 7),
        (1220, 150, 0, 8),
        (48 * 25.4, 6 * 25.4, 3.175, 7),
        (48 * 25.4, 6 * 25.4, 0, 8),
        (2440, 600, 3.2, 4),
    ],
)
def test_c155_kerf_costs_the_last_strip(wide: float, strip: float, kerf: float, count: int) -> None:
    stock = (Stock("board", 2500, wide, Decimal(1), 1),)
    plan = lay_out_sheets(CutRequest(kerf, 0, stock, (Part("strip", 2500, strip, 9, turn=False),)))
    assert len(plan.sheets[0].placed) == count
    assert len(plan.unplaced) == 9 - count
