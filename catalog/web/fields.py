"""Form fields made from the columns they fill; faults of the services put beside the field they are about.

The forms only carry text; what it means and whether it will do, the services say. So a page, the API and a
CSV file refuse the same things in the same words, and what was typed stays in the form.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from decimal import Decimal
from typing import Any, ClassVar, TypeVar

from django import forms
from django.db import models
from django.forms import BoundField
from django.utils.text import capfirst

from catalog.errors import CatalogRefused
from catalog.measures import Measure, in_words, measure_of
from catalog.selectors import shop_terms, trimmed
from catalog.vocabulary import FIGURES

T = TypeVar("T")
_UNITS = {
    "_kg_m3": "kg/m³",
    "_mm": "mm",
    "_mpa": "MPa",
    "_c": "°C",
    "_k": "K",
    "_l": "L",
    "_kg": "kg",
}
_FIGURE_LABELS = {f.name: f"{f.label} ({f.unit})" if f.unit else f.label for f in FIGURES}


def label_of(column: models.Field[Any, Any]) -> str:
    """Return a column's name as a label, its unit in brackets."""
    if column.name in _FIGURE_LABELS:
        return _FIGURE_LABELS[column.name]
    for suffix, unit in _UNITS.items():
        if column.name.endswith(suffix):
            return f"{capfirst(column.name.removesuffix(suffix).replace('_', ' '))} ({unit})"
    return str(capfirst(column.verbose_name))


def field_for(model: type[models.Model], name: str) -> forms.Field:
    """Return a form field for a column that takes anything typed."""
    column = model._meta.get_field(name)
    if not isinstance(column, models.Field):
        raise TypeError(f"{name} is not a column")
    about: dict[str, Any] = {"label": label_of(column), "help_text": column.help_text, "required": False}
    if isinstance(column, models.BooleanField):
        return forms.BooleanField(**about)
    if column.choices:
        return forms.ChoiceField(choices=_choices(column), **about)
    if isinstance(column, models.TextField):
        return forms.CharField(widget=forms.Textarea(attrs={"rows": 4}), **about)
    if isinstance(column, models.DateField):
        return forms.CharField(widget=forms.TextInput(attrs={"type": "date"}), **about)
    if isinstance(column, models.FloatField | models.DecimalField | models.IntegerField):
        return forms.CharField(widget=forms.TextInput(attrs={"inputmode": "decimal"}), **about)
    return forms.CharField(**about)


def _choices(column: models.Field[Any, Any]) -> list[tuple[str, str]]:
    blank = [] if column.has_default() else [("", "…")]
    return [*blank, *((str(value), str(label)) for value, label in column.choices or ())]


def code_choices(rows: Sequence[tuple[str, str]]) -> list[tuple[str, str]]:
    """Return choices from codes and names, with one for none."""
    return [("", "none"), *((code, f"{code}: {name}") for code, name in rows)]


def typed(value: object) -> object:
    """Return a column's value as somebody would type it: numbers without needless noughts."""
    if isinstance(value, float):
        return repr(value).removesuffix(".0")
    return f"{trimmed(value):f}" if isinstance(value, Decimal) else value


class PlainLabels(forms.BaseForm):
    """Labels as the pages that are written by hand have them: without a colon behind."""

    def __init__(self, *args: Any, **options: Any) -> None:
        super().__init__(*args, **{"label_suffix": "", **options})


class SheetForm(PlainLabels, forms.Form):
    """A form of groups of fields, whose values go to a service as they were typed.

    A shop that counts in US units reads and types its own; what is left as it was shown stays exactly.
    """

    groups: ClassVar[tuple[tuple[str, tuple[str, ...]], ...]] = ()
    use_required_attribute = False

    def __init__(self, *args: Any, kind: str = "", **options: Any) -> None:
        super().__init__(*args, **options)
        self.system, self.kind = shop_terms().unit_system, kind

    def measure_of(self, name: str) -> Measure | None:
        """Return how a field is counted, where not as the catalogue counts."""
        return measure_of(name, self.system, self.kind)

    def name_units(self) -> None:
        """Name the shop's units in labels and helps, once all fields are there."""
        for name, field in self.fields.items():
            measure = self.measure_of(name)
            field.label = in_words(str(field.label or ""), measure) or None
            field.help_text = in_words(str(field.help_text), measure)

    def get_initial_for_field(self, field: forms.Field, field_name: str) -> Any:
        """Return what a field starts from, as somebody would type it."""
        value = super().get_initial_for_field(field, field_name)
        measure = self.measure_of(field_name)
        if measure is None or value is None or value == "":
            return typed(value)
        return measure.shown(float(value))

    def clean(self) -> dict[str, Any]:
        """Turn what was typed in the shop's units into the catalogue's."""
        given: dict[str, Any] = super().clean() or self.cleaned_data
        self.kind = self.kind or str(given.get("kind", ""))
        for name, text in given.items():
            measure = self.measure_of(name)
            if measure is None or not isinstance(text, str) or not text.strip():
                continue
            start = self.initial.get(name)
            same = start not in (None, "") and text.strip() == measure.shown(float(start))
            given[name] = str(typed(start)) if same else measure.read(text)
        return given

    def grouped(self) -> Iterator[tuple[str, list[BoundField]]]:
        """Return each group's heading with its fields."""
        for heading, names in self.groups:
            yield heading, [self[name] for name in names if name in self.fields]

    def values(self) -> dict[str, object]:
        """Return what was typed, as the service takes it."""
        return dict(self.cleaned_data)

    def place_of(self, path: str) -> str | None:
        """Return the field a fault belongs beside; None for the form as a whole."""
        return path if path in self.fields else None

    def try_to(self, write: Callable[[Mapping[str, object]], T]) -> T | None:
        """Call a service with the values and return what it made, or put its faults in the form."""
        if not self.is_valid():
            return None
        try:
            return write(self.values())
        except CatalogRefused as refused:
            for fault in refused.faults:
                place = self.place_of(fault.path)
                where = f"{fault.path}: " if place is None and fault.path else ""
                measure = None if place is None else self.measure_of(place)
                counted = "" if measure is None else f" (Counted in {measure.si}.)"
                self.add_error(place, f"{where}{fault.message}{counted}")
            return None
