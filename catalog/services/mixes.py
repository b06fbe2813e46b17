"""Writes of mixes, whose recipes must make one cubic metre."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from django.db import transaction
from django.db.models import Q

from catalog import recipes, selectors
from catalog.errors import Fault
from catalog.models import Material, Mix, MixPart
from catalog.models.changes import ChangedKind
from catalog.services.changes import Said, note_change, said
from catalog.services.checks import assign, faults_of, find, refuse, save_new, shown
from catalog.vocabulary import MaterialKind

FIGURES = (
    "name",
    "fresh_density_kg_m3",
    "density_kg_m3",
    "strength_28d_mpa",
    "cement_class",
    "water_l_per_bag",
    "air",
    "fibre_share",
    "allowance",
    "max_aggregate_mm",
    "source",
    "retired_from",
)
_TOLD = (*FIGURES, "bag", "fibre")
PART_KEYS = frozenset({"material", "kg_per_m3", "kind"})
MOST_PARTS = 30


@dataclass(frozen=True, slots=True)
class Draft:
    """A mix as it would be saved, and everything wrong with it."""

    mix: Mix
    parts: tuple[MixPart, ...]
    faults: tuple[Fault, ...]


@transaction.atomic
def create_mix(values: Mapping[str, object], *, who: str = "") -> Mix:
    """Create a mix from its figures, with `bag` or `parts` ({material, kg_per_m3, kind}) by code."""
    return _save(draft(Mix(), values), _told(Mix(), ()), who)


@transaction.atomic
def update_mix(code: str, values: Mapping[str, object], *, who: str = "") -> Mix:
    """Change a mix; `parts`, where given, replace the recipe."""
    row = selectors.by_code(Mix.objects.select_for_update(), "mix", code)
    before = _told(row, tuple(row.parts.select_related("material")))
    return _save(draft(row, values), before, who)


def _told(row: Mix, parts: tuple[MixPart, ...]) -> Said:
    return said(row, _TOLD) | {"parts": [said(part, ("material", "kg_per_m3", "kind")) for part in parts]}


def draft(row: Mix, values: Mapping[str, object]) -> Draft:
    """Put values on a mix (saved or not) and collect every fault; nothing is written."""
    plain = {name: value for name, value in values.items() if name not in {"bag", "fibre", "parts"}}
    faults = assign(row, plain, FIGURES if row.pk else ("code", *FIGURES))
    if "bag" in values:
        row.bag = find(Material, values["bag"], "bag", faults)
    if "fibre" in values:
        row.fibre = find(Material, values["fibre"], "fibre", faults)
    if "parts" in values:
        parts = _parts(row, values["parts"], faults)
    else:
        parts = tuple(row.parts.select_related("material")) if row.pk else ()
    faults += faults_of(
        row, exclude={fault.path for fault in faults} & {field.name for field in row._meta.fields}
    )
    faults += _kind_faults(row, parts)
    if not faults:
        faults += _recipe_faults(row, parts)
    return Draft(row, parts, tuple(faults))


def _save(draft: Draft, before: Said, who: str) -> Mix:
    refuse(draft.faults)
    new = draft.mix.pk is None
    if draft.mix.pk:
        draft.mix.save()
    else:
        save_new(draft.mix)
    draft.mix.parts.all().delete()
    for part in draft.parts:
        part.pk = None
        part.mix = draft.mix
        part._state.adding = True
    MixPart.objects.bulk_create(draft.parts)
    after = _told(draft.mix, draft.parts)
    note_change(ChangedKind.MIX, draft.mix.code, before, after, who=who, new=new)
    return selectors.mix(draft.mix.code)


def _parts(row: Mix, given: object, faults: list[Fault]) -> tuple[MixPart, ...]:
    if not isinstance(given, Sequence) or isinstance(given, str) or len(given) > MOST_PARTS:
        faults.append(Fault("parts", f"Give a list of at most {MOST_PARTS} parts.", "invalid"))
        return ()
    parts = []
    for position, values in enumerate(given):
        path = f"parts[{position}]"
        if not isinstance(values, Mapping) or not set(values) <= PART_KEYS:
            faults.append(Fault(path, "Give material, kg_per_m3 and kind.", "invalid", shown(values)))
            continue
        part = MixPart(mix=row, position=position)
        own: list[Fault] = []
        material = find(Material, values.get("material"), "material", own)
        if material is not None:
            part.material = material
        elif not own:
            own.append(Fault("material", "Name a material.", "missing"))
        own += assign(part, {key: value for key, value in values.items() if key != "material"}, PART_KEYS)
        own += faults_of(part, exclude={"mix", "material", *(fault.path for fault in own)}, unique=False)
        faults += [Fault(f"{path}.{fault.path}", fault.message, fault.code, fault.value) for fault in own]
        if not own:
            parts.append(part)
    codes = [part.material.code for part in parts]
    for code in sorted({code for code in codes if codes.count(code) > 1}):
        faults.append(Fault("parts", f"{code} stands in the recipe twice: add the two up.", "twice", code))
    return tuple(parts)


def _kind_faults(row: Mix, parts: tuple[MixPart, ...]) -> list[Fault]:
    faults = []
    if row.bag is not None and row.bag.kind != MaterialKind.BAGGED_MIX:
        faults.append(Fault("bag", "This is not a bagged mix.", "wrong_kind", row.bag.code))
    if row.fibre is not None and row.fibre.kind != MaterialKind.LOOSE:
        faults.append(Fault("fibre", "Fibre is a loose material, by mass.", "wrong_kind", row.fibre.code))
    if row.fibre is None and isinstance(row.fibre_share, float) and row.fibre_share > 0:
        faults.append(Fault("fibre", "A share of fibre needs the fibre it is of.", "missing"))
    if row.bag is not None and parts:
        faults.append(Fault("parts", "A mix has a bag or a recipe, not both.", "bag_and_parts"))
    if row.fibre is not None and any(part.material_id == row.fibre.pk for part in parts):
        message = "The fibre is counted by its share already: leave it out of the parts."
        faults.append(Fault("parts", message, "twice", row.fibre.code))
    return faults


def spoilt_recipes(material: Material) -> list[Fault]:
    """Return the recipes that would no longer make 1 m³ with a material's new density."""
    using = Mix.objects.filter(Q(parts__material=material) | Q(fibre=material)).distinct()
    faults = []
    for row in using.select_related("fibre").prefetch_related("parts__material").order_by("code"):
        parts = tuple(row.parts.all())
        for part in parts:
            if part.material_id == material.pk:
                part.material = material
        if row.fibre_id == material.pk:
            row.fibre = material
        faults += [
            Fault("relative_density", f"{row.code}: {fault.message}", fault.code, fault.value)
            for fault in _recipe_faults(row, parts)
        ]
    return faults


def _recipe_faults(row: Mix, parts: tuple[MixPart, ...]) -> list[Fault]:
    """Return what keeps a recipe from making one cubic metre of the density it states."""
    if row.bag is not None:
        return []
    if not parts:
        return [Fault("parts", "Give a bag, or the parts of a recipe.", "missing")]
    base_kg = sum(part.kg_per_m3 for part in parts)
    amounts = [
        (part.material, part.kg_per_m3, f"parts[{place}].material") for place, part in enumerate(parts)
    ]
    if row.fibre is not None and row.fibre_share > 0:
        amounts.append((row.fibre, recipes.fibre_kg(base_kg, row.fibre_share), "fibre"))
    faults = [
        Fault(path, f"{material.code} needs its density for the recipe's volume.", "density_missing")
        for material, _, path in amounts
        if material.relative_density is None
    ]
    if faults:
        return faults
    masses = [recipes.RecipeMass(kg, material.relative_density or 0.0) for material, kg, _ in amounts]
    volume = recipes.absolute_volume_m3(masses, row.air)
    if not recipes.makes_one_m3(volume):
        message = f"The recipe makes {volume:.3f} m³ by absolute volume; it must make 1 m³ ± 2 %."
        faults.append(Fault("parts", message, "volume", f"{volume:.3f}"))
    total_kg = sum(mass.kg for mass in masses)
    if abs(row.fresh_density_kg_m3 - total_kg) > recipes.TOLERANCE * total_kg:
        message = (
            f"The recipe's masses add up to {total_kg:.0f} kg/m³; the fresh density must agree within 2 %."
        )
        faults.append(Fault("fresh_density_kg_m3", message, "density", shown(row.fresh_density_kg_m3)))
    return faults
