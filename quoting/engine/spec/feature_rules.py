"""What makes one feature impossible by itself: depths, ledges, troughs, drains, grooves."""

from __future__ import annotations

import math
from itertools import pairwise

import shapely

from quoting.engine.errors import Fault
from quoting.engine.plane.contour import Contour, NoRoom, contour_of
from quoting.engine.plane.shapes import Rectangle
from quoting.engine.spec import types as spec
from quoting.engine.spec.shape_rules import radius_fault, shape_faults
from quoting.engine.spec.wording import COARSE_MM, GUARD_MM, KEEP_CLEAR_MM, LEAVE_BELOW_MM, Words


def feature_faults(path: str, feature: spec.Feature, thickness_mm: float, words: Words) -> list[Fault]:
    """Every fault of one feature that can be seen without looking at the others or at the outline."""
    match feature:
        case spec.Opening():
            return shape_faults(f"{path}.shape", feature.shape, words)
        case spec.Recess():
            return [
                *shape_faults(f"{path}.shape", feature.shape, words),
                *_depth(path, feature.depth_mm, thickness_mm, words),
            ]
        case spec.Inlay():
            shape = shape_faults(f"{path}.shape", feature.shape, words)
            ledge = [] if shape or not feature.backlit else _ledge(path, feature, words)
            return [*shape, *_depth(path, feature.depth_mm, thickness_mm, words), *ledge]
        case spec.Groove():
            return [*_groove(path, feature, words), *_depth(path, feature.depth_mm, thickness_mm, words)]
        case spec.Trough():
            return _trough(path, feature, thickness_mm, words)
        case _:
            return []


def shrunk(contour: Contour, by_mm: float, sides: spec.Sides = None) -> Contour | None:
    """The contour drawn in by `by_mm`; None where it would close, fall apart or lose a side."""
    try:
        inner = contour.grown(-by_mm, sides)
    except (NoRoom, ZeroDivisionError):
        return None
    return inner if is_sound(inner) else None


def is_sound(contour: Contour) -> bool:
    """Whether a contour encloses one area without crossing itself."""
    ring = shapely.linearrings(contour.points(COARSE_MM))
    if not (shapely.is_ccw(ring) and shapely.is_simple(ring)):
        return False
    return bool(shapely.area(shapely.polygons(ring)) > GUARD_MM * shapely.length(ring))


def _depth(path: str, depth_mm: float, thickness_mm: float, words: Words) -> list[Fault]:
    most = thickness_mm - LEAVE_BELOW_MM
    if depth_mm <= most + GUARD_MM:
        return []
    keep = words.least(LEAVE_BELOW_MM)
    message = f"is {words.of(depth_mm)} deep in a slab of {words.of(thickness_mm)}; {keep} must stay, so "
    message += f"at most {words.most(most)}" if most > 0 else "this slab is too thin for a pocket"
    return [Fault(f"{path}.depth", message, "too_deep", words.of(depth_mm))]


def _ledge(path: str, inlay: spec.Inlay, words: Words) -> list[Fault]:
    place, given = f"{path}.ledge", words.of(inlay.ledge_mm)
    if inlay.ledge_mm == 0:
        return [Fault(place, "must be above zero: a backlit sheet needs a lip to sit on", "no_ledge", given)]
    if shrunk(contour_of(inlay.shape), inlay.ledge_mm) is None:
        message = f"of {given} closes the light opening below the sheet; use a narrower ledge"
        return [Fault(place, message, "ledge_too_large", given)]
    return []


# --- grooves ---------------------------------------------------------------------------------------------
def groove_polygon(groove: spec.Groove) -> shapely.Polygon:
    """The channel in plan: its path widened by half its width, mitred at corners, flat at the ends."""
    return shapely.LineString(groove.path_mm).buffer(
        groove.width_mm / 2, cap_style="flat", join_style="mitre", mitre_limit=1e3
    )


def _groove(path: str, groove: spec.Groove, words: Words) -> list[Fault]:
    place, points, width = f"{path}.path", groove.path_mm, groove.width_mm
    legs = [math.dist(start, end) for start, end in pairwise(points)]
    for i, leg in enumerate(legs):
        if leg < width - GUARD_MM:
            message = f"has a leg of {words.found(leg)}, shorter than the groove is wide ({words.of(width)})"
            return [Fault(f"{place}[{i + 1}]", message, "short_leg", words.of(leg))]
    line = shapely.LineString(points)
    if not line.is_simple:
        return [Fault(place, "crosses itself; lay it out without crossing", "self_crossing")]
    turns = [0.0, *(_bend(points[i - 1 : i + 2]) for i in range(1, len(legs))), 0.0]
    for i, leg in enumerate(legs):
        if width / 2 * (math.tan(turns[i] / 2) + math.tan(turns[i + 1] / 2)) > leg + GUARD_MM:
            message = f"turns too sharply for a groove {words.of(width)} wide; make its corners opener"
            return [Fault(f"{place}[{i + 1}]", message, "sharp_turn")]
    # Mitred at corners, a channel covers exactly width × length unless it runs over itself.
    if groove_polygon(groove).area < width * sum(legs) * (1 - 1e-9) - GUARD_MM * width:
        message = f"comes back closer to itself than its width of {words.of(width)}; spread it out"
        return [Fault(place, message, "self_crossing")]
    return []


def _bend(corner: tuple[spec.Point, ...]) -> float:
    """How far a path turns at the middle of three points, in radians, 0 to π."""
    (x0, y0), (x1, y1), (x2, y2) = corner
    ax, ay, bx, by = x1 - x0, y1 - y0, x2 - x1, y2 - y1
    return abs(math.atan2(ax * by - ay * bx, ax * bx + ay * by))


# --- troughs ---------------------------------------------------------------------------------------------
def mouth_of(trough: spec.Trough) -> Rectangle:
    """The inside of a trough at the show face."""
    return Rectangle(trough.length_mm, trough.width_mm, (trough.corner_radius_mm,) * 4)


def outside_of(trough: spec.Trough) -> Rectangle:
    """The outside of a trough below the slab, its radius larger by the wall."""
    around = 2 * trough.wall_mm
    radius = trough.corner_radius_mm + trough.wall_mm
    return Rectangle(trough.length_mm + around, trough.width_mm + around, (radius,) * 4)


def floor_of(trough: spec.Trough) -> Rectangle | None:
    """The inside of a trough at its floor; None where the taper leaves no room for it."""
    lean = 2 * trough.depth_mm * math.tan(math.radians(trough.taper_deg))
    length, width = trough.length_mm - lean, trough.width_mm - lean
    if min(length, width) <= GUARD_MM or 2 * trough.corner_radius_mm > min(length, width) + GUARD_MM:
        return None
    radius = min(trough.corner_radius_mm, min(length, width) / 2)
    return Rectangle(length, width, (radius,) * 4)


def _trough(path: str, trough: spec.Trough, thickness_mm: float, words: Words) -> list[Fault]:
    faults = []
    side = min(trough.length_mm, trough.width_mm)
    if fault := radius_fault(f"{path}.corner_radius", trough.corner_radius_mm, side, words):
        faults.append(fault)
    elif floor_of(trough) is None:
        most = math.degrees(math.atan((side / 2 - trough.corner_radius_mm) / trough.depth_mm))
        message = (
            f"of {trough.taper_deg:g}° closes the trough before its floor, {words.of(trough.depth_mm)} down;"
            f" stay below {math.floor(10 * most) / 10:g}°, or make the trough wider"
        )
        faults.append(Fault(f"{path}.taper", message, "taper_closes", f"{trough.taper_deg:g}"))
    bottom = trough.depth_mm + trough.floor_mm
    if bottom <= thickness_mm + GUARD_MM:
        message = (
            f"with its floor ends {words.of(bottom)} down, inside the slab of {words.of(thickness_mm)};"
            " use a recess, or make the trough deeper"
        )
        faults.append(Fault(f"{path}.depth", message, "trough_in_slab", words.of(trough.depth_mm)))
    return faults or _drains(path, trough, words)


def _drains(path: str, trough: spec.Trough, words: Words) -> list[Fault]:
    floor = floor_of(trough)
    if floor is None or not trough.drains:
        return []
    faults = []
    for i, drain in enumerate(trough.drains):
        x, y = _seen_from(trough, drain.at_mm)
        clear = _clear_inside(floor, abs(x), abs(y)) - drain.diameter_mm / 2
        place = f"{path}.drains[{i}].at"
        if clear < KEEP_CLEAR_MM - GUARD_MM:
            near = "lies outside the floor" if clear <= 0 else f"comes within {words.found(clear)} of a wall"
            message = f"the drain {near}; keep {words.least(KEEP_CLEAR_MM)} or more of floor around it"
            faults.append(Fault(place, message, "too_close", _point(drain.at_mm)))
        for j, other in enumerate(trough.drains[:i]):
            gap = math.dist(drain.at_mm, other.at_mm) - (drain.diameter_mm + other.diameter_mm) / 2
            if gap < KEEP_CLEAR_MM - GUARD_MM:
                message = f"the drain comes within {words.found(gap)} of drains[{j}]"
                message += f"; keep {words.least(KEEP_CLEAR_MM)} or more"
                faults.append(Fault(place, message, "too_close", _point(drain.at_mm)))
    return faults


def _seen_from(trough: spec.Trough, point: spec.Point) -> spec.Point:
    """A plan point in the trough's own axes, from its centre."""
    dx, dy = point[0] - trough.centre_mm[0], point[1] - trough.centre_mm[1]
    c, s = math.cos(math.radians(trough.turn_deg)), math.sin(math.radians(trough.turn_deg))
    return (dx * c + dy * s, dy * c - dx * s)


def _clear_inside(floor: Rectangle, x: float, y: float) -> float:
    """Distance in mm from a point (first quadrant, from the centre) to the rounded rectangle around it."""
    straight, radius_mm = min(floor.length_mm / 2 - x, floor.width_mm / 2 - y), floor.corner_radii_mm[0]
    cx, cy = floor.length_mm / 2 - radius_mm, floor.width_mm / 2 - radius_mm
    if x > cx and y > cy:
        return radius_mm - math.hypot(x - cx, y - cy)
    return straight


def _point(point: spec.Point) -> str:
    return f"[{point[0]:g}, {point[1]:g}]"
