"""Full-size templates of openings and curved edges, cut into pages to print, join and trace.

Every page is 1 : 1 with a bar to check it by; pages overlap, and the marks at the corners of neighbouring
pages are the same points, so that they are laid over one another.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from typing import Final, Literal

import shapely

from quoting.engine.drawing.areas import lines_in
from quoting.engine.drawing.canvas import Canvas, num, polyline
from quoting.engine.drawing.style import SHEET
from quoting.engine.drawing.text import length_text, shortened, type_size
from quoting.engine.drawing.values import Box, Drawing, Point
from quoting.engine.drawing.wording import name, sizes
from quoting.engine.plane.contour import Contour
from quoting.engine.plane.segments import Arc, Ellipse, Line
from quoting.engine.plane.shapes import Rectangle, Shape
from quoting.engine.solid.build import Solid
from quoting.engine.spec.types import Inlay, Opening, Recess, Trough
from quoting.engine.units import MM_PER_INCH

Paper = Literal["A4", "Letter"]
PAPERS: Final[dict[Paper, tuple[float, float]]] = {"A4": (210.0, 297.0), "Letter": (215.9, 279.4)}
"""Width and height, mm (ISO 216; ANSI/ASME Y14.1)."""
_EDGE, _HEAD, _FOOT = 8.0, 15.0, 17.0
_LAP = 8.0
_CHORD_MM = 0.01


@dataclass(frozen=True, slots=True)
class Template:
    """One thing to trace: its contours in mm, y up, and what is said of it."""

    title: str
    note: str
    contours: tuple[Contour, ...]
    curves_only: bool = False
    """Whether pages with straight lines only are left out."""
    mirrored: bool = False

    def on_paper(self, point: Point) -> Point:
        """The point as it is traced: turned over left to right where that is asked for."""
        return (-point[0], point[1]) if self.mirrored else point


@dataclass(frozen=True, slots=True)
class _Page:
    """One page of a template: which part of it the page's net area shows."""

    column: int
    row: int
    left: float
    low: float
    width: float
    height: float


def tiles(
    solid: Solid, paper: Paper, *, system: str, mirrored: bool = False, prefix: str = "tile"
) -> tuple[Drawing, ...]:
    """Draw the full-size pages for everything of the piece that is worth tracing.

    Openings, inlays, recesses and troughs that are not plain rectangles, and the curved parts of the outline,
    each once. `mirrored` turns everything over left to right, as needed on the base of a face-down mould.
    The drawings carry their size in mm and must be printed at 100 %.
    """
    pages: list[tuple[Template, _Page]] = []
    counts: list[int] = []
    for template in templates(solid, system):
        turned = replace(template, mirrored=mirrored)
        own = [(turned, page) for page in _pages(turned, paper)]
        pages += own
        counts += [len(own)] * len(own)
    result = []
    number_in: dict[str, int] = {}
    for index, ((template, page), count) in enumerate(zip(pages, counts, strict=True), 1):
        number_in[template.title] = number_in.get(template.title, 0) + 1
        where = f"page {number_in[template.title]} of {count}, column {page.column + 1}, row {page.row + 1}"
        result.append(_drawn(solid, template, page, where, paper, system, f"{prefix}-{index}"))
    return tuple(result)


# --- what is traced --------------------------------------------------------------------------------------
def templates(solid: Solid, system: str) -> tuple[Template, ...]:
    """What is worth tracing, in the order of the document, the outline last."""
    result = []
    for index, feature in enumerate(solid.piece.features):
        if isinstance(feature, Opening | Inlay | Recess) and not _is_plain(feature.shape):
            voids = [void for void in solid.voids if void.feature == index]
            first = [void for void in voids if void.path == voids[0].path]
            contours = tuple(void.contour.turned(-feature.turn_deg) for void in first)
        elif isinstance(feature, Trough) and feature.corner_radius_mm > 0:
            body = next(body for body in solid.troughs if body.feature == index)
            inside, floor = body.inner_at(0.0), body.inner_at(feature.depth_mm)
            own = (body.outer, inside, floor) if feature.taper_deg else (body.outer, inside)
            contours = tuple(contour.turned(-feature.turn_deg) for contour in own)
        else:
            continue
        note = sizes(feature, system) + (" (drawn before turning)" if feature.turn_deg else "")
        result.append(Template(f"{index + 1} {name(feature)}", note, contours))
    if any(not isinstance(segment, Line) for segment in solid.outline.segments):
        result.append(
            Template("Outline, curved edges", "pages without a curve left out", (solid.outline,), True)
        )
    return tuple(result)


def _is_plain(shape: Shape) -> bool:
    return isinstance(shape, Rectangle) and not any(shape.corner_radii_mm)


# --- pages -----------------------------------------------------------------------------------------------
def _net(paper: Paper) -> tuple[float, float]:
    """Net area of a page, without laps."""
    width, height = PAPERS[paper]
    return width - 2 * (_EDGE + _LAP), height - 2 * (_EDGE + _LAP) - _HEAD - _FOOT


def _pages(template: Template, paper: Paper) -> Iterator[_Page]:
    """Pages that show something, row by row from the lower left; the template in the middle of its pages."""
    corners = [
        template.on_paper(corner)
        for x0, y0, x1, y1 in (contour.box_mm for contour in template.contours)
        for corner in ((x0, y0), (x1, y1))
    ]
    x0, x1 = min(x for x, _ in corners), max(x for x, _ in corners)
    y0, y1 = min(y for _, y in corners), max(y for _, y in corners)
    width, height = _net(paper)
    columns, rows = math.ceil((x1 - x0 + 6.0) / width), math.ceil((y1 - y0 + 6.0) / height)
    left, low = (x0 + x1 - columns * width) / 2, (y0 + y1 - rows * height) / 2
    for row in range(rows):
        for column in range(columns):
            page = _Page(column, row, left + column * width, low + row * height, width, height)
            if any(
                not template.curves_only or not isinstance(segment, Line)
                for segment, _ in _shown(template, page)
            ):
                yield page


def _shown(template: Template, page: _Page) -> Iterator[tuple[Line | Arc | Ellipse, tuple[Point, ...]]]:
    """Parts of the template's lines within the page and its laps."""
    area = shapely.box(
        page.left - _LAP, page.low - _LAP, page.left + page.width + _LAP, page.low + page.height + _LAP
    )
    for contour in template.contours:
        for segment in contour.segments:
            line = [template.on_paper(point) for point in _fine(segment, contour)]
            met = shapely.LineString(line).intersection(area)
            for piece in lines_in(met, 0.01):
                yield segment, piece


def _fine(segment: Line | Arc | Ellipse, contour: Contour) -> list[Point]:
    if isinstance(segment, Line):
        return [segment.start, segment.end]
    if isinstance(segment, Arc):
        step = 2.0 * math.acos(max(0.5, 1.0 - _CHORD_MM / segment.radius_mm))
        count = max(1, math.ceil(abs(segment.sweep_rad) / step))
        return [segment.at(segment.start_rad + segment.sweep_rad * i / count) for i in range(count + 1)]
    ring = list(contour.points(_CHORD_MM))
    return [*ring, ring[0]]


# --- drawing ---------------------------------------------------------------------------------------------
def _drawn(
    solid: Solid, template: Template, page: _Page, where: str, paper: Paper, system: str, prefix: str
) -> Drawing:
    width, height = PAPERS[paper]
    canvas = Canvas(replace(SHEET, margin=0.0, width=width))
    canvas.reach(Box(0.0, 0.0, width, height))
    left, foot = _EDGE + _LAP, height - _EDGE - _FOOT - _LAP

    def lay(point: Point) -> Point:
        return (left + point[0] - page.left, foot - (point[1] - page.low))

    for segment, piece in _shown(template, page):
        canvas.path(_trace(segment, piece, lay, mirrored=template.mirrored), "visible")
    _centre_marks(canvas, template, page, lay)
    _corner_marks(canvas, page, lay)
    room = width - 2 * _EDGE
    size = type_size(SHEET.cap)
    turned = "turned over: for the base of a face-down mould" if template.mirrored else "seen from above"
    heading = f"{solid.piece.name}: {template.title}, {turned}"
    canvas.text(shortened(heading, size, room), (_EDGE, _EDGE + 4.0))
    canvas.text(shortened(f"{template.note}; {where}", size, room), (_EDGE, _EDGE + 8.5))
    _check_bar(canvas, system, height - _EDGE - 6.0)
    return canvas.drawing(
        f"{heading}, {where}",
        f"Full-size template, to be printed at 100 % on {paper}. {template.note}. Pages overlap; "
        "marks with the same letter and number are laid over one another.",
        prefix=prefix,
        width=width,
        paper=True,
    )


def _trace(
    segment: Line | Arc | Ellipse, piece: tuple[Point, ...], lay: Callable[[Point], Point], *, mirrored: bool
) -> str:
    """Path data of a piece of a segment: a straight line, a true arc, or the fine polyline of an ellipse."""
    points = [lay(point) for point in piece]
    if not isinstance(segment, Arc):
        return polyline(points)
    radius = num(segment.radius_mm)
    turning = (segment.sweep_rad > 0) != mirrored
    flag = 0 if turning else 1
    last = len(points) - 1
    # in thirds, so that no arc is near half a circle, where its two ends would not tell its side
    thirds = [points[index] for index in sorted({last // 3, 2 * last // 3, last} - {0})]
    arcs = "".join(f"A{radius} {radius} 0 0 {flag} {num(x)} {num(y)}" for x, y in thirds)
    return f"M{num(points[0][0])} {num(points[0][1])}{arcs}"


def _centre_marks(canvas: Canvas, template: Template, page: _Page, lay: Callable[[Point], Point]) -> None:
    """A cross at the middle of each contour but the outline's, for setting out."""
    if template.curves_only:
        return
    for contour in template.contours:
        x0, y0, x1, y1 = contour.box_mm
        x, y = template.on_paper(((x0 + x1) / 2, (y0 + y1) / 2))
        if page.left <= x <= page.left + page.width and page.low <= y <= page.low + page.height:
            cx, cy = lay((x, y))
            canvas.line((cx - 6.0, cy), (cx + 6.0, cy))
            canvas.line((cx, cy - 6.0), (cx, cy + 6.0))


def _corner_marks(canvas: Canvas, page: _Page, lay: Callable[[Point], Point]) -> None:
    """A ringed cross at each corner of the net area, lettered by column and numbered by row of the corner."""
    for right in (0, 1):
        for up in (0, 1):
            x, y = lay((page.left + right * page.width, page.low + up * page.height))
            canvas.circle((x, y), 2.0)
            canvas.line((x - _LAP / 2, y), (x + _LAP / 2, y))
            canvas.line((x, y - _LAP / 2), (x, y + _LAP / 2))
            label = f"{_letters(page.column + right)}{page.row + up + 1}"
            width, _ = canvas.text_size(label, 1.8)
            canvas.text(label, (x + 1.2 if not right else x - 1.2 - width, y - 2.6), cap=1.8)


def _letters(number: int) -> str:
    """A, B … Z, AA, AB …"""
    text = ""
    number += 1
    while number:
        number, rest = divmod(number - 1, 26)
        text = chr(ord("A") + rest) + text
    return text


def _check_bar(canvas: Canvas, system: str, y: float) -> None:
    """A bar of known length, to hold a rule against before the page is used."""
    step, count = (MM_PER_INCH, 5) if system == "us" else (10.0, 12)
    length = step * count
    for index in range(count):
        box = Box(_EDGE + index * step, y - 3.0, _EDGE + (index + 1) * step, y)
        canvas.rect(box, "thin", fill="#000" if index % 2 == 0 else "#fff")
    unit = "inches" if system == "us" else "mm"
    said = (
        f"This bar measures {length_text(length, system)} {unit}. Print at 100 %, never fitted to the page."
    )
    canvas.text(said, (_EDGE, y + 4.5))
