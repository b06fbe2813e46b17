"""What the engine is told besides the piece: the price book on a date and the shop's terms.

Frozen values; written by `quoting.selectors.price_book` from the catalogue, by tests by hand. Money is
`Decimal` in the shop's currency, shares are fractions (0.10 for 10 %), quantities are floats in SI.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from enum import StrEnum


class MaterialKind(StrEnum):
    """What a material is, which says in what its content is counted (`Material.content_unit`)."""

    BOARD = "board"  # m²: mould board, foam board, bendable strip in sheets
    BAGGED_MIX = "bagged_mix"  # kg of dry mix
    LOOSE = "loose"  # kg: cement, sand, pigment, fibre
    LIQUID = "liquid"  # L: release agent, sealer, admixture, water
    SEALANT = "sealant"  # mL in a cartridge
    STOCK_LENGTH = "stock_length"  # m: bar, tube, edging, light strip
    MESH_SHEET = "mesh_sheet"  # m²
    WEARING = "wearing"  # m² of surface one part lasts: pads, blades
    EACH = "each"  # each: screws by the box, inserts, drains, a base


CONTENT_UNIT: Mapping[MaterialKind, str] = {
    MaterialKind.BOARD: "m²",
    MaterialKind.BAGGED_MIX: "kg",
    MaterialKind.LOOSE: "kg",
    MaterialKind.LIQUID: "L",
    MaterialKind.SEALANT: "mL",
    MaterialKind.STOCK_LENGTH: "m",
    MaterialKind.MESH_SHEET: "m²",
    MaterialKind.WEARING: "m²",
    MaterialKind.EACH: "each",
}


@dataclass(frozen=True, slots=True)
class Material:
    """One row of the price list on a date. Figures that a kind does not use stay None."""

    code: str
    name: str
    kind: MaterialKind
    pack_size: float
    """Content of one pack in the kind's content unit (a sheet's m², a bag's kg, a box's count)."""
    pack_name: str
    """What one pack is called: sheet, bag, bucket, cartridge, length, box."""
    price: Decimal
    """Per pack, without tax."""
    waste: float = 0.0
    """Allowance for waste, a fraction."""
    supplier: str = ""
    lead_days: int = 0
    price_date: date | None = None
    stale: bool = False
    role: str = ""
    """What the shop uses it for, so that rules can find it: `mould_board`, `knockout_foam`, `strip_board`,
    `sleeve_tube`, `groove_former`, `fillet_sealant`, `release`, `slurry_cement`, `screw`, `edge_tape` ...;
    empty for materials only named by code."""
    length_mm: float | None = None  # board, mesh sheet, stock length
    width_mm: float | None = None  # board, mesh sheet
    thickness_mm: float | None = None  # board
    casts: int | None = None  # board: how many castings a mould made of it lasts
    least_bend_radius_mm: float | None = None  # bendable strip
    yield_m3: float | None = None  # bagged mix: concrete from one bag
    relative_density: float | None = None  # loose, liquid: relative to water at 1000 kg/m³
    absorption: float | None = None  # aggregate, fraction of oven-dry mass
    moisture: float | None = None  # aggregate, total, fraction of oven-dry mass
    coverage_m2_per_l: float | None = None  # liquid, first coat
    coverage_next_m2_per_l: float | None = None  # liquid, later coats
    dilution: float | None = None  # liquid: parts of water to one part
    mass_kg_per_m2: float | None = None  # mesh sheet, sheet inlay
    mass_kg_per_m: float | None = None  # bar
    mass_kg_each: float | None = None  # insert
    diameter_mm: float | None = None  # bar, tube
    wire_mm: float | None = None  # mesh: wire diameter
    pitch_mm: float | None = None  # mesh: wire spacing
    watts_per_m: float | None = None  # light strip
    step_mm: float | None = None  # light strip: cutting step
    watts: float | None = None  # light supply
    grit: int | None = None  # wearing part
    source: str = ""
    """Where figures come from (standard, table), shown with the working."""

    @property
    def content_unit(self) -> str:
        return CONTENT_UNIT[self.kind]


@dataclass(frozen=True, slots=True)
class RecipePart:
    material: str
    kg_per_m3: float
    """For aggregate: saturated, surface dry."""
    kind: str = "other"
    """cement, aggregate, water, admixture, pigment, fibre, other."""


@dataclass(frozen=True, slots=True)
class Mix:
    """A bagged mix (`bag` names the material, water by the bag) or a recipe (`parts`)."""

    code: str
    name: str
    fresh_density_kg_m3: float
    density_kg_m3: float
    """Hardened; what a piece weighs."""
    strength_28d_mpa: float
    cement_class: str = "N"
    """Rate of hardening of EN 1992-1-1 3.1.2(6): R, N or S."""
    bag: str | None = None
    water_l_per_bag: float = 0.0
    parts: tuple[RecipePart, ...] = ()
    air: float = 0.0
    """Fraction of the volume."""
    fibre: str | None = None
    fibre_share: float = 0.0
    """Mass of fibre over mass of the whole mix, fibre included."""
    allowance: float = 0.10
    """Concrete mixed above the net volume, a fraction: common practice 5 to 10 %."""
    max_aggregate_mm: float = 10.0


@dataclass(frozen=True, slots=True)
class Role:
    code: str
    name: str
    pay_per_hour: Decimal
    on_costs: Decimal = Decimal("0")
    """Fraction of pay: employer's contributions, holidays."""

    @property
    def rate(self) -> Decimal:
        """Cost of one hour."""
        return self.pay_per_hour * (1 + self.on_costs)


@dataclass(frozen=True, slots=True)
class Operation:
    """A step of the shop's work with its standard. Order in the price book is order of work."""

    code: str
    name: str
    stage: str
    """mould, cast, strip, turn, fill, polish, seal, fit, deliver."""
    role: str
    crew: int = 1
    setup_hours: float = 0.0
    per_driver_hours: Mapping[str, float] = field(default_factory=dict)
    """Hours (of each of the crew) per unit of a driver, a take-off quantity such as `mould_cut_length_m`."""
    setup_shared: bool = True
    """One set-up serves all repeats of a piece."""
    once_per_mould: bool = False
    """Done once a mould, not once a casting."""
    learning_rate: float = 1.0
    minimum_hours: float = 0.0
    spread: tuple[float, float, float] = (0.8, 1.0, 1.4)
    breakage: float = 0.0
    """Chance that the piece is lost at this operation."""
    back_to: str | None = None
    """Code of the operation to start again from after a break."""
    when: str = ""
    """Driver that must be above zero for the operation to be needed; empty: always."""


@dataclass(frozen=True, slots=True)
class ShopTerms:
    """What the shop decides once: how it builds, prices and sells."""

    currency: str = "EUR"
    minor_units: int = 2
    unit_system: str = "metric"
    """`metric` or `us`: for display only."""
    default_mix: str = ""
    finish_fill: str = "full"
    finish_grits: tuple[int, ...] = ()
    finish_sealer: str | None = None
    finish_coats: int = 0
    finish_faces: tuple[str, ...] = ("show", "sides")
    tax_rates: Mapping[str, Decimal] = field(default_factory=lambda: {"standard": Decimal("0.20")})
    overhead_per_labour_hour: Decimal = Decimal("0")
    target_margin: Decimal = Decimal("0.30")
    """Of the price."""
    breakage_method: str = "flat"
    """`flat` or `by_stage`."""
    breakage_flat: Decimal = Decimal("0.05")
    price_step: Decimal = Decimal("1")
    """Prices are rounded up to a multiple of this."""
    minimum_job_price: Decimal = Decimal("0")
    deposit: Decimal = Decimal("0.50")
    payment_stages: tuple[tuple[str, Decimal], ...] = ()
    """(when it falls due, share of the total), shares summing to 1; empty: the deposit and the balance."""
    hours_basis: str = "expected"
    """`expected` (hours priced at the mean of their three-point spread) or `likely` (as planned)."""
    materials_basis: str = "packs"
    """`packs` (whole packs bought) or `use`."""
    delivery_per_km: Decimal = Decimal("0")
    delivery_per_step: Decimal = Decimal("0")
    delivery_fixed: Decimal = Decimal("0")
    # building the mould
    mould_sides: str = "lapped"
    """`lapped` (fixed to the base's edge) or `standing` (on a larger base)."""
    fillet_radius_mm: float = 6.0
    screw_spacing_mm: float = 150.0
    kerf_mm: float = 3.2
    trim_mm: float = 0.0
    mixer_l: float = 60.0
    scale_step_kg: float = 0.1
    # people
    lift_limit_kg: float = 25.0
    people_available: int = 4
    learning_model: str = "crawford"
    """`crawford` or `wright`."""
    handling_factor: float = 1.5
    """Multiplies self weight for suction and jerk: 1.2 to 1.5 usual (precast practice, from memory)."""
    flexure_safety: float = 1.5
    rupture_rule: str = "aci"
    """Modulus of rupture: `aci` (ACI 318M) or `ec2` (EN 1992-1-1)."""
    hours_per_day: float = 8.0
    """Hands-on hours in a working day, for the day a commission can be ready."""
    # cure: what each step waits for (common practice; 28 days to dry is check value C138)
    strip_mpa: float = 5.0
    strip_h: float = 20.0
    """Equivalent age before the sides are stripped, whatever the strength."""
    turn_mpa: float = 15.0
    polish_mpa: float = 20.0
    dry_days: int = 28
    """From the pour to the first coat of sealer."""
    coat_days: int = 1
    """Between coats of sealer."""
    harden_days: int = 3
    """From the last coat to wrapping and delivery."""
    deliver_share: float = 0.75
    """Of the 28-day strength, wanted before delivery."""
    strength_curve: str = "ec2"
    """Strength with age: `ec2` (EN 1992-1-1) or `aci209` (ACI 209R)."""
    maturity: str = "arrhenius"
    """`arrhenius` or `nurse_saul`."""
    datum_c: float = 0.0
    activation_k: float = 5000.0
    """Q = E/R in kelvin (ASTM C1074; 5000 K from memory)."""
    reference_c: float = 20.0
    shop_temperature_c: tuple[float, ...] = (18.0,) * 12
    """Mean of each month, January first."""
    working_days: tuple[int, ...] = (0, 1, 2, 3, 4)
    """Monday is 0."""
    holiday_region: str = ""
    """ISO 3166 code known to the `holidays` package, such as `GB` or `US-CA`; empty: none."""
    stale_after_days: int = 180


@dataclass(frozen=True, slots=True)
class PriceBook:
    """The catalogue on a date. Mappings keep the catalogue's order, which no result may depend on."""

    on: date
    materials: Mapping[str, Material]
    mixes: Mapping[str, Mix]
    roles: Mapping[str, Role]
    operations: tuple[Operation, ...]
    _by_role: Mapping[str, tuple[Material, ...]] = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        """Sort the materials by role, once."""
        found: dict[str, list[Material]] = {}
        for _, material in sorted(self.materials.items()):
            found.setdefault(material.role, []).append(material)
        sorted_out = {role: tuple(materials) for role, materials in found.items()}
        object.__setattr__(self, "_by_role", sorted_out)

    def by_role(self, role: str) -> tuple[Material, ...]:
        """Materials the shop uses for `role`, ordered by code."""
        return self._by_role.get(role, ())
