"""Strips of board along a contour: a mould's sides, the inner form of a drop edge, a trough's outer form.

Straight sides are board; curves are bendable strip as long as the developed edge, its face on the curve.
At a right-angled corner the longer strip laps the shorter (of two alike, the one of even number): there
the lapping strip is a board's thickness longer, or, where strips crowd into an inner corner, the other a
board's thickness shorter. At any other angle both are mitred by half the turn. Where a small radius leaves no
room for the boards behind it, they meet in a mitre, its corner rounded over. Lengths are over all.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from quoting.engine.plane.contour import Arc, Contour, Ellipse, Line, Segment
from quoting.engine.plane.shapes import Point
from quoting.engine.takeoff.lines import Caution
from quoting.engine.takeoff.mould_parts import Made, Standing, Work
from quoting.engine.takeoff.nesting import pieces_of
from quoting.engine.units import format_length
from quoting.engine.values import Material, ShopTerms

CHORD_MM = 0.005
LEAST_INSIDE_MM = 40.0
"""Room inside a box of boards that a driver can be turned in (our rule); narrower ones are solid foam."""
_RIGHT_ANGLE_DEG = 90.0
_ANGLE_DUST_DEG = 0.01

Levels = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Boards:
    """What walls are made of: board for straight sides, bendable strip for curves (None: no curves)."""

    board: Material
    strip: Material | None
    board_mm: float
    strip_mm: float
    longest_mm: float
    """Usable length of the largest sheet of board the shop has, and its width."""
    widest_mm: float
    strip_longest_mm: float = 0.0


@dataclass(frozen=True, slots=True)
class _End:
    """How a strip ends: how far its two faces pass the contour's corner, and how it is cut."""

    face_mm: float = 0.0
    back_mm: float = 0.0
    cut: str = "square"
    rounded: tuple[Point, ...] = ()
    """Half the rounded corner, from the end of the straight face outward."""
    back: Point | None = None
    """Where the backs meet behind a rounded corner."""


def has_curves(contour: Contour) -> bool:
    """Whether any part of a contour asks for bendable strip."""
    return any(not isinstance(segment, Line) for segment in contour.segments)


def walls(
    contour: Contour,
    levels: Sequence[Levels | None],
    boards: Boards,
    terms: ShopTerms,
    name: str,
    *,
    inside: bool = False,
) -> Work:
    """Strips with their face on the contour, outside it (or inside), between the levels of each segment.

    `levels` is (top, bottom) in mm for each segment, None where no strip is wanted. Every corner between two
    strips is a screwed joint as high as the lower of them.
    """
    segments = contour.segments
    sign = -1.0 if inside else 1.0
    parts: list[Made] = []
    joints: list[float] = []
    cautions: list[Caution] = []
    count = len(segments)
    for i, (segment, span) in enumerate(zip(segments, levels, strict=True)):
        if span is None:
            continue
        before, after = (i - 1) % count, (i + 1) % count
        if _rounded_over(segments, i, levels, boards.board_mm, sign):
            joints.append(span[1] - span[0])
            continue
        if not isinstance(segment, Line):
            parts.append(_bent(segment, span, boards, terms, name, sign))
            cautions += _too_tight(segment, boards, terms)
        else:
            start = _end(segments, before, i, levels, boards.board_mm, sign, terms.unit_system)[1]
            end = _end(segments, i, after, levels, boards.board_mm, sign, terms.unit_system)[0]
            parts.append(_straight(segment, span, start, end, boards, terms, name, sign))
        neighbour = levels[after]
        if (
            count > 1
            and neighbour is not None
            and not _rounded_over(segments, after, levels, boards.board_mm, sign)
        ):
            joints.append(min(span[1] - span[0], neighbour[1] - neighbour[0]))
    return Work(tuple(parts), tuple(joints), cautions=tuple(cautions))


# --- straight strips -------------------------------------------------------------------------------------
def _end(
    segments: Sequence[Segment],
    i: int,
    j: int,
    wanted: Sequence[Levels | None],
    board_mm: float,
    sign: float,
    system: str,
) -> tuple[_End, _End]:
    """Ends of strip i and of strip j where they meet, i before j counter-clockwise."""
    first, second = segments[i], segments[j]
    if isinstance(second, Arc) and _rounded_over(segments, j, wanted, board_mm, sign):
        return _round_end(second, board_mm, system, first_half=True), _End()
    if isinstance(first, Arc) and _rounded_over(segments, i, wanted, board_mm, sign):
        return _End(), _round_end(first, board_mm, system, first_half=False)
    if wanted[i] is None or wanted[j] is None or not (isinstance(first, Line) and isinstance(second, Line)):
        return _End(), _End()
    turn = turn_deg(first, second)
    if abs(turn) < _ANGLE_DUST_DEG:
        return _End(), _End()
    spread = sign * turn
    if abs(abs(turn) - _RIGHT_ANGLE_DEG) > _ANGLE_DUST_DEG:
        share = board_mm * math.tan(math.radians(spread / 2))
        cut = _End(0.0, share, f"{abs(turn) / 2:.1f}° mitre")
        return cut, cut
    laps, butts = (_End(board_mm, board_mm), _End()) if spread > 0 else (_End(), _End(-board_mm, -board_mm))
    rise = _height(wanted[i]) - _height(wanted[j])
    # Against a lower strip a higher one must run through, or it would leak above it.
    over = rise > 0 if spread < 0 and rise != 0 else _laps_over(first, second)
    return (laps, butts) if over else (butts, laps)


def _height(levels: Levels | None) -> float:
    return levels[1] - levels[0] if levels is not None else 0.0


def _rounded_over(
    segments: Sequence[Segment], i: int, wanted: Sequence[Levels | None], board_mm: float, sign: float
) -> bool:
    """Whether arc i is a corner too tight for the boards behind it, which then make it between them."""
    arc, count = segments[i], len(segments)
    around = ((i - 1) % count, (i + 1) % count)
    return (
        isinstance(arc, Arc)
        and sign * arc.sweep_rad < 0
        and arc.radius_mm < board_mm
        and abs(arc.sweep_rad) < math.radians(150)
        and all(isinstance(segments[k], Line) and wanted[k] is not None for k in around)
        and wanted[i] is not None
    )


def _round_end(arc: Arc, board_mm: float, system: str, *, first_half: bool) -> _End:
    half = abs(arc.sweep_rad) / 2
    steps = max(2, math.ceil(half / (2 * math.acos(max(0.5, 1 - CHORD_MM / arc.radius_mm)))))
    start = arc.start_rad if first_half else arc.start_rad + arc.sweep_rad
    points = tuple(
        arc.at(start + math.copysign(half, arc.sweep_rad if first_half else -arc.sweep_rad) * k / steps)
        for k in range(1, steps + 1)
    )
    beyond = (board_mm - arc.radius_mm) / math.cos(half) / arc.radius_mm
    (cx, cy), (mx, my) = arc.centre, points[-1]
    reach = arc.radius_mm * math.tan(half)
    words = f"{math.degrees(half):.1f}° mitre, rounded over to {format_length(arc.radius_mm, system)},"
    return _End(reach, 0.0, words, points, (cx + (cx - mx) * beyond, cy + (cy - my) * beyond))


def turn_deg(first: Line, second: Line) -> float:
    """Turn from one straight side to the next in degrees: above zero to the left, as at a convex corner."""
    (ax, ay), (bx, by) = _along(first), _along(second)
    return math.degrees(math.atan2(ax * by - ay * bx, ax * bx + ay * by))


def _laps_over(first: Line, second: Line) -> bool:
    difference = first.length_mm - second.length_mm
    if abs(difference) > 1e-6:
        return difference > 0
    if (first.side % 2 == 0) != (second.side % 2 == 0):
        return first.side % 2 == 0
    return first.side < second.side


def _along(line: Line) -> Point:
    length = line.length_mm
    return (line.end[0] - line.start[0]) / length, (line.end[1] - line.start[1]) / length


def _straight(
    line: Line,
    span: Levels,
    start: _End,
    end: _End,
    boards: Boards,
    terms: ShopTerms,
    name: str,
    sign: float,
) -> Made:
    (ux, uy), thick = _along(line), boards.board_mm
    nx, ny = sign * uy * thick, -sign * ux * thick
    (x0, y0), (x1, y1) = line.start, line.end
    begin = (
        [*reversed(start.rounded), line.start]
        if start.rounded
        else [(x0 - ux * start.face_mm, y0 - uy * start.face_mm)]
    )
    finish = [line.end, *end.rounded] if end.rounded else [(x1 + ux * end.face_mm, y1 + uy * end.face_mm)]
    behind = end.back or (x1 + ux * end.back_mm + nx, y1 + uy * end.back_mm + ny)
    before = start.back or (x0 - ux * start.back_mm + nx, y0 - uy * start.back_mm + ny)
    plan = (*begin, *finish, behind, before)
    over_all = line.length_mm + max(start.face_mm, start.back_mm) + max(end.face_mm, end.back_mm)
    count, each = pieces_of(over_all, boards.longest_mm)
    cuts = _cut_words(start.cut, end.cut)
    return Made(
        name=name,
        length_mm=each,
        width_mm=span[1] - span[0],
        thickness_mm=thick,
        material=boards.board.code,
        edges=cuts if count == 1 else f"{cuts}; butted end to end with a cleat behind",
        quantity=count,
        standing=(Standing(plan, *span),),
    )


def _cut_words(start: str, end: str) -> str:
    if start == end:
        return start if start == "square" else f"{start} both ends"
    mitred = [cut for cut in (start, end) if cut != "square"]
    return f"{mitred[0]} one end" if len(mitred) == 1 else f"{start} one end, {end} the other"


# --- bendable strips -------------------------------------------------------------------------------------
def _bent(
    segment: Arc | Ellipse, span: Levels, boards: Boards, terms: ShopTerms, name: str, sign: float
) -> Made:
    strip = boards.strip
    assert strip is not None, "a contour with curves comes with bendable strip"  # noqa: S101
    count, each = pieces_of(segment.length_mm, boards.strip_longest_mm)
    return Made(
        name=f"{name}, curved",
        length_mm=each,
        width_mm=span[1] - span[0],
        thickness_mm=boards.strip_mm,
        material=strip.code,
        edges="square" if count == 1 else "square; butted end to end",
        quantity=count,
        bend_radius_mm=round(least_radius_mm(segment), 3),
        standing=tuple(Standing(plan, *span) for plan in _curved_plans(segment, sign * boards.strip_mm)),
    )


def least_radius_mm(segment: Arc | Ellipse) -> float:
    """Tightest radius of a curve in mm: of an ellipse b²/a, with any parallel distance on top."""
    if isinstance(segment, Arc):
        return segment.radius_mm
    a, b = max(segment.semi_x_mm, segment.semi_y_mm), min(segment.semi_x_mm, segment.semi_y_mm)
    return b * b / a + segment.offset_mm


def _curved_plans(segment: Arc | Ellipse, thick_mm: float) -> tuple[tuple[Point, ...], ...]:
    """Footprints of a bent strip: one band, or two halves where the curve closes on itself."""
    if isinstance(segment, Ellipse):
        angles = segment.angles(CHORD_MM)
        other = segment.grown(thick_mm)
        face = [segment.facing(angle) for angle in [*angles, angles[0]]]
        back = [other.facing(angle) for angle in [*angles, angles[0]]]
    else:
        outward = thick_mm if segment.sweep_rad > 0 else -thick_mm
        radius = segment.radius_mm
        step = 2 * math.acos(max(0.5, 1 - CHORD_MM / max(radius, radius + outward)))
        steps = max(2, 2 * math.ceil(abs(segment.sweep_rad) / step / 2))
        turns = [segment.start_rad + segment.sweep_rad * k / steps for k in range(steps + 1)]
        ways = [(math.cos(turn), math.sin(turn)) for turn in turns]
        x, y = segment.centre
        face = [(x + radius * cos, y + radius * sin) for cos, sin in ways]
        if abs(segment.sweep_rad) > 2 * math.pi - 1e-9:
            face[-1] = face[0]
        wide = max(radius + outward, 1e-6)
        back = [(x + wide * cos, y + wide * sin) for cos, sin in ways]
    middle = len(face) // 2
    if face[0] != face[-1]:
        return ((*face, *reversed(back)),)
    return (
        (*face[: middle + 1], *reversed(back[: middle + 1])),
        (*face[middle:], *reversed(back[middle:])),
    )


def _too_tight(segment: Arc | Ellipse, boards: Boards, terms: ShopTerms) -> tuple[Caution, ...]:
    strip = boards.strip
    least = strip.least_bend_radius_mm if strip is not None else None
    radius = least_radius_mm(segment)
    if strip is None or least is None or radius >= least - 1e-6:
        return ()
    text = (
        f"A curve of {format_length(radius, terms.unit_system)} is tighter than {strip.name} bends "
        f"({format_length(least, terms.unit_system)}): take thinner strip, kerf it, or shape a solid block."
    )
    return (Caution("bend_radius", text, "price list, least bend radius"),)
