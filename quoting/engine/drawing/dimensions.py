"""Dimensions after ISO 129-1: linear with arrows, running from one origin, radii and leaders.

Text stands above its line and parallel to it, readable from below or from the right; extension lines leave a
gap at the object and pass the dimension line by a little; arrows turn outside where there is no room.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from quoting.engine.drawing.canvas import Canvas
from quoting.engine.drawing.labels import LabelField, spread
from quoting.engine.drawing.text import descent, type_size
from quoting.engine.drawing.values import Box, Point

GAP = 0.8  # between the object and its extension line
PAST = 1.2  # how far an extension line passes the dimension line


def linear(
    canvas: Canvas,
    span: tuple[float, float],
    at: float,
    text: str,
    *,
    vertical: bool = False,
    reach: tuple[float | None, float | None] = (None, None),
    field: LabelField | None = None,
) -> Box:
    """Draw one dimension between `span` on the measured axis, its line at `at` on the other; returns its box.

    `reach` says where the extension lines start on the other axis (None: no extension line). All in sheet
    mm; `vertical` measures along y and writes upwards.
    """

    def point(u: float, v: float) -> Point:
        return (v, u) if vertical else (u, v)

    low, high = min(span), max(span)
    for u, start in zip(sorted(span), reach, strict=True):
        if start is not None:
            way = 1.0 if at >= start else -1.0
            _clear_of_text(canvas, u, (start + way * GAP, at + way * PAST), vertical=vertical)
    width, _ = canvas.text_size(text)
    arrow = canvas.style.arrow
    inside = high - low >= 2.6 * arrow
    fits = high - low >= width + 1.0
    beyond = 2.2 * arrow
    first, last = (low, high) if inside else (low - beyond, high + beyond)
    for u, way in ((low, -1.0), (high, 1.0)):
        canvas.arrow(point(u, at), point(way if inside else -way, 0.0))
    middle = (low + high) / 2
    if not fits and vertical:
        middle = first - 0.5 - width / 2
        first = middle - width / 2
    elif not fits:
        middle = last + 0.5 + width / 2
        last = middle + width / 2
    canvas.line(point(first, at), point(last, at))
    rise = 0.4 + descent(type_size(canvas.style.cap))
    box = canvas.text(text, point(middle, at - rise), anchor="middle", turned=vertical)
    if field is not None:
        field.keep_clear((point(first, at), point(last, at)))
        field.block(box)
    return box


def _clear_of_text(canvas: Canvas, u: float, ends: tuple[float, float], *, vertical: bool) -> None:
    """An extension line at `u`, interrupted where a text stands in its way (ISO 129-1 lets it be)."""
    low, high = min(ends), max(ends)
    gaps = []
    for label in canvas.labels:
        box = label.box.grown(0.4)
        along, across = ((box.x0, box.x1), (box.y0, box.y1))
        if vertical:
            along, across = across, along
        if along[0] < u < along[1]:
            gaps.append(across)
    start = low
    for first, last in [*sorted(gaps), (high, high)]:
        if min(first, high) - start > 0.3:
            stretch = ((start, u), (min(first, high), u)) if vertical else ((u, start), (u, min(first, high)))
            canvas.line(*stretch)
        start = max(start, last)


@dataclass(frozen=True, slots=True)
class Ordinate:
    """One running dimension: where it is on the sheet, where its extension line starts, what it says."""

    position: float
    reach: float
    text: str


def running(
    canvas: Canvas,
    ordinates: Sequence[Ordinate],
    origin: float,
    edge: float,
    *,
    vertical: bool = False,
    field: LabelField | None = None,
) -> float:
    """Draw running dimensions from `origin` along one line outside `edge`; returns how far out they come.

    Horizontal: the line lies below `edge`, positions grow to the right, values are written upwards. Vertical:
    the line lies left of `edge`, positions grow upwards (y falls), values are written level. Values too close
    to stand side by side are spread, their lines bent to meet them.
    """
    sign = -1.0 if vertical else 1.0  # outwards, on the axis across; and growth, on the axis along

    def point(u: float, v: float) -> Point:
        return (edge + sign * v, origin + sign * u) if vertical else (origin + sign * u, edge + sign * v)

    style = canvas.style
    line_at, bend_from, bend_to = 4.0, 5.2, 7.7
    pitch = canvas.text_size("0")[1] + 0.15
    along = [sign * (item.position - origin) for item in ordinates]
    order = sorted(range(len(ordinates)), key=lambda index: along[index])
    places = spread([along[index] for index in order], pitch, -0.3 * pitch)
    furthest = 0.0
    last = max(along)
    if last > 0:
        canvas.line(point(0, line_at), point(last, line_at))
    canvas.circle(point(0, line_at), 0.9, "thin", fill="#fff")
    for index, place in zip(order, places, strict=True):
        item, u = ordinates[index], along[index]
        start = sign * (item.reach - edge) + GAP
        route = (point(u, start), point(u, bend_from), point(place, bend_to), point(place, bend_to + 0.8))
        canvas.line(*route)
        if field is not None:
            field.ink(route[:2])
        if u > style.arrow * 0.6:
            canvas.arrow(point(u, line_at), (0.0, -1.0) if vertical else (1.0, 0.0))
        x, y = point(place, bend_to + 1.3)
        drop = style.cap / 2
        box = canvas.text(
            item.text, (x, y + drop) if vertical else (x + drop, y), anchor="end", turned=not vertical
        )
        furthest = max(furthest, bend_to + 1.3 + (box.width if vertical else box.height))
    return furthest


def leader(canvas: Canvas, points: Sequence[Point], *, arrow: bool) -> None:
    """A leader line from the first point (on the object) to the last (at the text): arrow on an edge, or dot
    inside an outline."""
    canvas.line(*points)
    tip, second = points[0], points[1]
    if arrow:
        canvas.arrow(tip, (tip[0] - second[0], tip[1] - second[1]))
    else:
        canvas.circle(tip, 0.45, None, fill="#000")


def balloon(canvas: Canvas, number: str, box: Box) -> None:
    """An item number in its circle (ISO 6433), within `box`."""
    radius = min(box.width, box.height) / 2
    centre = ((box.x0 + box.x1) / 2, (box.y0 + box.y1) / 2)
    canvas.circle(centre, radius, "thin", fill="#fff")
    canvas.text_in(number, box)
