"""Mesh cut to the outline drawn in by the cover, and bars by rows: what to cut, weigh and buy.

The mesh lies at the middle of the slab's depth: a void that passes that level is cut out, grown by the cover.
Sheets of a mesh larger than the stock lap. Published weights and areas of bars and meshes are in
fixtures/published/reinforcement.json.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache

import shapely
from shapely.geometry.base import BaseGeometry

from quoting.engine.cutting.values import Part
from quoting.engine.errors import Fault, Refused
from quoting.engine.plane.contour import NoRoom, to_polygon
from quoting.engine.solid.build import Solid
from quoting.engine.spec.types import Reinforcement
from quoting.engine.takeoff.lines import Caution, MaterialLine
from quoting.engine.takeoff.nesting import pieces_of, sheets_for
from quoting.engine.takeoff.reinforcement_bars import BarCut, bar_cuts, bar_lines, bar_mass_kg_per_m, unsawn
from quoting.engine.takeoff.stock import counted_line, known_figure, of_code
from quoting.engine.takeoff.wording import count_of
from quoting.engine.units import format_length
from quoting.engine.values import Material, PriceBook, ShopTerms

_CHORD_MM = 0.02


@dataclass(frozen=True, slots=True)
class Mesh:
    """The mesh of one piece: tiles of one size, cut on site to the region's outline."""

    area_m2: float
    """With laps, voids out: what is weighed."""
    tile_mm: tuple[float, float]
    tiles: int
    region: BaseGeometry


def fits(thickness_mm: float, cover_mm: float, steel_mm: float) -> bool:
    """Whether steel of a height fits between the covers of both faces: 2·cover + steel ≤ thickness (C45).

    >>> fits(40, 16, 2 * 6), fits(40, 16, 6)
    (False, True)
    """
    return 2 * cover_mm + steel_mm <= thickness_mm + 1e-9


# --- mesh ------------------------------------------------------------------------------------------------
@lru_cache(maxsize=8)
def mesh_region(solid: Solid, cover_mm: float) -> tuple[BaseGeometry, float]:
    """(region, exact area in mm²) of the mesh: outline drawn in by the cover, voids at mid-depth grown by it.

    The area is from closed forms while the grown voids stand clear of each other and of the outline, else
    from chords no further than 0.02 mm off. Raises Refused when the cover leaves no room.
    """
    level = solid.thickness_mm / 2
    holes = [v.contour for v in solid.voids if v.top_mm < level < v.bottom_mm]
    holes += [body.inner_at(level) for body in solid.troughs if body.trough.depth_mm > level]
    try:
        inside = solid.outline.grown(-cover_mm)
        grown = [hole.grown(cover_mm) for hole in holes]
    except NoRoom as error:
        raise Refused(
            [Fault("reinforcement.cover", f"leaves no room for mesh: {error}", "no_room")]
        ) from error
    region = to_polygon(inside, _CHORD_MM)
    polygons = [to_polygon(hole, _CHORD_MM) for hole in grown]
    left = region.difference(shapely.union_all(polygons)) if polygons else region
    clear = all(region.contains(polygon) for polygon in polygons) and not any(
        a.intersects(b) for i, a in enumerate(polygons) for b in polygons[i + 1 :]
    )
    if clear:
        return left, math.fsum([inside.area_mm2, *(-hole.area_mm2 for hole in grown)])
    return left, float(left.area)


@lru_cache(maxsize=8)
def mesh_of(solid: Solid, rules: Reinforcement, material: Material) -> Mesh:
    """The mesh of one piece in tiles no larger than a sheet, lapping by the rule's lap."""
    region, area_mm2 = mesh_region(solid, rules.cover_mm)
    x0, y0, x1, y1 = solid.outline.grown(-rules.cover_mm).box_mm
    sheet = (
        known_figure(material, "length_mm", "its sheet length"),
        known_figure(material, "width_mm", "its sheet width"),
    )
    try:
        options = [
            (pieces_of(x1 - x0, a, rules.lap_mm), pieces_of(y1 - y0, b, rules.lap_mm))
            for a, b in (sheet, sheet[::-1])
        ]
    except ValueError as error:
        raise Refused(
            [Fault("reinforcement.lap", f"must be less than a sheet of {material.code}", "too_large")]
        ) from error
    (along, long_mm), (across, wide_mm) = min(options, key=lambda option: option[0][0] * option[1][0])
    if along * across == 1:
        return Mesh(area_mm2 / 1e6, (long_mm, wide_mm), 1, region)
    total = 0.0
    for i in range(along):
        for j in range(across):
            left, low = x0 + i * (long_mm - rules.lap_mm), y0 + j * (wide_mm - rules.lap_mm)
            total += region.intersection(shapely.box(left, low, left + long_mm, low + wide_mm)).area
    return Mesh(total / 1e6, (long_mm, wide_mm), along * across, region)


def _mesh_line(
    mesh: Mesh, material: Material, rules: Reinforcement, book: PriceBook, terms: ShopTerms, pieces: int
) -> MaterialLine:
    part = Part("mesh", *mesh.tile_mm, mesh.tiles)
    _, bought = sheets_for([material], [part], pieces, unsawn(terms))
    length, width = (format_length(v, terms.unit_system) for v in mesh.tile_mm)
    lead = f"{count_of(mesh.tiles * pieces, 'mat')} of {length} × {width}"
    if mesh.tiles > 1:
        lead += f", lapping {format_length(rules.lap_mm, terms.unit_system)}"
    return counted_line(
        material, "reinforcement", mesh.area_m2 * pieces, sum(bought.values()), terms, lead=lead
    )


# --- together --------------------------------------------------------------------------------------------
@dataclass(frozen=True, slots=True)
class Steel:
    """Reinforcement of one piece, and its lines for all pieces."""

    lines: tuple[MaterialLine, ...] = ()
    mesh_area_m2: float = 0.0
    kg: float = 0.0
    bars: tuple[BarCut, ...] = ()
    cautions: tuple[Caution, ...] = ()


def steel_kg(solid: Solid, book: PriceBook) -> float:
    """Mass of mesh and bars of one piece in kg: area × kg/m² + lengths × kg/m, laps in."""
    rules = solid.piece.reinforcement
    if rules is None:
        return 0.0
    total = 0.0
    if rules.mesh is not None:
        material = of_code(book, rules.mesh, "reinforcement.mesh")
        mass = known_figure(material, "mass_kg_per_m2", "its mass per m²")
        total += mesh_of(solid, rules, material).area_m2 * mass
    for cut in bar_cuts(solid, rules, book):
        bar = book.materials[cut.bar]
        mass = bar.mass_kg_per_m or bar_mass_kg_per_m(known_figure(bar, "diameter_mm", "its diameter"))
        total += cut.count * cut.length_mm / 1000 * mass
    return total


def reinforcement(solid: Solid, book: PriceBook, terms: ShopTerms, pieces: int = 1) -> Steel:
    """Mesh and bars: lines for all pieces, area and mass of one, cautions where steel does not fit its cover.

    Raises Refused for unknown codes, for a cover that leaves no room, for a lap longer than the stock.
    """
    rules = solid.piece.reinforcement
    if rules is None:
        return Steel()
    lines: list[MaterialLine] = []
    area = 0.0
    if rules.mesh is not None:
        material = of_code(book, rules.mesh, "reinforcement.mesh")
        mesh = mesh_of(solid, rules, material)
        area = mesh.area_m2
        lines.append(_mesh_line(mesh, material, rules, book, terms, pieces))
    cuts = bar_cuts(solid, rules, book)
    lines += bar_lines(cuts, book, terms, pieces)
    cautions = tuple(_fit_cautions(solid, rules, book, terms))
    return Steel(tuple(lines), area, steel_kg(solid, book), cuts, cautions)


def _fit_cautions(solid: Solid, rules: Reinforcement, book: PriceBook, terms: ShopTerms) -> list[Caution]:
    piece = solid.piece
    rooms: list[tuple[str, float, float]] = []
    if rules.mesh is not None:
        wire = book.materials[rules.mesh].wire_mm or 0.0
        rooms.append((f"crossing wires of {rules.mesh}", piece.thickness_mm, 2 * wire))
    for run in rules.bars:
        size = book.materials[run.bar].diameter_mm or 0.0
        if run.where == "drop_edge" and piece.drop_edge is not None:
            rooms.append((f"bar {run.bar} in the drop edge", piece.drop_edge.thickness_mm, size))
        elif run.where == "trough":
            rooms += [
                (f"bar {run.bar} in the trough wall", body.trough.wall_mm, size) for body in solid.troughs
            ]
        elif run.where == "outline":
            rooms.append((f"bar {run.bar} in the slab", piece.thickness_mm, size))
    found = []
    for what, thickness, steel in dict.fromkeys(rooms):
        if not fits(thickness, rules.cover_mm, steel):
            left, cover, needs = (
                format_length(max(0.0, value), terms.unit_system)
                for value in (thickness - 2 * rules.cover_mm, rules.cover_mm, steel)
            )
            text = (
                f"The {what}: {needs} of steel, but a cover of {cover} on both faces leaves {left}: "
                "use thinner steel, less cover or a thicker section, or steel will show and rust."
            )
            found.append(Caution("cover", text, "ACI 318 precast cover (C40), geometry (C45)"))
    return found
