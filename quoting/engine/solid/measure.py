"""What a solid measures: volume, areas, lengths, centroid, each as spec format 1 defines it."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from quoting.engine.plane.quadrature import nodes
from quoting.engine.solid.build import Solid, TroughBody

_LEAN_NODES = 20


@dataclass(frozen=True, slots=True)
class Geometry:
    """The measures of one piece. Areas are to the outer lines: edge treatments and rims are not deducted."""

    volume_m3: float
    """Hardened concrete; reinforcement and inserts not deducted."""
    volume_by_mix: tuple[tuple[str, float], ...]
    """(mix code, m³), first "" for the piece's own mix; a trough's own takes what hangs below the slab."""
    show_area_m2: float
    """Flat upper face, without the mouths of voids, inlays, grooves and troughs."""
    side_area_m2: float
    """Upright outer faces of slab and drop edge, each to its full depth."""
    void_area_m2: float
    """Upright faces of openings, sleeves and the through parts of backlit inlays."""
    underside_area_m2: float
    """Underside of the slab outside troughs, drop edges and through voids."""
    trough_area_m2: float
    """Inside of troughs: true sloped walls and floor, drains out."""
    edge_length_m: float
    """Length of the outline at the show face."""
    centroid_mm: tuple[float, float, float]
    envelope_mm: tuple[float, float, float]


def measure(solid: Solid, density_by_mix: Mapping[str, float] | None = None) -> Geometry:
    """Every measure of a solid.

    With `density_by_mix` (kg/m³, "" for the piece's own mix) the centroid is that of the mass.
    """
    volumes, centroid = _volume_and_centroid(solid, density_by_mix)
    x0, y0, x1, y1 = solid.outline.box_mm
    return Geometry(
        volume_m3=math.fsum(volume for _, volume in volumes),
        volume_by_mix=volumes,
        show_area_m2=_show_area_mm2(solid) / 1e6,
        side_area_m2=_side_area_mm2(solid) / 1e6,
        void_area_m2=math.fsum(v.contour.perimeter_mm * v.depth_mm for v in solid.voids if v.through) / 1e6,
        underside_area_m2=_underside_area_mm2(solid) / 1e6,
        trough_area_m2=math.fsum(trough_area_mm2(body) for body in solid.troughs) / 1e6,
        edge_length_m=solid.outline.perimeter_mm / 1e3,
        centroid_mm=centroid,
        envelope_mm=(x1 - x0, y1 - y0, solid.height_mm),
    )


def _volume_and_centroid(
    solid: Solid, density_by_mix: Mapping[str, float] | None
) -> tuple[tuple[tuple[str, float], ...], tuple[float, float, float]]:
    codes = ["", *(body.trough.mix or "" for body in solid.troughs)]
    parts: dict[str, list[float]] = {code: [] for code in codes}
    moments: tuple[list[float], ...] = ([], [], [], [])
    for layer in solid.layers:
        area, mx, my = layer.contour.moments
        code = codes[layer.below]
        parts[code].append(layer.sign * area * layer.depth_mm)
        heft = layer.sign * (1.0 if density_by_mix is None else density_by_mix[code])
        for total, value in zip(
            moments,
            (area * layer.depth_mm, mx * layer.depth_mm, my * layer.depth_mm, area * layer.depth1_mm2),
            strict=True,
        ):
            total.append(heft * value)
    whole, x, y, z = (math.fsum(total) for total in moments)
    volumes = tuple((code, math.fsum(part) / 1e9) for code, part in parts.items())
    return volumes, (x / whole, y / whole, z / whole)


def _show_area_mm2(solid: Solid) -> float:
    mouths = [-v.contour.area_mm2 for v in solid.voids if v.top_mm == 0.0]
    mouths += [-body.inner_at(0.0).area_mm2 for body in solid.troughs]
    return math.fsum([solid.outline.area_mm2, *mouths])


def _side_area_mm2(solid: Solid) -> float:
    area = solid.outline.perimeter_mm * solid.thickness_mm
    drop = solid.piece.drop_edge
    if drop is not None:
        area += solid.outline.length_on_mm(drop.sides) * (drop.depth_mm - solid.thickness_mm)
    return area


def _underside_area_mm2(solid: Solid) -> float:
    inside = solid.outline if solid.drop_band is None else solid.drop_band[1]
    out = [-v.contour.area_mm2 for v in solid.voids if v.through]
    out += [-body.outer.area_mm2 for body in solid.troughs]
    return math.fsum([inside.area_mm2, *out])


def trough_area_mm2(body: TroughBody) -> float:
    """Inside area in mm² of a trough: sloped walls with their corners, and the floor less its drains.

    Walls: ∫ 2(L + W − 4r) √(1 + t²) dz with L, W at depth z and t = tan taper. Each corner is a quarter
    circle swept along the lean: r h ∫ √(1 + t²(cos φ + sin φ)²) dφ over a quarter turn.
    """
    trough, t = body.trough, body.lean
    r, h = trough.corner_radius_mm, trough.depth_mm
    mean_girth = 2.0 * (trough.length_mm + trough.width_mm - 2.0 * h * t - 4.0 * r)
    walls = mean_girth * math.hypot(1.0, t) * h
    swept = math.fsum(
        weight * math.hypot(1.0, t * (math.cos(angle) + math.sin(angle)))
        for angle, weight in nodes(0.0, 0.5 * math.pi, _LEAN_NODES)
    )
    floor = body.inner_at(h).area_mm2 - math.fsum(drain.area_mm2 for drain in body.drains)
    return walls + 4.0 * r * h * swept + floor
