"""Light strip under the backlit inlays, joined by the shortest run, and a supply for its load.

Round every backlit inlay's lip runs a strip as long as the lip's own edge, cut up to the strip's step. The
inlays are joined, middle to middle (which leaves slack for the ends), along the shortest open run through all
of them; each link is cut up to the step too. A given path takes the strip along itself instead. The tail to
the supply is bought with the strip but not lit.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Final

from quoting.engine.cutting.values import BarPart
from quoting.engine.plane.shapes import Point
from quoting.engine.solid.build import Solid
from quoting.engine.takeoff.lines import Caution, MaterialLine
from quoting.engine.takeoff.nesting import lengths_for, pieces_of
from quoting.engine.takeoff.stock import counted_line, known_figure, of_code, of_roles, packed_line
from quoting.engine.takeoff.wording import count_of, figure, quantity
from quoting.engine.units import format_length
from quoting.engine.values import Material, PriceBook, ShopTerms

EXACT_UP_TO: Final = 8
STARTS: Final = 12
"""Places a good run is started from, above that number."""
HEADROOM: Final = 1.2
"""A supply is loaded to five sixths at most (common practice)."""


@dataclass(frozen=True, slots=True)
class Lights:
    """Light of one piece, and its lines for all pieces."""

    lines: tuple[MaterialLine, ...] = ()
    length_m: float = 0.0
    """Strip of one piece: lit parts, links and tail."""
    load_w: float = 0.0
    order: tuple[int, ...] = ()
    """Backlit inlays in the order of the run, by their place among the voids."""
    cautions: tuple[Caution, ...] = ()


def lighting(solid: Solid, book: PriceBook, terms: ShopTerms, pieces: int = 1) -> Lights:
    """Strip, supply and the usual caution. Raises Refused for a strip or supply the price list lacks."""
    light = solid.piece.lighting
    if light is None:
        return Lights()
    strip = of_code(book, light.strip, "lighting.strip")
    of_roles(book, ["light_supply"])
    backlit = [(n, void) for n, void in enumerate(solid.voids) if void.kind == "inlay_through"]
    order: tuple[int, ...] = ()
    if light.run_mm is not None:
        loops, links = [_up_to_step(path_length(light.run_mm), strip)], []
    else:
        middles = [void.contour.centroid_mm for _, void in backlit]
        order = shortest_run(middles)
        loops = [_up_to_step(void.contour.perimeter_mm, strip) for _, void in backlit]
        links = [_up_to_step(math.dist(middles[a], middles[b]), strip) for a, b in pairwise(order)]
    if not loops:
        return Lights()
    lit_m = (sum(loops) + sum(links)) / 1000
    length_m = lit_m + light.tail_mm / 1000
    load_w = lit_m * known_figure(strip, "watts_per_m", "its watts per metre")
    lines = (
        _strip_line(strip, loops, links, light.tail_mm, terms, pieces),
        _supply_line(load_w, lit_m, strip, book, terms, pieces),
    )
    return Lights(lines, length_m, load_w, tuple(backlit[k][0] for k in order), (_LOW_VOLTAGE,))


_LOW_VOLTAGE: Final = Caution(
    "low_voltage",
    "Light in a piece is extra-low voltage only, its supply outside the concrete and within reach, cables in "
    "conduit, clear of basins and sinks; the mains side is for a licensed electrician under the local code.",
    "NFPA 70 Article 411; IEC 60364-7-715 (from memory)",
)


def _up_to_step(length_mm: float, strip: Material) -> float:
    step = strip.step_mm or 0.0
    return math.ceil(length_mm / step - 1e-9) * step if step else length_mm


def path_length(path: Sequence[Point]) -> float:
    """Length of a path in mm. `path_length([(0, 0), (3, 4)])` is 5."""
    return math.fsum(math.dist(a, b) for a, b in pairwise(path))


# --- the run ---------------------------------------------------------------------------------------------
def shortest_run(points: Sequence[Point]) -> tuple[int, ...]:
    """Order in which an open path visits all points and is shortest: exact up to 8, good above.

    Above 8: nearest neighbour from a dozen points or more, then 2-opt until no turn of a part shortens it. Of
    equal runs the first in lexical order is kept, and a run starts at its lower-numbered end.

    >>> shortest_run([(0, 0), (900, 0), (300, 0), (600, 0)])
    (0, 2, 3, 1)
    """
    count = len(points)
    if count <= 1:
        return tuple(range(count))
    far = [[math.dist(a, b) for b in points] for a in points]
    order = _exact(far) if count <= EXACT_UP_TO else _improved(far)
    return order if order[0] < order[-1] else order[::-1]


def _exact(far: Sequence[Sequence[float]]) -> tuple[int, ...]:
    """Dynamic programme over subsets: best path ending at each point (Held and Karp)."""
    count = len(far)
    best: dict[tuple[int, int], tuple[float, tuple[int, ...]]] = {
        (1 << k, k): (0.0, (k,)) for k in range(count)
    }
    for size in range(1, count):
        for (visited, last), (length, path) in list(best.items()):
            if visited.bit_count() != size:
                continue
            for k in range(count):
                if visited >> k & 1:
                    continue
                key, entry = (visited | 1 << k, k), (length + far[last][k], (*path, k))
                if key not in best or entry < best[key]:
                    best[key] = entry
    everything = (1 << count) - 1
    return min(best[everything, k] for k in range(count))[1]


def _improved(far: Sequence[Sequence[float]]) -> tuple[int, ...]:
    step = max(1, len(far) // STARTS)
    runs = [_two_opt(_nearest(far, start), far) for start in range(0, len(far), step)]
    return min(runs, key=lambda run: (round(_length(run, far), 6), run))


def _nearest(far: Sequence[Sequence[float]], start: int) -> tuple[int, ...]:
    run, left = [start], set(range(len(far))) - {start}
    while left:
        following = min(left, key=lambda k: (far[run[-1]][k], k))
        run.append(following)
        left.remove(following)
    return tuple(run)


def _two_opt(run: tuple[int, ...], far: Sequence[Sequence[float]]) -> tuple[int, ...]:
    """Parts of an open run turned round while that shortens it: only the links at a part's ends change."""
    order, shorter = list(run), True
    while shorter:
        shorter = False
        for i in range(len(order) - 1):
            for j in range(i + 1, len(order)):
                before, after = order[i - 1] if i else None, order[j + 1] if j + 1 < len(order) else None
                first, last = order[i], order[j]
                gain = 0.0
                if before is not None:
                    gain += far[before][first] - far[before][last]
                if after is not None:
                    gain += far[last][after] - far[first][after]
                if gain > 1e-9:
                    order[i : j + 1] = reversed(order[i : j + 1])
                    shorter = True
    return tuple(order)


def _length(run: Sequence[int], far: Sequence[Sequence[float]]) -> float:
    return math.fsum(far[a][b] for a, b in pairwise(run))


# --- lines -----------------------------------------------------------------------------------------------
def _strip_line(
    strip: Material,
    loops: Sequence[float],
    links: Sequence[float],
    tail_mm: float,
    terms: ShopTerms,
    pieces: int,
) -> MaterialLine:
    reel_mm = known_figure(strip, "length_mm", "the length it comes in")
    parts = []
    for n, length in enumerate([*loops, *links, *([tail_mm] if tail_mm else [])], 1):
        count, each = pieces_of(length, reel_mm)
        parts.append(BarPart(f"light {n}", each, count))
    _, reels = lengths_for(strip, parts, pieces, terms)
    system = terms.unit_system
    sums = [f"{quantity(sum(loops) / 1000, 'm', system)} round {len(loops)}"]
    if links:
        sums.append(f"{quantity(sum(links) / 1000, 'm', system)} between them")
    if tail_mm:
        sums.append(f"{quantity(tail_mm / 1000, 'm', system)} tail")
    words = " + ".join(sums) + (f", cut to {format_length(strip.step_mm, system)}" if strip.step_mm else "")
    need_m = pieces * (sum(loops) + sum(links) + tail_mm) / 1000
    return counted_line(
        strip, "light", need_m, reels, terms, lead=f"{pieces} × ({words})" if pieces > 1 else words
    )


def _supply_line(
    load_w: float, lit_m: float, strip: Material, book: PriceBook, terms: ShopTerms, pieces: int
) -> MaterialLine:
    """The smallest supply that carries the load with headroom; several of the largest where none does."""
    supplies = [(known_figure(s, "watts", "its watts"), s.code, s) for s in book.by_role("light_supply")]
    needed = load_w * HEADROOM
    enough = [supply for supply in sorted(supplies, key=lambda s: s[:2]) if supply[0] >= needed - 1e-9]
    watts, _, chosen = enough[0] if enough else max(supplies, key=lambda s: (s[0], s[1]))
    each = max(1, math.ceil(needed / watts - 1e-9))
    lead = f"{figure(lit_m)} m × {figure(load_w / lit_m)} W/m × {HEADROOM} = {figure(needed)} W"
    for_each = f", {each} for each of {pieces} pieces" if pieces > 1 else ""
    buy = count_of(each * pieces, chosen.pack_name)
    working = f"{lead} ÷ {figure(watts)} W = {figure(needed / watts, 3)}{for_each}, buy {buy}"
    return packed_line(chosen, "light", float(each * pieces), terms, allowance=0.0, working=working)
