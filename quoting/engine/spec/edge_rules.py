"""What makes an edge treatment or a drop edge impossible."""

from __future__ import annotations

from collections.abc import Callable, Collection, Sequence
from typing import Final

from quoting.engine.errors import Fault
from quoting.engine.plane.contour import Contour, NoRoom
from quoting.engine.plane.shapes import Ell, Polygon
from quoting.engine.spec import types as spec
from quoting.engine.spec.feature_rules import is_sound, shrunk
from quoting.engine.spec.footprints import Footprint, Region, region_of
from quoting.engine.spec.wording import GUARD_MM, KEEP_CLEAR_MM, Words

_FACES: Final[tuple[spec.At, spec.At]] = ("top", "bottom")


def side_faults(path: str, sides: spec.Sides, count: int) -> list[Fault]:
    """Faults of side numbers that a shape of `count` numbered sides does not have."""
    if sides is None:
        return []
    if count == 0:
        return [
            Fault(path, 'must be "all": this shape has no numbered sides', "no_such_side", str(list(sides)))
        ]
    return [
        Fault(path, f"there is no side {side}; sides are 0 to {count - 1}", "no_such_side", str(side))
        for side in sides
        if side >= count
    ]


def treatment_faults(
    path: str,
    edges: Sequence[spec.EdgeTreatment],
    contour: Contour,
    height_mm: Callable[[int], float],
    outward: bool,
    words: Words,
) -> list[Fault]:
    """Faults of the treatments of one contour: sides, doubles, height against thickness, room in plan.

    `height_mm` gives the height of the arris-to-arris face at a side; `outward` is True for an opening's rim,
    which the treatment widens, and False for an outline, which it narrows.
    """
    faults: list[Fault] = []
    sizes: dict[tuple[spec.At, int], float] = {}
    for i, edge in enumerate(edges):
        wrong = side_faults(f"{path}[{i}].sides", edge.sides, contour.sides)
        faults += wrong
        if wrong:
            continue
        sides = range(max(contour.sides, 1)) if edge.sides is None else edge.sides
        twice = [side for side in sides if (edge.at, side) in sizes]
        if twice:
            message = f"the {edge.at} of side {twice[0]} is treated twice; treat it once"
            faults.append(Fault(f"{path}[{i}].sides", message, "treated_twice", str(list(sides))))
            continue
        sizes.update({(edge.at, side): edge.size_mm for side in sides})
        if fault := _height_fault(f"{path}[{i}].size", edge, sides, sizes, height_mm, words):
            faults.append(fault)
        elif not _has_room(contour, edge, outward):
            message = f"of {words.of(edge.size_mm)} takes more than this shape has; use a smaller one"
            place = f"{path}[{i}].size"
            faults.append(Fault(place, message, "edge_too_large", words.of(edge.size_mm)))
    if not faults and not outward and len(edges) > 1:
        faults += _together(path, edges, contour, words)
    return faults


def _height_fault(
    path: str,
    edge: spec.EdgeTreatment,
    sides: Sequence[int],
    sizes: dict[tuple[spec.At, int], float],
    height_mm: Callable[[int], float],
    words: Words,
) -> Fault | None:
    other: spec.At = "bottom" if edge.at == "top" else "top"
    for side in sides:
        opposite = sizes.get((other, side), 0.0)
        if edge.size_mm + opposite > height_mm(side) + GUARD_MM:
            both = f" and {words.of(opposite)} at the {other}" if opposite else ""
            message = (
                f"of {words.of(edge.size_mm)}{both} is more than the edge is thick"
                f" ({words.of(height_mm(side))}); at most {words.most(height_mm(side) - opposite)}"
            )
            return Fault(path, message, "edge_too_large", words.of(edge.size_mm))
    return None


def _has_room(contour: Contour, edge: spec.EdgeTreatment, outward: bool) -> bool:
    if not outward:
        return shrunk(contour, edge.size_mm, edge.sides) is not None
    try:
        return is_sound(contour.grown(edge.size_mm, edge.sides))
    except (NoRoom, ZeroDivisionError):
        return False


def _together(path: str, edges: Sequence[spec.EdgeTreatment], contour: Contour, words: Words) -> list[Fault]:
    """Treatments that each have room alone but not side by side, such as on two opposite sides."""
    for face in _FACES:
        treated = [(i, edge) for i, edge in enumerate(edges) if edge.at == face]
        if len(treated) > 1 and moved(contour, edges, face, 1) is None:
            i, edge = treated[-1]
            message = f"of {words.of(edge.size_mm)} meets the treatment opposite; use smaller ones"
            return [Fault(f"{path}[{i}].size", message, "edge_too_large", words.of(edge.size_mm))]
    return []


def moved(
    contour: Contour,
    edges: Sequence[spec.EdgeTreatment],
    face: spec.At,
    sign: int,
    less_mm: float = 0.0,
    without: Collection[int] = (),
) -> Contour | None:
    """The contour where its treatments end at a face: drawn in (sign 1) or out (−1); None where it closes.

    `less_mm` below the face a 45° chamfer reaches less far by as much, and a convex round by more than that.
    Sides `without` are not treated at this face.
    """
    here = [edge for edge in edges if edge.at == face and edge.size_mm > less_mm]
    if not here:
        return contour
    try:
        if not contour.sides:
            treated = contour.grown(-sign * (here[0].size_mm - less_mm))
        else:
            insets = [0.0] * contour.sides
            for edge in here:
                for side in range(contour.sides) if edge.sides is None else edge.sides:
                    insets[side] = 0.0 if side in without else sign * (edge.size_mm - less_mm)
            treated = contour.drawn_in(insets, [inset != 0 for inset in insets])
    except (NoRoom, ZeroDivisionError):
        return None
    return treated if is_sound(treated) else None


def drop_faults(drop: spec.DropEdge, contour: Contour, thickness_mm: float, words: Words) -> list[Fault]:
    """Faults of a drop edge: its sides, its depth against the slab, its band against the outline."""
    faults = side_faults("drop_edge.sides", drop.sides, contour.sides)
    if drop.depth_mm <= thickness_mm + GUARD_MM:
        message = (
            f"is the whole visible depth and must be more than the slab's {words.of(thickness_mm)}"
            f" (given: {words.of(drop.depth_mm)})"
        )
        faults.append(Fault("drop_edge.depth", message, "drop_edge_too_shallow", words.of(drop.depth_mm)))
    if not faults and shrunk(contour, drop.thickness_mm, drop.sides) is None:
        message = f"of {words.of(drop.thickness_mm)} leaves no room inside the drop edge; use a thinner band"
        given = words.of(drop.thickness_mm)
        faults.append(Fault("drop_edge.thickness", message, "drop_edge_too_thick", given))
    return faults


def band_faults(
    edges: Sequence[spec.EdgeTreatment],
    drop: spec.DropEdge,
    contour: Contour,
    thickness_mm: float,
    words: Words,
) -> list[Fault]:
    """Faults of treatments that cut through the drop edge's band.

    A bottom treatment goes to the lowest outer arris, so on a drop edge's sides it must fit the band; a top
    treatment may reach below the slab only as far as the band is thick.
    """
    dropped = set(range(max(contour.sides, 1)) if drop.sides is None else drop.sides)
    faults = []
    for i, edge in enumerate(edges):
        sides = set(range(max(contour.sides, 1)) if edge.sides is None else edge.sides)
        most = drop.thickness_mm + (thickness_mm if edge.at == "top" else 0.0)
        if sides & dropped and edge.size_mm > most + GUARD_MM:
            message = (
                f"of {words.of(edge.size_mm)} cuts through the drop edge, {words.of(drop.thickness_mm)}"
                f" thick; at most {words.most(most)}"
            )
            faults.append(Fault(f"edges[{i}].size", message, "edge_too_large", words.of(edge.size_mm)))
    return faults


def overlap_faults(
    prints: Sequence[Footprint], piece: spec.Piece, contour: Contour, words: Words
) -> list[Fault]:
    """Faults where an edge treatment cuts into a feature or its rim, or two rims into one another."""
    faults: list[Fault] = []
    # Bare features keep 10 mm from every edge; a treatment that reaches no further (mitres at inside corners
    # do) cannot meet them.
    safe_mm = 0.0 if isinstance(piece.outline, Ell | Polygon) else KEEP_CLEAR_MM
    for face in _FACES:
        rims = [_rim(item, face) for item in prints]
        sunk = [item.from_top_mm if face == "top" else item.from_underside_mm for item in prints]
        # Below a drop edge the treatment sits on the band, out of reach of what is in the slab.
        without = _sides_of(piece.drop_edge, contour) if face == "bottom" else ()
        left: dict[float, Region | None] = {}
        largest = max((edge.size_mm for edge in piece.edges if edge.at == face), default=0.0)
        for item, rim, less in zip(prints, rims, sunk, strict=True):
            if not item.rims and largest <= safe_mm:
                continue
            if less not in left:
                inner = moved(contour, piece.edges, face, 1, less, without)
                left[less] = None if inner is None else region_of(inner)
            slab = left[less]
            if slab is not None and not rim.is_within(slab):
                message = (
                    f"the {item.name} runs into the {face} edge treatment; move it or shrink one of them"
                )
                faults.append(Fault(item.path, message, "treatment_overlaps", item.at))
        faults += _rims_meeting(prints, rims, sunk, face, words)
    return faults


def _sides_of(drop: spec.DropEdge | None, contour: Contour) -> Collection[int]:
    if drop is None:
        return ()
    return range(contour.sides) if drop.sides is None else drop.sides


def _rim(item: Footprint, face: spec.At) -> Region:
    """What a feature takes of a face, with the treatment of its rim."""
    region = item.region if face == "top" else item.below
    if region.contour is None or not item.rims:
        return region
    rim = moved(region.contour, item.rims, face, -1)
    return region if rim is None or rim is region.contour else region_of(rim)


def _rims_meeting(
    prints: Sequence[Footprint],
    rims: Sequence[Region],
    sunk: Sequence[float],
    face: spec.At,
    words: Words,
) -> list[Fault]:
    faults = []
    sizes = [max((edge.size_mm for edge in item.rims if edge.at == face), default=0.0) for item in prints]
    for one, size in enumerate(sizes):
        for other, other_size in enumerate(sizes):
            if one == other or not size or (other_size and other < one) or sunk[other] >= size:
                continue
            if rims[one].overlaps(rims[other]):
                later, earlier = prints[max(one, other)], prints[min(one, other)]
                message = (
                    f"the {later.name} and the {earlier.name} at {earlier.path} meet at their {face} edge"
                    f" treatment; move them apart or use less than {words.of(max(size, other_size))}"
                )
                faults.append(Fault(later.path, message, "treatment_overlaps", later.at))
    return faults
