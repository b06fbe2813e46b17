"""Judge a plan from the outside: the request and the plan in mm, nothing of how it was found."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence

from quoting.engine.cutting.values import Cut, CutPlan, CutRequest, Offcut, Placed, SheetPlan, Stock

TOLERANCE_MM = 1e-6
"""Printed lengths are binary floats, and plans lie on a grid of 0.0000001 mm."""
EDGE_MM = 1e-5 + TOLERANCE_MM
"""A slip beside a part that is thinner than this is not cut off it."""

Box = tuple[float, float, float, float]
"""x from, y from, x to, y to, in mm."""


def verify_plan(request: CutRequest, plan: CutPlan) -> list[str]:
    """Everything wrong with a plan, in words; an empty list for a plan that can be cut as it says.

    Checked: every part once, on a sheet or unplaced; true sizes and turning; sheets that exist, no more than
    there are; inside the trim; a kerf between neighbours; offcuts clear of parts and of each other; cuts that
    run edge to edge of the piece on the saw and leave exactly the parts and offcuts; cost and bound.
    """
    faults = list(count_faults(request, plan))
    stock = {row.code: row for row in request.stock}
    for number, sheet in enumerate(plan.sheets):
        if sheet.code not in stock:
            faults.append(f"sheet {number}: no stock {sheet.code}")
            continue
        for fault in sheet_faults(request, stock[sheet.code], sheet):
            faults.append(f"sheet {number} ({sheet.code}): {fault}")
    return faults


def count_faults(request: CutRequest, plan: CutPlan) -> Iterator[str]:
    wanted: Counter[str] = Counter()
    for part in request.parts:
        wanted[part.name] += part.quantity
    got = Counter(p.name for sheet in plan.sheets for p in sheet.placed) + Counter(plan.unplaced)
    for name in sorted(wanted.keys() | got.keys()):
        if wanted[name] != got[name]:
            yield f"part {name}: {wanted[name]} wanted, {got[name]} in the plan"
    used = Counter(sheet.code for sheet in plan.sheets)
    for row in request.stock:
        if row.count is not None and used[row.code] > row.count:
            yield f"stock {row.code}: {used[row.code]} used, {row.count} there"
    cost = sum(row.price * used[row.code] for row in request.stock if not row.on_hand)
    if cost != plan.cost:
        yield f"cost: {plan.cost} said, {cost} summed"
    if not plan.unplaced and len(plan.sheets) < plan.lower_bound_sheets:
        yield f"bound: {plan.lower_bound_sheets} sheets at least, {len(plan.sheets)} used"


def sheet_faults(request: CutRequest, stock: Stock, sheet: SheetPlan) -> Iterator[str]:
    if not sheet.placed:
        yield "an empty sheet"
    trim, kerf = request.trim_mm, request.kerf_mm
    inside = (trim, trim, stock.length_mm - trim, stock.width_mm - trim)
    sizes = {(p.name, p.length_mm, p.width_mm, p.turn) for p in request.parts}
    for placed in sheet.placed:
        given = (placed.width_mm, placed.length_mm) if placed.turned else (placed.length_mm, placed.width_mm)
        ways = [turn for turn in (True, False) if (placed.name, *given, turn) in sizes]
        if not ways or (placed.turned and True not in ways):
            yield f"{placed.name}: {given[0]} × {given[1]} turned={placed.turned} was not asked for"
        if not within(box(placed), inside):
            yield f"{placed.name} at {placed.x_mm}, {placed.y_mm} lies over the edge or the trim"
    for offcut in sheet.offcuts:
        if not within(box(offcut), inside) or min(offcut.length_mm, offcut.width_mm) <= 0:
            yield f"offcut at {offcut.x_mm}, {offcut.y_mm} is not on the sheet"
    things: list[Placed | Offcut] = [*sheet.placed, *sheet.offcuts]
    for index, one in enumerate(things):
        for two in things[:index]:
            if gap(box(one), box(two)) < kerf - TOLERANCE_MM:
                yield f"{one} and {two} are closer than a kerf"
    yield from cut_faults(request, stock, sheet)


def cut_faults(request: CutRequest, stock: Stock, sheet: SheetPlan) -> Iterator[str]:
    """Saw the sheet as the plan says and look at what is left."""
    pieces: list[Box] = [(0.0, 0.0, stock.length_mm, stock.width_mm)]
    for cut in sheet.cuts:
        index = piece_under(cut, pieces)
        if index is None:
            yield f"{cut} does not run edge to edge of any piece"
            return
        near, far = saw(pieces.pop(index), cut, request)
        pieces += [piece for piece in (near, far) if piece is not None]
    things: list[Placed | Offcut] = [*sheet.placed, *sheet.offcuts]
    for thing in things:
        if not any(same(piece, box(thing)) for piece in pieces):
            yield f"{thing} does not come off the saw as a piece of its own"


def piece_under(cut: Cut, pieces: Sequence[Box]) -> int | None:
    for index, (x0, y0, x1, y1) in enumerate(pieces):
        low, high, start, stop = (x0, x1, y0, y1) if cut.axis == "x" else (y0, y1, x0, x1)
        edge_to_edge = abs(cut.from_mm - start) < EDGE_MM and abs(cut.to_mm - stop) < EDGE_MM
        if edge_to_edge and low - TOLERANCE_MM <= cut.at_mm <= high + TOLERANCE_MM:
            return index
    return None


def saw(piece: Box, cut: Cut, request: CutRequest) -> tuple[Box | None, Box | None]:
    """The two pieces a cut leaves; one is None where the blade runs along an edge."""
    x0, y0, x1, y1 = piece
    low, high = (x0, x1) if cut.axis == "x" else (y0, y1)
    far_from = cut.at_mm + request.kerf_mm
    if low == 0.0 and cut.at_mm == 0.0:
        far_from = request.trim_mm  # a trim narrower than the blade: the blade hangs over the edge
    near = None if cut.at_mm - low < TOLERANCE_MM else (low, cut.at_mm)
    far = None if high - far_from < TOLERANCE_MM else (far_from, high)
    if cut.axis == "x":
        return near and (near[0], y0, near[1], y1), far and (far[0], y0, far[1], y1)
    return near and (x0, near[0], x1, near[1]), far and (x0, far[0], x1, far[1])


def box(thing: Placed | Offcut) -> Box:
    return (thing.x_mm, thing.y_mm, thing.x_mm + thing.length_mm, thing.y_mm + thing.width_mm)


def within(inner: Box, outer: Box) -> bool:
    return (
        inner[0] >= outer[0] - TOLERANCE_MM
        and inner[1] >= outer[1] - TOLERANCE_MM
        and inner[2] <= outer[2] + TOLERANCE_MM
        and inner[3] <= outer[3] + TOLERANCE_MM
    )


def gap(one: Box, two: Box) -> float:
    """How far apart two rectangles are along the axis that separates them best; negative if they overlap."""
    return max(one[0] - two[2], two[0] - one[2], one[1] - two[3], two[1] - one[3])


def same(piece: Box, wanted: Box) -> bool:
    """Whether a piece off the saw is the one wanted."""
    return all(abs(a - b) < EDGE_MM for a, b in zip(piece, wanted, strict=True))
