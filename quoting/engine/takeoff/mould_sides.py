"""The slab's own mould: base, sides, the inner form of a drop edge, formers along treated arrises.

Levels are the piece's: z down from the show face. Cast face-down the base lies on z = 0 and the sides rise to
the casting depth; cast face-up it lies under the lowest face. Lapped sides are fixed to the base's edge, so
they are as high as the casting depth there plus the base's thickness; standing sides stand on a larger base,
which passes them by a board's thickness all round.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Final

import shapely

from quoting.engine.plane.contour import Arc, Contour, Line, Segment, to_polygon
from quoting.engine.solid.build import Solid
from quoting.engine.spec.types import DropEdge, EdgeTreatment
from quoting.engine.takeoff.mould_parts import Made, Standing, Work, together
from quoting.engine.takeoff.mould_walls import CHORD_MM, Boards, turn_deg, walls
from quoting.engine.takeoff.nesting import pieces_of, sheet_sizes
from quoting.engine.units import format_length
from quoting.engine.values import ShopTerms

LARGEST_BEAD_MM: Final = 13.0
"""Rounded edges up to here are made by the bead itself; larger ones by a hollow former (common practice)."""


def slab_work(solid: Solid, boards: Boards, terms: ShopTerms) -> Work:
    """Base, sides, drop-edge form and edge formers of a piece's slab."""
    works = [_base(solid, boards, terms), _sides(solid, boards, terms), _edge_formers(solid, boards, terms)]
    drop = solid.piece.drop_edge
    if drop is not None and solid.drop_band is not None:
        works.append(_drop_form(solid, drop, solid.drop_band[1], boards, terms))
    return together(works)


def base_level_mm(solid: Solid) -> float:
    """Level of the base's face: the show face, or the lowest outer face when cast face-up."""
    piece = solid.piece
    if piece.cast == "face-down":
        return 0.0
    return piece.drop_edge.depth_mm if piece.drop_edge else piece.thickness_mm


def casting_depth_mm(solid: Solid, segment: Segment) -> float:
    """Depth of concrete against one part of the outline: the drop edge's where the band comes to that part.

    A side without drop edge beside one with it is as high as the band, which ends against it.
    """
    piece = solid.piece
    drop = piece.drop_edge
    if drop is None:
        return piece.thickness_mm
    count = solid.outline.sides
    if drop.sides is None or count == 0:
        return drop.depth_mm
    touched = {(side + step) % count for side in drop.sides for step in (-1, 0, 1)}
    return drop.depth_mm if segment.side in touched else piece.thickness_mm


# --- base ------------------------------------------------------------------------------------------------
def _base(solid: Solid, boards: Boards, terms: ShopTerms) -> Work:
    outline, thick = solid.outline, boards.board_mm
    lapped = terms.mould_sides == "lapped"
    room = 0.0 if lapped else 2 * thick
    x0, y0, x1, y1 = outline.box_mm
    length, width = x1 - x0 + 2 * room, y1 - y0 + 2 * room
    shaped = lapped and abs(outline.area_mm2 - length * width) > 1e-6 * outline.area_mm2
    plan = (
        outline.points(CHORD_MM)
        if lapped
        else (
            (x0 - room, y0 - room),
            (x1 + room, y0 - room),
            (x1 + room, y1 + room),
            (x0 - room, y1 + room),
        )
    )
    level = base_level_mm(solid)
    face_down = solid.piece.cast == "face-down"
    span = (level - thick, level) if face_down else (level, level + thick)
    sheet_length, sheet_width = sheet_sizes(boards.board, terms)
    along, each_long = pieces_of(max(length, width), sheet_length)
    across, each_wide = pieces_of(min(length, width), sheet_width)
    if width > length:
        each_long, each_wide = each_wide, each_long
    edges = "sawn to the outline" if shaped else "square"
    notes = (
        ["Base in several boards: join them over battens, fill and sand the joint."]
        if along * across > 1
        else []
    )
    if shaped:
        notes.append("The base is sawn to the outline before the sides go on.")
    part = Made(
        "base",
        each_long,
        each_wide,
        thick,
        boards.board.code,
        edges,
        along * across,
        standing=(Standing(plan, *span),),
    )
    seams = (along - 1) * min(length, width) + (across - 1) * max(length, width)
    bead = (("base joints", seams, terms.fillet_radius_mm),) if seams else ()
    return Work(
        (part,), (seams,) if seams else (), bead, outline.perimeter_mm if shaped else 0.0, tuple(notes)
    )


# --- sides -----------------------------------------------------------------------------------------------
def _sides(solid: Solid, boards: Boards, terms: ShopTerms) -> Work:
    face_down = solid.piece.cast == "face-down"
    base = base_level_mm(solid)
    beyond = boards.board_mm if terms.mould_sides == "lapped" else 0.0

    segments = solid.outline.segments
    levels = [
        (-beyond, casting_depth_mm(solid, segment)) if face_down else (0.0, base + beyond)
        for segment in segments
    ]
    sides = walls(solid.outline, levels, boards, terms, "side")
    joints = tuple(segment.length_mm for segment in segments)
    beads = _side_beads(solid, terms)
    return Work(sides.parts, (*joints, *sides.joints_mm), beads, cautions=sides.cautions)


def _side_beads(solid: Solid, terms: ShopTerms) -> tuple[tuple[str, float, float], ...]:
    """Beads where sides meet the base, by the radius of each side's edge, and up every sharp corner."""
    outline, fillet = solid.outline, terms.fillet_radius_mm
    at = "top" if solid.piece.cast == "face-down" else "bottom"
    beads = []
    for segment in outline.segments:
        treatment = _treatment_of(solid.piece.edges, at, segment)
        radius = fillet
        if treatment is not None:
            if treatment.profile == "chamfer" or treatment.size_mm > LARGEST_BEAD_MM:
                continue
            radius = treatment.size_mm
        beads.append(("base to sides", segment.length_mm, radius))
    segments = outline.segments
    corners = 0.0
    for first, second in zip(segments, segments[1:] + segments[:1], strict=True):
        if isinstance(first, Line) and isinstance(second, Line) and turn_deg(first, second) > 0.01:
            corners += min(casting_depth_mm(solid, first), casting_depth_mm(solid, second))
    return (*beads, ("upright corners", corners, fillet))


# --- drop edge -------------------------------------------------------------------------------------------
def _drop_form(solid: Solid, drop: DropEdge, inner: Contour, boards: Boards, terms: ShopTerms) -> Work:
    """Boards inside the band: hung over the slab's underside, or boxed out on the base when cast face-up."""
    top = solid.thickness_mm + (boards.board_mm if solid.piece.cast == "face-up" else 0.0)
    levels = [(top, drop.depth_mm) if stands else None for stands in _off_the_outline(inner, drop)]
    form = _scribed(walls(inner, levels, boards, terms, "drop-edge form", inside=True), solid.outline)
    notes = (
        "Bevel the butting ends of the drop-edge form 3°: its boards strip inward, the butted ones first.",
    )
    if solid.piece.cast == "face-down":
        hung = (
            "The drop-edge form hangs from bearers across the sides, its lower edge on the slab's underside."
        )
        return Work(form.parts, form.joints_mm, notes=(*notes, hung), cautions=form.cautions)
    x0, y0, x1, y1 = inner.box_mm
    stand = Standing(inner.points(CHORD_MM), solid.thickness_mm, solid.thickness_mm + boards.board_mm)
    deck = Made(
        "drop-edge deck",
        x1 - x0,
        y1 - y0,
        boards.board_mm,
        boards.board.code,
        "sawn to shape",
        standing=(stand,),
    )
    under = "The deck lies on the drop-edge form, whose boards are ripped a board's thickness lower."
    return Work(
        (*form.parts, deck),
        (*form.joints_mm, inner.perimeter_mm),
        notes=(*notes, under),
        cautions=form.cautions,
    )


def _scribed(form: Work, outline: Contour) -> Work:
    """The form's parts where they end on the mould's sides: cut to fit there."""
    inside = to_polygon(outline, CHORD_MM)
    parts = []
    for part in form.parts:
        stands = []
        for stand in part.standing:
            plan = shapely.Polygon(stand.plan_mm)
            kept = plan.intersection(inside)
            if isinstance(kept, shapely.Polygon) and kept.area < plan.area - 0.01:
                stands.append(replace(stand, plan_mm=tuple((x, y) for x, y in kept.exterior.coords[:-1])))
            else:
                stands.append(stand)
        cut = tuple(stands) != part.standing
        edges = f"{part.edges}; end scribed to the side" if cut else part.edges
        parts.append(replace(part, standing=tuple(stands), edges=edges))
    return replace(form, parts=tuple(parts))


def _off_the_outline(inner: Contour, drop: DropEdge) -> list[bool]:
    """For each part of the band's inner contour whether it stands off the outline: the sides that drop.

    An arc stands off when the sides before and after it do; a square end of the band (side −1) always does.
    """
    listed = None if drop.sides is None or inner.sides == 0 else frozenset(drop.sides)
    segments = inner.segments

    def off(segment: Segment) -> bool:
        return listed is None or segment.side in listed or segment.side < 0

    return [
        off(segment) and (off(following) or not isinstance(segment, Arc))
        for segment, following in zip(segments, segments[1:] + segments[:1], strict=True)
    ]


# --- treated arrises -------------------------------------------------------------------------------------
def _treatment_of(edges: tuple[EdgeTreatment, ...], at: str, segment: Segment) -> EdgeTreatment | None:
    for treatment in edges:
        if treatment.at == at and (treatment.sides is None or segment.side in treatment.sides):
            return treatment
    return None


def _edge_formers(solid: Solid, boards: Boards, terms: ShopTerms) -> Work:
    """Triangular strip for chamfers, hollow former for large rounds, along the arris at the base.

    The other arris is at the open face and is worked by hand with an edging tool.
    """
    piece = solid.piece
    at_base, open_face = ("top", "bottom") if piece.cast == "face-down" else ("bottom", "top")
    parts, notes = [], []
    for segment in solid.outline.segments:
        treatment = _treatment_of(piece.edges, at_base, segment)
        if treatment is None or (treatment.profile == "round" and treatment.size_mm <= LARGEST_BEAD_MM):
            continue
        size = treatment.size_mm
        kind = "chamfer strip" if treatment.profile == "chamfer" else "hollow edge former"
        cut = (
            "ripped at 45°"
            if treatment.profile == "chamfer"
            else f"hollow of {format_length(size, terms.unit_system)}"
        )
        count, each = pieces_of(segment.length_mm, sheet_sizes(boards.board, terms)[0])
        parts.append(Made(kind, each, size, size, boards.board.code, f"{cut}, ends mitred", count))
    if any(treatment.at == open_face for treatment in piece.edges):
        notes.append("The arris at the open face is worked with an edging tool while the concrete is green.")
    for void in solid.voids:
        if void.edges:
            notes.append(
                "Treated rims of openings: bead or strip round the foot of the knock-out, edging tool above."
            )
    return Work(tuple(parts), notes=tuple(dict.fromkeys(notes)))
