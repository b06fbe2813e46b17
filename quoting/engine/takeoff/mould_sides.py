"""The slab's own mould: base, sides, the inner form of a drop edge.

Levels are the piece's: z down from the show face. Cast face-down the base lies on z = 0 and the sides rise to
the casting depth; cast face-up it lies under the lowest face. Lapped sides are fixed to the base's edge, so
they are as high as the casting depth there plus the base's thickness; standing sides stand on a larger base,
which passes them by a board's thickness all round.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import shapely

from quoting.engine.plane.contour import Arc, Contour, Line, Segment, to_polygon
from quoting.engine.solid.build import Solid
from quoting.engine.spec.types import DropEdge
from quoting.engine.takeoff.mould_edges import edge_work, needs_former, treatment_of
from quoting.engine.takeoff.mould_parts import Made, Standing, Work, together
from quoting.engine.takeoff.mould_voids import block
from quoting.engine.takeoff.mould_walls import CHORD_MM, LEAST_INSIDE_MM, Boards, turn_deg, walls
from quoting.engine.takeoff.nesting import panels_of
from quoting.engine.values import Material, ShopTerms


def slab_work(solid: Solid, boards: Boards, foams: Sequence[Material], terms: ShopTerms) -> Work:
    """Base, sides, drop-edge form and edge formers of a piece's slab."""
    works = [
        _base(solid, boards, terms),
        _sides(solid, boards, terms),
        edge_work(solid, base_level_mm(solid), boards, terms),
    ]
    drop = solid.piece.drop_edge
    if drop is not None and solid.drop_band is not None:
        works.append(_drop_form(solid, drop, solid.drop_band[1], boards, foams, terms))
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
    """The base, in as many boards as its size asks for; cast face-up, a trough's outside is sawn out."""
    outline, thick = solid.outline, boards.board_mm
    lapped = terms.mould_sides == "lapped"
    room = 0.0 if lapped else 2 * thick
    x0, y0, x1, y1 = outline.box_mm
    length, width = x1 - x0 + 2 * room, y1 - y0 + 2 * room
    shaped = lapped and abs(outline.area_mm2 - length * width) > 1e-6 * outline.area_mm2
    square = ((x0 - room, y0 - room), (x1 + room, y0 - room), (x1 + room, y1 + room), (x0 - room, y1 + room))
    plan = outline.points(CHORD_MM) if lapped else square
    level = base_level_mm(solid)
    span = (level - thick, level) if solid.piece.cast == "face-down" else (level, level + thick)
    holes = trough_holes(solid, level)
    stand = Standing(plan, *span, holes_mm=tuple(hole.points(CHORD_MM) for hole in holes))
    count, each_long, each_wide = panels_of(length, width, (boards.longest_mm, boards.widest_mm))
    along, across = round(length / each_long), round(width / each_wide)
    seams = (along - 1) * width + (across - 1) * length
    edges = "sawn to the outline" if shaped else "square"
    part = Made("base", each_long, each_wide, thick, boards.board.code, edges, count, standing=(stand,))
    notes = []
    if count > 1:
        notes.append("Base in several boards: join them over battens, fill and sand the joint.")
    if shaped:
        notes.append("The base is sawn to the outline before the sides go on.")
    if holes:
        notes.append("The base is sawn out to the trough's outside; its form hangs below.")
    bead = (("base joints", seams, terms.fillet_radius_mm),) if seams else ()
    sawn = (outline.perimeter_mm if shaped else 0.0) + sum(hole.perimeter_mm for hole in holes)
    return Work((part,), (seams,) if seams else (), bead, sawn, tuple(notes))


def trough_holes(solid: Solid, level_mm: float) -> list[Contour]:
    """Outsides of the troughs that pass below a board at a level, cast face-up."""
    if solid.piece.cast == "face-down":
        return []
    return [body.outer for body in solid.troughs if body.bottom_mm > level_mm]


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
        treatment = treatment_of(solid.piece.edges, at, segment)
        if not needs_former(treatment):
            radius = treatment.size_mm if treatment else fillet
            beads.append(("base to sides", segment.length_mm, radius))
    segments = outline.segments
    corners = 0.0
    for first, second in zip(segments, segments[1:] + segments[:1], strict=True):
        if isinstance(first, Line) and isinstance(second, Line) and turn_deg(first, second) > 0.01:
            corners += min(casting_depth_mm(solid, first), casting_depth_mm(solid, second))
    return (*beads, ("upright corners", corners, fillet))


# --- drop edge -------------------------------------------------------------------------------------------
def narrow_form(solid: Solid, board_mm: float) -> bool:
    """Whether there is no room for boards inside a drop edge's band: its form is then solid foam."""
    drop = solid.piece.drop_edge
    if drop is None or solid.drop_band is None:
        return False
    x0, y0, x1, y1 = solid.drop_band[1].box_mm
    flat = solid.piece.cast == "face-up" and drop.depth_mm - solid.thickness_mm <= 2 * board_mm
    return flat or min(x1 - x0, y1 - y0) < 2 * board_mm + LEAST_INSIDE_MM


def _drop_form(
    solid: Solid, drop: DropEdge, inner: Contour, boards: Boards, foams: Sequence[Material], terms: ShopTerms
) -> Work:
    """Boards inside the band: hung over the slab's underside, or boxed out on the base when cast face-up."""
    if narrow_form(solid, boards.board_mm):
        x0, y0, x1, y1 = inner.box_mm
        levels_mm = (solid.thickness_mm, drop.depth_mm)
        made = block("drop-edge form", inner, (x1 - x0, y1 - y0), levels_mm, foams)
        sawn = inner.perimeter_mm * sum(part.quantity for part in made)
        return Work(tuple(made), sawn_mm=sawn, notes=("The drop-edge form is solid foam: dig it out.",))
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
    thick = boards.board_mm
    holes = tuple(hole.points(CHORD_MM) for hole in trough_holes(solid, solid.thickness_mm))
    stand = Standing(inner.points(CHORD_MM), solid.thickness_mm, top, holes_mm=holes)
    edges = "sawn to shape"
    deck = Made("drop-edge deck", x1 - x0, y1 - y0, thick, boards.board.code, edges, standing=(stand,))
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
