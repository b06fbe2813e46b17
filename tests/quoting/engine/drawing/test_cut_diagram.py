from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from quoting.engine.cutting.bars import lay_out_bars
from quoting.engine.cutting.sheets import lay_out_sheets
from quoting.engine.cutting.values import BarPart, BarRequest, BarStock, CutRequest, Part, Stock
from quoting.engine.drawing.cut_diagram import alike, bar_diagram, cut_diagram
from tests.quoting.engine.drawing.drawn import assert_sound, texts

SHEET = Stock("BOARD-18", 2440.0, 1220.0, Decimal("40"))
PARTS = (
    Part("M1", 1200.0, 600.0, 2),
    Part("M2", 900.0, 58.0, 4),
    Part("M3", 60.0, 40.0, 3),
    Part("M4", 500.0, 5.0, 2),
)
SIZES = st.tuples(st.integers(15, 1200), st.integers(15, 600), st.integers(1, 3))


def test_every_part_and_every_cut_is_on_the_drawing() -> None:
    plan = lay_out_sheets(CutRequest(3.2, 5.0, (SHEET,), PARTS))
    drawing = cut_diagram(plan, (SHEET,), "metric")
    assert_sound(drawing)
    said = texts(drawing)
    for part in PARTS:
        assert sum(text.split("  ")[0].split(" ")[0] == part.name for text in said) >= part.quantity
    for order in range(1, len(plan.sheets[0].cuts) + 1):
        assert str(order) in said
    assert "BOARD-18, 2440 × 1220" in said


@settings(max_examples=15, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(st.lists(SIZES, min_size=1, max_size=6), st.sampled_from(("metric", "us")), st.booleans())
def test_no_layout_makes_texts_overlap(sizes: list[tuple[int, int, int]], system: str, compact: bool) -> None:
    parts = tuple(Part(f"M{i}", float(a), float(b), n) for i, (a, b, n) in enumerate(sizes, 1))
    plan = lay_out_sheets(CutRequest(3.2, 0.0, (SHEET,), parts), steps=200)
    drawing = cut_diagram(plan, (SHEET,), system, compact=compact)
    assert_sound(drawing)
    numbers = texts(drawing)
    for one, _ in alike(plan):
        assert all(str(order) in numbers for order in range(1, len(one.cuts) + 1))


def test_like_sheets_are_drawn_once_with_their_number() -> None:
    plan = lay_out_sheets(CutRequest(3.2, 0.0, (SHEET,), (Part("M1", 2400.0, 1200.0, 3),)))
    assert [number for _, number in alike(plan)] == [3]
    assert "3 × BOARD-18, 2440 × 1220" in texts(cut_diagram(plan, (SHEET,), "metric"))


def test_one_sheet_can_have_a_page_of_its_own() -> None:
    parts = (Part("M1", 2400.0, 1200.0, 1), Part("M2", 2000.0, 1100.0, 1))
    plan = lay_out_sheets(CutRequest(3.2, 0.0, (SHEET,), parts))
    assert len(alike(plan)) == 2
    first = cut_diagram(plan, (SHEET,), "metric", only=0)
    both = cut_diagram(plan, (SHEET,), "metric")
    assert_sound(first)
    assert first.height_mm < both.height_mm


def test_a_sheet_of_unknown_size_is_not_guessed() -> None:
    plan = lay_out_sheets(CutRequest(3.2, 0.0, (SHEET,), PARTS))
    with pytest.raises(KeyError, match="BOARD-18"):
        cut_diagram(plan, (), "metric")


def test_bars_show_their_pieces_in_order_and_what_is_left() -> None:
    stock = (BarStock("TUBE-60", 2000.0, Decimal("9")),)
    plan = lay_out_bars(BarRequest(2.0, 0.0, stock, (BarPart("M8", 700.0, 2), BarPart("M9", 30.0, 3))))
    drawing = bar_diagram(plan, stock, "metric")
    assert_sound(drawing)
    said = texts(drawing)
    assert sum(text.startswith("M8") for text in said) == 2
    assert sum(text.startswith("M9") for text in said) == 3
    assert any(text.startswith("offcut") for text in said)
