"""Columns in a US shop's units: published factors, and that nothing changes by being shown."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from catalog import measures
from catalog.measures import Measure, in_words, measure_of

# NIST Handbook 44, Appendix C (check value C182): exact, but for psi, which is rounded there.
PUBLISHED = [
    (measures.INCHES, 25.4),
    (measures.FEET, 0.3048),
    (measures.SQUARE_FEET, 0.09290304),
    (measures.CUBIC_FEET, 0.028316846592),
    (measures.POUNDS, 0.45359237),
    (measures.GALLONS, 3.785411784),
    (measures.FLUID_OUNCES, 29.5735295625),
]


@pytest.mark.parametrize(("measure", "si"), PUBLISHED)
def test_one_of_a_unit_is_what_the_handbook_says(measure: Measure, si: float) -> None:
    assert float(measure.read("1")) == pytest.approx(si, rel=1e-11)


def test_units_made_of_others_agree_with_the_same_handbook() -> None:
    assert float(measures.PSI.read("1")) == pytest.approx(6.894757e-3, rel=1e-7)
    assert float(measures.POUNDS_CUBIC_FOOT.read("1")) == pytest.approx(16.01846337, rel=1e-9)
    assert float(measures.PER_MILE.read("1.609344")) == pytest.approx(1, rel=1e-11)


def test_temperatures_have_a_nought_of_their_own() -> None:
    assert [measures.FAHRENHEIT.read(text) for text in ("32", "212", "-40")] == ["0", "100", "-40"]


@pytest.mark.parametrize(
    ("text", "mm"),
    [("1/2", "12.7"), ("1 1/2", "38.1"), ("1-1/2", "38.1"), ("0.5", "12.7"), (".5", "12.7"), (" 3 ", "76.2")],
)
def test_inches_are_read_as_a_maker_writes_them(text: str, mm: str) -> None:
    assert measures.INCHES.read(text) == mm


@pytest.mark.parametrize("text", ["", "wide", "1/0", "1 2.5", "1e3", "٣", "1,5"])
def test_what_is_no_number_is_left_for_its_refusal(text: str) -> None:
    assert measures.INCHES.read(text) == text


@given(st.floats(min_value=1e-3, max_value=1e5), st.sampled_from([measure for measure, _ in PUBLISHED]))
def test_what_is_shown_reads_back_to_six_figures(value: float, measure: Measure) -> None:
    assert math.isclose(float(measure.read(measure.shown(value))), value, rel_tol=1e-5)


def test_a_metric_shop_counts_as_the_catalogue_does() -> None:
    assert measure_of("kerf_mm", "metric") is None


@pytest.mark.parametrize(
    ("name", "kind", "unit"),
    [
        ("kerf_mm", "", "in"),
        ("strip_mpa", "", "psi"),
        ("density_kg_m3", "", "lb/ft³"),
        ("part_3_kg_per_m3", "", "lb per yd³"),
        ("lift_limit_kg", "", "lb"),
        ("mixer_l", "", "ft³"),
        ("delivery_per_km", "", "mile"),
        ("per_show_area_m2", "", "ft²"),
        ("per_edge_length_m", "", "foot"),
        ("per_distance_km", "", "mile"),
        ("per_volume_m3", "", "yd³"),
        ("pack_size", "liquid", "gal"),
        ("pack_size", "sealant", "fl oz"),
    ],
)
def test_each_column_has_the_trades_unit(name: str, kind: str, unit: str) -> None:
    found = measure_of(name, "us", kind)
    assert found is not None
    assert found.unit == unit


@pytest.mark.parametrize(
    ("name", "kind"),
    [("name", ""), ("casts", ""), ("activation_k", ""), ("pack_size", "each"), ("waste", "")],
)
def test_what_has_no_unit_of_a_place_stays(name: str, kind: str) -> None:
    assert measure_of(name, "us", kind) is None


def test_labels_change_whole_words_only() -> None:
    assert in_words("metre of mould joint", measure_of("per_mould_joint_m", "us")) == "foot of mould joint"
    assert in_words("Mass of a m² (kg/m²)", measure_of("mass_kg_per_m2", "us")) == "Mass of a ft² (lb/ft²)"
    assert in_words("Delivery per km", measure_of("delivery_per_km", "us")) == "Delivery per mile"
