"""What a take-off is made of: frozen lines, each with its working. Imports the values below only."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from quoting.engine.cutting.values import BarPlan, CutPlan


@dataclass(frozen=True, slots=True)
class MaterialLine:
    """A quantity of one catalogue material for one stage of the work, for the whole quantity of pieces.

    need × (1 + allowance) = gross (both in `unit`, the material's content unit); packs = gross ÷ pack_size,
    rounded up. `cost` is the packs bought, `cost_by_use` the gross at the pack's price: the shop's terms say
    which of the two a price is made of, both are shown.
    """

    code: str
    name: str
    stage: str
    """mould, concrete, reinforcement, cast, fill, polish, seal, fit, light, extra."""
    need: float
    unit: str
    allowance: float
    gross: float
    packs: int
    pack_size: float
    pack_name: str
    cost: Decimal
    cost_by_use: Decimal
    working: str
    supplier: str = ""
    lead_days: int = 0
    stale: bool = False
    source: str = ""
    by_layout: bool = False
    """The packs are sheets or lengths of a layout, not gross ÷ pack size."""


@dataclass(frozen=True, slots=True)
class BatchPart:
    """What to weigh for one batch, rounded to the scale (`exact_kg`: before). Water: 1 L is 1 kg."""

    material: str
    name: str
    kg: float
    exact_kg: float


@dataclass(frozen=True, slots=True)
class BatchPlan:
    """The batches of one mix for one piece, all alike."""

    mix: str
    name: str
    batches: int
    volume_m3: float
    """Of one batch."""
    net_m3: float
    """Concrete of this mix in the piece."""
    leftover_m3: float
    """Mixed above the net volume."""
    parts: tuple[BatchPart, ...]
    working: str
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class MouldPart:
    """One kind of part of the mould, as it is cut: outside sizes, edges named."""

    name: str
    length_mm: float
    width_mm: float
    thickness_mm: float
    quantity: int
    material: str
    drawing: str = ""
    """Number of the part on the mould drawing: `M1`, `M2` ..."""
    edges: str = ""
    """How the edges are cut: `square`, `45° mitre both ends`, `bevel 4.0°` ..."""
    bend_radius_mm: float | None = None
    """For bendable strip."""


@dataclass(frozen=True, slots=True)
class PlacedPart:
    """Where one part stands, in the piece's own axes (z down from the show face): for drawings and checks.

    `plan_mm` is the part's footprint; a part that leans (trough panels) has its footprint at `bottom_mm` in
    `plan_bottom_mm`, else None. Curves are drawn with chords.
    """

    drawing: str
    """The part's number; a sheet inlay that lies in the mould has its material's code."""
    name: str
    plan_mm: tuple[tuple[float, float], ...]
    top_mm: float
    bottom_mm: float
    plan_bottom_mm: tuple[tuple[float, float], ...] | None = None
    holes_mm: tuple[tuple[tuple[float, float], ...], ...] = ()
    """Openings sawn through the part."""


@dataclass(frozen=True, slots=True)
class Mould:
    """The mould for one piece: parts, their sheets, the lengths and counts that labour is driven by."""

    parts: tuple[MouldPart, ...]
    layouts: tuple[tuple[str, CutPlan], ...]
    """(material code, plan on sheets), for everything cut from sheet."""
    bars: tuple[tuple[str, BarPlan], ...]
    """(material code, plan on stock lengths): tube, edging, strip."""
    cut_length_m: float
    joint_length_m: float
    screws: int
    notes: tuple[str, ...] = ()
    placed: tuple[PlacedPart, ...] = ()
    """Every part where it stands; parts on both sides of a joint touch, they never overlap."""
    bead_m: tuple[tuple[str, float, float], ...] = ()
    """(joint kind, length in m, bead radius in mm) of the sealant fillets along the mould's inner arrises."""
    cautions: tuple[Caution, ...] = ()
    bought: tuple[tuple[str, tuple[tuple[str, int], ...]], ...] = ()
    """(material of the parts, ((code bought, packs), …)) for all castings the mould was asked for."""
    tape_m: float = 0.0
    """Raw board edges that wet concrete can reach."""


@dataclass(frozen=True, slots=True)
class LabourLine:
    """One operation's planned hours for the whole quantity; `hours` are crew hours worked (all hands)."""

    operation: str
    name: str
    stage: str
    role: str
    crew: int
    hours: float
    """All hands together."""
    rate: Decimal
    cost: Decimal
    working: str
    spread: tuple[float, float, float] = (0.8, 1.0, 1.4)
    breakage: float = 0.0
    back_to: str | None = None
    elapsed_hours: float = 0.0
    """Hours by the clock with the crew at work: hours ÷ crew."""
    remake_hours: float | None = None
    """All hands, to do it once more for one piece after a break; None: a piece's share of `hours`."""


@dataclass(frozen=True, slots=True)
class CureStep:
    step: str
    """strip_sides, turn, polish, seal, coat_2 ..., deliver."""
    name: str
    earliest_day: int
    """Whole days after the pour, at the shop's temperature, before which the step must not happen."""
    equivalent_age_h: float
    """Equivalent age the step asks for, at the reference temperature."""
    strength_mpa: float
    """Strength expected on that day."""
    why: str
    after: str = ""
    """Step this one waits for on the calendar; empty: only for the pour."""
    after_days: int = 0
    """Days from the day that step is done to this one."""


@dataclass(frozen=True, slots=True)
class Lift:
    """One lift of the piece: how it is held and what that asks of people and of the concrete."""

    name: str
    mass_kg: float
    age_days: float
    people: int | None
    """None: beyond hands, use gear."""
    span: str
    """flat, at ends | flat, at best points | on edge | tilted, at long edges."""
    stress_mpa: float
    allowable_mpa: float
    utilisation: float
    weakest_at_mm: float
    axis: str
    """x or y: the direction `weakest_at_mm` is measured along."""
    advice: str
    working: str
    advised: bool = True
    """False: shown for comparison, not part of the way this piece should be moved."""


@dataclass(frozen=True, slots=True)
class Handling:
    total_kg: float
    people: int | None
    utilisation: float
    """Of the worst lift as advised."""
    weakest_x_mm: float
    lifts: tuple[Lift, ...]
    niosh_rwl_kg: float
    niosh_lifting_index: float | None
    """Of one person lifting the piece alone; None where the equation allows no lift at all."""
    working: str
    disclaimer: str


@dataclass(frozen=True, slots=True)
class Caution:
    code: str
    text: str
    source: str


@dataclass(frozen=True, slots=True)
class Weights:
    """Mass of one piece; base and packing not in."""

    concrete_kg: float
    steel_kg: float
    fitted_kg: float
    total_kg: float
