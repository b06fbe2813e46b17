"""Concrete by mix: bags or weighed parts to buy, and what goes into each batch.

A mix's allowance is for everything that goes into it (common practice 5 to 10 %), so the parts' own waste is
not added again. The parts of a recipe are corrected for the moisture of the heap; fibre is a share of the
whole mix, itself included; water is reckoned at 1 kg a litre.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal
from typing import Final

from quoting.engine.errors import Fault, Refused
from quoting.engine.money import exact
from quoting.engine.solid.measure import Geometry
from quoting.engine.takeoff.lines import BatchPart, BatchPlan, Caution, MaterialLine
from quoting.engine.takeoff.proportioning import as_weighed, fibre_mass, mixed_volume, pigment_limit
from quoting.engine.takeoff.stock import mix_of, of_code, of_role, packed_line
from quoting.engine.takeoff.wording import count_of, figure, pack_sum, percent, quantity, whole_packs
from quoting.engine.units import KG_M3_PER_LB_CU_FT, KG_PER_LB, L_PER_US_GALLON
from quoting.engine.values import Material, MaterialKind, Mix, PriceBook, ShopTerms

FINE_BELOW_STEPS: Final = 20
"""Parts lighter than this many steps of the scale go on a fine scale, a hundredth of the step (our rule)."""
WATER: Final = "water"
_VOLUME_TOLERANCE: Final = 0.02


@dataclass(frozen=True, slots=True)
class MixPart:
    """One ingredient of a mix as it is weighed, in kg for 1 m³ of concrete."""

    material: Material
    kg_per_m3: float
    lead: str = ""
    """How the mass came about, where the recipe was corrected."""
    note: str = ""
    by_litre: bool = False
    """`lead` comes to litres already."""


def volumes_by_mix(
    geometry: Geometry, book: PriceBook, terms: ShopTerms, piece_mix: str | None
) -> list[tuple[Mix, float]]:
    """Net concrete of one piece by mix in m³, the piece's own first; equal mixes are one."""
    totals: dict[str, tuple[Mix, float]] = {}
    for code, volume_m3 in geometry.volume_by_mix:
        mix = mix_of(book, code or piece_mix, terms)
        totals[mix.code] = (mix, totals.get(mix.code, (mix, 0.0))[1] + volume_m3)
    return list(totals.values())


def concrete(
    volumes: Sequence[tuple[Mix, float]], book: PriceBook, terms: ShopTerms, quantity: int = 1
) -> tuple[tuple[MaterialLine, ...], tuple[BatchPlan, ...]]:
    """Lines to buy for all pieces, and the batches of one piece, mix by mix.

    `volumes` as from `volumes_by_mix`. Raises Refused for a material the price list lacks, or sand so wet
    that it brings more water than the recipe takes.
    """
    lines: list[MaterialLine] = []
    batches: list[BatchPlan] = []
    for mix, net_m3 in volumes:
        parts = mix_parts(mix, book, terms.unit_system)
        lines += _mix_lines(mix, parts, net_m3, terms, quantity)
        batches.append(batch_plan(mix, parts, net_m3, terms))
    return tuple(lines), tuple(batches)


# --- what a mix is made of -------------------------------------------------------------------------------
def mix_parts(mix: Mix, book: PriceBook, system: str = "metric") -> tuple[MixPart, ...]:
    """Masses for 1 m³, moisture corrected, fibre and water in. Bagged: bag ÷ yield, water by the bag."""
    base = _bagged_parts(mix, book, system) if mix.bag is not None else _recipe_parts(mix, book, system)
    if mix.fibre is None or mix.fibre_share <= 0:
        return base
    fibre = of_code(book, mix.fibre, f"mixes.{mix.code}.fibre")
    base_kg = sum(part.kg_per_m3 for part in base)
    kg = fibre_mass(base_kg, mix.fibre_share)
    share = figure(mix.fibre_share)
    return (*base, MixPart(fibre, kg, f"{share} ÷ (1 − {share}) × {_rate(base_kg, system)}"))


def _bagged_parts(mix: Mix, book: PriceBook, system: str) -> tuple[MixPart, ...]:
    bag = of_code(book, mix.bag or "", f"mixes.{mix.code}.bag")
    if not bag.yield_m3:
        message = f"{bag.code} needs the volume of concrete that one bag gives"
        raise Refused([Fault(f"materials.{bag.code}.yield_m3", message, "missing_figure")])
    dry = MixPart(bag, bag.pack_size / bag.yield_m3)
    if mix.water_l_per_bag <= 0:
        return (dry,)
    water = of_role(book, WATER)
    per_m3 = mix.water_l_per_bag / bag.yield_m3
    a_bag = f"{quantity(mix.water_l_per_bag, 'L', system)} ÷ {quantity(bag.yield_m3, 'm³', system)} a bag"
    return dry, MixPart(water, per_m3, a_bag, by_litre=True)


def _recipe_parts(mix: Mix, book: PriceBook, system: str) -> tuple[MixPart, ...]:
    path = f"mixes.{mix.code}.parts"
    parts: list[MixPart] = []
    free_kg = 0.0
    for part in mix.parts:
        material = of_code(book, part.material, path)
        if part.kind != "aggregate" or material.moisture is None:
            parts.append(MixPart(material, part.kg_per_m3))
            continue
        wet = as_weighed(part.kg_per_m3, "ssd", material.moisture, material.absorption or 0.0)
        free_kg += wet.free_water
        note = f"{_rate(part.kg_per_m3, system)} surface dry, moist as it lies"
        parts.append(MixPart(material, wet.mass, note=note))
    if free_kg == 0:
        return tuple(parts)
    waters = [part.material for part in mix.parts if part.kind == "water"]
    return tuple(
        _less_water(part, free_kg, path, system) if part.material.code in waters else part for part in parts
    )


def _less_water(part: MixPart, free_kg: float, path: str, system: str) -> MixPart:
    left = part.kg_per_m3 - free_kg
    if left < 0:
        message = (
            f"the aggregate brings {_rate(free_kg, system)} of water, more than the recipe takes: dry it"
        )
        raise Refused([Fault(path, message, "too_wet")])
    brings = f"({_rate(part.kg_per_m3, system)} − {_rate(free_kg, system)} in the aggregate)"
    return MixPart(part.material, left, brings)


# --- what to buy -----------------------------------------------------------------------------------------
def _mix_lines(
    mix: Mix, parts: Sequence[MixPart], net_m3: float, terms: ShopTerms, pieces: int
) -> list[MaterialLine]:
    lines = []
    for part in parts:
        need = _in_content(part.kg_per_m3 * net_m3 * pieces, part.material)
        working = _working(mix, part, need, net_m3, pieces, terms)
        lines.append(
            packed_line(part.material, "concrete", need, terms, allowance=mix.allowance, working=working)
        )
    return lines


def _working(mix: Mix, part: MixPart, need: float, net_m3: float, pieces: int, terms: ShopTerms) -> str:
    material, system = part.material, terms.unit_system
    if material.code == mix.bag:
        return _bag_working(mix, material, net_m3, pieces, terms)
    lead = f"{quantity(net_m3 * pieces, 'm³', system)} × {part.lead or _rate(part.kg_per_m3, system)}"
    if material.kind is MaterialKind.LIQUID and not part.by_litre:
        lead += _per_litre(material.relative_density or 1.0, system)
    unit = material.content_unit
    if material.role == WATER:
        gross = quantity(need * (1 + mix.allowance), unit, system)
        return f"{lead} = {quantity(need, unit, system)} + {percent(mix.allowance)} = {gross} of water"
    words = pack_sum(lead, need, mix.allowance, material.pack_size, unit, material.pack_name, system)
    return f"{words} ({part.note})" if part.note else words


def _per_litre(relative_density: float, system: str) -> str:
    """The step from mass to volume of a liquid; none for water in litres."""
    if system == "us":
        return f" ÷ {figure(relative_density / KG_PER_LB * L_PER_US_GALLON)} lb/gal"
    return "" if relative_density == 1.0 else f" ÷ {figure(relative_density)} kg/L"


def _rate(kg_per_m3: float, system: str) -> str:
    """Kilograms per m³, or pounds per cubic foot."""
    if system == "us":
        return f"{figure(kg_per_m3 / KG_M3_PER_LB_CU_FT)} lb/cu ft"
    return f"{figure(kg_per_m3)} kg/m³"


def _in_content(kg: float, material: Material) -> float:
    return kg / (material.relative_density or 1.0) if material.kind is MaterialKind.LIQUID else kg


def _bag_working(mix: Mix, bag: Material, net_m3: float, pieces: int, terms: ShopTerms) -> str:
    yield_m3 = bag.yield_m3 or 0.0
    total_m3 = net_m3 * pieces
    lead = f"{pieces} × {quantity(net_m3, 'm³', terms.unit_system)}" if pieces > 1 else ""
    words = pack_sum(lead, total_m3, mix.allowance, yield_m3, "m³", bag.pack_name, terms.unit_system)
    gross_m3 = total_m3 * (1 + mix.allowance)
    spare = whole_packs(gross_m3, yield_m3) - gross_m3 / yield_m3
    return f"{words} ({figure(max(0.0, spare), 2)} of a {bag.pack_name} stays over)"


# --- what goes into the mixer ----------------------------------------------------------------------------
def to_scale(kg: float, step_kg: float) -> float:
    """A mass rounded half up to the scale's step; light doses to a hundredth of it, on a fine scale.

    >>> to_scale(12.349, 0.1), to_scale(0.2349, 0.1)
    (12.3, 0.235)
    """
    step = exact(step_kg) if kg >= FINE_BELOW_STEPS * step_kg else exact(step_kg) / 100
    steps = (exact(kg) / step).to_integral_value(ROUND_HALF_UP)
    return float(steps * step)


def batch_plan(mix: Mix, parts: Sequence[MixPart], net_m3: float, terms: ShopTerms) -> BatchPlan:
    """Equal batches for one piece: as many as the mixer's capacity asks for, each weighed to the scale.

    batches = gross ÷ capacity, rounded up; every batch is gross ÷ batches. All batches get the same rounded
    weights; the note says what the rounding adds or takes over all of them.
    """
    gross_m3 = net_m3 * (1 + mix.allowance)
    count = whole_packs(gross_m3 * 1000, terms.mixer_l)
    each_m3 = gross_m3 / count
    weighed = []
    for part in parts:
        kg = part.kg_per_m3 * each_m3
        weighed.append(
            BatchPart(part.material.code, part.material.name, to_scale(kg, terms.scale_step_kg), kg)
        )
    system = terms.unit_system
    capacity = quantity(terms.mixer_l / 1000, "m³", system)
    gross = quantity(gross_m3, "m³", system)
    working = (
        f"{gross} ÷ {capacity} in the mixer = {figure(gross_m3 * 1000 / terms.mixer_l, 3)}, "
        f"{count_of(count, 'batch')} of {quantity(each_m3, 'm³', system)}; "
        f"{quantity(gross_m3 - net_m3, 'm³', system)} over the net volume"
    )
    return BatchPlan(
        mix=mix.code,
        name=mix.name,
        batches=count,
        volume_m3=each_m3,
        net_m3=net_m3,
        leftover_m3=gross_m3 - net_m3,
        parts=tuple(weighed),
        working=working,
        notes=_batch_notes(weighed, count, terms),
    )


def _batch_notes(weighed: Sequence[BatchPart], count: int, terms: ShopTerms) -> tuple[str, ...]:
    step = quantity(terms.scale_step_kg, "kg", terms.unit_system)
    fine = quantity(terms.scale_step_kg / 100, "kg", terms.unit_system)
    off = float(sum((exact(part.kg) - exact(part.exact_kg) for part in weighed), Decimal(0)) * count)
    said = (
        f"Weights rounded half up to {step}; doses under {FINE_BELOW_STEPS} steps to {fine} on a fine scale."
    )
    if abs(off) < terms.scale_step_kg / 100:  # less than the finer scale can show
        return (said,)
    difference = f"{'+' if off >= 0 else '−'}{quantity(abs(off), 'kg', terms.unit_system, 3)}"
    return said, f"Rounding makes {difference} over all {count_of(count, 'batch')}."


# --- what to look at twice -------------------------------------------------------------------------------
def mix_cautions(mix: Mix, book: PriceBook, system: str = "metric") -> tuple[Caution, ...]:
    """Cautions about a recipe: its volume, its pigment (ASTM C979: at most 10 % of the cement)."""
    found: list[Caution] = []
    cement = sum(part.kg_per_m3 for part in mix.parts if part.kind == "cement")
    pigment = sum(part.kg_per_m3 for part in mix.parts if part.kind == "pigment")
    if pigment > pigment_limit(cement):
        text = (
            f"The recipe of {mix.name} has {_rate(pigment, system)} of pigment on {_rate(cement, system)} of "
            f"cement, more than 10 %: it costs strength; take no more than "
            f"{_rate(pigment_limit(cement), system)}."
        )
        found.append(Caution("pigment_dose", text, "ASTM C979"))
    made = recipe_volume_m3(mix, book)
    if made is not None and abs(made - 1) > _VOLUME_TOLERANCE:
        whole = "yd³" if system == "us" else "m³"
        text = f"The recipe of {mix.name} makes {figure(made)} {whole}, not 1 within 2 %: check its masses."
        found.append(Caution("recipe_volume", text, "ACI 211.1, absolute volumes"))
    return tuple(found)


def recipe_volume_m3(mix: Mix, book: PriceBook) -> float | None:
    """Concrete a recipe for 1 m³ really makes, by absolute volume; None where a relative density lacks."""
    parts = []
    for part in mix.parts:
        material = of_code(book, part.material, f"mixes.{mix.code}.parts")
        density = material.relative_density or (1.0 if part.kind == "water" else None)
        if density is None:
            return None
        parts.append((part.kg_per_m3, density))
    return mixed_volume(parts, mix.air) if parts else None
