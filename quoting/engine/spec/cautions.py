"""What can be cast but is risky: each caution says why and what to do. The limits are common practice."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

import shapely

from quoting.engine.plane.contour import contour_of
from quoting.engine.plane.corners import bends
from quoting.engine.plane.shapes import Shape
from quoting.engine.spec import types as spec
from quoting.engine.spec.footprints import NEAR_MM, Footprint, footprints, region_of
from quoting.engine.spec.wording import GUARD_MM, Words

COMMON_PRACTICE: Final = "common practice"

# All limits below are common practice in small shops, from memory; a caution is advice, never a check.
THIN_SLAB_MM: Final = 25.0
SLENDER: Final = 60.0  # longest side over thickness
LONG_MM: Final = 3000.0
UNREINFORCED_MM: Final = 1000.0
STRIP_MM: Final = 50.0  # concrete beside a large void
LARGE_VOID_MM: Final = 150.0
SHARP_RADIUS_MM: Final = 3.0
BEHIND_POCKET_MM: Final = 15.0
LEDGE_MM: Final = 8.0
WALL_MM: Final = 20.0
BAND_MM: Final = 25.0
COVER_MM: Final = 10.0
MESH_ROOM_MM: Final = 12.0  # two crossing wires of 6 mm
KNIFE_MM: Final = 3.0
ACUTE_DEG: Final = 45.0


@dataclass(frozen=True, slots=True)
class SpecCaution:
    """A risk seen in a specification: `path` leads to the value, `text` is one plain sentence."""

    code: str
    path: str
    text: str
    source: str = COMMON_PRACTICE


def cautions(piece: spec.Piece, system: str = "metric") -> tuple[SpecCaution, ...]:
    """Every caution about a castable piece, in the order of its document; `system` is the reader's.

    >>> thin = spec.Piece("Tile", "mm", 20.0, spec.Rectangle(300.0, 300.0))
    >>> [caution.code for caution in cautions(thin)]
    ['thin_slab']
    """
    words = Words(system)
    return (
        *_slab(piece, words),
        *_corners("outline", piece.outline, reflex_only=True),
        *_edges(piece, words),
        *_features(piece, words),
        *_strips(piece, words),
        *_steel(piece, words),
        *_finish(piece),
    )


def _slab(piece: spec.Piece, words: Words) -> Iterator[SpecCaution]:
    thickness = piece.thickness_mm
    x0, y0, x1, y1 = contour_of(piece.outline).box_mm
    longest = max(x1 - x0, y1 - y0)
    if thickness < THIN_SLAB_MM:
        yield SpecCaution(
            "thin_slab",
            "thickness",
            f"A slab of {words.of(thickness)} cracks easily in stripping and turning: use a fibre mix, or"
            f" make it {words.least(THIN_SLAB_MM)} or more.",
        )
    if longest > SLENDER * thickness:
        yield SpecCaution(
            "slender",
            "thickness",
            f"{words.of(longest)} long on {words.of(thickness)} is slender: support it along its length,"
            " carry it on edge, and make it thicker where it must span.",
        )
    if longest > LONG_MM:
        yield SpecCaution(
            "long_piece",
            "outline",
            f"A piece over {words.of(LONG_MM)} is hard to turn and to bring in: check the way in, plan"
            " lifting gear, or cast it in parts.",
        )


def _corners(path: str, shape: Shape, reflex_only: bool) -> Iterator[SpecCaution]:
    """Sharp corners where cracks start (reflex in an outline, any in a void), points that chip off."""
    ring = bends(contour_of(shape).ring)
    inner = [bend for bend in ring if (bend.turn < 0 if reflex_only else bend.turn > 0)]
    if any(bend.corner.radius_mm < SHARP_RADIUS_MM for bend in inner):
        yield SpecCaution(
            "sharp_inner_corner",
            path,
            "Cracks start at sharp inside corners: give them a corner radius and lay a bar across each.",
        )
    turn = math.radians(180.0 - ACUTE_DEG)
    points = [bend for bend in ring if math.atan2(bend.turn, _dot(bend.before, bend.after)) > turn]
    if reflex_only and any(bend.corner.radius_mm < SHARP_RADIUS_MM for bend in points):
        yield SpecCaution("acute_corner", path, "Pointed corners chip off: round them or cut them back.")


def _dot(a: spec.Point, b: spec.Point) -> float:
    return a[0] * b[0] + a[1] * b[1]


def _edges(piece: spec.Piece, words: Words) -> Iterator[SpecCaution]:
    drop = piece.drop_edge
    for i, edge in enumerate(piece.edges):
        opposite = [
            other.size_mm for other in piece.edges if other.at != edge.at and _share_a_side(edge, other)
        ]
        left = piece.thickness_mm - edge.size_mm - max(opposite, default=0.0)
        if edge.profile == "chamfer" and left < KNIFE_MM and drop is None:
            yield SpecCaution(
                "knife_edge",
                f"edges[{i}].size",
                f"Only {words.found(left)} of upright edge is left, which chips and can cut: leave"
                f" {words.least(KNIFE_MM)} or more.",
            )
    if drop is not None and drop.thickness_mm < BAND_MM:
        yield SpecCaution(
            "thin_drop_edge",
            "drop_edge.thickness",
            f"A drop edge {words.of(drop.thickness_mm)} thick breaks easily in stripping: make it"
            f" {words.least(BAND_MM)} or more, or lay a bar in it.",
        )


def _share_a_side(one: spec.EdgeTreatment, other: spec.EdgeTreatment) -> bool:
    return one.sides is None or other.sides is None or not set(one.sides).isdisjoint(other.sides)


def _features(piece: spec.Piece, words: Words) -> Iterator[SpecCaution]:
    for i, feature in enumerate(piece.features):
        path = f"features[{i}]"
        if isinstance(feature, spec.Opening | spec.Inlay | spec.Recess):
            yield from _corners(f"{path}.shape", feature.shape, reflex_only=False)
        if isinstance(feature, spec.Inlay | spec.Recess | spec.Groove):
            left = piece.thickness_mm - feature.depth_mm
            if left < BEHIND_POCKET_MM:
                yield SpecCaution(
                    "thin_behind_pocket",
                    f"{path}.depth",
                    f"Only {words.found(left)} of concrete stays behind it: make it shallower or the slab"
                    f" thicker, so that {words.least(BEHIND_POCKET_MM)} or more stay.",
                )
        if isinstance(feature, spec.Inlay):
            yield from _inlay(piece, feature, path, words)
        if isinstance(feature, spec.Trough):
            yield from _trough(feature, path, words)


def _inlay(piece: spec.Piece, inlay: spec.Inlay, path: str, words: Words) -> Iterator[SpecCaution]:
    if inlay.backlit and inlay.ledge_mm < LEDGE_MM:
        yield SpecCaution(
            "thin_ledge",
            f"{path}.ledge",
            f"A ledge of {words.of(inlay.ledge_mm)} chips and holds little: make it {words.least(LEDGE_MM)}"
            " or more.",
        )
    if piece.cast == "face-up":
        yield SpecCaution(
            "face_up_inlay",
            path,
            "Cast face up, a sheet is not held flush by the mould: bed it at the right height by hand, or"
            " cast face down.",
        )


def _trough(trough: spec.Trough, path: str, words: Words) -> Iterator[SpecCaution]:
    for key, size in (("wall", trough.wall_mm), ("floor", trough.floor_mm)):
        if size < WALL_MM:
            yield SpecCaution(
                "thin_trough",
                f"{path}.{key}",
                f"A trough's {key} of {words.of(size)} is hard to fill and breaks easily: make it"
                f" {words.least(WALL_MM)} or more.",
            )
    if trough.taper_deg == 0:
        yield SpecCaution(
            "no_taper",
            f"{path}.taper",
            "An upright core grips as the concrete shrinks: lean the walls 2° or more, or make the core so"
            " that it comes apart.",
        )
    if trough.corner_radius_mm < SHARP_RADIUS_MM:
        yield SpecCaution(
            "sharp_inner_corner",
            f"{path}.corner_radius",
            "Cracks start at sharp inside corners: give them a corner radius and lay a bar across each.",
        )


def _strips(piece: spec.Piece, words: Words) -> Iterator[SpecCaution]:
    """The narrowest strip beside each feature that goes right through, told at the later feature."""
    outline = region_of(contour_of(piece.outline))
    through = [
        (number, item)
        for number, feature in enumerate(piece.features)
        for item in footprints(feature, f"features[{number}]", piece.thickness_mm)
        if item.from_top_mm == item.from_underside_mm == 0
    ]
    tree = shapely.STRtree([item.widest.coarse for _, item in through])
    narrowest: dict[int, tuple[float, float, Footprint, str]] = {}
    for later, (number, item) in enumerate(through):
        wanted = _wanted(piece, item)
        found = [(item.widest.room_to_mm(outline, wanted), wanted, item, "the edge")]
        near = tree.query(item.widest.coarse, predicate="dwithin", distance=wanted + NEAR_MM)
        for _, other in (through[i] for i in sorted(near) if i < later):
            least = min(wanted, _wanted(piece, other))
            gap = item.widest.distance_mm(other.widest, least)
            found.append((gap, least, item, f"the {other.said}"))
        narrow = [strip for strip in found if strip[0] < strip[1] - GUARD_MM]
        kept = [narrowest[number]] if number in narrowest else []
        if narrow or kept:
            narrowest[number] = min([*kept, *narrow], key=lambda strip: strip[0])
    for gap, wanted, item, where in narrowest.values():
        yield SpecCaution(
            "narrow_strip",
            item.path,
            f"Only {words.found(gap)} of concrete stays between the {item.said} and {where}: lay a bar in it"
            f" and turn the piece with care, or leave {words.least(wanted)} or more.",
        )


def _wanted(piece: spec.Piece, item: Footprint) -> float:
    """Width of concrete wanted beside a void: more beside a large one than beside a sleeve."""
    x0, y0, x1, y1 = item.widest.coarse.bounds
    large = max(x1 - x0, y1 - y0) >= LARGE_VOID_MM
    return STRIP_MM if large else min(STRIP_MM, piece.thickness_mm)


def _steel(piece: spec.Piece, words: Words) -> Iterator[SpecCaution]:
    steel = piece.reinforcement
    x0, y0, x1, y1 = contour_of(piece.outline).box_mm
    if steel is None:
        if max(x1 - x0, y1 - y0) > UNREINFORCED_MM:
            yield SpecCaution(
                "unreinforced",
                "reinforcement",
                f"A piece over {words.of(UNREINFORCED_MM)} without steel can break in two in one move: lay a"
                " mesh, or use a mix with fibre made for it.",
            )
        return
    if steel.cover_mm < COVER_MM:
        yield SpecCaution(
            "little_cover",
            "reinforcement.cover",
            f"With {words.of(steel.cover_mm)} of cover steel shows through and rusts: give it"
            f" {words.least(COVER_MM)} or more, or use stainless or glass-fibre mesh.",
        )
    room = piece.thickness_mm - 2 * steel.cover_mm
    if steel.mesh is not None and room < MESH_ROOM_MM:
        yield SpecCaution(
            "little_room_for_mesh",
            "reinforcement.cover",
            f"Between the covers only {words.found(room)} is left for crossing wires: check that the mesh and"
            " its laps fit.",
            f"geometry: two crossing wires of {words.of(MESH_ROOM_MM / 2)} take {words.of(MESH_ROOM_MM)}",
        )


def _finish(piece: spec.Piece) -> Iterator[SpecCaution]:
    finish = piece.finish
    if finish is None:
        return
    if list(finish.grits) != sorted(finish.grits):
        yield SpecCaution(
            "grit_order", "finish.grits", "Grits are not from coarse to fine: check the order of the passes."
        )
    troughs = any(isinstance(feature, spec.Trough) for feature in piece.features)
    if "trough" in finish.faces and not troughs:
        yield SpecCaution(
            "no_trough", "finish.faces", "The finish names a trough, and the piece has none: check the faces."
        )
