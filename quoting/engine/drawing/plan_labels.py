"""Labels that stand in the plan: cutting plane, radii, feature numbers, numbers of sides."""

from __future__ import annotations

import math
from collections.abc import Iterator

from quoting.engine.drawing import dimensions
from quoting.engine.drawing.canvas import Canvas
from quoting.engine.drawing.cut_at import CutAt
from quoting.engine.drawing.labels import Candidate, LabelField, around
from quoting.engine.drawing.paths import PlanFrame
from quoting.engine.drawing.places import Place
from quoting.engine.drawing.text import length_text
from quoting.engine.drawing.values import Box, Point
from quoting.engine.drawing.wording import shows_sides
from quoting.engine.plane.segments import Arc, Line
from quoting.engine.solid.build import Solid

_MANY = 24


def cut_marks(canvas: Canvas, field: LabelField, cut: CutAt, frame: PlanFrame, outline: Box) -> None:
    """The cutting plane A–A: thin dash-dot across, thick ends, arrows the way the section is looked at."""
    cap = canvas.style.cap * 1.4
    if cut.axis == "x":
        x = frame.at((cut.at_mm, 0.0))[0]
        ends = ((x, outline.y1 + 1.5), (x, outline.y0 - 1.5))
        outwards = ((0.0, 1.0), (0.0, -1.0))
        look = (-1.0, 0.0)
    else:
        y = frame.at((0.0, cut.at_mm))[1]
        ends = ((outline.x0 - 1.5, y), (outline.x1 + 1.5, y))
        outwards = ((-1.0, 0.0), (1.0, 0.0))
        look = (0.0, -1.0)
    canvas.line(*ends, stroke="centre")
    field.ink(ends)
    for (x, y), (ox, oy) in zip(ends, outwards, strict=True):
        tip = (x + ox * 4.0, y + oy * 4.0)
        canvas.line((x, y), tip, stroke="cut_plane")
        arrow_end = (tip[0] + look[0] * 5.0, tip[1] + look[1] * 5.0)
        canvas.line(tip, arrow_end, stroke="thin")
        canvas.arrow(arrow_end, look)
        width, height = canvas.text_size("A", cap)
        middle = (tip[0] - look[0] * (width / 2 + 0.8), tip[1] - look[1] * (height / 2 + 0.8))
        box = Box(
            middle[0] - width / 2, middle[1] - height / 2, middle[0] + width / 2, middle[1] + height / 2
        )
        placed = canvas.text_in("A", box, cap=cap)
        field.block(placed)
        field.keep_clear(((x, y), tip, arrow_end))


def radius_labels(canvas: Canvas, field: LabelField, solid: Solid, frame: PlanFrame, system: str) -> None:
    """R at a rounded corner of the outline: once with how many for equal radii, at each where they differ."""
    arcs = [
        segment
        for segment in solid.outline.segments
        if isinstance(segment, Arc) and abs(segment.sweep_rad) < 1.9 * math.pi
    ]
    radii = sorted({round(arc.radius_mm, 3) for arc in arcs})
    if len(radii) == 1 or len(arcs) > _MANY or canvas.style.compact:
        groups = [[arc for arc in arcs if round(arc.radius_mm, 3) == radius] for radius in radii]
    else:
        groups = [[arc] for arc in arcs]
    for group in groups:
        many = f"{len(group)} × " if len(group) > 1 else ""
        text = f"{many}R{length_text(group[0].radius_mm, system)}"
        size = canvas.text_size(text)
        choices = sorted(
            (choice for order, arc in enumerate(group) for choice in _radius_places(arc, frame, size, order)),
            key=lambda choice: choice.cost,
        )
        placed = field.place(*size, choices, must=True)
        if placed is None:
            continue
        box, candidate = placed
        canvas.text_in(text, box, clear=True)
        dimensions.leader(canvas, candidate.leader, arrow=True)


def _radius_places(arc: Arc, frame: PlanFrame, size: tuple[float, float], order: int) -> Iterator[Candidate]:
    """Outside along the arc's own radius, or from inside, the text level, farther and farther."""
    middle = arc.start_rad + arc.sweep_rad / 2
    tip = frame.at(arc.at(middle))
    convex = 1.0 if arc.sweep_rad > 0 else -1.0
    dx, dy = convex * math.cos(middle), -convex * math.sin(middle)
    outwards = 1.0 if dx >= 0 else -1.0
    for ring in range(60):
        length = 4.0 + 1.5 * ring
        for from_outside, way in ((1.0, outwards), (1.0, -outwards), (-1.0, -outwards), (-1.0, outwards)):
            knee = (tip[0] + from_outside * dx * length, tip[1] + from_outside * dy * length)
            end = (knee[0] + way * 1.5, knee[1])
            centre = (end[0] + way * (0.4 + size[0] / 2), end[1])
            extra = (0.0 if from_outside > 0 else 3.0) + (0.0 if way * from_outside == outwards else 1.0)
            yield Candidate(centre, length + 0.05 * order + extra, (tip, knee, end))


def balloons(
    canvas: Canvas, field: LabelField, frame: PlanFrame, spots: tuple[Place, ...], diameter: float
) -> None:
    """The number of its feature at every place, or at the first of each feature where there are very many."""
    every = sum(place.marks for place in spots) <= _MANY
    for place in spots:
        number = str(place.feature + 1)
        for index in range(place.marks if every else 1):
            x0, y0, x1, y1 = place.boxes[index]
            (left, low), (right, high) = frame.at((x0, y0)), frame.at((x1, y1))
            target = Box(left, high, right, low)
            placed = field.place(diameter, diameter, _balloon_places(target, diameter), must=True)
            if placed is None:
                continue
            box, candidate = placed
            if candidate.leader:
                small = min(target.width, target.height) < 6.0
                dimensions.leader(canvas, candidate.leader, arrow=small)
            dimensions.balloon(canvas, number, box)


def _balloon_places(target: Box, diameter: float) -> Iterator[Candidate]:
    """Inside, beside the middle, where there is room; else outside with a leader."""
    x, y = (target.x0 + target.x1) / 2, (target.y0 + target.y1) / 2
    inside_x = target.width / 2 - diameter / 2 - 1.0
    inside_y = target.height / 2 - diameter / 2 - 1.0
    if inside_x >= 0 and inside_y >= 0:
        for share_x in (-0.55, 0.55, -0.8, 0.8, -0.3, 0.3, 0.0):
            for share_y in (0.0, -0.7, 0.7, -1.0, 1.0):
                offset = (share_x * inside_x, share_y * inside_y)
                if math.hypot(*offset) >= diameter / 2 + 1.5:
                    yield Candidate((x + offset[0], y + offset[1]), 0.1)
    half = min(target.width, target.height) / 2
    small = half < 3.0
    reach = half if small else half * 0.6

    def tip(centre: Point) -> Point:
        distance = math.dist(centre, (x, y)) or 1.0
        return (x + (centre[0] - x) / distance * reach, y + (centre[1] - y) / distance * reach)

    for choice in around(target, (diameter, diameter), tip):
        yield Candidate(choice.centre, choice.cost + 1.0, _to_circle(choice, diameter))


def _to_circle(choice: Candidate, diameter: float) -> tuple[Point, Point]:
    """The candidate's leader, ended on the balloon's circle."""
    start, centre = choice.leader[0], choice.centre
    distance = math.dist(start, centre)
    share = max(0.0, distance - diameter / 2 - 0.05) / distance if distance > 0 else 0.0
    return (start, (start[0] + (centre[0] - start[0]) * share, start[1] + (centre[1] - start[1]) * share))


def side_labels(canvas: Canvas, field: LabelField, solid: Solid, frame: PlanFrame) -> None:
    """Numbers of the sides, outside at their middles, where the notes speak of them."""
    if not shows_sides(solid.piece):
        return
    longest: dict[int, Line] = {}
    for segment in solid.outline.segments:
        if isinstance(segment, Line) and segment.side >= 0:
            known = longest.get(segment.side)
            if known is None or segment.length_mm > known.length_mm:
                longest[segment.side] = segment
    for side, line in sorted(longest.items()):
        text = f"side {side}"
        size = canvas.text_size(text)
        placed = field.place(*size, _side_places(line, frame, size))
        if placed is not None:
            canvas.text_in(text, placed[0], clear=True)


def _side_places(line: Line, frame: PlanFrame, size: tuple[float, float]) -> Iterator[Candidate]:
    """Along the side, inside or outside, nearest its middle first."""
    (ax, ay), (bx, by) = frame.at(line.start), frame.at(line.end)
    length = math.hypot(bx - ax, by - ay) or 1.0
    inward = ((by - ay) / length, -(bx - ax) / length)
    reach = abs(inward[0]) * size[0] / 2 + abs(inward[1]) * size[1] / 2 + 0.6
    for ring in range(20):
        for share in (0.5, 0.35, 0.65, 0.2, 0.8):
            for way in (1.0, -1.0):
                away = way * (reach + 0.8 * ring)
                centre = (
                    ax + (bx - ax) * share + inward[0] * away,
                    ay + (by - ay) * share + inward[1] * away,
                )
                yield Candidate(centre, 0.8 * ring + abs(share - 0.5) + (0.2 if way < 0 else 0.0))
