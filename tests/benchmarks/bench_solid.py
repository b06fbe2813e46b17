"""How fast a piece is measured, against the same piece built by a general mesh kernel in the same process.

By hand, not in the suite: `python -m tests.benchmarks.bench_solid`. Aims: the reading-room table measured in
under 3 ms and at least ten times faster than the kernel; cost linear in the number of features up to 200.
"""

from __future__ import annotations

import statistics
import time
from collections.abc import Callable
from functools import partial

from quoting.engine.plane.shapes import Rectangle
from quoting.engine.solid.build import build
from quoting.engine.solid.measure import measure
from quoting.engine.solid.section import section_at, stations
from quoting.engine.spec.types import Drain, EdgeTreatment, Inlay, Opening, Piece, Sleeve, Trough
from tests.validation.mesh_piece import measured, mesh_of


def reading_room_table() -> Piece:
    """2100 × 900 × 40 mm, radiused corners, a planting trough, four backlit inlays, two sleeves."""
    trough = Trough(
        (1050.0, 650.0), 700.0, 180.0, 150.0, 25.0, 30.0, 20.0, 5.0, 0.0, None,
        (Drain((900.0, 650.0), 20.0), Drain((1200.0, 650.0), 20.0)),
    )  # fmt: skip
    inlays = Inlay(
        ((300.0, 300.0), (800.0, 300.0), (1300.0, 300.0), (1800.0, 300.0)),
        Rectangle(250.0, 150.0, (10.0,) * 4),
        "glass",
        10.0,
        12.0,
        True,
    )
    return Piece(
        "Reading-room table",
        "mm",
        40.0,
        Rectangle(2100.0, 900.0, (60.0,) * 4),
        edges=(EdgeTreatment("top", "round", 6.0), EdgeTreatment("bottom", "chamfer", 4.0)),
        features=(trough, inlays, Sleeve(((150.0, 750.0), (1950.0, 750.0)), 60.0)),
    )


def many_openings(count: int) -> Piece:
    """A slab with `count` treated openings on a grid."""
    rim = (EdgeTreatment("top", "round", 3.0),)
    spots = [(100.0 + 200.0 * (i % 20), 100.0 + 200.0 * (i // 20)) for i in range(count)]
    holes = tuple(Opening((at,), Rectangle(80.0, 60.0, (8.0,) * 4), 15.0, rim) for at in spots)
    return Piece("Sieve", "mm", 40.0, Rectangle(4000.0, 2200.0), features=holes)


def by_us(piece: Piece) -> float:
    """Volume in mm³, with every other measure."""
    return measure(build(piece)).volume_m3 * 1e9


def by_kernel(piece: Piece, chord_mm: float) -> float:
    """Volume in mm³, with the centroid."""
    return measured(mesh_of(piece, chord_mm)).volume_mm3


def best_and_median_ms(work: Callable[[], object], runs: int) -> tuple[float, float]:
    times = []
    for _ in range(runs):
        start = time.perf_counter()
        work()
        times.append((time.perf_counter() - start) * 1e3)
    return min(times), statistics.median(times)


def main() -> None:
    table = reading_room_table()
    ours, ours_median = best_and_median_ms(partial(by_us, table), 100)
    print(f"measured: best {ours:.2f} ms, median {ours_median:.2f} ms")
    volume = by_us(table)
    for chord in (0.5, 0.05, 0.005):
        theirs, median = best_and_median_ms(partial(by_kernel, table, chord), 5)
        off = by_kernel(table, chord) / volume - 1.0
        print(
            f"mesh kernel, chords within {chord} mm: best {theirs:.0f} ms, median {median:.0f} ms, "
            f"{theirs / ours:.0f} times as long, volume off by {off:.1e}"
        )
    solid = build(table)
    places = stations(solid, "x")
    cuts, _ = best_and_median_ms(lambda: [section_at(solid, "x", at) for at in places], 5)
    print(f"{len(places)} sections: {cuts:.0f} ms")
    for count in (25, 50, 100, 200):
        best, _ = best_and_median_ms(partial(by_us, many_openings(count)), 5)
        print(f"{count} treated openings: {best:.1f} ms, {best / count * 1e3:.0f} µs each")


if __name__ == "__main__":
    main()
