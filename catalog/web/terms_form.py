"""The form of the shop's terms: lists and tables typed as text."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any, ClassVar

from django import forms

from catalog.measures import FAHRENHEIT, Measure
from catalog.models import Material, Mix, ShopTerms
from catalog.selectors import shop_terms
from catalog.services.terms import TERMS
from catalog.vocabulary import FINISH_FACES, FINISH_FILLS, MaterialKind
from catalog.web.fields import SheetForm, code_choices, field_for
from catalog.web.forms import as_float

WEEKDAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")
_TYPED = frozenset(
    {
        "tax_rates",
        "payment_stages",
        "finish_grits",
        "finish_faces",
        "finish_fill",
        "shop_temperature_c",
        "working_days",
    }
)


class TermsForm(SheetForm):
    """How the shop builds, prices and sells."""

    groups: ClassVar[Any] = (
        ("The shop on its papers", ("name", "address", "email", "phone", "website", "tax_number")),
        ("Money, language, paper", ("currency", "minor_units", "locale", "unit_system", "paper_size")),
        (
            "Price",
            (
                "target_margin",
                "overhead_per_labour_hour",
                "hours_basis",
                "materials_basis",
                "breakage_method",
                "breakage_flat",
                "price_step",
                "minimum_job_price",
                "tax_label",
                "tax_rates",
                "stale_after_days",
            ),
        ),
        ("Sale", ("deposit", "payment_stages", "validity_days", "terms_text")),
        ("Delivery", ("delivery_fixed", "delivery_per_km", "delivery_per_step")),
        (
            "Where a piece says nothing",
            ("default_mix", "finish_fill", "finish_grits", "finish_sealer", "finish_coats", "finish_faces"),
        ),
        (
            "Moulds and mixer",
            (
                "mould_sides",
                "fillet_radius_mm",
                "screw_spacing_mm",
                "kerf_mm",
                "trim_mm",
                "mixer_l",
                "scale_step_kg",
            ),
        ),
        (
            "People",
            (
                "lift_limit_kg",
                "people_available",
                "learning_model",
                "hours_per_day",
                "working_days",
                "holiday_region",
            ),
        ),
        (
            "Curing and handling",
            (
                "maturity",
                "datum_c",
                "activation_k",
                "reference_c",
                "shop_temperature_c",
                "strength_curve",
                "strip_mpa",
                "strip_h",
                "turn_mpa",
                "polish_mpa",
                "dry_days",
                "coat_days",
                "harden_days",
                "deliver_share",
                "handling_factor",
                "flexure_safety",
                "rupture_rule",
            ),
        ),
    )

    def __init__(self, *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        for name in TERMS:
            if name not in _TYPED:
                self.fields[name] = field_for(ShopTerms, name)
        rows = forms.Textarea(attrs={"rows": 3})
        self.fields["tax_rates"] = forms.CharField(
            required=False, widget=rows, help_text="One line each: standard 0.20"
        )
        self.fields["payment_stages"] = forms.CharField(
            required=False,
            widget=rows,
            help_text="One line each: on order 0.30. None: the deposit and the balance.",
        )
        self.fields["finish_grits"] = forms.CharField(required=False, help_text="Rising: 200, 400, 800")
        self.fields["finish_fill"] = forms.ChoiceField(
            choices=[(fill, fill) for fill in FINISH_FILLS], required=False
        )
        self.fields["finish_faces"] = _boxes([(face, face) for face in FINISH_FACES])
        self.fields["working_days"] = _boxes([(str(day), name) for day, name in enumerate(WEEKDAYS)])
        self.fields["shop_temperature_c"] = forms.CharField(
            required=False,
            label="Shop temperature by month (°C)",
            help_text="Twelve means, January first, with commas between.",
        )
        mixes = list(Mix.objects.order_by("code").values_list("code", "name"))
        liquids = (
            Material.objects.filter(kind=MaterialKind.LIQUID).order_by("code").values_list("code", "name")
        )
        self.fields["default_mix"] = forms.ChoiceField(choices=code_choices(mixes), required=False)
        self.fields["finish_sealer"] = forms.ChoiceField(choices=code_choices(list(liquids)), required=False)
        self.name_units()
        if self.system == "us":
            self.fields["shop_temperature_c"].label = "Shop temperature by month (°F)"

    def measure_of(self, name: str) -> Measure | None:
        """Return how a field is counted; the list of temperatures is turned item by item, in `values`."""
        return None if name == "shop_temperature_c" else super().measure_of(name)

    @staticmethod
    def initial_of(terms: ShopTerms) -> dict[str, Any]:
        """Return what the form starts from."""
        start: dict[str, Any] = {name: getattr(terms, name) for name in TERMS}
        return start | {
            "tax_rates": "\n".join(f"{name} {rate}" for name, rate in sorted(terms.tax_rates.items())),
            "payment_stages": "\n".join(" ".join(stage) for stage in terms.payment_stages),
            "finish_grits": ", ".join(map(str, terms.finish_grits)),
            "shop_temperature_c": _temperatures(terms.shop_temperature_c, terms.unit_system),
            "working_days": [str(day) for day in terms.working_days],
            "default_mix": terms.default_mix.code if terms.default_mix else "",
            "finish_sealer": terms.finish_sealer.code if terms.finish_sealer else "",
        }

    def values(self) -> dict[str, object]:
        """Return what was typed, lists and tables read from their text."""
        given = self.cleaned_data
        lines = [line.rsplit(None, 1) for line in given["tax_rates"].splitlines() if line.strip()]
        rates = {line[0].strip(): line[1] if len(line) == 2 else "" for line in lines}
        return given | {
            "tax_rates": rates,
            "payment_stages": _stages(given["payment_stages"]),
            "finish_grits": _listed(given["finish_grits"], _as_int),
            "shop_temperature_c": self._means(given["shop_temperature_c"]),
            "working_days": [int(day) for day in given["working_days"]],
        }

    def _means(self, text: str) -> list[object]:
        """Twelve means in °C; those left as they were shown are those there were."""
        shown = self.initial.get("shop_temperature_c")
        if self.system == "us" and text != shown:
            return _listed(text, lambda item: as_float(FAHRENHEIT.read(item)))
        if self.system == "us":
            return list(shop_terms().shop_temperature_c)
        return _listed(text, as_float)


def _temperatures(means: Sequence[float], system: str) -> str:
    return ", ".join(FAHRENHEIT.shown(mean) if system == "us" else f"{mean:g}" for mean in means)


def _boxes(choices: list[tuple[str, str]]) -> forms.MultipleChoiceField:
    return forms.MultipleChoiceField(choices=choices, required=False, widget=forms.CheckboxSelectMultiple)


def _listed(text: str, read: Callable[[str], object]) -> list[object]:
    return [read(item.strip()) for item in text.split(",") if item.strip()]


def _stages(text: str) -> list[list[str]]:
    """Name and share of each line; a line of one word has no share, and is refused as such."""
    lines = [line.rsplit(None, 1) for line in text.splitlines() if line.strip()]
    return [[line[0].strip(), line[1] if len(line) == 2 else ""] for line in lines]


def _as_int(text: str) -> object:
    return int(text) if text.isascii() and text.isdigit() and len(text) < 10 else text
