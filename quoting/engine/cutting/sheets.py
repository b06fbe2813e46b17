"""Parts on sheets: the public door, and the way back from trees of cuts to millimetres."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal

from quoting.engine.cutting.grid import Problem, on_grid
from quoting.engine.cutting.offcut import gather
from quoting.engine.cutting.solve import Solution, solve
from quoting.engine.cutting.tree import Node
from quoting.engine.cutting.values import REUSABLE_MM, Cut, CutPlan, CutRequest, Offcut, Placed, SheetPlan

STEPS = 20_000
"""Enough for a shop's list in a fraction of a second; a step is one part tried on all the sheets."""


def lay_out_sheets(request: CutRequest, steps: int = STEPS, reusable_mm: float = REUSABLE_MM) -> CutPlan:
    """Lay parts out on the cheapest set of sheets, by cuts that run edge to edge, a kerf apart.

    Stock on hand comes first. Among layouts that cost the same, the one with the largest offcut found whose
    sides both reach `reusable_mm` (mm) is kept. The work is bounded by `steps`; the same request and steps
    give the same plan on any machine. Limits: lengths are exact to 0.0000001 mm; a search, so the cost is
    known to be the least only where the plan says so. Parts that fit nowhere are named in `unplaced`.

    >>> from quoting.engine.cutting.values import Part, Stock
    >>> stock = (Stock("board", 1220, 2440, Decimal("30")),)
    >>> plan = lay_out_sheets(CutRequest(3.2, 0, stock, (Part("strip", 150, 2440, 8, turn=False),)))
    >>> len(plan.sheets), plan.lower_bound_sheets, plan.cost, plan.proven_optimal
    (2, 2, Decimal('60'), True)
    """
    return lay_out(request, steps, (reusable_mm, reusable_mm))


def lay_out(request: CutRequest, steps: int, reusable_mm: tuple[float, float]) -> CutPlan:
    """As `lay_out_sheets`, with a least offcut along x and along y."""
    problem = on_grid(request)
    if not problem.items:
        return CutPlan((), Decimal(0), 0, True, ())
    solution = solve(problem, steps)
    layout = gather(problem, solution.layout, reusable_mm, steps // 2)
    sheets = tuple(
        sheet_plan(request, problem, size, root)
        for size, root in sorted(layout, key=lambda sheet: (problem.sizes[sheet[0]].weight > 0, sheet[0]))
    )
    cost = sum(
        (request.stock[size].price for size, _ in layout if not request.stock[size].on_hand), Decimal(0)
    )
    return CutPlan(
        sheets,
        cost,
        solution.sheets_bound,
        is_proven(problem, solution),
        unplaced(request, problem, solution),
    )


def is_proven(problem: Problem, solution: Solution) -> bool:
    """Whether no plan can cost less: nothing left over, and a price no higher than the bound's."""
    return not solution.left and solution.weight // problem.unit <= solution.weight_bound // problem.unit


def unplaced(request: CutRequest, problem: Problem, solution: Solution) -> tuple[str, ...]:
    """The names of the parts left over, in the order of the request."""
    return tuple(request.parts[problem.owner[number]].name for number in sorted(solution.left))


def sheet_plan(request: CutRequest, problem: Problem, size: int, root: Node) -> SheetPlan:
    """One sheet in millimetres: trim cuts first, then every piece cut to strips, then each strip."""
    stock = request.stock[size]
    cuts = trim_cuts(problem, size, stock.length_mm, stock.width_mm)
    placed: list[Placed] = []
    offcuts: list[Offcut] = []
    todo = [(root, problem.trim, problem.trim)]
    while todo:
        node, x, y = todo.pop(0)
        if node.item >= 0:
            placed.append(placing(request, problem, node, x, y))
            continue
        inner, node_cuts, offcut = opened(problem, node, x, y)
        cuts += node_cuts
        todo = inner + todo
        if offcut is not None:
            offcuts.append(offcut)
    placed.sort(key=lambda p: (p.x_mm, p.y_mm))
    offcuts.sort(key=lambda o: (-o.area_mm2, o.x_mm, o.y_mm))
    return SheetPlan(stock.code, tuple(placed), tuple(offcuts), tuple(cuts))


def trim_cuts(problem: Problem, size: int, length_mm: float, width_mm: float) -> list[Cut]:
    """The four cuts that take the border off; where it is narrower than the blade, the blade overhangs."""
    trim = problem.trim
    if not trim:
        return []
    first = problem.mm(max(0, trim - problem.kerf))
    x_end = problem.mm(trim + problem.sizes[size].w - problem.kerf)
    y_end = problem.mm(trim + problem.sizes[size].h - problem.kerf)
    start = problem.mm(trim)
    return [
        *(Cut("x", first, 0.0, width_mm), Cut("x", x_end, 0.0, width_mm)),
        *(Cut("y", first, start, x_end), Cut("y", y_end, start, x_end)),
    ]


def opened(
    problem: Problem, node: Node, x: int, y: int
) -> tuple[list[tuple[Node, int, int]], list[Cut], Offcut | None]:
    """A node cut up: its children with their corners (the longest first), the cuts, and what is left."""
    kerf = problem.kerf
    axis = "x" if node.along else "y"
    at = x if node.along else y
    start, stop = (y, y + node.h - kerf) if node.along else (x, x + node.w - kerf)
    end = at + (node.w if node.along else node.h)
    kids: Sequence[Node] = sorted(node.kids, key=lambda kid: -(kid.w if node.along else kid.h))
    inner: list[tuple[Node, int, int]] = []
    cuts: list[Cut] = []
    for kid in kids:
        inner.append((kid, at, y) if node.along else (kid, x, at))
        at += kid.w if node.along else kid.h
        if at + problem.slip < end:
            cuts.append(Cut(axis, problem.mm(at - kerf), problem.mm(start), problem.mm(stop)))
    rest, across = end - at - kerf, stop - start
    if rest <= problem.slip:
        return inner, cuts, None
    corner = (at, start) if node.along else (start, at)
    sides = (rest, across) if node.along else (across, rest)
    return inner, cuts, Offcut(*(problem.mm(n) for n in (*corner, *sides)))


def placing(request: CutRequest, problem: Problem, leaf: Node, x: int, y: int) -> Placed:
    """A part where it lies, in its true size."""
    part = request.parts[problem.owner[leaf.item]]
    item = problem.items[leaf.item]
    turned = (leaf.w, leaf.h) != (item.w, item.h)
    length, width = (part.width_mm, part.length_mm) if turned else (part.length_mm, part.width_mm)
    return Placed(part.name, problem.mm(x), problem.mm(y), float(length), float(width), turned)
