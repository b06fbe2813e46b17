"""Cutting stock on 500 lists of ten published classes: ours, a library's best of 324 settings, the bound.

Run by hand from the project's root (some minutes): `python -m tests.benchmarks.bench_cutting`.
`--steps N` sets the work a list, `--sizes 20,40` fewer lists, `--no-library` leaves the library out,
`--file LISTS` reads lists instead of drawing them: one a line,
`clCC_NNN_II;count;side;side;w,h;w,h,times;...`.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from time import process_time

from quoting.engine.cutting.sheets import lay_out_sheets
from quoting.engine.cutting.verify import verify_plan
from tests.benchmarks.cutting_instances import SIZES, Instance, as_request, instances, library_best

STEPS = 100_000
NO_OFFCUT_MM = 10_000
"""Longer than any sheet: the layouts alone are timed, as the library gathers no offcuts."""


@dataclass
class Row:
    """Totals of one class."""

    lists: int = 0
    ours: int = 0
    library: int = 0
    bound: int = 0
    proven: int = 0
    seconds: float = 0.0
    library_seconds: float = 0.0

    def add(self, other: Row) -> None:
        for name in self.__dataclass_fields__:
            setattr(self, name, getattr(self, name) + getattr(other, name))

    def line(self, title: str) -> str:
        counts = f"{self.lists:>6}{self.ours:>7}{self.library:>9}{self.bound:>7}{self.proven:>8}"
        return f"{title:>6}{counts}{self.seconds:>9.1f}{self.library_seconds:>11.1f}"


def measure(instance: Instance, steps: int, library: bool) -> Row:
    """One list laid out and checked; seconds are of this process on one core."""
    request = as_request(instance)
    start = process_time()
    plan = lay_out_sheets(request, steps=steps, reusable_mm=NO_OFFCUT_MM)
    middle = process_time()
    best = library_best(instance) if library else 0
    stop = process_time()
    faults = verify_plan(request, plan)
    if faults or plan.unplaced:
        raise SystemExit(f"class {instance.group} list {instance.number}: {faults or plan.unplaced}")
    proven = int(plan.proven_optimal)
    return Row(1, len(plan.sheets), best, plan.lower_bound_sheets, proven, middle - start, stop - middle)


def read_lists(path: Path) -> Iterator[Instance]:
    """The lists of a file whose names begin with cl."""
    for line in path.read_text(encoding="utf-8").splitlines():
        name, *fields = line.strip().split(";")
        if name.startswith("cl"):
            rows = [[int(n) for n in field.split(",")] for field in fields[3:]]
            parts = tuple((w, h) for w, h, *times in rows for _ in range(times[0] if times else 1))
            yield Instance(int(name[2:4]), int(name[-2:]), int(fields[1]), parts)


def main(arguments: list[str]) -> None:
    """Print a row a class and the totals."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--steps", type=int, default=STEPS)
    parser.add_argument("--sizes", default=",".join(str(size) for size in SIZES))
    parser.add_argument("--no-library", action="store_true")
    parser.add_argument("--file", type=Path)
    options = parser.parse_args(arguments)
    sizes = [int(size) for size in options.sizes.split(",")]
    lists = list(read_lists(options.file)) if options.file else instances(range(1, 11), sizes)
    print(
        f"{'class':>6}{'lists':>6}{'ours':>7}{'library':>9}{'bound':>7}{'proven':>8}{'s':>9}{'library s':>11}"
    )
    total = Row()
    for group in sorted({one.group for one in lists}):
        row = Row()
        for instance in (one for one in lists if one.group == group):
            row.add(measure(instance, options.steps, not options.no_library))
        total.add(row)
        print(row.line(str(group)), flush=True)
    print(total.line("all"))


if __name__ == "__main__":
    main(sys.argv[1:])
