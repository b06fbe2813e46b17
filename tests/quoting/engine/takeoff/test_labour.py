"""Hours by operation: the working can be checked with a pencil, repeats are cheaper, nonsense is refused."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import replace
from datetime import date
from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from quoting.engine.errors import Refused
from quoting.engine.takeoff.labour import DRIVERS, labour, rounded_hours
from quoting.engine.takeoff.lines import LabourLine
from quoting.engine.values import Operation, PriceBook, Role, ShopTerms

D = Decimal
TERMS = ShopTerms()
CASTER = Role("caster", "Caster", D("22.00"), D("0.25"))
HELPER = Role("helper", "Helper", D("16.00"))


def book(*operations: Operation) -> PriceBook:
    return PriceBook(date(2026, 3, 2), {}, {}, {"caster": CASTER, "helper": HELPER}, operations)


CUT = Operation(
    "cut",
    "Cut the mould",
    "mould",
    "caster",
    setup_hours=0.5,
    per_driver_hours={"mould_cut_length_m": 0.08},
    once_per_mould=True,
)
POUR = Operation(
    "pour",
    "Pour",
    "cast",
    "caster",
    crew=2,
    setup_hours=0.75,
    per_driver_hours={"volume_m3": 9.0, "batch_count": 0.3},
    learning_rate=0.9,
    breakage=0.01,
    back_to="cut",
)
INLAY = Operation(
    "inlay",
    "Set inlays",
    "cast",
    "helper",
    per_driver_hours={"inlay_count": 0.2},
    when="inlay_count",
    minimum_hours=0.25,
)
TURN = Operation(
    "turn",
    "Turn",
    "turn",
    "caster",
    crew=3,
    setup_hours=0.2,
    setup_shared=False,
    breakage=0.02,
    back_to="inlay",
)
DRIVE = Operation(
    "drive", "Drive", "deliver", "helper", per_driver_hours={"distance_km": 0.03, "steps": 0.05}
)
DAY = book(CUT, POUR, INLAY, TURN, DRIVE)
PIECE: Mapping[str, float] = {"mould_cut_length_m": 12.4, "volume_m3": 0.0712, "batch_count": 2.0}


def by_code(lines: tuple[LabourLine, ...]) -> dict[str, LabourLine]:
    return {line.operation: line for line in lines}


def test_hours_are_set_up_and_drivers_times_standards_times_crew() -> None:
    lines = by_code(labour(DAY, PIECE, 1, TERMS))
    assert list(lines) == ["cut", "pour", "turn"]
    assert lines["cut"].hours == 1.492  # 0.5 + 12.4 × 0.08
    assert lines["cut"].working == "0.5 h set-up + 12.4 m × 0.08 h = 1.49 h"
    assert lines["cut"].cost == D("41.03")  # 1.492 × 27.50
    assert lines["pour"].hours == pytest.approx(3.9816)  # 2 × (0.75 + 0.6408 + 0.6)
    assert lines["pour"].elapsed_hours == pytest.approx(1.9908)
    assert lines["turn"].hours == 0.6
    assert all(line.remake_hours == line.hours for line in lines.values())


def test_repeats_share_the_mould_and_learn() -> None:
    lines = by_code(labour(DAY, PIECE, 4, TERMS))
    assert lines["cut"].hours == 1.492
    # 2 × (0.75 + (0.6408 + 0.6) × 3.5562); 3.5562 is check value K27 at 90 %, n = 4
    assert lines["pour"].hours == pytest.approx(2 * (0.75 + 1.2408 * 3.5562), abs=2e-4)
    assert "× 3.5562 (4 castings, 90 % learning)" in lines["pour"].working
    assert lines["turn"].hours == pytest.approx(2.4)  # set up anew each time: 3 × 4 × 0.2
    assert lines["pour"].remake_hours == pytest.approx(3.9816)
    wright = by_code(labour(DAY, PIECE, 4, replace(TERMS, learning_model="wright")))
    assert wright["pour"].hours == pytest.approx(2 * (0.75 + 1.2408 * 3.24), abs=2e-4)


def test_a_us_shop_reads_feet() -> None:
    line = by_code(labour(DAY, PIECE, 1, replace(TERMS, unit_system="us")))["cut"]
    assert line.hours == 1.492
    assert line.working == "0.5 h set-up + 40.682 ft × 0.024384 h = 1.49 h"  # 12.4 m ÷ 0.3048


def test_worn_out_moulds_are_made_again() -> None:
    lines = by_code(labour(DAY, PIECE, 40, TERMS, moulds=3))
    assert lines["cut"].hours == pytest.approx(0.5 + 3 * 12.4 * 0.08)
    assert lines["cut"].working.startswith("0.5 h set-up + 12.4 m × 0.08 h × 3 (3 moulds)")


def test_one_trip_carries_all_and_every_piece_climbs_the_steps() -> None:
    lines = by_code(labour(DAY, {"distance_km": 30.0, "steps": 10.0}, 4, TERMS))
    assert lines["drive"].hours == pytest.approx(30 * 0.03 + 4 * 10 * 0.05)


def test_a_shop_in_miles_counts_its_way_in_them() -> None:
    """20 mi = 32.18688 km; 0.03 h a km = 0.04828 h a mile."""
    lines = by_code(labour(DAY, {"distance_km": 32.18688}, 1, replace(TERMS, unit_system="us")))
    assert "20 mi × 0.04828 h" in lines["drive"].working


def test_an_operation_is_needed_only_with_its_driver_and_has_a_minimum() -> None:
    lines = by_code(labour(DAY, {**PIECE, "inlay_count": 1.0}, 1, TERMS))
    assert lines["inlay"].hours == 0.25
    assert lines["inlay"].working == "1 inlay × 0.2 h, at least 0.25 h = 0.25 h"
    assert lines["turn"].back_to == "inlay"


def test_after_a_break_the_piece_goes_back_to_an_operation_it_needs() -> None:
    assert by_code(labour(DAY, PIECE, 1, TERMS))["turn"].back_to == "turn"
    assert by_code(labour(DAY, PIECE, 1, TERMS))["pour"].back_to == "cut"


def pencil(working: str) -> float:
    """Work a working out: numbers, +, ×, brackets; words, units and remarks in brackets dropped."""
    text, least = working.rsplit(" = ", 1)[0], 0.0
    text = re.sub(r"\((\d+ (castings|moulds)[^)]*)\)", "", text)
    if found := re.search(r", at least ([\d.]+) h", text):
        least = float(found[1])
        text = text.replace(found[0], "")
    sums = re.sub(r"[^\d.+×() ]", "", text)
    crew = re.search(r"\) × (\d+) people", working)
    value = float(eval(sums.replace("×", "*")))  # noqa: S307 - digits and operators only
    return max(value, least * int(crew[1]) if crew else least)


@settings(max_examples=150, deadline=None)
@given(
    st.dictionaries(
        st.sampled_from(sorted(DRIVERS)), st.integers(1, 5000).map(lambda n: n / 100), max_size=4
    ),
    st.integers(1, 30),
    st.integers(0, 300).map(lambda n: n / 100),
    st.integers(1, 3),
    st.sampled_from((1.0, 0.9, 0.85)),
    st.booleans(),
)
def test_the_working_works_out_to_the_hours(
    drivers: dict[str, float], quantity: int, setup: float, crew: int, learning: float, shared: bool
) -> None:
    operation = Operation(
        "op",
        "Op",
        "cast",
        "caster",
        crew=crew,
        setup_hours=setup,
        setup_shared=shared,
        learning_rate=learning,
        per_driver_hours=dict.fromkeys(drivers, 0.125),
        minimum_hours=0.5,
    )
    drivers = {
        name: float(round(n)) if DRIVERS[name].isalpha() and len(DRIVERS[name]) > 2 else n
        for name, n in drivers.items()
    }
    (line,) = labour(book(operation), drivers, quantity, TERMS)
    # Figures have five digits: each product is within 1e-4 of itself (three factors), the sum too.
    slack = 0.01 + 1e-4 * line.hours
    assert pencil(line.working) == pytest.approx(line.hours, abs=slack)
    assert line.cost == (Decimal(repr(line.hours)) * CASTER.rate).quantize(
        D("0.01"), rounding="ROUND_HALF_UP"
    )


def test_the_order_of_a_database_does_not_matter() -> None:
    turned = replace(POUR, per_driver_hours={"batch_count": 0.3, "volume_m3": 9.0})
    assert labour(book(CUT, turned), PIECE, 3, TERMS) == labour(book(CUT, POUR), PIECE, 3, TERMS)


def test_binary_noise_does_not_decide_a_tie() -> None:
    assert rounded_hours(0.1 + 0.2 + 0.00005) == rounded_hours(0.30005) == 0.3001
    assert rounded_hours(1.00005 - 1e-13) == 1.0001


def test_refuses_every_fault_of_the_price_book_at_once() -> None:
    bad = book(
        replace(CUT, role="nobody"),
        replace(POUR, per_driver_hours={"volume_m": 1.0}, learning_rate=1.5, crew=0),
        replace(TURN, back_to="polish"),
    )
    with pytest.raises(Refused) as refused:
        labour(bad, PIECE, 0, replace(TERMS, learning_model="guess"))
    assert [fault.path for fault in refused.value.faults] == [
        "quantity",
        "terms.learning_model",
        "operations.cut.role",
        "operations.pour.per_driver_hours",
        "operations.pour.learning_rate",
        "operations.pour.crew",
        "operations.turn.back_to",
    ]
