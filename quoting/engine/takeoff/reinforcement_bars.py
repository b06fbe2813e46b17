"""Bars by rows: along the middle of a drop edge or of a trough's wall, or round the outline inside the cover.

Lengths are to the corner points, which is a little over what a bent bar takes. The rows of one run lie beside
each other and are reckoned alike. Closed runs lap once more than they have joints.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from quoting.engine.cutting.values import BarPart
from quoting.engine.errors import Fault, Refused
from quoting.engine.plane.contour import Contour, Line, NoRoom, contour_of
from quoting.engine.plane.shapes import Rectangle
from quoting.engine.solid.build import Solid
from quoting.engine.spec.types import BarRun, Reinforcement, Trough
from quoting.engine.takeoff.lines import MaterialLine
from quoting.engine.takeoff.nesting import lengths_for, pieces_of
from quoting.engine.takeoff.stock import counted_line, known_figure, of_code
from quoting.engine.takeoff.wording import count_of
from quoting.engine.units import format_length
from quoting.engine.values import Material, PriceBook, ShopTerms

STEEL_KG_M3 = 7850.0
_PLACES = {"drop_edge": "drop edge", "trough": "trough wall", "outline": "round the outline"}


@dataclass(frozen=True, slots=True)
class BarCut:
    """Bars of one kind for one piece: `count` pieces of `length_mm`; `bends` and `laps` are of one row."""

    bar: str
    where: str
    length_mm: float
    count: int
    bends: int
    laps: int
    working: str


def bar_mass_kg_per_m(diameter_mm: float) -> float:
    """Mass of a round steel bar: π/4·d²·7850×10⁻⁶ kg/m (EN 10080; check value C31).

    >>> round(bar_mass_kg_per_m(12), 3)
    0.888
    """
    return math.pi / 4 * diameter_mm**2 * STEEL_KG_M3 * 1e-6


def unsawn(terms: ShopTerms) -> ShopTerms:
    """Mesh and bars are cropped, not sawn: no kerf, no trim."""
    return replace(terms, kerf_mm=0.0, trim_mm=0.0)


def bar_cuts(solid: Solid, rules: Reinforcement, book: PriceBook) -> tuple[BarCut, ...]:
    """Every bar of one piece, row by row, in pieces no longer than the stock, lapping by the rule's lap."""
    cuts: list[BarCut] = []
    for i, run in enumerate(rules.bars):
        bar = of_code(book, run.bar, f"reinforcement.bars[{i}].bar")
        stock_mm = known_figure(bar, "length_mm", "the length it comes in")
        for line, closed in _runs(solid, run, rules, bar, f"reinforcement.bars[{i}]"):
            path_mm, bends = line
            whole_mm = path_mm + (rules.lap_mm if closed else 0.0)
            if whole_mm > stock_mm and rules.lap_mm >= stock_mm:
                message = f"must be less than a whole length of {bar.code}"
                raise Refused([Fault("reinforcement.lap", message, "too_large")])
            count, each = pieces_of(whole_mm, stock_mm, rules.lap_mm)
            laps = count if closed else count - 1
            working = f"{format_length(path_mm)} + {laps} × {format_length(rules.lap_mm)} lap"
            cuts.append(BarCut(run.bar, run.where, each, count * run.rows, bends, laps, working))
    return tuple(cuts)


def _runs(
    solid: Solid, run: BarRun, rules: Reinforcement, bar: Material, path: str
) -> list[tuple[tuple[float, int], bool]]:
    """((length in mm, bends), closed?) of the lines one row of bars follows."""
    half = (bar.diameter_mm or 0.0) / 2
    try:
        if run.where == "outline":
            return [(_girth(solid.outline.grown(-rules.cover_mm - half)), True)]
        if run.where == "trough":
            return [(_girth(_wall_middle(body.trough)), True) for body in solid.troughs]
        return _drop_runs(solid, rules)
    except NoRoom as error:
        raise Refused([Fault(path, f"leaves no room for bars: {error}", "no_room")]) from error


def _wall_middle(trough: Trough) -> Contour:
    wall = trough.wall_mm
    shape = Rectangle(
        trough.length_mm + wall, trough.width_mm + wall, (trough.corner_radius_mm + wall / 2,) * 4
    )
    return contour_of(shape, trough.centre_mm, trough.turn_deg)


def _girth(contour: Contour) -> tuple[float, int]:
    straight = sum(isinstance(segment, Line) for segment in contour.segments)
    return contour.perimeter_mm, straight


def _drop_runs(solid: Solid, rules: Reinforcement) -> list[tuple[tuple[float, int], bool]]:
    """Bars along the middle of the drop edge's band: one closed loop, or one bar for each run of sides."""
    drop = solid.piece.drop_edge
    if drop is None:
        return []
    middle = solid.outline.grown(-drop.thickness_mm / 2, drop.sides)
    count = solid.outline.sides
    if drop.sides is None or count == 0 or len(set(drop.sides)) == count:
        return [(_girth(middle), True)]
    listed = set(drop.sides)
    found = []
    for first in sorted(side for side in listed if (side - 1) % count not in listed):
        run = [first]
        while (run[-1] + 1) % count in listed:
            run.append((run[-1] + 1) % count)
        length = middle.length_on_mm(run) - 2 * rules.cover_mm
        if length <= 0:
            raise NoRoom(f"the drop edge on side {first} is no longer than its cover at both ends")
        found.append(((length, len(run) - 1), False))
    return found


def bar_lines(cuts: tuple[BarCut, ...], book: PriceBook, terms: ShopTerms, pieces: int) -> list[MaterialLine]:
    """A line for each bar of the price list: all cuts of all pieces, laid out on its stock lengths."""
    lines = []
    for code in dict.fromkeys(cut.bar for cut in cuts):
        bar = book.materials[code]
        own = [cut for cut in cuts if cut.bar == code]
        parts = [BarPart(f"{cut.where} {n}", cut.length_mm, cut.count) for n, cut in enumerate(own, 1)]
        _, bought = lengths_for(bar, parts, pieces, unsawn(terms))
        need_m = pieces * sum(cut.count * cut.length_mm for cut in own) / 1000
        words = [
            f"{cut.count * pieces} × {format_length(cut.length_mm, terms.unit_system)} "
            f"({_PLACES[cut.where]}, {count_of(cut.bends, 'bend')}, {count_of(cut.laps, 'lap')} a row)"
            for cut in own
        ]
        lines.append(counted_line(bar, "reinforcement", need_m, bought, terms, lead=" + ".join(words)))
    return lines
