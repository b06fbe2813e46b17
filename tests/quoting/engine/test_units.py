"""Lengths in every spelling a maker uses, and quantities written for both kinds of reader."""

from __future__ import annotations

import math
from decimal import Decimal

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from quoting.engine import units
from quoting.engine.units import LengthError, format_length, parse_length


@pytest.mark.parametrize(
    ("text", "mm"),
    [
        ("38 mm", 38.0),
        ("38mm", 38.0),
        ("3.8 cm", 38.0),
        ("2.1 m", 2100.0),
        ("1 1/2 in", 38.1),
        ("1-1/2 in", 38.1),
        ('1 1/2"', 38.1),
        ("1½″", 38.1),
        ("½ inch", 12.7),
        ("3/4 in.", 19.05),
        ("1 1⁄2 in", 38.1),
        ("5 ft 8 1/4 in", 1733.55),
        ("5'-8 1/4\"", 1733.55),
        ("5' 8 1/4\"", 1733.55),
        ("5′-8¼″", 1733.55),
        ("5’ 8 1/4”", 1733.55),
        ("5'8 1/4''", 1733.55),
        ("5ft8.25in", 1733.55),
        ("5 feet", 1524.0),
        ("6'", 1828.8),
        ("  38\u00a0MM ", 38.0),
        (".5 in", 12.7),
        ("5'-0\"", 1524.0),
    ],
)
def test_a_spelling_is_read_exactly(text: str, mm: float) -> None:
    assert parse_length(text, "mm") == mm


@pytest.mark.parametrize(
    ("value", "unit", "mm"),
    [
        (38, "mm", 38.0),
        (0.07, "m", 70.0),
        (1.5, "in", 38.1),
        (6, "ft", 1828.8),
        (Decimal("2.1"), "m", 2100.0),
    ],
)
def test_a_bare_number_counts_in_the_unit(value: object, unit: str, mm: float) -> None:
    assert parse_length(value, unit) == mm


def test_a_text_without_unit_counts_in_the_unit() -> None:
    assert parse_length("1 1/2", "in") == parse_length("1½", "in") == 38.1


@pytest.mark.parametrize(
    "value",
    [
        True,
        False,
        None,
        [],
        {},
        "",
        "   ",
        "wide",
        "38 furlong",
        "2,100 mm",
        "2 m 10 cm",
        "5.5 ft 3 in",
        "1/0 in",
        "1 2 3 in",
        "mm",
        "nan",
        "inf",
        "1e3 mm",
        "9" * 61,
        "5²",
        "٣ mm",
        math.nan,
        math.inf,
        -math.inf,
        10**400,
        Decimal("NaN"),
    ],
)
def test_what_is_no_length_is_refused_with_a_reason(value: object) -> None:
    with pytest.raises(LengthError, match=r"^(must|has)"):
        parse_length(value, "in", zero=True, negative=True)


@pytest.mark.parametrize("value", [0, -1, "-1 mm", "0 in", -0.0])
def test_zero_and_negative_only_where_allowed(value: object) -> None:
    with pytest.raises(LengthError, match="above zero"):
        parse_length(value, "mm")
    assert parse_length(value, "mm", zero=True, negative=True) <= 0
    assert math.copysign(1, parse_length(0.0 * -1, "mm", zero=True)) == 1


def test_an_unknown_unit_is_refused() -> None:
    with pytest.raises(LengthError, match="mm, cm, m, in, ft"):
        parse_length(1, "yd")


@pytest.mark.parametrize(
    ("mm", "metric", "us"),
    [
        (38.0, "38 mm", "1 1/2 in"),
        (38.1, "38.1 mm", "1 1/2 in"),
        (2100.0, "2100 mm", "6 ft 10 11/16 in"),
        (1733.55, "1733.6 mm", "5 ft 8 1/4 in"),
        (304.8, "304.8 mm", "1 ft"),
        (6.35, "6.4 mm", "1/4 in"),
        (0.0, "0 mm", "0 in"),
        (-25.4, "-25.4 mm", "-1 in"),
        (-0.01, "0 mm", "0 in"),
    ],
)
def test_lengths_are_written_for_both_readers(mm: float, metric: str, us: str) -> None:
    assert format_length(mm) == metric
    assert format_length(mm, "us") == us


def test_a_limit_can_be_written_on_its_safe_side() -> None:
    assert format_length(10.0, "us", "up") == "7/16 in"
    assert format_length(10.0, "us", "down") == "3/8 in"
    assert format_length(9.99, rounding="down") == "9.9 mm"
    assert format_length(10.000000000001, rounding="up") == "10 mm"


@given(st.integers(min_value=1, max_value=16 * 12 * 40))
def test_a_us_length_reads_back_as_itself(sixteenths: int) -> None:
    mm = float(Decimal(sixteenths) * Decimal("1.5875"))
    assert parse_length(format_length(mm, "us"), "mm") == mm


@given(st.text(max_size=30) | st.floats() | st.integers())
@example(5.9e305)
@example("9" * 39)
def test_reading_gives_a_finite_length_or_a_reason(value: object) -> None:
    try:
        assert math.isfinite(parse_length(value, "ft", zero=True, negative=True))
    except LengthError as error:
        assert str(error)


def test_quantities_are_written_for_both_readers() -> None:
    assert units.format_area(0.0425) == "0.043 m²"
    assert units.format_area(1.0, "us") == "10.8 sq ft"
    assert units.format_volume(0.0712) == "0.0712 m³"
    assert units.format_volume(1.0, "us") == "35.31 cu ft"
    assert units.format_mass(99.94) == "99.9 kg"
    assert units.format_mass(100.0, "us") == "220 lb"
    assert units.format_volume_l(0.5) == "500 mL"
    assert units.format_volume_l(10.0, "us") == "2.64 gal"
    assert units.format_mass(-0.0) == "0.0 kg"


def test_only_two_unit_systems_and_finite_quantities() -> None:
    with pytest.raises(ValueError, match="metric or us"):
        format_length(1.0, "imperial")
    with pytest.raises(ValueError, match="finite"):
        units.format_mass(math.nan)


def test_exact_unit_relations() -> None:
    """C182: 16 CFR 500.19 and NIST Handbook 44 Appendix C."""
    assert pytest.approx(12 * units.MM_PER_INCH, rel=1e-15) == units.MM_PER_FOOT
    assert pytest.approx(231 * units.MM_PER_INCH**3 / 1e6, rel=1e-15) == units.L_PER_US_GALLON
    assert pytest.approx(units.L_PER_US_GALLON * 1000 / 128, rel=1e-12) == units.ML_PER_US_FL_OZ
    assert pytest.approx((units.MM_PER_FOOT / 1000) ** 2, rel=1e-15) == units.M2_PER_SQ_FT
    assert pytest.approx((units.MM_PER_FOOT / 1000) ** 3, rel=1e-15) == units.M3_PER_CU_FT
    assert pytest.approx(27 * units.M3_PER_CU_FT, rel=1e-15) == units.M3_PER_CU_YD
    assert pytest.approx(units.KG_PER_LB / units.M3_PER_CU_FT, rel=1e-9) == units.KG_M3_PER_LB_CU_FT
    assert pytest.approx(1.200950, abs=5e-7) == units.L_PER_IMPERIAL_GALLON / units.L_PER_US_GALLON
