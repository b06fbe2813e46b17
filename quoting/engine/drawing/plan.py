"""The plan: the piece seen from above, dimensioned, its features numbered and listed."""

from __future__ import annotations

from dataclasses import dataclass

from quoting.engine.drawing import dimensions, plan_marks, sheet
from quoting.engine.drawing.canvas import Canvas
from quoting.engine.drawing.cut_at import Axis, CutAt, default_cut
from quoting.engine.drawing.labels import LabelField
from quoting.engine.drawing.paths import PlanFrame
from quoting.engine.drawing.places import Place, breaks, places
from quoting.engine.drawing.plan_labels import balloons, cut_marks, radius_labels, side_labels
from quoting.engine.drawing.sheet import Entry
from quoting.engine.drawing.style import SheetStyle, scale_for, scale_text, style_for
from quoting.engine.drawing.text import length_text, unit_note
from quoting.engine.drawing.values import Drawing, TitleBlock
from quoting.engine.drawing.wording import count, described, name, piece_notes, sizes
from quoting.engine.plane.shapes import Oval, Round
from quoting.engine.solid.build import Solid
from quoting.engine.solid.measure import Geometry

_CUT_ZONE = 7.0
_MOST_HIGH = 125.0
_PITCH = 3.8


@dataclass(frozen=True, slots=True)
class _Layout:
    """What is decided before the first line is drawn."""

    frame: PlanFrame
    style: SheetStyle
    system: str
    running: bool
    """Whether running dimensions find room for every feature; else the schedule gives coordinates."""


def plan(
    solid: Solid,
    geometry: Geometry,
    *,
    system: str,
    compact: bool = False,
    block: TitleBlock | None = None,
    cut: CutAt | None = None,
    prefix: str = "plan",
) -> Drawing:
    """Draw the dimensioned plan of a piece.

    Overall sizes outermost, running dimensions from the lower-left corner to the middle of every feature,
    radii, numbered features with a schedule, hidden edges dashed, the cutting plane A–A marked. `system` is
    `metric` (mm) or `us` (inches to 1/16). `compact` is for a phone: larger lettering, overall sizes only, no
    title block.
    `prefix` keeps element ids apart where several drawings share a page. Lengths come from the solid.
    """
    layout = _layout(solid, system, compact)
    canvas = Canvas(layout.style)
    frame = layout.frame
    outline = frame.box(solid.outline)
    field = LabelField()
    section = None if compact else cut or default_cut(solid)
    plan_marks.draw(canvas, field, solid, frame, section)
    if section is not None:
        cut_marks(canvas, field, section, frame, outline)
    _dimensions(canvas, field, solid, layout, section)
    right = max(canvas.extent.x0 + layout.style.width - 2 * layout.style.margin, outline.x1 + 1.0)
    field.limit(
        # below and left of the piece is ground for dimensions
        lambda box: box.y1 <= outline.y1 - 1.0 and box.x0 >= outline.x0 + 1.0 and box.x1 <= right
    )
    spots = places(solid)
    entries = _schedule(solid, layout, spots)
    radius_labels(canvas, field, solid, frame, system)
    balloons(canvas, field, frame, spots, sheet.balloon_size(canvas, entries))
    if not compact:
        side_labels(canvas, field, solid, frame)
    piece = solid.piece
    return sheet.finish(
        canvas,
        title=f"Plan of {piece.name}",
        description=f"Seen from above. {described(piece, geometry, system)}",
        prefix=prefix,
        scale=scale_text(frame.denominator),
        unit=unit_note(system),
        notes=entries,
        block=block,
    )


def _layout(solid: Solid, system: str, compact: bool) -> _Layout:
    style = style_for(compact=compact)
    x0, y0, x1, y1 = solid.outline.box_mm
    left = 12.0 if compact else 33.0 + (6.0 if system == "us" else 0.0)
    room = style.width - 2 * style.margin - left - (2.0 if compact else 8.0)
    length, width = x1 - x0, y1 - y0
    high = room * 1.1 if compact else _MOST_HIGH
    governing = max(length, width * room / high)
    # a phone's drawing fills the width it has, since nobody measures on it
    denominator = governing / room if compact else scale_for(governing, room, system)
    room_for = [max(1.3 * size / denominator, 50.0) / _PITCH for size in (length, width)]
    points = [point for place in places(solid) for point in place.points]
    running = all(
        len({round(point[axis], 1) for point in points} | set(breaks(solid)[axis])) <= room_for[axis]
        for axis in (0, 1)
    )
    return _Layout(PlanFrame((0.0, 0.0), denominator), style, system, running)


def _dimensions(
    canvas: Canvas, field: LabelField, solid: Solid, layout: _Layout, section: CutAt | None
) -> None:
    """Running dimensions nearest the piece, overall sizes outside them."""
    frame, system = layout.frame, layout.system
    box = frame.box(solid.outline)
    spots = places(solid) if layout.running else ()
    below = _CUT_ZONE if section is not None and section.axis == "x" else 0.0
    beside = _CUT_ZONE if section is not None and section.axis == "y" else 0.0
    length_at, width_at = box.y1 + below + 6.0, box.x0 - beside - 6.0
    if not canvas.style.compact and (spots or breaks(solid)[0]):
        taken = _drawn_already(solid, section, "x")
        ordinates = _ordinates(spots, breaks(solid)[0], taken, frame, 0, system)
        depth = dimensions.running(canvas, ordinates, box.x0, box.y1 + below, field=field)
        length_at = box.y1 + below + depth + 5.5
    if not canvas.style.compact and (spots or breaks(solid)[1]):
        taken = _drawn_already(solid, section, "y")
        ordinates = _ordinates(spots, breaks(solid)[1], taken, frame, 1, system)
        depth = dimensions.running(canvas, ordinates, box.y1, box.x0 - beside, vertical=True, field=field)
        width_at = box.x0 - beside - depth - 2.0
    x0, y0, x1, y1 = solid.outline.box_mm
    is_round = isinstance(solid.piece.outline, Round)
    sign = "⌀" if is_round else ""
    dimensions.linear(
        canvas,
        (box.x0, box.x1),
        length_at,
        sign + length_text(x1 - x0, system),
        reach=(box.y1, box.y1),
    )
    if not is_round:
        dimensions.linear(
            canvas,
            (box.y0, box.y1),
            width_at,
            length_text(y1 - y0, system),
            vertical=True,
            reach=(box.x0, box.x0),
        )


def _drawn_already(solid: Solid, section: CutAt | None, axis: Axis) -> set[float]:
    """Positions where a centre line or the cutting plane runs, so that no extension line covers it."""
    taken = {round(section.at_mm, 1)} if section is not None and section.axis == axis else set()
    if isinstance(solid.piece.outline, Round | Oval):
        x0, y0, x1, y1 = solid.outline.box_mm
        taken.add(round((x0 + x1) / 2 if axis == "x" else (y0 + y1) / 2, 1))
    return taken


def _ordinates(
    spots: tuple[Place, ...],
    breaks_mm: tuple[float, ...],
    taken: set[float],
    frame: PlanFrame,
    axis: int,
    system: str,
) -> list[dimensions.Ordinate]:
    """One running dimension for each distinct position, its line starting at the nearest feature there."""
    starts: dict[float, float] = {}
    for place in spots:
        for point, contour_box in zip(place.points, place.boxes, strict=True):
            near = contour_box[1] if axis == 0 else contour_box[0]
            key = round(point[axis], 1)
            starts[key] = min(starts.get(key, near), near)
    for value in (0.0, *breaks_mm, *(value for value in taken if value in starts)):
        starts[value] = 0.0
    result = []
    for value, near in sorted(starts.items()):
        x, y = frame.at((value, near) if axis == 0 else (near, value))
        position, reach = (x, y) if axis == 0 else (y, x)
        result.append(dimensions.Ordinate(position, reach, length_text(value, system)))
    return result


def _schedule(solid: Solid, layout: _Layout, spots: tuple[Place, ...]) -> list[Entry]:
    """Notes on the whole piece, then a line a feature; with coordinates where no dimension carries them."""
    system = layout.system
    entries = [Entry(". ".join(piece_notes(solid.piece, system)) + ".")]
    for index, feature in enumerate(solid.piece.features):
        number = count(feature)
        many = f"{number} × " if number > 1 else ""
        text = f"{many}{name(feature)}: {sizes(feature, system)}"
        if not layout.style.compact and not layout.running:
            pairs = [
                f"({length_text(x, system)},\u00a0{length_text(y, system)})"
                for place in spots
                if place.feature == index
                for x, y in place.points
            ]
            text += f"; at {' '.join(pairs)}"
        entries.append(Entry(text, str(index + 1)))
    return entries
