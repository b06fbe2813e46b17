"""What a cutting plan is asked and what it answers: frozen values, lengths in mm.

x runs along a sheet's length, y along its width, both from one corner of the full sheet, border included.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

REUSABLE_MM = 150.0
"""An offcut is worth keeping when both its sides reach this (common practice; an input of the layout)."""


@dataclass(frozen=True, slots=True)
class Stock:
    """A size of sheet that can be had; `count` None is any number.

    A row `on_hand` is already paid for: it is used before anything is bought and adds nothing to the cost,
    whatever its price says.
    """

    code: str
    length_mm: float
    width_mm: float
    price: Decimal
    count: int | None = None
    on_hand: bool = False


@dataclass(frozen=True, slots=True)
class Part:
    """Parts of one size; `turn` says whether length and width may change places (no grain, no pattern)."""

    name: str
    length_mm: float
    width_mm: float
    quantity: int = 1
    turn: bool = True


@dataclass(frozen=True, slots=True)
class CutRequest:
    """Parts to lay out on stock: `kerf_mm` is the width of the blade's cut, `trim_mm` the unusable border."""

    kerf_mm: float
    trim_mm: float
    stock: tuple[Stock, ...]
    parts: tuple[Part, ...]


@dataclass(frozen=True, slots=True)
class Placed:
    """One part on a sheet: its corner nearest the origin and its sizes along x and y as it lies."""

    name: str
    x_mm: float
    y_mm: float
    length_mm: float
    width_mm: float
    turned: bool


@dataclass(frozen=True, slots=True)
class Offcut:
    """A rectangle left over, whole, after all the cuts."""

    x_mm: float
    y_mm: float
    length_mm: float
    width_mm: float

    @property
    def area_mm2(self) -> float:
        """Area of the rectangle, length × width, in mm²."""
        return self.length_mm * self.width_mm


@dataclass(frozen=True, slots=True)
class Cut:
    """One cut, edge to edge of the piece on the saw.

    `axis` is the axis that `at_mm` is measured on; the cut runs along the other axis from `from_mm` to
    `to_mm`. The blade takes `at_mm` to `at_mm` + kerf: `at_mm` is the finished edge of the piece nearer the
    origin. Where the piece ends less than a kerf beyond, the blade runs off its edge.
    """

    axis: str
    at_mm: float
    from_mm: float
    to_mm: float


@dataclass(frozen=True, slots=True)
class SheetPlan:
    """One sheet: what lies on it, what is left of it, and the cuts in the order a maker makes them."""

    code: str
    placed: tuple[Placed, ...]
    offcuts: tuple[Offcut, ...]
    cuts: tuple[Cut, ...]


@dataclass(frozen=True, slots=True)
class CutPlan:
    """A whole plan: the sheets, what they cost, and how good that is known to be.

    No plan for these parts can use fewer than `lower_bound_sheets` sheets. `proven_optimal` is True only
    where no plan for these parts on this stock can cost less; it says nothing of the offcuts. `unplaced`
    names, once for every single part, those that fit on no stock or for which the stock ran out.
    """

    sheets: tuple[SheetPlan, ...]
    cost: Decimal
    lower_bound_sheets: int
    proven_optimal: bool
    unplaced: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class BarStock:
    """A stock length of bar, tube, edging or strip; `count` and `on_hand` as for sheets."""

    code: str
    length_mm: float
    price: Decimal
    count: int | None = None
    on_hand: bool = False


@dataclass(frozen=True, slots=True)
class BarPart:
    """Pieces of one length to cut from bars."""

    name: str
    length_mm: float
    quantity: int = 1


@dataclass(frozen=True, slots=True)
class BarRequest:
    """Lengths to cut from bars: `trim_mm` is lost at each end of a bar."""

    kerf_mm: float
    trim_mm: float
    stock: tuple[BarStock, ...]
    parts: tuple[BarPart, ...]


@dataclass(frozen=True, slots=True)
class BarPiece:
    """One piece on a bar, from `x_mm` on."""

    name: str
    x_mm: float
    length_mm: float


@dataclass(frozen=True, slots=True)
class BarLayout:
    """One bar: the pieces along it and the length left at its end."""

    code: str
    pieces: tuple[BarPiece, ...]
    offcut_mm: float


@dataclass(frozen=True, slots=True)
class BarPlan:
    """A whole plan for bars; the figures mean the same as in `CutPlan`."""

    bars: tuple[BarLayout, ...]
    cost: Decimal
    lower_bound_bars: int
    proven_optimal: bool
    unplaced: tuple[str, ...]
