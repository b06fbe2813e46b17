from __future__ import annotations

import pytest

from quoting.engine.drawing.canvas import Canvas, num
from quoting.engine.drawing.style import LINE_TYPES, SHEET, scale_for, scale_text
from quoting.engine.drawing.values import Box, Drawing
from tests.quoting.engine.drawing.drawn import assert_sound, texts


def _one_text(text: str, prefix: str = "p") -> Drawing:
    canvas = Canvas(SHEET)
    canvas.text(text, (10.0, 10.0))
    return canvas.drawing(text, text, prefix=prefix)


@pytest.mark.parametrize(
    "hostile",
    ["<script>alert(1)</script>", "a & b", "\"'><", "]]>", "nul\x00 and \x1b[0m", "line\nbreak", "\u202eabc"],
)
def test_a_name_is_only_ever_text(hostile: str) -> None:
    drawing = _one_text(hostile)
    assert_sound(drawing)
    assert "<script" not in drawing.svg
    assert texts(drawing) == [" ".join("".join(c if c.isprintable() else " " for c in hostile).split())]


def test_ids_keep_apart_by_prefix() -> None:
    drawing = _one_text("table", prefix="q7-plan")
    assert 'id="q7-plan-title"' in drawing.svg
    assert 'id="q7-plan-desc"' in drawing.svg


@pytest.mark.parametrize(
    ("value", "text"), [(-0.0004, "0"), (1.23456, "1.235"), (10.0, "10"), (-2.5, "-2.5")]
)
def test_numbers_are_short_and_have_no_negative_zero(value: float, text: str) -> None:
    assert num(value) == text


def test_a_turned_text_takes_an_upright_box() -> None:
    canvas = Canvas(SHEET)
    level = canvas.text("2100", (0.0, 0.0))
    upright = canvas.text("2100", (0.0, 0.0), turned=True)
    assert (upright.width, upright.height) == pytest.approx((level.height, level.width))


def test_a_text_in_a_box_stands_in_its_middle() -> None:
    box = Canvas(SHEET).text_in("R25", Box(0, 0, 30, 10))
    assert (box.x0 + box.x1, box.y0 + box.y1) == pytest.approx((30, 10))


def test_visible_outlines_are_twice_as_wide_as_hidden_ones() -> None:
    """Widths in the ratio 2 : 1 (ISO 128-2, from memory)."""
    assert LINE_TYPES["outline"].width == 2 * LINE_TYPES["hidden"].width


def test_hidden_lines_are_dashed_and_centre_lines_dash_dotted() -> None:
    """Dash 12 d, gap 3 d; long dash 24 d, gap 3 d, dot 0.5 d (ISO 128-2, from memory)."""
    assert [LINE_TYPES[kind].dashes for kind in ("hidden", "centre")] == [(12, 3), (24, 3, 0.5, 3)]
    canvas = Canvas(SHEET)
    canvas.line((0, 0), (10, 0), stroke="hidden")
    assert 'stroke-width="0.25" stroke-dasharray="3 0.75"' in canvas.drawing("t", "d", prefix="p").svg


@pytest.mark.parametrize(
    ("size", "room", "system", "text"),
    [
        (2100, 130, "metric", "1:20"),
        (900, 130, "metric", "1:10"),
        (60, 130, "metric", "2:1"),
        (1219.2, 130, "us", "1:12"),
    ],
)
def test_the_scale_is_the_largest_usual_one_that_fits(
    size: float, room: float, system: str, text: str
) -> None:
    assert scale_text(scale_for(size, room, system)) == text
