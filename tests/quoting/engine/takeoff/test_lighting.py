"""Light: lengths to the step, the shortest run, a supply with headroom."""

from __future__ import annotations

import math
import random
from itertools import pairwise, permutations

import pytest

from quoting.engine.errors import Refused
from quoting.engine.plane.shapes import Point, Rectangle
from quoting.engine.solid.build import build
from quoting.engine.spec.types import Inlay, Lighting, Piece
from quoting.engine.takeoff.lighting import _exact, lighting, path_length, shortest_run
from tests.quoting.engine.takeoff.materials_world import METRIC, slab, starter, without


def lit(centres: tuple[Point, ...], run: tuple[Point, ...] | None = None, tail: float = 1500.0) -> Piece:
    inlay = Inlay(centres, Rectangle(212, 162), "GLASS-8", 8, 6, True)
    return slab(features=(inlay,), lighting=Lighting("STRIP-LED", run, tail))


def length(points: list[Point], order: tuple[int, ...]) -> float:
    return sum(math.dist(points[a], points[b]) for a, b in pairwise(order))


def scattered(count: int, seed: int) -> list[Point]:
    chance = random.Random(seed)
    return [(chance.uniform(0, 2000), chance.uniform(0, 900)) for _ in range(count)]


@pytest.mark.parametrize("seed", range(4))
@pytest.mark.parametrize("count", [2, 3, 5, 7])
def test_up_to_eight_the_run_is_the_shortest_there_is(count: int, seed: int) -> None:
    points = scattered(count, seed)
    best = min(length(points, order) for order in permutations(range(count)))
    assert length(points, shortest_run(points)) == pytest.approx(best)


@pytest.mark.parametrize("seed", range(4))
def test_above_eight_the_run_is_good(seed: int) -> None:
    points = scattered(10, seed)
    best = length(points, _exact([[math.dist(a, b) for b in points] for a in points]))
    run = shortest_run(points)
    assert sorted(run) == list(range(10))
    assert best <= length(points, run) + 1e-9
    assert length(points, run) <= best * 1.05


def test_many_inlays_are_still_joined() -> None:
    points = scattered(40, 1)
    assert sorted(shortest_run(points)) == list(range(40))
    assert shortest_run([]) == ()
    assert shortest_run([(1.0, 2.0)]) == (0,)


def test_strip_round_every_lip_links_and_tail() -> None:
    lights = lighting(build(lit(((300, 450), (1500, 450), (900, 450)))), starter(), METRIC)
    # Lip 200 × 150: 700 mm, fourteen steps of 50; links of 600 mm between neighbours.
    assert lights.length_m == pytest.approx(3 * 0.700 + 2 * 0.600 + 1.5)
    assert lights.load_w == pytest.approx((3 * 0.700 + 2 * 0.600) * 9.6)
    assert len(lights.order) == 3
    assert [line.stage for line in lights.lines] == ["light", "light"]
    assert [caution.code for caution in lights.cautions] == ["low_voltage"]


def test_lengths_are_cut_up_to_the_step() -> None:
    inlay = Inlay(((300, 450),), Rectangle(213, 162), "GLASS-8", 8, 6, True)
    piece = slab(features=(inlay,), lighting=Lighting("STRIP-LED", None, 0.0))
    assert lighting(build(piece), starter(), METRIC).length_m == pytest.approx(0.750)  # 702 mm at the lip


def test_a_given_path_takes_the_strip_along_itself() -> None:
    path = ((100.0, 100.0), (2100.0, 100.0), (2100.0, 800.0))
    assert path_length(path) == 2700
    lights = lighting(build(lit(((300, 450),), path, 500.0)), starter(), METRIC)
    assert lights.length_m == pytest.approx(2.7 + 0.5)
    assert lights.order == ()


def test_the_supply_carries_the_load_with_headroom() -> None:
    two = lighting(build(lit(((300, 450), (900, 450)))), starter(), METRIC)
    assert two.load_w * 1.2 == pytest.approx(2.0 * 9.6 * 1.2)
    assert two.lines[1].code == "SUPPLY-30"
    row = tuple((200.0 + 290 * k, 450.0) for k in range(8))
    eight = lighting(build(lit(row)), starter(), METRIC, pieces=3)
    assert eight.lines[1].code == "SUPPLY-100"
    assert eight.lines[1].packs == 3
    path = tuple((100.0 + 2000 * (k % 2), 100.0 + 40 * k) for k in range(15))
    long = lighting(build(lit((), path)), starter(), METRIC)
    assert long.load_w > 250
    assert (long.lines[1].code, long.lines[1].packs) == ("SUPPLY-150", 3)


def test_no_light_no_lines_and_a_missing_supply_is_refused() -> None:
    assert lighting(build(slab()), starter(), METRIC).lines == ()
    with pytest.raises(Refused, match="light_supply"):
        lighting(build(lit(((300, 450),))), without(starter(), "light_supply"), METRIC)
