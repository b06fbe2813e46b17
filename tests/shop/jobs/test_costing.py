"""A job's cost at every moment of its life, reckoned from plain facts."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from decimal import Decimal

from hypothesis import given
from hypothesis import strategies as st

from shop.jobs.costing import cost_report
from shop.jobs.facts import (
    JobFacts,
    LooseFacts,
    MaterialFacts,
    MishapFacts,
    OperationFacts,
    PieceFacts,
    hours_of,
)

D = Decimal
CAST = OperationFacts(1, 1, "CAST", "Cast", "cast", D(4), D(20), D(80), planned_on=date(2026, 3, 4))
TURN = OperationFacts(2, 1, "TURN", "Turn", "turn", D(2), D(20), D(40), planned_on=date(2026, 3, 11))
BAGS = MaterialFacts(1, 1, "BAG", "Grey mix", "concrete", "kg", D(200), D(90))
JOB = JobFacts(
    on=date(2026, 3, 5),
    closed=False,
    minor_units=2,
    price=D(400),
    breakage_allowance=D(20),
    overhead_rate=D(10),
    pieces=(PieceFacts(1, "Table", 1),),
    operations=(CAST, TURN),
    materials=(BAGS,),
)


def test_before_anything_is_logged_the_forecast_is_the_plan() -> None:
    made = cost_report(JOB)
    total = made.line("total")
    assert [line.planned for line in made.lines] == [D(90), D(120), D(60), D(20), D(290)]
    assert total.actual == 0
    assert total.to_come == D(270)
    assert made.quoted.amount == D(110)
    assert made.forecast.amount == D(130)
    assert made.made is None
    assert made.earned.cost_index is None


def test_half_way() -> None:
    cast = replace(CAST, worked=D(5), paid=D(105), progress=D(1))
    bags = replace(BAGS, used=D(180), paid=D(90))
    made = cost_report(replace(JOB, operations=(cast, TURN), materials=(bags,)))
    line = made.operations[0]
    assert (line.rate_variance, line.efficiency_variance) == (D(5), D(20))
    assert (made.materials[0].price_variance, made.materials[0].usage_variance) == (D(9), D(-9))
    assert made.materials[0].cost_to_come == 0
    assert made.line("labour").to_come == D(40)
    assert made.earned.earned == D(80 + 40 + 90)
    assert made.earned.planned == made.earned.earned
    assert made.earned.spent == D(105 + 50 + 90)


def test_hours_without_a_word_on_progress_are_taken_to_go_as_planned() -> None:
    made = cost_report(replace(JOB, operations=(replace(CAST, worked=D(1), paid=D(20)), TURN)))
    line = made.operations[0]
    assert (line.done, line.said) == (D("0.25"), False)
    assert (line.efficiency_variance, line.hours_to_come) == (D(0), D(3))


def test_closed_nothing_is_to_come_and_the_margin_is_made() -> None:
    cast = replace(CAST, worked=D(4), paid=D(80))
    made = cost_report(replace(JOB, closed=True, operations=(cast, TURN)))
    assert made.line("total").to_come == 0
    assert made.made is not None
    assert made.made.amount == D(400) - D(120)
    assert made.operations[1].efficiency_variance == D(-40)


def test_a_break_takes_back_what_was_earned_until_it_is_done_again() -> None:
    done = (replace(CAST, worked=D(4), paid=D(80), progress=D(1)), replace(TURN, progress=D(1)))
    mishap = MishapFacts(7, 1, "Cracked at the turn", "turn", "recast", 1)
    again = OperationFacts(3, 1, "CAST", "Cast", "cast", D(3), D(20), D(60), mishap=7)
    broken = cost_report(replace(JOB, operations=(*done, again), mishaps=(mishap,)))
    redone = replace(again, worked=D(3), paid=D(60), progress=D(1))
    mended = cost_report(replace(JOB, operations=(*done, redone), mishaps=(mishap,)))
    assert broken.earned.earned == D(60)  # the turn alone: 40 + 2 × 10
    assert mended.earned.earned == D(60) + D(80 + 40 + 90)
    assert broken.mishaps[0].to_come == D(90)
    assert broken.line("mishaps").planned == D(20)
    assert (mended.mishaps[0].actual, mended.mishaps[0].to_come) == (D(90), D(0))


def test_work_and_material_nobody_planned_count() -> None:
    extra = (LooseFacts("Van hire", D(0), D(35), False), LooseFacts("Tidying", D(1), D(20), True))
    made = cost_report(replace(JOB, loose=extra))
    assert made.line("materials").actual == D(35)
    assert made.line("labour").actual == D(20)
    assert made.line("overhead").actual == D(10)


def test_an_empty_job() -> None:
    made = cost_report(
        JobFacts(date(2026, 3, 5), False, 2, D(0), D(0), D(0), pieces=(PieceFacts(1, "Table", 1),))
    )
    assert made.line("total").forecast == 0
    assert (made.forecast.of_price, made.forecast.of_cost) == (None, None)
    assert made.earned.share_done is None


money = st.decimals(D(0), D(9_999), places=2)
hours = st.decimals(D(0), D(500), places=4)


@given(
    hours, money, hours, money, money, st.one_of(st.none(), st.decimals(D(0), D(1), places=2)), st.booleans()
)
def test_variances_of_a_line_sum_to_its_whole(
    planned: Decimal,
    rate: Decimal,
    worked: Decimal,
    paid: Decimal,
    material_paid: Decimal,
    said: Decimal | None,
    closed: bool,
) -> None:
    cost = (planned * rate).quantize(D("0.01"))
    one = replace(CAST, hours=planned, rate=rate, cost=cost, worked=worked, paid=paid, progress=said)
    bags = replace(BAGS, used=worked, paid=material_paid)
    made = cost_report(replace(JOB, closed=closed, operations=(one,), materials=(bags,)))
    line, material, total = made.operations[0], made.materials[0], made.line("total")
    whole = paid - planned * line.done * rate
    assert abs(line.rate_variance + line.efficiency_variance - whole) <= D("0.005")
    spent = material_paid - bags.quantity * material.done * bags.cost / bags.quantity
    assert abs(material.price_variance + material.usage_variance - spent) <= D("0.005")
    assert total.actual == sum(one.actual for one in made.lines[:-1])
    assert total.forecast == total.actual + total.to_come
    assert made.made is None or made.made.amount == JOB.price - total.actual


def test_hours_of_seconds() -> None:
    assert hours_of(36) == D("0.0100")
