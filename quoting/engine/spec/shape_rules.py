"""What makes a plan shape impossible: radii too large, crossing sides, notches that leave nothing."""

from __future__ import annotations

import math
from itertools import pairwise

import shapely

from quoting.engine.errors import Fault
from quoting.engine.plane.contour import NoRoom, contour_of, to_polygon
from quoting.engine.plane.shapes import Ell, Point, Polygon, Rectangle, Shape
from quoting.engine.spec.fields import LONGEST_MM
from quoting.engine.spec.wording import GUARD_MM, Words


def shape_faults(path: str, shape: Shape, words: Words) -> list[Fault]:
    """Every fault of one shape at `path`, as a piece's outline or a feature's."""
    match shape:
        case Rectangle():
            return _rectangle(path, shape, words)
        case Ell():
            return _ell(path, shape, words)
        case Polygon():
            return _polygon(path, shape, words)
        case _:
            return []


def radius_fault(path: str, radius_mm: float, side_mm: float, words: Words) -> Fault | None:
    """A fault where a corner radius is larger than half of a side, both in mm."""
    if radius_mm <= side_mm / 2 + GUARD_MM:
        return None
    message = (
        f"a corner radius of {words.of(radius_mm)} is larger than half a side of {words.of(side_mm)};"
        f" at most {words.most(side_mm / 2)}"
    )
    return Fault(path, message, "radius_too_large", words.of(radius_mm))


def _rectangle(path: str, shape: Rectangle, words: Words) -> list[Fault]:
    radii, side = shape.corner_radii_mm, min(shape.length_mm, shape.width_mm)
    if len(set(radii)) == 1:
        found = [radius_fault(f"{path}.corner_radius", radii[0], side, words)]
    else:
        found = [radius_fault(f"{path}.corner_radius[{i}]", r, side, words) for i, r in enumerate(radii)]
    return [fault for fault in found if fault]


def _ell(path: str, shape: Ell, words: Words) -> list[Fault]:
    faults = []
    for key, notch, whole in (
        ("notch_length", shape.notch_length_mm, shape.length_mm),
        ("notch_width", shape.notch_width_mm, shape.width_mm),
    ):
        if notch >= whole - GUARD_MM:
            message = f"a notch of {words.of(notch)} leaves nothing of {words.of(whole)}; make it smaller"
            faults.append(Fault(f"{path}.{key}", message, "notch_too_large", words.of(notch)))
    if faults:
        return faults
    sides = (
        shape.notch_length_mm,
        shape.notch_width_mm,
        shape.length_mm - shape.notch_length_mm,
        shape.width_mm - shape.notch_width_mm,
    )
    fault = radius_fault(f"{path}.corner_radius", shape.corner_radius_mm, min(sides), words)
    return [fault] if fault else []


def _polygon(path: str, shape: Polygon, words: Words) -> list[Fault]:
    points = shape.points_mm
    reach = max(max(point) for point in points)
    if reach > LONGEST_MM + GUARD_MM:
        message = f"reach over {words.of(reach)}; a piece is at most {words.most(LONGEST_MM)} long and wide"
        return [Fault(f"{path}.points", message, "too_long", words.of(reach))]
    sharp = shapely.Polygon(points)
    if sharp.convex_hull.area <= GUARD_MM * sharp.length:
        return [Fault(f"{path}.points", "enclose no area: the points lie on one line", "no_area")]
    if not sharp.is_valid or sharp.area <= GUARD_MM * sharp.length:
        message = "have sides that cross or touch one another; go round the outline once without crossing"
        return [Fault(f"{path}.points", message, "self_crossing")]
    return _fillets(path, shape, words)


def _fillets(path: str, shape: Polygon, words: Words) -> list[Fault]:
    place, faults = f"{path}.corner_radius", []
    for side, length, taken in _crowded_sides(shape):
        share = length / taken
        if len(set(shape.corner_radii_mm)) > 1:
            how = f"use smaller radii there, at most {math.floor(100 * share)} % of these"
        else:
            how = f"at most {words.most(share * shape.corner_radii_mm[0])}"
        message = (
            f"the radii at the ends of side {side} take {words.of(taken)} of its {words.of(length)}; {how}"
        )
        faults.append(Fault(place, message, "radius_too_large", words.of(max(shape.corner_radii_mm))))
    if len(set(shape.corner_radii_mm)) == 1:
        faults = faults[:1]  # one radius for all: told once, of the side with least room
    if not faults and any(shape.corner_radii_mm) and not _fillets_stay_clear(shape):
        message = "rounds a corner so widely that it runs into another side; use a smaller radius"
        faults.append(Fault(place, message, "radius_too_large"))
    return faults


def _crowded_sides(shape: Polygon) -> list[tuple[int, float, float]]:
    """Sides whose arcs take more than there is: number, length, what is taken (mm); the worst first."""
    tangents = _tangents(shape)
    points = (*shape.points_mm, shape.points_mm[0])
    pairs = zip(pairwise(points), pairwise((*tangents, tangents[0])), strict=True)
    sides = [(side, math.dist(start, end), t0 + t1) for side, ((start, end), (t0, t1)) in enumerate(pairs)]
    crowded = [item for item in sides if item[2] > item[1] + GUARD_MM]
    return sorted(crowded, key=lambda item: (item[1] / item[2], item[0]))


def _fillets_stay_clear(shape: Polygon) -> bool:
    try:
        return bool(to_polygon(contour_of(shape)).is_valid)
    except NoRoom:
        return False


def _tangents(shape: Polygon) -> list[float]:
    """Length in mm that each corner's arc takes of its two sides: r·tan(θ/2), θ the turn at the corner."""
    points, count = shape.points_mm, len(shape.points_mm)
    return [
        radius * math.tan(abs(_turn(points[i - 1], points[i], points[(i + 1) % count])) / 2)
        for i, radius in enumerate(shape.corner_radii_mm)
    ]


def _turn(before: Point, at: Point, after: Point) -> float:
    ax, ay, bx, by = at[0] - before[0], at[1] - before[1], after[0] - at[0], after[1] - at[1]
    return math.atan2(ax * by - ay * bx, ax * bx + ay * by)
