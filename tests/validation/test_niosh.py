"""The revised NIOSH lifting equation, HSE team factors and slings against published figures.

Sources (ids of the project's collection of check values in brackets):
- Revised NIOSH lifting equation, DHHS (NIOSH) 94-110, revised 9/2021, chapters 1 to 3 [C82 to C99], read in a
  page-referenced public copy; examples 1 to 3 and 5 from memory.
- Canadian agency example [C100]. HSE L23 paragraph 120 [C104, C105]. Statics [C80].
The guide multiplies multipliers rounded to two decimals: limits within 2.5 % of the printed ones. Its US
unit set is not an exact conversion of the metric one used here (51 lb is 23.13 kg, 10 in is 25.4 cm).
"""

from __future__ import annotations

import pytest

from quoting.engine.errors import Refused
from quoting.engine.takeoff.lifting import (
    Coupling,
    Duration,
    OneLift,
    duration_of,
    effective_frequency,
    frequency_multiplier,
    multipliers,
    people_for,
    reach_cm,
    sling_leg_kg,
    team_capacity_kg,
)

CM_PER_IN = 2.5  # of the guide: 10 in stands for 25 cm, 30 in for 75 cm
KG_PER_LB = 23 / 51  # of the guide: load constant of both unit sets

C82 = """
0.2 1.00 1.00 0.95 0.95 0.85 0.85
0.5 0.97 0.97 0.92 0.92 0.81 0.81
1 0.94 0.94 0.88 0.88 0.75 0.75
2 0.91 0.91 0.84 0.84 0.65 0.65
3 0.88 0.88 0.79 0.79 0.55 0.55
4 0.84 0.84 0.72 0.72 0.45 0.45
5 0.80 0.80 0.60 0.60 0.35 0.35
6 0.75 0.75 0.50 0.50 0.27 0.27
7 0.70 0.70 0.42 0.42 0.22 0.22
8 0.60 0.60 0.35 0.35 0.18 0.18
9 0.52 0.52 0.30 0.30 0.00 0.15
10 0.45 0.45 0.26 0.26 0.00 0.13
11 0.41 0.41 0.00 0.23 0.00 0.00
12 0.37 0.37 0.00 0.21 0.00 0.00
13 0.00 0.34 0.00 0.00 0.00 0.00
14 0.00 0.31 0.00 0.00 0.00 0.00
15 0.00 0.28 0.00 0.00 0.00 0.00
15.1 0.00 0.00 0.00 0.00 0.00 0.00
"""
COLUMNS: list[tuple[Duration, bool]] = [
    (duration, low) for duration in ("short", "moderate", "long") for low in (True, False)
]


@pytest.mark.parametrize("row", C82.split("\n")[1:-1])
def test_c82_frequency_multipliers(row: str) -> None:
    rate, *printed = (float(figure) for figure in row.split())
    assert [frequency_multiplier(rate, duration, low=low) for duration, low in COLUMNS] == pytest.approx(
        printed
    )


def test_c83_coupling() -> None:
    for coupling, low, high in (("good", 1.0, 1.0), ("fair", 0.95, 1.0), ("poor", 0.9, 0.9)):
        kind: Coupling = coupling  # type: ignore[assignment]
        assert multipliers(OneLift(25, 74.9, 25, coupling=kind)).cm == low
        assert multipliers(OneLift(25, 75, 25, coupling=kind)).cm == high


def test_c84_where_table_and_formula_differ_the_formula_is_used() -> None:
    assert multipliers(OneLift(22 * CM_PER_IN, 75, 25)).hm == pytest.approx(0.4545, abs=0.0001)
    assert multipliers(OneLift(23 * CM_PER_IN, 75, 25)).hm == pytest.approx(0.4348, abs=0.0001)
    assert multipliers(OneLift(25, 75, 130)).dm == pytest.approx(0.8546, abs=0.0001)


def test_c85_interpolation_and_c86_c87_effective_frequency() -> None:
    assert frequency_multiplier(2.4, "short", low=True) == pytest.approx(0.898)
    assert frequency_multiplier(0.05, "short", low=True) == 1
    assert effective_frequency(10, 8) == pytest.approx(5.33, abs=0.005)
    assert effective_frequency(10, 5) == pytest.approx(3.33, abs=0.005)  # printed 3.4, an error of the source


def test_c88_c89_c103_how_long_lifting_lasts() -> None:
    assert duration_of([(30, 10), (45, 0)]) == "moderate"  # C88: 75 minutes together
    assert duration_of([(30, 30), (45, 0)]) == "short"  # C88: recovery as long as the work
    assert duration_of([(120, 36), (120, 36)]) == "moderate"  # C89
    assert duration_of([(120, 35), (120, 36)]) == "long"
    assert duration_of([(60, 60)] * 4) == "short"
    assert duration_of([(480, 0)]) == "long"
    assert duration_of([]) == "short"
    with pytest.raises(ValueError, match="up to 8 hours"):  # C103
        duration_of([(240, 10), (241, 0)])


EXAMPLES = [
    # id, H, V, D (in), A, F, coupling, RWL lb, load lb, LI
    ("C90", 10, 22, 37, 0, 3, "fair", 34.9, 26, 0.7),
    ("C91", 20, 59, 37, 0, 3, "fair", 15.2, 26, 1.7),
    ("C92", 23, 15, 48, 0, 0.2, "fair", 16.3, 44, 2.7),
    ("C93", 23, 63, 48, 0, 0.2, "fair", 14.5, 44, 3.0),
    ("C94", 15, 27, 17, 0, 0.2, "poor", 28.0, 35, 1.3),
    ("C95", 20, 10, 17, 0, 0.2, "poor", 18.1, 35, 1.9),
    ("C96", 18, 15, 21, 45, 0.2, "fair", 18.9, 40, 2.1),
    ("C97", 20, 44, 37, 30, 5, "good", 14.4, 20, 1.4),
    ("C98", 20, 7, 37, 30, 5, "good", 13.3, 20, 1.5),
]


@pytest.mark.parametrize(("code", "h", "v", "d", "a", "f", "coupling", "rwl", "load", "index"), EXAMPLES)
def test_c90_to_c98_worked_examples(
    code: str,
    h: float,
    v: float,
    d: float,
    a: float,
    f: float,
    coupling: Coupling,
    rwl: float,
    load: float,
    index: float,
) -> None:
    lift = OneLift(h * CM_PER_IN, v * CM_PER_IN, d * CM_PER_IN, a, f, "short", coupling)
    ours_lb = multipliers(lift).rwl_kg / KG_PER_LB
    assert ours_lb == pytest.approx(rwl, rel=0.025), code
    assert load / ours_lb == pytest.approx(index, abs=0.1), code


def test_c99_composite_of_three_tasks() -> None:
    def fm(rate: float) -> float:
        return frequency_multiplier(rate, "short", low=False)

    single = [20 / (20 * fm(1)), 30 / (20 * fm(2)), 10 / (15 * fm(4))]
    assert single == pytest.approx([1.1, 1.6, 0.8], abs=0.05)
    # Tasks in the order 2, 1, 3: their frequencies add up to 2, 3, 7.
    assert [fm(2), fm(3), fm(7)] == [0.91, 0.88, 0.70]
    composite = single[1] + 20 / 20 * (1 / fm(3) - 1 / fm(2)) + 10 / 15 * (1 / fm(7) - 1 / fm(3))
    assert composite == pytest.approx(1.88, abs=0.005)  # printed 1.8, of rounded figures 1.83


def test_c100_agency_example_strictly() -> None:
    lift = OneLift(20, 75, 0, 90, 10, "long", "fair")
    assert multipliers(lift).rwl_kg == pytest.approx(2.13, abs=0.01)
    assert 10 / multipliers(lift).rwl_kg == pytest.approx(4.7, abs=0.05)


def test_c101_c102_metric_lifts() -> None:
    assert multipliers(OneLift(30, 75, 25, coupling="good")).rwl_kg == pytest.approx(19.17, abs=0.01)
    assert multipliers(OneLift(63, 75, 25)).rwl_kg == pytest.approx(8.21, abs=0.01)


def test_limits_of_the_equation() -> None:
    ideal = OneLift(25, 75, 25, coupling="good")
    assert multipliers(ideal).rwl_kg == 23
    assert multipliers(OneLift(0, 75, 0, coupling="good")).rwl_kg == 23
    assert multipliers(OneLift(63.1, 75, 25)).rwl_kg == 0
    assert multipliers(OneLift(25, 176, 25)).rwl_kg == 0
    assert multipliers(OneLift(25, 75, 176)).rwl_kg == 0
    assert multipliers(OneLift(25, 75, 25, 136)).rwl_kg == 0
    assert reach_cm(40, 75) == 40
    assert reach_cm(40, 20) == 45
    with pytest.raises(Refused) as refused:
        multipliers(OneLift(-1, 75, -2))
    assert [fault.path for fault in refused.value.faults] == ["horizontal_cm", "travel_cm"]


def test_c104_c105_teams() -> None:
    assert team_capacity_kg(2, 25) == pytest.approx(33.3, abs=0.05)
    assert team_capacity_kg(3, 25) == 37.5
    assert team_capacity_kg(4, 25) == 37.5  # no figure is published for four
    assert people_for(25, 25, 4) == 1
    assert people_for(25.1, 25, 4) == 2
    assert people_for(33.4, 25, 4) == 3
    assert people_for(33.4, 25, 2) is None
    assert people_for(37.6, 25, 9) is None
    with pytest.raises(ValueError, match="1 to 4"):
        team_capacity_kg(5, 25)


@pytest.mark.parametrize(("angle", "leg"), [(60, 119.7), (45, 146.6), (30, 207.4)])
def test_c80_two_leg_slings(angle: float, leg: float) -> None:
    assert sling_leg_kg(207.36, angle) == pytest.approx(leg, abs=0.05)
    assert sling_leg_kg(207.36, angle, legs=4) == sling_leg_kg(207.36, angle)


def test_slings_refuse_flat_angles() -> None:
    for angle in (29.9, 91.0):
        with pytest.raises(ValueError, match="30 to 90"):
            sling_leg_kg(100, angle)
    with pytest.raises(ValueError, match="at least one leg"):
        sling_leg_kg(100, 60, legs=0)
