"""What the API answers of a mould: its parts, and how they are cut from sheets and lengths."""

from __future__ import annotations

from quoting.api.described import Absent, Described


class CutPlaced(Described):
    """A part on a sheet, from the sheet's corner; `turned` by a quarter."""

    name: str
    x_mm: float
    y_mm: float
    length_mm: float
    width_mm: float
    turned: bool


class CutOffcut(Described):
    """What is left of a sheet in one piece."""

    x_mm: float
    y_mm: float
    length_mm: float
    width_mm: float


class CutLine(Described):
    """One cut through, in the order they are made."""

    axis: str
    at_mm: float
    from_mm: float
    to_mm: float


class CutSheet(Described):
    """One sheet with its parts."""

    code: str
    placed: list[CutPlaced]
    offcuts: list[CutOffcut]
    cuts: list[CutLine]


class CutPlanRead(Described):
    """Sheets with placed parts, and how good the plan is known to be."""

    sheets: list[CutSheet]
    cost: float
    lower_bound_sheets: int
    proven_optimal: bool
    unplaced: list[str]


class EstimateLayout(CutPlanRead):
    """The sheets of one material."""

    material: str


class CutPieceAlong(Described):
    """A piece of a length, from the end it is cut from."""

    name: str
    x_mm: float
    length_mm: float


class CutBar(Described):
    """One length with its pieces, and what is left of it."""

    code: str
    pieces: list[CutPieceAlong]
    offcut_mm: float


class EstimateBars(Described):
    """The lengths of one material (tube, edging, strip), and how good the plan is known to be."""

    material: str
    bars: list[CutBar]
    lower_bound_bars: int
    proven_optimal: bool


class EstimateMouldPart(Described):
    """A part of the mould as it is cut."""

    name: str
    drawing: str
    length_mm: float
    width_mm: float
    thickness_mm: float
    quantity: int
    material: str
    edges: str
    bend_radius_mm: float | None


class EstimateMould(Described):
    """The mould: parts, how they are cut, what to mind."""

    parts: list[EstimateMouldPart]
    layouts: list[EstimateLayout]
    bars: list[EstimateBars] | Absent = None
    notes: list[str]
