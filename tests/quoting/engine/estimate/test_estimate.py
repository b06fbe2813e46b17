"""The one entry: days, hours, price, risk and price breaks of one piece hang together."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from quoting.engine.errors import Refused
from quoting.engine.estimate.build import Estimate, estimate
from quoting.engine.estimate.outlook import breaks, risk
from quoting.engine.estimate.report import report
from quoting.engine.estimate.side_report import breaks_report, risk_report
from quoting.engine.takeoff.calendar import is_working
from quoting.engine.takeoff.weather import Weather
from tests.quoting.engine.estimate.world import book, piece, terms

D = Decimal
START = date(2026, 3, 2)  # a Monday


def made(name: str = "hearth", /, quantity: int | None = None, **changes: Any) -> Estimate:
    return estimate(piece(name), book(), replace(terms(), **changes), quantity=quantity, start=START)


def test_every_step_falls_on_a_working_day_after_the_one_it_waits_for() -> None:
    found = made("reading-room-table", holiday_region="GB-ENG")
    promised = found.promise
    assert promised.start == START
    mould_hours = sum(line.elapsed_hours for line in found.labour if line.stage == "mould")
    days_at_the_mould = sum(
        is_working(START + timedelta(days=day), terms()) for day in range((promised.pours[0] - START).days)
    )
    assert days_at_the_mould == -(-mould_hours // 8)
    assert [step.step for step in promised.steps] == ["pour", *(step.step for step in found.cure)]
    for dated, step in zip(promised.steps[1:], found.cure, strict=True):
        assert is_working(dated.day, replace(terms(), holiday_region="GB-ENG"))
        assert (dated.day - promised.pours[-1]).days >= step.earliest_day
    assert promised.ready >= promised.steps[-1].day


def test_days_of_waiting_are_never_hours() -> None:
    short, long = made(dry_days=7), made(dry_days=70)
    assert long.promise.ready - short.promise.ready >= timedelta(days=60)
    assert long.labour == short.labour
    assert long.price == short.price


def test_a_forecast_stands_in_for_the_shops_months() -> None:
    def days(forecast_c: tuple[float, ...]) -> tuple[dict[str, int], set[str]]:
        found = estimate(piece("hearth"), book(), terms(), start=START, forecast_c=forecast_c)
        return {s.step: s.earliest_day for s in found.cure}, {c.code for c in found.cautions}

    plain, _ = days(())
    cold, said_cold = days((4.9,) * 30)
    hot, said_hot = days((30.0,) * 30)
    assert cold["turn"] > plain["turn"] >= hot["turn"]
    assert "cold_pour" in said_cold
    assert "hot_pour" in said_hot


@pytest.mark.parametrize("name", ["hearth", "cafe-counter", "reading-room-table"])
def test_a_us_shop_reads_its_cautions_in_inches_and_pounds(name: str) -> None:
    texts = [caution.text.replace("board 5 mm", "board") for caution in made(name, unit_system="us").cautions]
    assert any(re.search(r"\d (in|ft|lb)\b", text) for text in texts)
    assert not [text for text in texts if re.search(r"\d (mm|kg|MPa)\b", text)]


def test_the_air_over_the_fresh_concrete_is_looked_at() -> None:
    dry = Weather(air_c=35.0, humidity=0.2, wind_kmh=25.0, concrete_c=32.0)
    found = estimate(piece("hearth"), book(), terms(), start=START, weather=dry)
    assert "drying_surface" in {caution.code for caution in found.cautions}
    assert "drying_surface" not in {caution.code for caution in made().cautions}


def test_the_price_carries_the_mean_that_the_risk_is_drawn_around() -> None:
    for name in ("hearth", "round-table-top", "reading-room-table"):
        found = made(name)
        drawn = risk(found, terms())
        assert abs(drawn.expected - found.price.cost) <= D("0.05")  # lines to the cent, hours to 0.0001
        assert abs(drawn.mean - drawn.expected) < 4 * drawn.standard_error
        # A right-skewed cost lies under its mean more often than over it.
        assert drawn.chance_of_margin > 0.5
        planned = made(name, hours_basis="likely")
        assert risk(planned, replace(terms(), hours_basis="likely")).chance_of_margin < 0.25


def test_price_breaks_begin_with_the_piece_itself_and_fall() -> None:
    found = made("round-table-top", 1)
    rows = breaks(found, book(), terms(), (10, 1, 2, 5))
    assert [row.quantity for row in rows] == [1, 2, 5, 10]
    assert (rows[0].unit_price, rows[0].cost) == (found.price.unit_price, found.price.cost)
    assert [row.unit_price for row in rows] == sorted((row.unit_price for row in rows), reverse=True)
    assert all(row.net == row.unit_price * row.quantity for row in rows)
    ten = made("round-table-top", 10)
    assert rows[-1].unit_price == ten.price.unit_price


def test_a_small_job_costs_the_least_the_shop_works_for() -> None:
    whole = made("shape-round", minimum_job_price=D(0)).price.net
    for least in (whole - 5, whole, whole + 5):
        sold = made("shape-round", minimum_job_price=least).price
        assert sold.net == max(whole, least)
        assert sold.achieved_margin >= sold.target_margin


def test_lines_sum_to_steps_and_steps_to_the_total() -> None:
    @settings(max_examples=40, deadline=None)
    @given(
        st.sampled_from(("hearth", "shape-slot", "drop-edge", "feature-inlay")),
        st.integers(1, 12),
        st.sampled_from(("packs", "use")),
        st.sampled_from(("flat", "by_stage")),
        st.sampled_from(("likely", "expected")),
        st.decimals(D(0), D("0.9"), places=3),
        st.sampled_from((D("0.01"), D(1), D(25))),
    )
    def sums(
        name: str, quantity: int, basis: str, method: str, hours: str, margin: Decimal, step: Decimal
    ) -> None:
        found = made(
            name,
            quantity,
            materials_basis=basis,
            breakage_method=method,
            hours_basis=hours,
            target_margin=margin,
            price_step=step,
        )
        said = report(found)
        amounts = {each["code"]: D(each["amount"]) for each in said["price"]["steps"]}
        column = "cost" if basis == "packs" else "cost_by_use"
        of_materials = sum(D(line[column]) for line in said["materials"])
        assert of_materials == amounts["materials"] + amounts["wear"] + amounts["bought_in"]
        assert sum(D(line["cost"]) for line in said["labour"]) == amounts["labour"]
        below = ("materials", "wear", "bought_in", "labour", "overrun", "delivery", "overhead")
        assert sum(amounts.get(code, D(0)) for code in below) == amounts["works"]
        assert amounts["works"] + amounts["breakage"] == D(said["price"]["cost"])
        assert D(said["price"]["unit_price"]) * quantity == amounts["net"]
        assert amounts["net"] + amounts["tax"] == D(said["price"]["gross"])
        assert sum(D(each["amount"]) for each in said["price"]["payments"]) == D(said["price"]["gross"])

    sums()


def test_a_bench_is_told_no_money_and_an_estimator_no_pay() -> None:
    found = made()
    assert "price" not in report(found, money=False)
    assert not {"rate", "cost"} & report(found, pay=False)["labour"][0].keys()
    assert report(found)["promise"]["ready"] == found.promise.ready.isoformat()


def test_risk_and_breaks_are_told_as_text_and_numbers() -> None:
    found = made()
    said = risk_report(risk(found, terms(), draws=500, seed=7))
    assert (said["draws"], said["seed"]) == (500, 7)
    assert D(said["p10"]) <= D(said["p50"]) <= D(said["p80"]) <= D(said["p90"])
    shares = [driver["share"] for driver in said["drivers"]]
    assert shares == sorted(shares, reverse=True)
    (row,) = breaks_report(breaks(found, book(), terms(), (1,)))
    assert row["saving"] == "0.00"


def test_an_unknown_mix_is_refused_with_those_there_are() -> None:
    with pytest.raises(Refused, match="no mix 'MIX-NONE'; it has MIX-"):
        estimate(replace(piece("hearth"), mix="MIX-NONE"), book(), terms())


@pytest.mark.parametrize("name", ["cafe-counter", "feature-groove", "feature-sleeve", "reading-room-table"])
def test_the_report_tells_how_lengths_are_cut(name: str) -> None:
    """Every piece of tube or former stands on a length once, a saw cut apart; what is left ends it."""
    mould, lengths = (
        report(made(name))["mould"],
        {row.code: row.length_mm for row in book().materials.values()},
    )
    assert mould["bars"]
    for plan in mould["bars"]:
        wanted = {
            part["drawing"]: (part["quantity"], part["length_mm"])
            for part in mould["parts"]
            if part["material"] == plan["material"]
        }
        cut = [piece for bar in plan["bars"] for piece in bar["pieces"]]
        assert {
            mark: (sum(one["name"] == mark for one in cut), length) for mark, (_, length) in wanted.items()
        } == wanted
        assert plan["lower_bound_bars"] <= len(plan["bars"])
        for bar in plan["bars"]:
            ends = [piece["x_mm"] + piece["length_mm"] + terms().kerf_mm for piece in bar["pieces"]]
            starts = [piece["x_mm"] for piece in bar["pieces"]]
            assert starts == pytest.approx([0.0, *ends[:-1]])
            assert bar["offcut_mm"] == pytest.approx(max(0.0, (lengths[bar["code"]] or 0) - ends[-1]))
