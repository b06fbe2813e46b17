"""The starter price list as engine values, and pieces to try it on."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import fields, replace
from datetime import date
from decimal import Decimal
from functools import cache
from pathlib import Path
from typing import Any

from quoting.engine.plane.shapes import Rectangle, Shape
from quoting.engine.solid.build import Solid, build
from quoting.engine.solid.measure import Geometry, measure
from quoting.engine.spec.types import Piece
from quoting.engine.takeoff.materials import MaterialsTakeoff, materials
from quoting.engine.values import Material, MaterialKind, Mix, PriceBook, RecipePart, ShopTerms

FIXTURES = Path(__file__).parents[4] / "fixtures"
METRIC = ShopTerms(
    default_mix="MIX-GREY", finish_grits=(200, 400, 800), finish_sealer="SEAL-PEN", finish_coats=2
)
US = replace(
    METRIC,
    currency="USD",
    unit_system="us",
    fillet_radius_mm=6.35,
    kerf_mm=3.175,
    mixer_l=85.0,
    scale_step_kg=0.05,
)


@cache
def starter(pack: str = "metric") -> PriceBook:
    """The starter catalogue of fixtures/ read straight into values."""
    data = json.loads((FIXTURES / "catalogue" / f"starter-{pack}.json").read_text(encoding="utf-8"))
    materials_read = {row["code"]: _material(row) for row in data["materials"]}
    mixes = {row["code"]: _mix(row) for row in data["mixes"]}
    return PriceBook(date(2026, 1, 5), materials_read, mixes, {}, ())


def _known(row: Mapping[str, Any], cls: type) -> dict[str, Any]:
    names = {field.name for field in fields(cls)}
    return {key: value for key, value in row.items() if key in names}


def _material(row: Mapping[str, Any]) -> Material:
    kind = MaterialKind(row["kind"])
    size = row.get("pack_size")
    if kind in (MaterialKind.BOARD, MaterialKind.MESH_SHEET):
        size = row["length_mm"] * row["width_mm"] / 1e6
    elif kind is MaterialKind.STOCK_LENGTH:
        size = row["length_mm"] / 1000
    values = _known(row, Material)
    values.update(
        kind=kind, pack_size=float(size or 0), price=Decimal(row["price"]), role=row.get("usage", "")
    )
    return Material(**values)


def _mix(row: Mapping[str, Any]) -> Mix:
    values = _known(row, Mix)
    values["parts"] = tuple(RecipePart(**_known(part, RecipePart)) for part in row.get("parts", []))
    return Mix(**values)


def without(book: PriceBook, *roles: str) -> PriceBook:
    """The same price list with no material for the roles."""
    kept = {code: m for code, m in book.materials.items() if m.role not in roles}
    return replace(book, materials=kept)


def slab(shape: Shape | None = None, thickness_mm: float = 40.0, **more: Any) -> Piece:
    """A plain slab, 2400 × 900 × 40 mm unless told otherwise."""
    return Piece("Slab", "mm", thickness_mm, shape or Rectangle(2400.0, 900.0), **more)


def take_off(
    piece: Piece, book: PriceBook | None = None, terms: ShopTerms = METRIC, quantity: int = 1
) -> tuple[Solid, Geometry, MaterialsTakeoff]:
    """Solid, measures and materials of a piece."""
    solid = build(piece)
    geometry = measure(solid)
    return solid, geometry, materials(solid, geometry, book or starter(), terms, quantity)
