"""Materials of a job as its forms offer them and its lists tell them, in the shop's own units."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from shop.jobs.models import Draw, PlannedMaterial
from shop.jobs.units import said, shop_unit


@dataclass(frozen=True, slots=True)
class Offered:
    """One material to choose: its key, its name, what its quantity is typed in, and what a pack holds."""

    pk: int
    name: str
    unit: str
    pack: str
    after_mishap: bool


def offered(rows: Iterable[PlannedMaterial], system: str) -> list[Offered]:
    """Planned materials for a form, each with its piece where there are several.

    `pack` is empty where a pack says nothing more.
    """
    planned = list(rows)
    several = len({row.piece_id for row in planned}) > 1
    return [
        Offered(
            row.pk,
            f"{row.name}, {row.piece.name}" if several else row.name,
            shop_unit(row.unit, system),
            _pack(row, system),
            row.mishap_id is not None,
        )
        for row in planned
    ]


def _pack(row: PlannedMaterial, system: str) -> str:
    if not row.pack_name or row.pack_size == 1:
        return ""
    return f"a {row.pack_name} is {said(row.pack_size, row.unit, system)}"


def taken(rows: Iterable[Draw], system: str) -> list[tuple[Draw, str]]:
    """Draws and purchases, each with its quantity in words."""
    return [(row, said(row.quantity, row.unit, system)) for row in rows]
