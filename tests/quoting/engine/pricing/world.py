"""A small invented shop for the pricing tests: four operations, a few materials, plain terms."""

from __future__ import annotations

from decimal import Decimal

from quoting.engine.money import exact, to_minor
from quoting.engine.takeoff.lines import LabourLine, MaterialLine
from quoting.engine.values import ShopTerms

TERMS = ShopTerms(
    overhead_per_labour_hour=Decimal("6.50"),
    target_margin=Decimal("0.30"),
    breakage_flat=Decimal("0.05"),
    price_step=Decimal("5"),
    delivery_fixed=Decimal("40"),
    delivery_per_km=Decimal("0.90"),
    delivery_per_step=Decimal("5"),
    hours_basis="likely",
)


def material(code: str, stage: str, cost: str, by_use: str | None = None) -> MaterialLine:
    return MaterialLine(
        code=code,
        name=code,
        stage=stage,
        need=1.0,
        unit="each",
        allowance=0.0,
        gross=1.0,
        packs=1,
        pack_size=1.0,
        pack_name="pack",
        cost=Decimal(cost),
        cost_by_use=Decimal(by_use or cost),
        working="",
    )


def work(
    operation: str,
    stage: str,
    hours: float,
    rate: str = "30.00",
    *,
    breakage: float = 0.0,
    back_to: str | None = None,
    remake_hours: float | None = None,
    spread: tuple[float, float, float] = (0.8, 1.0, 1.4),
) -> LabourLine:
    return LabourLine(
        operation=operation,
        name=operation,
        stage=stage,
        role="caster",
        crew=1,
        hours=hours,
        rate=Decimal(rate),
        cost=to_minor(exact(hours) * Decimal(rate)),
        working="",
        spread=spread,
        breakage=breakage,
        back_to=back_to,
        elapsed_hours=hours,
        remake_hours=remake_hours,
    )


MATERIALS = (
    material("board", "mould", "54.00", "31.20"),
    material("bag", "concrete", "63.00", "58.10"),
    material("pad", "polish", "18.00", "4.40"),
    material("base", "extra", "240.00"),
)
LABOUR = (
    work("build", "mould", 6.0),
    work("pour", "cast", 4.0),
    work("turn", "turn", 1.5, breakage=0.04, back_to="pour"),
    work("polish", "polish", 5.0, breakage=0.01, back_to="build"),
)
