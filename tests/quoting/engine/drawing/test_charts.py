from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from quoting.engine.drawing.charts import Bar, Mark, Swing, bars, cumulative, tornado
from quoting.engine.drawing.values import Drawing
from tests.quoting.engine.drawing.drawn import SVG, assert_sound, texts, tree

LABELS = st.text(st.characters(codec="utf-8", exclude_categories=["Cs"]), max_size=60)
VALUES = st.floats(-1e6, 1e6)


def _rects(drawing: Drawing, fill: str) -> list[tuple[float, float]]:
    """Left end and width of the rectangles of a fill, the sheet's own ground left out."""
    return [
        (float(e.attrib["x"]), float(e.attrib["width"]))
        for e in tree(drawing).iter(f"{SVG}rect")
        if e.attrib["fill"] == fill and "x" in e.attrib
    ]


def test_bars_are_as_long_as_their_values() -> None:
    drawing = bars((Bar("Mould", 6.0, "6.0 h, planned 3.0 h", 3.0), Bar("Pour", 2.0, "2.0 h")), title="Hours")
    assert_sound(drawing)
    (mould, pour), (planned,) = _rects(drawing, "#555"), _rects(drawing, "#fff")
    assert mould[1] == pytest.approx(3 * pour[1], abs=2e-3)
    assert mould[1] == pytest.approx(2 * planned[1], abs=2e-3)
    assert {"Mould", "6.0 h, planned 3.0 h", "Pour", "2.0 h"} == set(texts(drawing))
    assert drawing.description == "Mould: 6.0 h, planned 3.0 h; Pour: 2.0 h."


def test_a_value_below_zero_runs_to_the_left() -> None:
    over, under = _rects(bars((Bar("a", 3.0, "+3"), Bar("b", -1.0, "-1")), title="Variance"), "#555")
    assert under[0] + under[1] == pytest.approx(over[0], abs=2e-3)


@settings(max_examples=30, deadline=None)
@given(st.lists(st.tuples(LABELS, VALUES, st.none() | VALUES), max_size=8), st.booleans())
def test_any_bars_are_sound(rows: list[tuple[str, float, float | None]], compact: bool) -> None:
    drawn = bars(
        [Bar(label, value, f"{value:.2f}", other) for label, value, other in rows], title="t", compact=compact
    )
    assert_sound(drawn)
    assert drawn.width_mm == (100.0 if compact else 180.0)


@settings(max_examples=30, deadline=None)
@given(st.lists(st.tuples(LABELS, VALUES, VALUES), max_size=8), VALUES, st.booleans())
def test_any_tornado_is_sound(rows: list[tuple[str, float, float]], middle: float, compact: bool) -> None:
    swings = [Swing(label, low, high, f"{low:.0f}", f"{high:.0f}") for label, low, high in rows]
    assert_sound(tornado(swings, middle, f"{middle:.0f}", title="t", compact=compact))


def test_a_tornado_swings_about_its_middle() -> None:
    drawing = tornado((Swing("Breakage", 90.0, 130.0, "90", "130"),), 100.0, "expected 100", title="Cost")
    (low,), (high,) = _rects(drawing, "#fff"), _rects(drawing, "#555")
    assert high[1] == pytest.approx(3 * low[1], abs=2e-3)
    assert low[0] + low[1] == pytest.approx(high[0], abs=2e-3)


@pytest.mark.parametrize("compact", [False, True])
def test_a_cumulative_curve_names_its_marks(compact: bool) -> None:
    curve = [(1000.0 + i, (i / 400) ** 0.5) for i in range(401)]
    marks = [
        Mark(1000 + 400 * p * p, p, f"P{p * 100:.0f}: {1000 + 400 * p * p:.0f}") for p in (0.1, 0.5, 0.8, 0.9)
    ]
    drawing = cumulative(curve, marks, title="Cost", low_text="1000", high_text="1400", compact=compact)
    assert_sound(drawing)
    assert {"P10: 1004", "P50: 1100", "P80: 1256", "P90: 1324", "0 %", "100 %"} <= set(texts(drawing))


def test_a_falling_curve_is_refused() -> None:
    with pytest.raises(ValueError, match="ascending"):
        cumulative([(1.0, 0.5), (2.0, 0.4)], (), title="t", low_text="1", high_text="2")
    with pytest.raises(ValueError, match="two points"):
        cumulative([(1.0, 0.5)], (), title="t", low_text="1", high_text="2")
