from __future__ import annotations

import math
import re

import pytest

from quoting.engine.drawing.template import PAPERS, Paper, templates, tiles
from quoting.engine.drawing.values import Drawing
from quoting.engine.plane.shapes import Oval, Rectangle, Round
from quoting.engine.solid.build import Solid, build
from quoting.engine.spec.types import Opening, Piece, Trough
from tests.quoting.engine.drawing.drawn import NAMES, SVG, assert_sound, solid_of, texts, tree


def _with_opening() -> Solid:
    opening = Opening(((600.0, 400.0),), Rectangle(400.0, 300.0, (25.0,) * 4), turn_deg=15.0)
    return build(Piece("Counter", "mm", 40.0, Rectangle(1200.0, 800.0), features=(opening,)))


@pytest.mark.parametrize("paper", ["A4", "Letter"])
@pytest.mark.parametrize("name", NAMES)
def test_every_page_is_sound_and_as_large_as_its_paper(name: str, paper: Paper) -> None:
    pages = tiles(solid_of(name), paper, system="metric")
    for page in pages[:6]:
        assert_sound(page)
    width, height = PAPERS[paper]
    for page in pages:
        assert (page.width_mm, page.height_mm) == pytest.approx((width, height))
        root = tree(page)
        assert root.attrib["width"] == f"{width:g}mm"
        assert root.attrib["height"] == f"{height:g}mm"
        assert root.attrib["viewBox"] == f"0 0 {width:g} {height:g}"


@pytest.mark.parametrize(
    ("system", "length", "said"), [("metric", 120.0, "120 mm"), ("us", 127.0, "5 inches")]
)
def test_the_bar_measures_what_it_says(system: str, length: float, said: str) -> None:
    page = tiles(_with_opening(), "A4", system=system)[0]
    black_and_white = [e.attrib for e in tree(page).iter(f"{SVG}rect") if "stroke" in e.attrib]
    ends = [float(a["x"]) for a in black_and_white] + [
        float(a["x"]) + float(a["width"]) for a in black_and_white
    ]
    assert max(ends) - min(ends) == pytest.approx(length, abs=1e-3)
    assert f"This bar measures {said}" in " ".join(texts(page))


def _length_of_lines(page: Drawing) -> float:
    """Length of the traced lines on a page, from its path data: straight lines and arcs."""
    total = 0.0
    for element in tree(page).iter(f"{SVG}path"):
        if element.attrib.get("stroke-width") != "0.35":
            continue
        data = element.attrib["d"]
        start, *steps = re.findall(r"[MLA][^MLA]*", data)
        x, y = (float(word) for word in start[1:].split())
        for step in steps:
            words = [float(word) for word in step[1:].split()]
            chord = math.dist((x, y), words[-2:])
            total += chord if step[0] == "L" else 2 * words[0] * math.asin(min(1.0, chord / 2 / words[0]))
            x, y = words[-2:]
    return total


def test_the_pages_together_hold_the_whole_line_at_full_size() -> None:
    solid = _with_opening()
    pages = tiles(solid, "A4", system="metric")
    perimeter = solid.voids[0].contour.perimeter_mm
    total = sum(_length_of_lines(page) for page in pages)
    # 3 × 2 pages lap by 16 mm: both long sides cross two joints, both short ones one, and are drawn twice
    assert len(pages) == 6
    assert total == pytest.approx(perimeter + 2 * (2 * 16.0) + 2 * 16.0, abs=0.5)


def test_a_template_on_one_page_is_the_line_itself() -> None:
    opening = Opening(((300.0, 300.0),), Round(120.0))
    solid = build(Piece("A", "mm", 40.0, Rectangle(600.0, 600.0), features=(opening,)))
    (page,) = tiles(solid, "Letter", system="metric")
    assert _length_of_lines(page) == pytest.approx(math.pi * 120.0, abs=0.05)


def _marks(page: Drawing) -> dict[str, tuple[float, float]]:
    """Corner marks by their labels."""
    rings = [
        (float(e.attrib["cx"]), float(e.attrib["cy"]))
        for e in tree(page).iter(f"{SVG}circle")
        if e.attrib["r"] == "2"
    ]
    labels = [label for label in page.labels if re.fullmatch(r"[A-Z]+\d+", label.text)]
    return {label.text: ring for label, ring in zip(labels, rings, strict=True)}


def test_neighbouring_pages_share_marks_at_the_same_distance() -> None:
    first, second = tiles(_with_opening(), "A4", system="metric")[:2]
    a, b = _marks(first), _marks(second)
    shared = sorted(set(a) & set(b))
    assert shared == ["B1", "B2"]
    assert math.dist(a["B1"], a["B2"]) == pytest.approx(math.dist(b["B1"], b["B2"]))
    assert a["B1"][0] - a["A1"][0] == pytest.approx(178.0)  # 210 − 2 × (8 edge + 8 lap)


def test_mirrored_pages_are_the_others_turned_over() -> None:
    trough = Trough((300.0, 300.0), 100.0, 60.0, 80.0, 10.0, 20.0, 10.0)
    solid = build(Piece("A", "mm", 40.0, Rectangle(600.0, 600.0), features=(trough,)))
    (plain,), (turned,) = (
        tiles(solid, "A4", system="metric"),
        tiles(solid, "A4", system="metric", mirrored=True),
    )
    assert _length_of_lines(plain) == pytest.approx(_length_of_lines(turned), abs=0.01)
    assert any("turned over" in text for text in texts(turned))
    assert plain.svg != turned.svg


def test_plain_rectangles_and_straight_outlines_need_no_template() -> None:
    opening = Opening(((300.0, 300.0),), Rectangle(200.0, 100.0))
    solid = build(Piece("A", "mm", 40.0, Rectangle(600.0, 600.0), features=(opening,)))
    assert tiles(solid, "A4", system="metric") == ()


def test_pages_of_an_outline_without_a_curve_are_left_out() -> None:
    solid = build(Piece("A", "mm", 40.0, Rectangle(2000.0, 1000.0, (50.0,) * 4)))
    assert len(tiles(solid, "A4", system="metric")) == 4  # one a corner
    assert [t.title for t in templates(build(Piece("O", "mm", 40.0, Oval(900.0, 600.0))), "metric")] == [
        "Outline, curved edges"
    ]
