"""What the API answers beside an estimate, key by key: risk, price breaks, changes side by side, a pour."""

from __future__ import annotations

from datetime import date
from typing import Any

from quoting.api.described import Absent, Described, Money
from quoting.api.figures import EstimateCaution, EstimateRead


class RiskDriver(Described):
    """What one line does to the cost, all else at its mean."""

    code: str
    name: str
    low: Money
    high: Money
    swing: Money
    share: float


class RiskRead(Described):
    """The cost as a distribution, of seeded draws."""

    draws: int
    seed: int
    p10: Money
    p50: Money
    p80: Money
    p90: Money
    mean: Money
    standard_error: Money
    expected: Money
    contingency_p80: Money
    chance_of_margin: float
    chance_of_loss: float
    drivers: list[RiskDriver]


class PriceBreakRead(Described):
    """What so many of the same come to."""

    quantity: int
    unit_price: Money
    net: Money
    cost: Money
    cost_per_piece: Money
    hours_per_piece: Money
    saving: Money
    achieved_margin: Money


class TakeoffRead(EstimateRead):
    """An estimate; with `outlook=true` its risk and its price breaks too."""

    risk: RiskRead | Absent = None
    breaks: list[PriceBreakRead] | Absent = None


class WhatIfSummary(Described):
    """The figures that changes are compared by."""

    quantity: int
    unit_price: Money
    net: Money
    gross: Money
    cost: Money
    labour_hours: Money
    achieved_margin: Money
    total_kg: float
    people: int | None
    utilisation: float
    ready: date


class WhatIfDifference(Described):
    """One figure before and after."""

    part: str
    before: Money
    after: Money
    change: Money


class WhatIfDifferences(Described):
    """What a change does to the build-up and to the totals."""

    parts: list[WhatIfDifference]
    totals: list[WhatIfDifference]


class WhatIfFault(Described):
    """Why a change cannot be made."""

    path: str
    message: str
    code: str


class WhatIfCase(Described):
    """A change: its figures and differences, or why it cannot be made."""

    name: str
    patch: dict[str, Any]
    estimate: WhatIfSummary | Absent = None
    differences: WhatIfDifferences | Absent = None
    faults: list[WhatIfFault] | Absent = None


class WhatIfRead(Described):
    """A specification and changes to it, side by side."""

    base: WhatIfSummary
    cases: list[WhatIfCase]


class PourDayStep(Described):
    """The pour, or a step of the cure, on the day it can be done."""

    step: str
    name: str
    day: date
    equivalent_age_h: float
    strength_mpa: float
    why: str


class PourDayRead(Described):
    """A pour on a working day, and all that follows from its weather."""

    day: date
    temperatures_c: list[float]
    steps: list[PourDayStep]
    cautions: list[EstimateCaution]
    evaporation_kg_m2_h: float | None
