"""Distances in plan: every feature inside the outline, and clear of edges, drop edges and other features."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Final

import numpy as np
import shapely

from quoting.engine.errors import Fault
from quoting.engine.plane.contour import Contour, Line
from quoting.engine.plane.shapes import Point, Shape
from quoting.engine.spec.footprints import NEAR_MM, Footprint, Region
from quoting.engine.spec.wording import GUARD_MM, KEEP_CLEAR_MM, Words, edge_name

_LEAST_MM: Final = KEEP_CLEAR_MM - GUARD_MM
MOST_PAIRS: Final = 200


def edge_faults(
    prints: Sequence[Footprint], shape: Shape, outline: Region, inside_band: Region | None, words: Words
) -> list[Fault]:
    """A fault for every feature outside the outline or too close to an edge.

    `inside_band` is the slab's underside within the drop edge; what reaches the underside keeps clear of its
    boundary too.
    """
    faults = []
    for item in prints:
        gap = _gap(item.widest, outline)
        if gap is None or gap < _LEAST_MM:
            edge = edge_name(shape, _nearest_side(item.widest, outline))
            faults.append(_edge_fault(item, gap, f"the {edge}", outline, words))
        elif inside_band is not None and item.reaches_underside:
            gap = _gap(item.below, inside_band)
            if gap is None or gap < _LEAST_MM:
                faults.append(_edge_fault(item, gap, "the inner face of the drop edge", inside_band, words))
    return faults


def _gap(region: Region, around: Region) -> float | None:
    """Distance to the boundary around; None where the region is not inside it."""
    if not shapely.covers(around.coarse, region.coarse):
        return None
    return region.room_to_mm(around)


def _edge_fault(item: Footprint, gap: float | None, edge: str, around: Region, words: Words) -> Fault:
    keep = f"keep {words.least(KEEP_CLEAR_MM)} or more"
    wall = " with its walls" if item.is_trough else ""
    if gap is not None:
        message = f"the {item.name}{wall} comes within {words.found(gap)} of {edge}; {keep}"
        return Fault(item.path, message, "too_close", item.at)
    if not shapely.intersects(around.coarse, item.widest.coarse):
        return Fault(
            item.path, f"the {item.name} lies outside the outline; {keep} inside it", "outside", item.at
        )
    message = f"the {item.name}{wall} reaches over {edge}; {keep} clear of it"
    return Fault(item.path, message, "outside", item.at)


def pair_faults(prints: Sequence[Footprint], words: Words) -> list[Fault]:
    """A fault for every two features closer together than allowed, told at the later one.

    Stops at `MOST_PAIRS` faults: past that the features lie in one heap, and more lines help nobody.
    """
    if len(prints) < 2:
        return []
    shapes = np.array([item.widest.coarse for item in prints], dtype=object)
    tree = shapely.STRtree(shapes)
    faults: list[Fault] = []
    for later, one in enumerate(prints):
        near = tree.query(shapes[later], predicate="dwithin", distance=KEEP_CLEAR_MM + NEAR_MM)
        for earlier in sorted(int(i) for i in near if i < later):
            if fault := _pair_fault(one, prints[earlier], words):
                faults.append(fault)
        if len(faults) >= MOST_PAIRS:
            return faults[:MOST_PAIRS]
    return faults


def _pair_fault(one: Footprint, other: Footprint, words: Words) -> Fault | None:
    gap = one.seen_by(other).distance_mm(other.seen_by(one))
    if gap >= _LEAST_MM:
        return None
    keep = f"keep {words.least(KEEP_CLEAR_MM)} or more between them"
    how = f"comes within {words.found(gap)} of" if gap > GUARD_MM else "runs into"
    message = f"the {one.name} {how} the {other.name} at {other.path}; {keep}"
    return Fault(one.path, message, "too_close", one.at)


def _nearest_side(region: Region, outline: Region) -> int | None:
    """The numbered side of the outline a region comes nearest to, or reaches over."""
    contour = outline.contour
    if contour is None or not contour.sides:
        return None
    outside = shapely.difference(region.coarse, outline.coarse)
    if outside.is_empty:
        point = shapely.shortest_line(outline.boundary, region.coarse).coords[0]
    else:
        point = shapely.centroid(outside).coords[0]
    return _side_at(contour, (point[0], point[1]))


def _side_at(contour: Contour, point: Point) -> int:
    lines = [segment for segment in contour.segments if isinstance(segment, Line)]
    # Fully rounded squares have no straight parts left; their arcs carry the side before them.
    if not lines:
        return contour.segments[0].side
    return min(lines, key=lambda line: (round(_distance(line, point), 6), line.side)).side


def _distance(line: Line, point: Point) -> float:
    (x0, y0), (x1, y1), (x, y) = line.start, line.end, point
    dx, dy = x1 - x0, y1 - y0
    share = min(1.0, max(0.0, ((x - x0) * dx + (y - y0) * dy) / (dx * dx + dy * dy)))
    return math.hypot(x - x0 - share * dx, y - y0 - share * dy)
