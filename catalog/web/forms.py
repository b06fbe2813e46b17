"""Forms of the pages under Prices."""

from __future__ import annotations

import re
from functools import cached_property
from typing import Any, ClassVar

from django import forms

from catalog.measures import CONTENT, in_words
from catalog.models import (
    Material,
    MaterialPrice,
    Mix,
    MixPart,
    Operation,
    OperationStandard,
    Role,
    RoleRate,
    ShelfItem,
)
from catalog.services.labour import STANDARD_FIGURES
from catalog.services.materials import DESCRIPTION
from catalog.services.mixes import FIGURES as MIX_FIGURES
from catalog.services.shelf import SIZES
from catalog.vocabulary import CONTENT_UNIT, DRIVERS, FIGURES, SIZED_KINDS, USAGES, MaterialKind, PartKind
from catalog.web.fields import SheetForm, code_choices, field_for

PART_ROWS = 12
_PART_PATH = re.compile(r"\Aparts\[([0-9]+)\]\.(material|kg_per_m3|kind)\Z")


class MaterialForm(SheetForm):
    """A material; a new one with code and first price."""

    groups: ClassVar[Any] = (
        ("What it is", ("code", "name", "kind", "usage")),
        (
            "How it is bought",
            ("pack_size", "pack_name", "price", "waste", "supplier", "lead_days", "retired_from"),
        ),
        ("Figures of its kind", (*(figure.name for figure in FIGURES), "source")),
    )

    def __init__(self, *args: Any, new: bool, kind: str = "", **options: Any) -> None:
        super().__init__(*args, kind=kind, **options)
        names = ("code", *DESCRIPTION) if new else DESCRIPTION
        unused = {figure.name for figure in FIGURES if kind and kind not in figure.kinds}
        if kind in SIZED_KINDS:
            unused.add("pack_size")  # follows from the sizes
        for name in names:
            if name not in unused and not (name == "kind" and not new):
                self.fields[name] = field_for(Material, name)
        self.fields["usage"] = forms.ChoiceField(
            choices=[("", "none"), *USAGES.items()],
            required=False,
            help_text="So that the take-off finds it.",
        )
        if "pack_size" in self.fields:
            self.fields["pack_size"].help_text += " Sheets and lengths: leave it empty, their sizes make it."
        if new:
            self.fields["price"] = field_for(MaterialPrice, "price")
        self.name_units()
        if new and self.system == "us":
            self.fields["pack_size"].help_text = (
                "Content of one pack in its kind's unit: ft², lb, gal, fl oz, ft or each. "
                "Sheets and lengths: leave it empty, their sizes make it."
            )
        elif "pack_size" in self.fields and (measure := self.measure_of("pack_size")):
            self.fields["pack_size"].help_text = f"Content of one pack, in {measure.unit}."


class PriceForm(SheetForm):
    """A new price from a date on."""

    groups: ClassVar[Any] = (("New price", ("price", "valid_from")),)

    def __init__(self, *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        for name in ("price", "valid_from"):
            self.fields[name] = field_for(MaterialPrice, name)


class ShelfForm(SheetForm):
    """Something on the shelf; its material only while new."""

    groups: ClassVar[Any] = (
        ("What it is", ("material", "place")),
        ("A board: the size of its offcuts", ("length_mm", "width_mm", "count")),
        ("Anything else: how much there is", ("content",)),
    )

    def __init__(self, *args: Any, new: bool, kind: str = "", **options: Any) -> None:
        super().__init__(*args, kind=kind, **options)
        unused = {"content"} if kind == MaterialKind.BOARD else {"length_mm", "width_mm", "count"}
        for name in SIZES:
            if new or name not in unused:
                self.fields[name] = field_for(ShelfItem, name)
        if new:
            self._kinds = dict(Material.objects.values_list("code", "kind"))
            rows = Material.objects.order_by("code").values_list("code", "name")
            choices = [("", "…"), *((code, f"{code}: {name}") for code, name in rows)]
            self.fields["material"] = forms.ChoiceField(choices=choices, required=False)
        self.name_units()
        if "content" in self.fields:
            unit = CONTENT[kind].unit if self.system == "us" and kind in CONTENT else CONTENT_UNIT.get(kind)
            counted = unit or ("lb, gal, fl oz, ft, each" if self.system == "us" else "kg, L, mL, m, each")
            self.fields["content"].label = f"How much ({counted})" if unit else "How much"
            self.fields["content"].help_text = "" if unit else f"As its packs are counted: {counted}."

    def clean(self) -> dict[str, Any]:
        """The kind of the chosen material says how its content is counted."""
        if "material" in self.fields:
            self.kind = self._kinds.get(str(self.cleaned_data.get("material", "")), "")
        return super().clean()


class RoleForm(SheetForm):
    """A role; its code only while new."""

    groups: ClassVar[Any] = (("Role", ("code", "name")),)

    def __init__(self, *args: Any, new: bool, **options: Any) -> None:
        super().__init__(*args, **options)
        for name in ("code", "name") if new else ("name",):
            self.fields[name] = field_for(Role, name)


class RateForm(SheetForm):
    """New pay of a role from a date on."""

    groups: ClassVar[Any] = (("New pay", ("pay_per_hour", "on_costs", "valid_from")),)

    def __init__(self, *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        for name in ("pay_per_hour", "on_costs", "valid_from"):
            self.fields[name] = field_for(RoleRate, name)


class OperationForm(SheetForm):
    """An operation's name and place."""

    groups: ClassVar[Any] = (("Operation", ("code", "name", "stage", "position", "retired_from")),)

    def __init__(self, *args: Any, new: bool, **options: Any) -> None:
        super().__init__(*args, **options)
        for name in ("code", "name", "stage", "position", "retired_from"):
            if new or name != "code":
                self.fields[name] = field_for(Operation, name)


class StandardForm(SheetForm):
    """A new standard of an operation from a date on."""

    groups: ClassVar[Any] = (
        ("From when, who", ("valid_from", "role", "crew", "note")),
        (
            "Hours",
            ("setup_hours", "setup_shared", "minimum_hours", "learning_rate", "once_per_mould", "when"),
        ),
        ("Hours of each of the crew per …", tuple(f"per_{driver}" for driver in DRIVERS)),
        ("Spread and breakage", ("spread_low", "spread_likely", "spread_high", "breakage", "back_to")),
    )

    def __init__(self, *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        for name in ("valid_from", *STANDARD_FIGURES):
            if name != "per_driver_hours":
                self.fields[name] = field_for(OperationStandard, name)
        self.fields["when"] = forms.ChoiceField(
            choices=[("", "always"), *self._drivers()], required=False, label="Needed only where there is any"
        )
        roles = list(Role.objects.order_by("code").values_list("code", "name"))
        operations = list(Operation.objects.order_by("position").values_list("code", "name"))
        self.fields["role"] = forms.ChoiceField(choices=code_choices(roles), required=False)
        self.fields["back_to"] = forms.ChoiceField(
            choices=code_choices(operations), required=False, label="After a break, start again from"
        )
        for driver, label in DRIVERS.items():
            widget = forms.TextInput(attrs={"inputmode": "decimal"})
            self.fields[f"per_{driver}"] = forms.CharField(label=label, required=False, widget=widget)
        self.name_units()

    def _drivers(self) -> list[tuple[str, str]]:
        """Drivers with their names in the shop's units."""
        return [
            (driver, in_words(label, self.measure_of(f"per_{driver}"))) for driver, label in DRIVERS.items()
        ]

    @staticmethod
    def initial_of(standard: OperationStandard | None) -> dict[str, Any]:
        """Return what the form starts from: the standard that holds."""
        if standard is None:
            return {"crew": 1, "setup_shared": True, "learning_rate": 1.0, "spread_low": 0.8} | {
                "spread_likely": 1.0,
                "spread_high": 1.4,
                "setup_hours": 0.0,
                "minimum_hours": 0.0,
                "breakage": 0.0,
            }
        start = {name: getattr(standard, name) for name in STANDARD_FIGURES if name != "note"}
        start |= {"role": standard.role.code, "back_to": standard.back_to.code if standard.back_to else ""}
        return start | {f"per_{driver}": hours for driver, hours in standard.per_driver_hours.items()}

    def values(self) -> dict[str, object]:
        """Return what was typed, hours gathered by driver."""
        values = {
            name: value
            for name, value in self.cleaned_data.items()
            if name.removeprefix("per_") not in DRIVERS
        }
        typed = {driver: self.cleaned_data[f"per_{driver}"] for driver in DRIVERS}
        return values | {
            "per_driver_hours": {driver: as_float(text) for driver, text in typed.items() if text.strip()}
        }


class MixForm(SheetForm):
    """A mix with its bag, or the rows of its recipe."""

    groups: ClassVar[Any] = (
        ("What it is", ("code", "name", "cement_class", "strength_28d_mpa", "source", "retired_from")),
        (
            "Densities and sizes",
            ("fresh_density_kg_m3", "density_kg_m3", "air", "max_aggregate_mm", "allowance"),
        ),
        ("From a bag", ("bag", "water_l_per_bag")),
        ("Fibre", ("fibre", "fibre_share")),
    )

    def __init__(self, *args: Any, new: bool, **options: Any) -> None:
        super().__init__(*args, **options)
        for name in ("code", *MIX_FIGURES) if new else MIX_FIGURES:
            self.fields[name] = field_for(Mix, name)
        materials = list(Material.objects.order_by("code").values_list("code", "name", "kind"))
        bags = [(code, name) for code, name, kind in materials if kind == MaterialKind.BAGGED_MIX]
        loose = [(code, name) for code, name, kind in materials if kind == MaterialKind.LOOSE]
        parts = [
            (code, name)
            for code, name, kind in materials
            if kind in (MaterialKind.LOOSE, MaterialKind.LIQUID)
        ]
        self.fields["bag"] = forms.ChoiceField(choices=code_choices(bags), required=False)
        self.fields["fibre"] = forms.ChoiceField(choices=code_choices(loose), required=False)
        for row in range(PART_ROWS):
            place = f"Part {row + 1}"
            self.fields[f"part_{row}_material"] = forms.ChoiceField(
                choices=code_choices(parts), required=False, label=f"{place}: material"
            )
            self.fields[f"part_{row}_kg_per_m3"] = forms.CharField(
                required=False,
                label=f"{place}: kg per m³",
                widget=forms.TextInput(attrs={"inputmode": "decimal"}),
            )
            self.fields[f"part_{row}_kind"] = forms.ChoiceField(
                choices=PartKind.choices, required=False, initial=PartKind.OTHER, label=f"{place}: kind"
            )
        self.name_units()

    def part_rows(self) -> list[list[forms.BoundField]]:
        """Return the fields of each row of the recipe."""
        names = ("material", "kg_per_m3", "kind")
        return [[self[f"part_{row}_{name}"] for name in names] for row in range(PART_ROWS)]

    @cached_property
    def _filled(self) -> list[int]:
        """The rows with anything in them, as typed: a fault told takes its field out of the data."""
        typed = self.cleaned_data
        return [
            n for n in range(PART_ROWS) if typed[f"part_{n}_material"] or typed[f"part_{n}_kg_per_m3"].strip()
        ]

    @staticmethod
    def initial_of(mix: Mix) -> dict[str, Any]:
        """Return what the form starts from."""
        start: dict[str, Any] = {name: getattr(mix, name) for name in MIX_FIGURES}
        start |= {"bag": mix.bag.code if mix.bag else "", "fibre": mix.fibre.code if mix.fibre else ""}
        for row, part in enumerate(mix.parts.all()):
            start |= {f"part_{row}_material": part.material.code, f"part_{row}_kg_per_m3": part.kg_per_m3}
            start[f"part_{row}_kind"] = part.kind
        return start

    def values(self) -> dict[str, object]:
        """Return what was typed, the filled rows as the recipe."""
        values = {name: value for name, value in self.cleaned_data.items() if not name.startswith("part_")}
        columns = [
            field.name for field in MixPart._meta.fields if field.name in ("material", "kg_per_m3", "kind")
        ]
        parts = [{name: self.cleaned_data[f"part_{row}_{name}"] for name in columns} for row in self._filled]
        return values | {"parts": parts}

    def place_of(self, path: str) -> str | None:
        """Return the field a fault belongs beside, also in the recipe."""
        inner = _PART_PATH.match(path)
        if inner is None:
            return super().place_of(path)
        return f"part_{self._filled[int(inner[1])]}_{inner[2]}"


def as_float(text: str) -> object:
    """Return a number typed, or the text itself for the service to refuse."""
    try:
        return float(text)
    except ValueError:
        return text
