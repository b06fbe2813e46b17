"""What a piece comes to by the dozen, and how sure its cost is."""

from __future__ import annotations

from typing import Any

from quoting.engine.drawing.charts import Swing, tornado
from quoting.engine.estimate.build import Estimate, estimate
from quoting.engine.pricing.quantity import PriceBreak, price_breaks
from quoting.engine.pricing.risk import Risk, simulate
from quoting.engine.takeoff.mould import makes
from quoting.engine.takeoff.stock import of_role
from quoting.engine.values import PriceBook, ShopTerms
from quoting.web.piece_sheet import Fact
from quoting.web.shown import Figures

QUANTITIES = (1, 2, 5, 10)
DRIVERS_SHOWN = 6


def outlook_context(made: Estimate, book: PriceBook, terms: ShopTerms, shown: Figures) -> dict[str, Any]:
    """Price breaks and risk of an estimate, made with this price book and these terms."""
    piece, count = made.piece, made.quantity
    breaks = price_breaks(
        lambda quantity: (
            (made if quantity == count else estimate(piece, book, terms, quantity=quantity)).price
        ),
        tuple(sorted({*QUANTITIES, count})),
    )
    moulds = makes(of_role(book, "mould_board"), count)
    risk = simulate(made.labour, made.materials, made.price, terms=terms, moulds=moulds)
    return {
        "breaks": [_row(one, shown) for one in breaks],
        "risk": _facts(risk, shown),
        "draws": shown.number(risk.draws),
        "chart": _chart(risk, shown) if risk.drivers else "",
    }


def _row(one: PriceBreak, shown: Figures) -> dict[str, str]:
    return {
        "quantity": str(one.quantity),
        "each": shown.money(one.unit_price),
        "saving": shown.money(one.saving),
        "net": shown.money(one.net),
        "hours": shown.hours(float(one.hours_per_piece)),
        "margin": shown.percent(one.achieved_margin),
    }


def _facts(risk: Risk, shown: Figures) -> list[Fact]:
    error = shown.money(risk.standard_error)
    exact = f"exact mean {shown.money(risk.expected)}; standard error of the drawn one {error}"
    return [
        Fact("Cost, one in ten is lower", shown.money(risk.p10)),
        Fact("Cost, half are lower", shown.money(risk.p50)),
        Fact("Cost, eight in ten are lower", shown.money(risk.p80)),
        Fact("Cost, nine in ten are lower", shown.money(risk.p90)),
        Fact("Mean cost", shown.money(risk.mean), exact),
        Fact("Chance of the target margin", shown.percent(round(risk.chance_of_margin, 3))),
        Fact("Chance of a loss", shown.percent(round(risk.chance_of_loss, 3))),
    ]


def _chart(risk: Risk, shown: Figures) -> str:
    """What moves the cost most: each line low and high, all else at its mean."""
    mean = float(risk.mean)
    rows = [
        Swing(
            one.name,
            mean + float(one.low),
            mean + float(one.high),
            shown.money(one.low),
            shown.money(one.high),
        )
        for one in risk.drivers[:DRIVERS_SHOWN]
    ]
    return tornado(rows, mean, shown.money(risk.mean), title="What moves the cost most").svg
