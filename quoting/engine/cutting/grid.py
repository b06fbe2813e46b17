"""Millimetres to whole numbers and back, so that parts which fill a sheet exactly do.

The grid is 0.0000001 mm: far below any saw and above the noise of binary floats. Parts, kerf and trim go down
to it and sheets up, so that thirds and sevenths of a sheet add up to it. Then the grid is as coarse as the
request allows (its common divisor). Kerf is taken into the sizes: a part of w + kerf in a sheet of W + kerf
needs no other care.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import ROUND_CEILING, ROUND_FLOOR, Decimal
from math import gcd

from quoting.engine.cutting.values import CutRequest, Part

GRID_MM = Decimal("0.0000001")
UNITS_A_MM = 10_000_000
SLIP_MM = Decimal("0.00001")
"""What is left beside shares of a sheet by the grid alone: nothing that a saw could take off."""


@dataclass(frozen=True, slots=True)
class Item:
    """One part on the grid, kerf added; `kind` is the same for parts of the same size and turning."""

    w: int
    h: int
    turn: bool
    kind: int


@dataclass(frozen=True, slots=True)
class Size:
    """A size of sheet on the grid, trim off and kerf added; `weight` orders what one costs, 0 on hand."""

    w: int
    h: int
    weight: int
    count: int


@dataclass(frozen=True, slots=True)
class Problem:
    """Parts and sheets as whole numbers: `sizes` in the order of the stock, `items` one for every part.

    `weight` of a size is its price times `unit` plus its area, so that a smaller weight is cheaper first
    and smaller then. `owner` gives the row of the request for each item.
    """

    sizes: tuple[Size, ...]
    items: tuple[Item, ...]
    owner: tuple[int, ...]
    unit: int
    step: int
    """Of the finest grid, in one unit."""
    kerf: int
    trim: int

    @property
    def slip(self) -> int:
        """The widest rest that is none, on the grid."""
        return int(SLIP_MM / self.step_mm)

    @property
    def step_mm(self) -> Decimal:
        """One unit in mm."""
        return self.step * GRID_MM

    def mm(self, units: int) -> float:
        """A length on the grid in mm: the nearest float."""
        return units * self.step / UNITS_A_MM


def whole(mm: float, rounding: str = ROUND_FLOOR) -> int:
    """A length in units of the finest grid.

    >>> whole(12.34561), 3 * whole(2440 / 3) <= whole(2440), whole(2439.99999999999, ROUND_CEILING)
    (123456100, True, 24400000000)
    """
    return int(Decimal(str(mm)).quantize(GRID_MM, rounding) / GRID_MM)


def on_grid(request: CutRequest) -> Problem:
    """The request as whole numbers, every part a separate item."""
    kerf = whole(request.kerf_mm)
    trim = whole(request.trim_mm)
    sheets = [(whole(s.length_mm, ROUND_CEILING), whole(s.width_mm, ROUND_CEILING)) for s in request.stock]
    parts = [(whole(p.length_mm), whole(p.width_mm)) for p in request.parts]
    step = gcd(kerf, trim, *(side for pair in sheets + parts for side in pair)) or 1
    kerf, trim = kerf // step, trim // step
    sides = [(w // step - 2 * trim + kerf, h // step - 2 * trim + kerf) for w, h in sheets]
    sizes, unit = weigh(request, sides)
    owner = tuple(n for n, part in enumerate(request.parts) for _ in range(part.quantity))
    kinds = number_kinds(request.parts, parts)
    items = tuple(
        Item(parts[n][0] // step + kerf, parts[n][1] // step + kerf, request.parts[n].turn, kinds[n])
        for n in owner
    )
    return Problem(sizes, items, owner, unit, step, kerf, trim)


def weigh(request: CutRequest, sides: Sequence[tuple[int, int]]) -> tuple[tuple[Size, ...], int]:
    """The sizes with their weights, and the weight of one smallest step of price."""
    most = sum(part.quantity for part in request.parts)
    counts = [most if s.count is None else min(s.count, most) for s in request.stock]
    counts = [count if w > 0 and h > 0 else 0 for count, (w, h) in zip(counts, sides, strict=True)]
    areas = [w * h if count else 0 for count, (w, h) in zip(counts, sides, strict=True)]
    unit = 1 + sum(count * area for count, area in zip(counts, areas, strict=True))
    prices = whole_prices([s.price for s in request.stock])
    sizes = []
    for stock, (w, h), price, count, area in zip(request.stock, sides, prices, counts, areas, strict=True):
        free = stock.on_hand or (price == 0 and stock.count is not None)
        sizes.append(Size(w, h, 0 if free else price * unit + area, count))
    return tuple(sizes), unit


def whole_prices(prices: Sequence[Decimal]) -> list[int]:
    """Prices as whole numbers of their finest decimal place."""
    places = max((-int(p.as_tuple().exponent) for p in prices), default=0)
    return [int(p.scaleb(max(places, 0))) for p in prices]


def number_kinds(rows: Sequence[Part], sides: Sequence[tuple[int, int]]) -> list[int]:
    """A number for each row, equal for rows that no layout could tell apart."""
    seen: dict[tuple[int, int, bool], int] = {}
    found = []
    for row, (w, h) in zip(rows, sides, strict=True):
        key = (min(w, h), max(w, h), True) if row.turn else (w, h, False)
        found.append(seen.setdefault(key, len(seen)))
    return found
