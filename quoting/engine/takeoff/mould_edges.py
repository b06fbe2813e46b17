"""Formers along treated arrises at the mould's base: strip for chamfers, hollow former for large rounds.

Rounds up to 13 mm are made by the sealant's bead itself. The other arris is at the open face and is worked by
hand with an edging tool.
"""

from __future__ import annotations

import math
from typing import Final

from quoting.engine.plane.contour import Arc, Contour, Ellipse, Line, Segment
from quoting.engine.plane.shapes import Point
from quoting.engine.solid.build import Solid
from quoting.engine.spec.types import EdgeTreatment
from quoting.engine.takeoff.mould_parts import Made, Standing, Work
from quoting.engine.takeoff.mould_walls import CHORD_MM, Boards, turn_deg
from quoting.engine.takeoff.nesting import pieces_of
from quoting.engine.units import format_length
from quoting.engine.values import ShopTerms

LARGEST_BEAD_MM: Final = 13.0
"""Rounded edges up to here are made by the bead itself; larger ones by a hollow former (common practice)."""


def treatment_of(edges: tuple[EdgeTreatment, ...], at: str, segment: Segment) -> EdgeTreatment | None:
    """The treatment of one part of an outline's top or bottom arris, None where it stays square."""
    for treatment in edges:
        if treatment.at == at and (treatment.sides is None or segment.side in treatment.sides):
            return treatment
    return None


def needs_former(treatment: EdgeTreatment | None) -> bool:
    """Whether an edge is formed by a strip rather than by the bead."""
    return treatment is not None and (treatment.profile == "chamfer" or treatment.size_mm > LARGEST_BEAD_MM)


def edge_work(solid: Solid, level_mm: float, boards: Boards, terms: ShopTerms) -> Work:
    """Formers along the arris at the base, whose face is at `level_mm`, and notes on the other arris."""
    piece = solid.piece
    at_base, open_face = ("top", "bottom") if piece.cast == "face-down" else ("bottom", "top")
    parts, notes = [], []
    for i, segment in enumerate(solid.outline.segments):
        treatment = treatment_of(piece.edges, at_base, segment)
        if treatment is not None and needs_former(treatment):
            parts.append(_former(solid, i, treatment, level_mm, boards, terms))
    if any(treatment.at == open_face for treatment in piece.edges):
        notes.append("The arris at the open face is worked with an edging tool while the concrete is green.")
    if any(void.edges for void in solid.voids):
        notes.append(
            "Treated rims of openings: bead or strip round the foot of the knock-out, edging tool above."
        )
    return Work(tuple(parts), notes=tuple(notes))


def _former(
    solid: Solid, i: int, treatment: EdgeTreatment, level_mm: float, boards: Boards, terms: ShopTerms
) -> Made:
    segment, size = solid.outline.segments[i], treatment.size_mm
    count, each = pieces_of(segment.length_mm, boards.longest_mm)
    if treatment.profile == "round":
        hollow = f"hollow of {format_length(size, terms.unit_system)}, ends mitred"
        return Made("hollow edge former", each, size, size, boards.board.code, hollow, count)
    wide, thin = _strip_plans(solid.outline, i, solid.piece.edges, treatment)
    stand = (
        Standing(wide, 0.0, size, thin)
        if solid.piece.cast == "face-down"
        else Standing(thin, level_mm - size, level_mm, wide)
    )
    cut = "ripped at 45°, ends mitred"
    return Made("chamfer strip", each, size, size, boards.board.code, cut, count, standing=(stand,))


def _strip_plans(
    outline: Contour, i: int, edges: tuple[EdgeTreatment, ...], treatment: EdgeTreatment
) -> tuple[tuple[Point, ...], tuple[Point, ...]]:
    """Footprint of a chamfer strip at the base, and where it has run out to the outline's line."""
    segments, size = outline.segments, treatment.size_mm
    segment = segments[i]
    if isinstance(segment, Arc | Ellipse):
        edge, inner = _bent_lines(segment, size)
        return (*edge, *reversed(inner)), (*edge, *reversed(edge))
    before, after = segments[i - 1], segments[(i + 1) % len(segments)]
    length = segment.length_mm
    ux, uy = (segment.end[0] - segment.start[0]) / length, (segment.end[1] - segment.start[1]) / length
    near = _run_in(before, segment, before, edges, treatment)
    far = _run_in(segment, after, after, edges, treatment)
    (x0, y0), (x1, y1) = segment.start, segment.end
    within = (
        (x1 - ux * far - uy * size, y1 - uy * far + ux * size),
        (x0 + ux * near - uy * size, y0 + uy * near + ux * size),
    )
    return (segment.start, segment.end, *within), (segment.start, segment.end, segment.end, segment.start)


def _run_in(
    first: Segment, second: Segment, other: Segment, edges: tuple[EdgeTreatment, ...], own: EdgeTreatment
) -> float:
    """How far the strip's inner end lies in from its corner, mitred with a treated neighbour or not."""
    if not (isinstance(first, Line) and isinstance(second, Line)):
        return 0.0
    turn = math.radians(turn_deg(first, second))
    if abs(turn) < 1e-9:
        return 0.0
    neighbour = treatment_of(edges, own.at, other)
    if neighbour is not None and neighbour.profile == "chamfer":
        return own.size_mm * math.tan(turn / 2)
    return -own.size_mm / math.tan(turn)


def _bent_lines(segment: Arc | Ellipse, size_mm: float) -> tuple[list[Point], list[Point]]:
    """The curve and its parallel inside, as many points on both."""
    if isinstance(segment, Ellipse):
        angles = [*segment.angles(CHORD_MM), segment.angles(CHORD_MM)[0]]
        within = segment.grown(-size_mm)
        return [segment.facing(t) for t in angles], [within.facing(t) for t in angles]
    radius = segment.radius_mm - math.copysign(size_mm, segment.sweep_rad)
    step = 2 * math.acos(max(0.5, 1 - CHORD_MM / segment.radius_mm))
    steps = max(2, math.ceil(abs(segment.sweep_rad) / step))
    turns = [segment.start_rad + segment.sweep_rad * k / steps for k in range(steps + 1)]
    inside = Arc(segment.centre, max(radius, 0.0), segment.start_rad, segment.sweep_rad, segment.side)
    return [segment.at(t) for t in turns], [inside.at(t) for t in turns]
