"""Test lists for cutting stock, made to the published definitions, and what a general library makes of them.

Definitions: J. O. Berkey and P. Y. Wang, Two-Dimensional Finite Bin-Packing Algorithms, Journal of the
Operational Research Society 38 (1987) 423-429, classes 1 to 6; S. Martello and D. Vigo, Exact Solution of the
Two-Dimensional Finite Bin Packing Problem, Management Science 44 (1998) 388-399, classes 7 to 10. The
published files themselves are not kept here: these lists are drawn anew, so totals over them compare with
each other and not with printed totals.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from itertools import product
from random import Random

from rectpack import guillotine, packer

from quoting.engine.cutting.values import CutRequest, Part, Stock

SIZES = (20, 40, 60, 80, 100)
"""Parts a list."""
EACH = 10
"""Lists of each size in a class."""
UNIFORM = {1: (10, 10), 2: (10, 30), 3: (35, 40), 4: (35, 100), 5: (100, 100), 6: (100, 300)}
"""Classes 1 to 6: sides drawn from 1 to the first, the sheet's side."""
MIXED_SIDE = 100
"""Classes 7 to 10: the sheet's side; type class - 6 has 70 % of the parts, the other three 10 % each."""


@dataclass(frozen=True, slots=True)
class Instance:
    """One list: square sheets of `side`, parts as (length, width)."""

    group: int
    number: int
    side: int
    parts: tuple[tuple[int, int], ...]


def instances(groups: Sequence[int], sizes: Sequence[int] = SIZES, each: int = EACH) -> list[Instance]:
    """The lists of some classes; the seed of a list is class × 10,000 + parts × 10 + its number from 0."""
    found = []
    for group, size, number in product(groups, sizes, range(each)):
        random = Random(group * 10_000 + size * 10 + number)
        if group in UNIFORM:
            most, side = UNIFORM[group]
            parts = tuple((random.randint(1, most), random.randint(1, most)) for _ in range(size))
        else:
            side = MIXED_SIDE
            parts = tuple(mixed_part(random, group - 6) for _ in range(size))
        found.append(Instance(group, number, side, parts))
    return found


def mixed_part(random: Random, main: int) -> tuple[int, int]:
    """A part of type `main` with chance 0.7, else of one of the other three types."""
    others = [kind for kind in (1, 2, 3, 4) if kind != main]
    kind = main if random.random() < 0.7 else others[random.randrange(3)]
    side = MIXED_SIDE
    low, half, large = (1, side // 2), (side // 2, side), (-(-2 * side // 3), side)
    wide, high = {1: (large, low), 2: (low, large), 3: (half, half), 4: (low, low)}[kind]
    return random.randint(wide[0], wide[1]), random.randint(high[0], high[1])


def as_request(instance: Instance) -> CutRequest:
    """The list as a request: no kerf, no trim, sheets at 1 each, every part free to turn."""
    stock = Stock("sheet", instance.side, instance.side, Decimal(1))
    parts = tuple(Part(f"part {n}", w, h) for n, (w, h) in enumerate(instance.parts))
    return CutRequest(0, 0, (stock,), parts)


FITS = ("Baf", "Bssf", "Blsf")
SPLITS = ("Sas", "Las", "Slas", "Llas", "Maxas", "Minas")
SORTS = ("AREA", "PERI", "DIFF", "SSIDE", "LSIDE", "RATIO")
BINS = ("BNF", "BFF", "BBF")


def library_best(instance: Instance) -> int:
    """Fewest sheets over 324 settings of the library: 3 fits, 6 splits, 6 sorts, 3 ways to choose a sheet."""
    best = len(instance.parts)
    for fit, split, sort, choice in product(FITS, SPLITS, SORTS, BINS):
        packing = packer.newPacker(
            mode=packer.PackingMode.Offline,
            bin_algo=getattr(packer.PackingBin, choice),
            pack_algo=getattr(guillotine, f"Guillotine{fit}{split}"),
            sort_algo=getattr(packer, f"SORT_{sort}"),
            rotation=True,
        )
        for width, height in instance.parts:
            packing.add_rect(width, height)
        packing.add_bin(instance.side, instance.side, count=best)
        packing.pack()
        if len(packing.rect_list()) == len(instance.parts):
            best = min(best, len(packing))
    return best
