"""Workings: what is shown, done with a pencil, gives what is bought."""

from __future__ import annotations

import math
import re
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from quoting.engine.plane.shapes import Rectangle
from quoting.engine.spec.types import (
    BarRun,
    Drain,
    Finish,
    Inlay,
    Insert,
    Lighting,
    Opening,
    Piece,
    Reinforcement,
    Trough,
)
from quoting.engine.takeoff.lines import MaterialLine
from quoting.engine.takeoff.wording import count_of, figure, pack_sum, whole_packs
from tests.quoting.engine.takeoff.materials_world import METRIC, US, slab, starter, take_off

TABLE = slab(
    Rectangle(2100, 900, (60,) * 4),
    features=(
        Trough((1050, 450), 400, 200, 150, 30, 30, 20, 5.0, 0.0, "MIX-LIGHT", (Drain((1050, 450), 25),)),
        Inlay(((300, 200), (1800, 700)), Rectangle(200, 150), "GLASS-8", 8, 6.35, True),
        Opening(((500, 450),), Rectangle(150, 150)),
        Insert(((1500, 450),), "INSERT-M8"),
    ),
    reinforcement=Reinforcement("MESH-50", 16, 100, (BarRun("BAR-6", "outline", 1),)),
    finish=Finish("spot", (200, 400), "SEAL-ACRYL", 3, ("show", "sides", "trough")),
    lighting=Lighting("STRIP-LED", None, 1500),
)


def value(expression: str) -> float:
    """What a pencil makes of one step: words and units off, × ÷ + − and percentages as a maker reads them."""
    plain = re.sub(r"\([^0-9]*\)", "", expression)
    plain = re.sub(r"[A-Z][A-Z0-9]*-[A-Z0-9-]+", "", plain)
    plain = re.sub(r"\+ ([0-9.]+) %", r"× (1 + \1 ÷ 100)", plain)
    signs = {"×": "*", "÷": "/", "−": "-", "+": "+", "(": "(", ")": ")"}
    tokens = re.findall(r"[0-9]+(?:\.[0-9]+)?|[×÷−+()]", plain)
    return float(eval("".join(signs.get(token, token) for token in tokens)))  # noqa: S307 - figures and signs only


def check(line: MaterialLine) -> None:
    words = (
        line.working.split(" (")[0] if line.working.endswith(")") and "buy" in line.working else line.working
    )
    steps = words.split(" = ")
    assert len(steps) >= 2 or line.unit == "each", line.working
    for step, following in pairwise(steps):
        shown = re.match(r"[0-9.]+", following)
        assert shown, line.working
        digits = len(shown[0].split(".")[1]) if "." in shown[0] else 0
        assert value(step) == pytest.approx(float(shown[0]), rel=2.5e-3, abs=0.51 * 10**-digits), line.working
    if "buy" in words and "for each" not in words:
        ratio = float(re.match(r"[0-9.]+", steps[-1])[0])  # type: ignore[index]
        assert math.ceil(ratio - 1e-9) == line.packs, line.working


@pytest.mark.parametrize("quantity", [1, 3, 7])
@pytest.mark.parametrize("system", ["metric", "us"])
@pytest.mark.parametrize("piece", [slab(), slab(mix="MIX-WHITE"), TABLE], ids=["slab", "recipe", "table"])
def test_every_working_comes_out_by_hand(piece: Piece, system: str, quantity: int) -> None:
    terms = US if system == "us" else METRIC
    _, _, made = take_off(piece, starter(system), terms, quantity)
    packed = [line for line in made.lines if not line.by_layout and "left of the packs" not in line.working]
    assert len(packed) > 8
    for line in packed:
        check(line)


@given(
    need=st.floats(1e-4, 1e4),
    allowance=st.sampled_from([0.0, 0.025, 0.05, 0.1, 0.15]),
    pack=st.sampled_from([0.0114, 0.012742580966, 1.0, 5.0, 25.0, 310.0]),
    system=st.sampled_from(["metric", "us"]),
)
def test_figures_shown_give_the_packs(need: float, allowance: float, pack: float, system: str) -> None:
    words = pack_sum("", need, allowance, pack, "kg", "bag", system)
    packs = int(re.search(r"buy ([0-9]+) ", words)[1])  # type: ignore[index]
    assert packs == whole_packs(need * (1 + allowance), pack)
    ratio = float(re.search(r"= ([0-9.]+), buy", words)[1])  # type: ignore[index]
    assert math.ceil(ratio - 1e-9) == packs
    by_hand = value(words.split(" = ")[0].split(" ÷ ")[0])
    size = float(re.search(r"÷ ([0-9.]+) ", words)[1])  # type: ignore[index]
    assert math.ceil(by_hand / size - 1e-9) == packs


def test_just_over_a_pack_shows_why_another_is_bought() -> None:
    assert pack_sum("", 6.002, 0.0, 1.0, "kg", "bag") == "6.002 kg ÷ 1 kg a bag = 6.002, buy 7 bags"


def test_a_working_in_full() -> None:
    words = pack_sum("", 0.0712, 0.10, 0.0127, "m³", "bag")
    assert words == "0.0712 m³ + 10 % = 0.07832 m³ ÷ 0.0127 m³ a bag = 6.2, buy 7 bags"


def test_figures_and_counts() -> None:
    assert figure(0.0) == "0"
    assert figure(1234.5) == "1234"
    assert count_of(1, "box") == "1 box"
    assert count_of(3, "box") == "3 boxes"
    assert count_of(2, "ten litres") == "2 ten litres"


def test_us_shop_reads_us_units() -> None:
    _, _, made = take_off(slab(), starter("us"), US)
    bags = next(line for line in made.lines if line.code == "BAG-GREY")
    assert bags.working.startswith("3.051 cu ft + 10 % = 3.356 cu ft ÷ 0.45 cu ft a bag = 7.5, buy 8 bags")
    assert "kg" not in " ".join(line.working for line in made.lines)
