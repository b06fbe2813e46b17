"""How fast the reading-room table is priced from its specification, against a bare view in the same run.

By hand, not in the suite: `python -m tests.benchmarks.bench_estimate`. Aim: specification to price, all of
hours, cure, handling, cautions and price, in under 30 ms. "Cold" forgets every remembered layout and
contour before each run; "warm" is the same piece asked again, as when only a price or a finish has changed.
Times are of the processor, the least of the runs, so that other work on the machine counts little.
"""

from __future__ import annotations

import os
import time
from collections.abc import Callable
from functools import partial
from typing import Any

import django

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "shop.settings")
django.setup()

from rest_framework.request import Request  # noqa: E402
from rest_framework.response import Response  # noqa: E402
from rest_framework.test import APIRequestFactory  # noqa: E402
from rest_framework.views import APIView  # noqa: E402

from quoting.engine.estimate import build as whole  # noqa: E402
from quoting.engine.estimate.outlook import breaks, risk  # noqa: E402
from quoting.engine.estimate.report import report  # noqa: E402
from quoting.engine.estimate.what_if import what_if  # noqa: E402
from quoting.engine.plane import contour, corners  # noqa: E402
from quoting.engine.pricing import costs  # noqa: E402
from quoting.engine.spec import footprints  # noqa: E402
from quoting.engine.spec.parse import parse_piece  # noqa: E402
from quoting.engine.takeoff import effort  # noqa: E402
from tests.quoting.engine.estimate.told import known  # noqa: E402
from tests.quoting.engine.estimate.world import book, document, terms  # noqa: E402

TABLE = "reading-room-table"
STAGES = (
    *("build", "measure", "materials", "labour", "price", "weights", "turn_strength_mpa", "cure_plan"),
    *("promise", "handling", "work_cautions", "piece_cautions"),
)


class Bare(APIView):
    """A view that does nothing: what the framework takes for itself."""

    authentication_classes = ()
    permission_classes = ()

    def get(self, request: Request) -> Response:
        """Answer."""
        return Response({"answer": 1})


def forget() -> None:
    """Forget what earlier runs found."""
    plans = (corners.walk, corners.bends, corners.area_and_moments, contour.segments_of)
    regions = (footprints.region_of, footprints._through_part)
    for remembered in (effort.sheets, effort.bars, *plans, *regions, costs._mean):
        remembered.cache_clear()


def best_ms(work: Callable[[], object], runs: int, before: Callable[[], object] = lambda: None) -> float:
    """The least processor time of a piece of work, in ms."""
    least = float("inf")
    for _ in range(runs):
        before()
        start = time.process_time()
        work()
        least = min(least, time.process_time() - start)
    return least * 1e3


def main() -> None:
    """Print the figures."""
    shop, prices, codes, said = terms(), book(), known(), document(TABLE)

    def price() -> whole.Estimate:
        return whole.estimate(parse_piece(said, codes=codes), prices, shop)

    view, ask = Bare.as_view(), APIRequestFactory().get("/")
    made = price()
    bare = best_ms(lambda: view(ask).render(), 200)
    cold = best_ms(price, 30, forget)
    warm = best_ms(price, 30)
    print(f"bare view {bare:.2f} ms; specification to price {cold:.1f} ms cold, {cold / bare:.0f} such views")
    print(f"warm {warm:.1f} ms; report as an object {best_ms(lambda: report(made), 20):.1f} ms")
    print(f"risk, 10,000 draws: {best_ms(lambda: risk(made, shop), 10):.1f} ms")
    print(f"price breaks 1, 2, 5, 10: {best_ms(lambda: breaks(made, prices, shop), 2, forget):.0f} ms cold")
    print(f"four changes: {best_ms(lambda: what_if(said, None, prices, shop, codes), 3, forget):.0f} ms cold")
    by_stage(price, partial(parse_piece, said, codes=codes))


def by_stage(price: Callable[[], object], parse: Callable[[], object]) -> None:
    """The time of each stage of an estimate, cold."""
    spent: dict[str, float] = {"parse": best_ms(parse, 10, forget)}

    def timed(name: str, work: Callable[..., Any]) -> Callable[..., Any]:
        def call(*args: Any, **named: Any) -> Any:
            start = time.process_time()
            made = work(*args, **named)
            spent[name] = min(spent.get(name, 1e9), (time.process_time() - start) * 1e3)
            return made

        return call

    for name in STAGES:
        setattr(whole, name, timed(name, getattr(whole, name)))
    best_ms(price, 15, forget)
    for name, ms in spent.items():
        print(f"  {name:20}{ms:7.2f} ms")


if __name__ == "__main__":
    main()
