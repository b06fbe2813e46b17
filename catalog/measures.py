"""Columns of the catalogue in a US shop's own units: what stands in a form, a label, a table. Pure.

The catalogue itself counts in SI. Inches, feet, pounds, gallons and fluid ounces are exact (NIST Handbook 44,
Appendix C); the trade counts concrete by the cubic foot and yard, cartridges by the fluid ounce, liquids by
the gallon.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from types import MappingProxyType
from typing import Final

_INCH_MM, _FOOT_M, _MILE_KM = Fraction("25.4"), Fraction("0.3048"), Fraction("1.609344")
_POUND_KG, _GALLON_L, _OUNCE_ML = (
    Fraction("0.45359237"),
    Fraction("3.785411784"),
    Fraction("29.5735295625"),
)
_FOOT2_M2, _FOOT3_M3 = _FOOT_M**2, _FOOT_M**3
_PSI_MPA = _POUND_KG * Fraction("9.80665") / (_INCH_MM**2)
_NUMBER: Final = re.compile(
    r"([+-]?) *(?:(\d{1,9})[ -]+)?(?:(\d{1,9}) */ *(\d{1,9})|(\d{1,9}(?:\.\d{0,15})?|\.\d{1,15}))", re.ASCII
)


@dataclass(frozen=True, slots=True)
class Measure:
    """How a column is counted: its SI unit, the shop's unit, SI for one of those, and where nought lies."""

    si: str
    unit: str
    factor: Fraction
    nought: Fraction = Fraction(0)
    """What the shop's scale reads where the SI scale reads nought."""
    places: int | None = None
    """Decimals that the column keeps, where it is an amount of money."""

    def shown(self, value: float) -> str:
        """A value in the shop's unit, to six figures.

        >>> INCHES.shown(25.4), FAHRENHEIT.shown(20.0), POUNDS_CUBIC_FOOT.shown(2400.0)
        ('1', '68', '149.827')
        """
        return _plain(float(Fraction(repr(float(value))) / self.factor + self.nought))

    def read(self, text: str) -> str:
        """What was typed in the shop's unit as SI; what is no number is left as it is, for its refusal.

        >>> INCHES.read("1 1/2"), INCHES.read("3/4"), FAHRENHEIT.read("50"), INCHES.read("some")
        ('38.1', '19.05', '10', 'some')
        """
        match = _NUMBER.fullmatch(text.strip())
        if match is None or (match[4] and not int(match[4])) or (match[2] and match[5]):
            return text
        number = Fraction(int(match[3]), int(match[4])) if match[3] else Fraction(_decimal(match[5]))
        number += int(match[2] or 0)
        exact = ((-number if match[1] == "-" else number) - self.nought) * self.factor
        return _plain(float(exact if self.places is None else round(exact, self.places)), 12)


def _decimal(text: str) -> str:
    return f"0{text}" if text.startswith(".") else text


def _plain(number: float, figures: int = 6) -> str:
    """A number without needless noughts and without an exponent."""
    text = f"{float(f'{number:.{figures}g}'):.12f}".rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text


INCHES: Final = Measure("mm", "in", _INCH_MM)
FEET: Final = Measure("m", "ft", _FOOT_M)
SQUARE_FEET: Final = Measure("m²", "ft²", _FOOT2_M2)
CUBIC_FEET_L: Final = Measure("L", "ft³", _FOOT3_M3 * 1000)
CUBIC_FEET: Final = Measure("m³", "ft³", _FOOT3_M3)
POUNDS: Final = Measure("kg", "lb", _POUND_KG)
GALLONS: Final = Measure("L", "gal", _GALLON_L)
FLUID_OUNCES: Final = Measure("mL", "fl oz", _OUNCE_ML)
PSI: Final = Measure("MPa", "psi", _PSI_MPA)
FAHRENHEIT: Final = Measure("°C", "°F", Fraction(5, 9), Fraction(32))
POUNDS_CUBIC_FOOT: Final = Measure("kg/m³", "lb/ft³", _POUND_KG / _FOOT3_M3)
POUNDS_CUBIC_YARD: Final = Measure("kg per m³", "lb per yd³", _POUND_KG / (27 * _FOOT3_M3))
COVERAGE: Final = Measure("m²/L", "ft²/gal", _FOOT2_M2 / _GALLON_L)
MILES_AN_HOUR: Final = Measure("km/h", "mph", _MILE_KM)
PER_MILE: Final = Measure("km", "mile", 1 / _MILE_KM, places=6)

_BY_NAME: Final[Mapping[str, Measure]] = MappingProxyType(
    {
        "mixer_l": CUBIC_FEET_L,
        "yield_m3": CUBIC_FEET,
        "water_l_per_bag": GALLONS,
        "coverage_m2_per_l": COVERAGE,
        "coverage_next_m2_per_l": COVERAGE,
        "mass_kg_per_m2": Measure("kg/m²", "lb/ft²", _POUND_KG / _FOOT2_M2),
        "mass_kg_per_m": Measure("kg/m", "lb/ft", _POUND_KG / _FOOT_M),
        "mass_kg_each": POUNDS,
        "watts_per_m": Measure("W/m", "W/ft", 1 / _FOOT_M),
        "delivery_per_km": PER_MILE,
    }
)
_BY_ENDING: Final[Mapping[str, Measure]] = MappingProxyType(
    {
        "_kg_m3": POUNDS_CUBIC_FOOT,
        "_kg_per_m3": POUNDS_CUBIC_YARD,
        "_mm": INCHES,
        "_mpa": PSI,
        "_c": FAHRENHEIT,
        "_kg": POUNDS,
    }
)
_PER_DRIVER: Final[Mapping[str, Measure]] = MappingProxyType(
    {
        "_m2": Measure("m²", "ft²", 1 / _FOOT2_M2),
        "_m3": Measure("m³", "yd³", 1 / (27 * _FOOT3_M3)),
        "_m": Measure("metre", "foot", 1 / _FOOT_M),
        "_kg": Measure("kg", "lb", 1 / _POUND_KG),
        "_km": Measure("km", "mile", 1 / _MILE_KM),
    }
)
CONTENT: Final[Mapping[str, Measure]] = MappingProxyType(
    {
        "board": SQUARE_FEET,
        "bagged_mix": POUNDS,
        "loose": POUNDS,
        "liquid": GALLONS,
        "sealant": FLUID_OUNCES,
        "stock_length": FEET,
        "mesh_sheet": SQUARE_FEET,
        "wearing": SQUARE_FEET,
    }
)
"""What a pack's content is counted in, by kind of material; things that are counted need none."""


def measure_of(name: str, system: str, kind: str = "") -> Measure | None:
    """How a form's field is counted in a unit system; None where as the catalogue counts.

    `pack_size` and `content` follow the `kind` of their material; `per_…` are hours per unit of a driver.
    """
    if system != "us":
        return None
    if name in ("pack_size", "content"):
        return CONTENT.get(kind)
    if name.startswith("per_"):
        return _ending(name, _PER_DRIVER)
    return _BY_NAME.get(name) or _ending(name, _BY_ENDING)


def _ending(name: str, among: Mapping[str, Measure]) -> Measure | None:
    return next((measure for ending, measure in among.items() if name.endswith(ending)), None)


def in_words(text: str, measure: Measure | None) -> str:
    """A label or a sentence with the shop's unit where it named the SI one, as a whole word.

    >>> in_words("Strength before polishing, MPa.", PSI), in_words("Kerf (mm)", INCHES)
    ('Strength before polishing, psi.', 'Kerf (in)')
    """
    if measure is None:
        return text
    said = re.sub(rf"(?<![\w/]){re.escape(measure.si)}(?![\w/²³])", measure.unit, text)
    if measure.unit.endswith(("/ft", "/ft²")):
        said = said.replace(" a metre", " a foot").replace(" a m²", " a ft²")
    return said
