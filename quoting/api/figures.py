"""What the API answers of an estimate, key by key.

The engine's reports make these objects; the models here describe them for the API's description, and the
tests hold every answer against them. SI units with the unit in the key; money and shares as decimal strings.
"""

from __future__ import annotations

from datetime import date

from quoting.api.described import Absent, Described, Money
from quoting.api.mould_figures import EstimateMould


class EstimateGeometry(Described):
    """One piece, measured."""

    volume_m3: float
    volume_by_mix: dict[str, float]
    show_area_m2: float
    side_area_m2: float
    void_area_m2: float
    underside_area_m2: float
    trough_area_m2: float
    edge_length_m: float
    concrete_kg: float
    steel_kg: float
    fitted_kg: float
    total_kg: float
    centroid_mm: list[float]
    envelope_mm: list[float]


class EstimateMaterial(Described):
    """What is needed of one material, and the packs that makes."""

    code: str
    name: str
    stage: str
    need: float
    unit: str
    allowance: float
    gross: float
    packs: int
    pack_size: float
    pack_name: str
    supplier: str
    working: str
    source: str
    stale: bool
    cost: Money
    cost_by_use: Money


class EstimateBatchPart(Described):
    """What to weigh for one batch."""

    material: str
    name: str
    kg: float
    exact_kg: float


class EstimateBatch(Described):
    """The batches of one mix for one piece, all alike."""

    mix: str
    name: str
    batches: int
    volume_m3: float
    net_m3: float
    leftover_m3: float
    parts: list[EstimateBatchPart]
    working: str
    notes: list[str]


class EstimateLabour(Described):
    """Hours of one operation; rate and cost for owners alone."""

    operation: str
    name: str
    stage: str
    role: str
    crew: int
    hours: float
    expected_hours: float
    elapsed_hours: float
    remake_hours: float | None
    spread: list[float]
    breakage: float
    back_to: str | None
    working: str
    rate: Money | Absent = None
    cost: Money | Absent = None


class EstimateCure(Described):
    """A step of the cure, and what it waits for."""

    step: str
    name: str
    earliest_day: int
    equivalent_age_h: float
    strength_mpa: float
    why: str
    after: str
    after_days: int


class EstimateDay(Described):
    """A step on the calendar."""

    step: str
    name: str
    day: date
    held_days: int
    why: str


class EstimatePromise(Described):
    """The days the work falls on if it starts on `start` and nothing comes between."""

    start: date
    pours: list[date]
    steps: list[EstimateDay]
    ready: date
    working: str


class EstimateLift(Described):
    """One lift: how the piece is held, and what that asks of people and of the concrete."""

    name: str
    mass_kg: float
    age_days: float
    people: int | None
    span: str
    stress_mpa: float
    allowable_mpa: float
    utilisation: float
    weakest_at_mm: float
    axis: str
    advice: str
    working: str
    advised: bool


class EstimateHandling(Described):
    """How the piece is moved: a guide for handling, never a structural design."""

    total_kg: float
    people: int | None
    utilisation: float
    weakest_x_mm: float
    lifts: list[EstimateLift]
    niosh_rwl_kg: float
    niosh_lifting_index: float | None
    working: str
    disclaimer: str


class EstimateCaution(Described):
    """What can hurt, and what it defers to."""

    code: str
    text: str
    source: str


class PriceStep(Described):
    """One step of the build-up."""

    code: str
    name: str
    amount: Money
    working: str


class PriceTax(Described):
    """Tax of one category."""

    category: str
    rate: Money
    base: Money
    tax: Money


class PricePayment(Described):
    """When a share of the total falls due."""

    name: str
    share: Money
    amount: Money


class EstimatePrice(Described):
    """The build-up, and what the quantity sells for."""

    currency: str
    materials_basis: str
    overhead_rate: Money
    steps: list[PriceStep]
    works_cost: Money
    breakage_allowance: Money
    cost: Money
    unit_price: Money
    net: Money
    discount: Money
    tax: Money
    tax_lines: list[PriceTax]
    gross: Money
    deposit: Money
    payments: list[PricePayment]
    labour_hours: Money
    expected_hours: Money
    margin: Money
    target_margin: Money
    achieved_margin: Money


class EstimateRead(Described):
    """A specification taken off and priced."""

    name: str
    quantity: int
    prices_on: date
    geometry: EstimateGeometry
    mould: EstimateMould
    materials: list[EstimateMaterial]
    batches: list[EstimateBatch]
    labour: list[EstimateLabour]
    drivers: dict[str, float]
    cure: list[EstimateCure]
    promise: EstimatePromise
    handling: EstimateHandling
    cautions: list[EstimateCaution]
    price: EstimatePrice
