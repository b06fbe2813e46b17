"""Full-size templates on paper: as large as they say, by what the PDF itself draws."""

from __future__ import annotations

import math
from collections.abc import Iterator
from io import BytesIO

import pikepdf
import pytest

from quoting.documents.templates import PAPERS, Paper, paper_named, templates_pdf
from quoting.engine.errors import Refused
from quoting.engine.plane.shapes import Rectangle, Round
from quoting.engine.solid.build import Solid, build
from quoting.engine.spec.types import Opening, Piece
from tests.quoting.documents.conditions import CONDITIONS

POINT_MM = 25.4 / 72.0
"""ISO 32000-1, 8.3.2.3: a unit of default user space is 1/72 in."""


def _hob() -> Solid:
    opening = Opening(((300.0, 300.0),), Round(130.0))
    return build(Piece("Hob plate", "mm", 40.0, Rectangle(600.0, 600.0), features=(opening,)))


def _straight() -> Solid:
    return build(Piece("Slab", "mm", 40.0, Rectangle(600.0, 400.0)))


def _placed(page: pikepdf.Page) -> Iterator[tuple[str, list[float], pikepdf.Matrix]]:
    """Operators of a page with their numbers and the matrix that holds for them."""
    matrix, kept = pikepdf.Matrix(), []
    for instruction in pikepdf.parse_content_stream(page):
        name, operands = str(instruction.operator), instruction.operands
        if name == "q":
            kept.append(matrix)
        elif name == "Q":
            matrix = kept.pop()
        elif name == "cm":
            matrix = pikepdf.Matrix(*(float(number) for number in operands)) @ matrix
        elif name in {"re", "m", "l", "c"}:
            yield name, [float(number) for number in operands], matrix


def _bar_mm(page: pikepdf.Page) -> float:
    """The length of the row of equal rectangles at the foot of a page."""
    boxes = []
    for name, numbers, matrix in _placed(page):
        if name == "re" and abs(matrix.transform((0, numbers[3]))[1] - matrix.transform((0, 0))[1]) < 10:
            x0, _ = matrix.transform((numbers[0], numbers[1]))
            x1, _ = matrix.transform((numbers[0] + numbers[2], numbers[1]))
            boxes.append((x0, x1))
    widths = [x1 - x0 for x0, x1 in boxes]
    assert widths == pytest.approx([widths[0]] * len(widths))
    return float(max(x1 for _, x1 in boxes) - min(x0 for x0, _ in boxes)) * POINT_MM


def _radii_mm(page: pikepdf.Page, cx: float, cy: float) -> list[float]:
    """How far the ends of a page's Bézier curves lie from a point, mm from the page's upper left corner."""
    height = float(page.mediabox[3])
    ends = [matrix.transform((n[4], n[5])) for name, n, matrix in _placed(page) if name == "c"]
    return [math.hypot(x * POINT_MM - cx, (height - y) * POINT_MM - cy) for x, y in ends]


@pytest.mark.parametrize("paper", ["A4", "Letter"])
@pytest.mark.parametrize(("system", "bar"), [("metric", 120.0), ("us", 127.0)])
def test_the_check_bar_is_as_long_on_paper_as_it_says(paper: Paper, system: str, bar: float) -> None:
    written = pikepdf.open(BytesIO(templates_pdf(_hob(), paper, system=system)))
    assert len(written.pages) == 2
    for page in written.pages[1:]:
        box = [float(number) * POINT_MM for number in page.mediabox]
        assert box == pytest.approx([0.0, 0.0, *PAPERS[paper]], abs=0.01)
        assert _bar_mm(page) == pytest.approx(bar, abs=0.01)


def test_an_opening_is_drawn_at_full_size_about_the_middle_of_its_page() -> None:
    written = pikepdf.open(BytesIO(templates_pdf(_hob(), "A4", system="metric")))
    # net area of the page: 16 mm from its sides, 31 mm below its top, 33 mm above its foot
    radii = _radii_mm(written.pages[1], 105.0, (31.0 + 297.0 - 33.0) / 2)
    traced = [radius for radius in radii if radius > 50.0 and radius < 80.0]
    assert len(traced) >= 3
    assert traced == pytest.approx([65.0] * len(traced), abs=0.05)


def test_the_paper_is_tagged_and_says_what_it_is() -> None:
    content = templates_pdf(_hob(), "A4", system="metric")
    assert [fault for check in CONDITIONS.values() for fault in check(pikepdf.open(BytesIO(content)))] == []
    written = pikepdf.open(BytesIO(content))
    assert written.docinfo["/Title"] == "Hob plate: full-size templates"
    assert content == templates_pdf(_hob(), "A4", system="metric")


def test_a_piece_of_straight_lines_needs_none_and_says_so() -> None:
    with pytest.raises(Refused) as refusal:
        templates_pdf(_straight(), "A4", system="metric")
    assert refusal.value.faults[0].code == "nothing_to_trace"


def test_no_template_is_cut_for_other_paper() -> None:
    assert paper_named("Letter") == "Letter"
    with pytest.raises(Refused, match="take A4 or Letter"):
        paper_named("A3")
