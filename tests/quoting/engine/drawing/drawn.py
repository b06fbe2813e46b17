"""Pieces to draw, and what is true of every drawing."""

from __future__ import annotations

import json
import re
from functools import cache
from itertools import combinations
from pathlib import Path
from xml.etree import ElementTree

from quoting.engine.drawing.values import Drawing
from quoting.engine.solid.build import Solid, build
from quoting.engine.solid.measure import Geometry, measure
from quoting.engine.spec.parse import parse_piece

SPECIFICATIONS = Path(__file__).parents[4] / "fixtures" / "specifications"
NAMES = tuple(sorted(path.stem for path in SPECIFICATIONS.glob("*.json")))
SVG = "{http://www.w3.org/2000/svg}"
_ALLOWED = {"svg", "title", "desc", "rect", "g", "path", "circle", "text"}


@cache
def solid_of(name: str) -> Solid:
    """The solid of one of the example specifications."""
    document = json.loads((SPECIFICATIONS / f"{name}.json").read_text(encoding="utf-8"))
    return build(parse_piece(document))


@cache
def geometry_of(name: str) -> Geometry:
    return measure(solid_of(name))


def tree(drawing: Drawing) -> ElementTree.Element:
    """The drawing's SVG as XML; text of our own making, so that a plain parser is safe."""
    return ElementTree.fromstring(drawing.svg)  # noqa: S314


def texts(drawing: Drawing) -> list[str]:
    """Every text set in the drawing, in order."""
    return [element.text or "" for element in tree(drawing).iter(f"{SVG}text")]


def overlaps(drawing: Drawing) -> list[tuple[str, str]]:
    """Pairs of texts whose boxes share ground."""
    return [(a.text, b.text) for a, b in combinations(drawing.labels, 2) if a.box.overlaps(b.box)]


def outside(drawing: Drawing) -> list[str]:
    """Texts whose boxes leave the sheet."""
    return [
        label.text
        for label in drawing.labels
        if label.box.x0 < -1e-6
        or label.box.y0 < -1e-6
        or label.box.x1 > drawing.width_mm + 1e-6
        or label.box.y1 > drawing.height_mm + 1e-6
    ]


def assert_sound(drawing: Drawing) -> None:
    """Well-formed, self-contained, fit for a strict content policy, described, no two texts overlapping."""
    root = tree(drawing)
    elements = list(root.iter())
    assert {element.tag.removeprefix(SVG) for element in elements} <= _ALLOWED
    for element in elements:
        assert not any(re.search(r"(^|[ \w])-0(?![.\d])", value) for value in element.attrib.values())
        assert not {"style", "href", "class", "onload"} & set(element.attrib)
        assert not any(
            "url(" in value or "NaN" in value or "inf" in value for value in element.attrib.values()
        )
    ids = [element.attrib["id"] for element in elements if "id" in element.attrib]
    assert len(ids) == 2
    assert root.attrib["role"] == "img"
    assert root.attrib["aria-labelledby"].split() == ids
    title, description = root.find(f"{SVG}title"), root.find(f"{SVG}desc")
    assert title is not None
    assert title.text == drawing.title
    assert description is not None
    assert description.text == drawing.description
    assert root.attrib["viewBox"].split()[:2] == ["0", "0"]
    assert overlaps(drawing) == []
    assert outside(drawing) == []
    assert [label.text for label in drawing.labels] == texts(drawing)
