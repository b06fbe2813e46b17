"""Lengths as makers spell them, and quantities written for metric and US customary readers.

Inside the program everything is SI (lengths in mm). This module is the only place that reads a spelt length
or writes a quantity for people. It imports nothing of ours.
"""

from __future__ import annotations

import math
import re
from decimal import ROUND_CEILING, ROUND_FLOOR, ROUND_HALF_UP, Context, Decimal
from fractions import Fraction
from typing import Final, Literal

# Exact by definition: 16 CFR 500.19 and NIST Handbook 44 Appendix C (check value C182).
MM_PER_INCH: Final = 25.4
MM_PER_FOOT: Final = 304.8
KM_PER_MILE: Final = 1.609344
KG_PER_LB: Final = 0.45359237
L_PER_US_GALLON: Final = 3.785411784
ML_PER_US_FL_OZ: Final = 29.5735295625
L_PER_IMPERIAL_GALLON: Final = 4.54609
M2_PER_SQ_FT: Final = 0.09290304
M3_PER_CU_FT: Final = 0.028316846592
M3_PER_CU_YD: Final = 0.764554857984
# Rounded in the same source.
KPA_PER_PSI: Final = 6.894757
KG_M3_PER_LB_CU_FT: Final = 16.01846337

System = Literal["metric", "us"]
Rounding = Literal["nearest", "up", "down"]

UNITS_MM: Final[dict[str, Fraction]] = {
    "mm": Fraction(1),
    "cm": Fraction(10),
    "m": Fraction(1000),
    "in": Fraction("25.4"),
    "ft": Fraction("304.8"),
}
"""Millimetres in one of each unit a document may be written in."""

_FACTORS: Final = {unit: Decimal(str(float(factor))) for unit, factor in UNITS_MM.items()}
_SPELLINGS: Final = {
    **dict.fromkeys(("mm", "millimetre", "millimetres", "millimeter", "millimeters"), "mm"),
    **dict.fromkeys(("cm", "centimetre", "centimetres", "centimeter", "centimeters"), "cm"),
    **dict.fromkeys(("m", "metre", "metres", "meter", "meters"), "m"),
    **dict.fromkeys(("in", "inch", "inches", '"'), "in"),
    **dict.fromkeys(("ft", "foot", "feet", "'"), "ft"),
}
_BROKEN: Final = "1/2 1/3 2/3 1/4 3/4 1/5 2/5 3/5 4/5 1/6 5/6 1/8 3/8 5/8 7/8"
_VULGAR: Final = dict(zip("½⅓⅔¼¾⅕⅖⅗⅘⅙⅚⅛⅜⅝⅞", _BROKEN.split(), strict=True))
_PLAIN: Final = str.maketrans(
    {
        **{char: f" {text}" for char, text in _VULGAR.items()},
        **dict.fromkeys("′’‘ʹ", "'"),
        **dict.fromkeys("″”“ʺ", '"'),
        **dict.fromkeys("‐‑‒–—−", "-"),
        **dict.fromkeys("\u00a0\u2009\u202f\u2007\t", " "),
        "⁄": "/",
    }
)
_LONGEST_TEXT: Final = 60
_NUMBER: Final = r"(?:\d+(?:\.\d*)?|\.\d+)"
_QUANTITY: Final = rf"(?:\d+[ -] *\d+ ?/ ?\d+|\d+ ?/ ?\d+|{_NUMBER})"
_ONE: Final = re.compile(rf"([+-]?) ?({_QUANTITY}) ?([a-z]+\.?|['\"])?", re.ASCII)
_FEET_INCHES: Final = re.compile(
    rf"([+-]?) ?(\d+) ?(?:ft\.?|foot|feet|') ?-? ?({_QUANTITY}) ?(?:in\.?|inch|inches|\")?", re.ASCII
)


class LengthError(ValueError):
    """A length that cannot be read, or is not allowed; the text is for a maker."""


def parse_length(value: object, unit: str, *, zero: bool = False, negative: bool = False) -> float:
    """Read a length in mm from a number in `unit` or from a text that may carry its own unit.

    Read: `38`, `"38 mm"`, `"1 1/2 in"`, `"1½"`, `"5 ft 8 1/4 in"`, `5'-8 1/4"`, `"2.1 m"`. A text without a
    unit counts in `unit`. The result is the float nearest to the exact value. `zero` and `negative` say
    whether those are allowed (a coordinate may be both).

    Raises LengthError with a maker's message; ValueError's subclass, so a form may catch either.

    >>> parse_length("5'-8 1/4\\"", "mm")
    1733.55
    >>> parse_length(1.5, "in")
    38.1
    """
    if unit not in UNITS_MM:
        raise LengthError("unit must be one of mm, cm, m, in, ft")
    if isinstance(value, str):
        length = _from_text(value, unit)
    elif isinstance(value, bool) or not isinstance(value, int | float | Decimal):
        raise LengthError('must be a length: a number, or a text such as "38 mm" or "1 1/2 in"')
    else:
        length = _from_number(value, unit)
    if not math.isfinite(length):
        raise LengthError("must be an ordinary number: this one is too large for any length")
    if length < 0 and not negative:
        raise LengthError("must be above zero, not negative")
    if length == 0 and not zero:
        raise LengthError("must be above zero")
    return abs(length) if length == 0 else length


def _from_number(value: float | Decimal, unit: str) -> float:
    try:
        number = float(value)
    except (OverflowError, ValueError):
        number = math.inf
    if not math.isfinite(number):
        raise LengthError("must be an ordinary number, not infinite or missing")
    if unit == "mm":
        return number
    try:
        return float(Decimal(repr(number)) * _FACTORS[unit])
    except (ArithmeticError, ValueError) as error:
        raise LengthError("must be an ordinary number") from error


def _from_text(text: str, unit: str) -> float:
    plain = " ".join(text.translate(_PLAIN).replace("''", '"').lower().split())
    if not plain:
        raise LengthError("must be a length, not an empty text")
    if len(plain) > _LONGEST_TEXT:
        raise LengthError(f"must be a length of at most {_LONGEST_TEXT} characters")
    if "," in plain:
        raise LengthError("must be written with a decimal point and without commas, such as 2.1 m or 2100 mm")
    if match := _FEET_INCHES.fullmatch(plain):
        sign, feet, inches = match.groups()
        exact = _fraction(feet) * UNITS_MM["ft"] + _fraction(inches) * UNITS_MM["in"]
    elif match := _ONE.fullmatch(plain):
        sign, quantity, spelling = match.groups()
        exact = _fraction(quantity) * UNITS_MM[_unit_named(spelling) if spelling else unit]
    else:
        raise LengthError("""must be a length such as 38 mm, 2.1 m, 1 1/2 in, 5 ft 8 1/4 in or 5'-8 1/4\"""")
    return float(-exact if sign == "-" else exact)


def _unit_named(spelling: str) -> str:
    try:
        return _SPELLINGS[spelling.removesuffix(".")]
    except KeyError:
        raise LengthError(f"has a unit that is not known, {spelling}: use mm, cm, m, in or ft") from None


def _fraction(text: str) -> Fraction:
    """`8 1/4`, `8-1/4`, `1/4`, `8.25` as an exact number."""
    whole, _, broken = text.replace("-", " ").replace(" /", "/").replace("/ ", "/").rpartition(" ")
    try:
        return Fraction(broken.strip().removesuffix(".")) + (Fraction(whole.strip()) if whole.strip() else 0)
    except ZeroDivisionError:
        raise LengthError("has a fraction with nothing below the line") from None


# --- writing ---------------------------------------------------------------------------------------------
_WIDE: Final = Context(prec=400)
_ROUNDINGS: Final = {"nearest": ROUND_HALF_UP, "up": ROUND_CEILING, "down": ROUND_FLOOR}


def _rounded(value: float, places: int, rounding: Rounding = "nearest") -> Decimal:
    if not math.isfinite(value):
        raise ValueError("only finite quantities can be written")
    # Computed quantities carry binary dust: twelve digits tell 10 mm from 10.000000000001 mm.
    tidy = Decimal(f"{value:.12g}")
    return tidy.quantize(Decimal(1).scaleb(-places), _ROUNDINGS[rounding], _WIDE)


def _fixed(value: float, places: int, unit: str) -> str:
    rounded = _rounded(value, places)
    return f"{abs(rounded) if rounded == 0 else rounded:f} {unit}"


def format_length(length_mm: float, system: str = "metric", rounding: Rounding = "nearest") -> str:
    """Write a length for people: tenths of a millimetre, or feet and inches to 1/16 in.

    `rounding` up or down keeps a stated limit on its safe side. Raises ValueError when not finite.

    >>> format_length(38.0), format_length(38.1, "us"), format_length(1733.55, "us")
    ('38 mm', '1 1/2 in', '5 ft 8 1/4 in')
    """
    if _is_us(system):
        return _feet_and_inches(length_mm, rounding)
    text = f"{_rounded(length_mm, 1, rounding):f}".rstrip("0").rstrip(".")
    return f"{'0' if text == '-0' else text} mm"


def _feet_and_inches(length_mm: float, rounding: Rounding) -> str:
    sixteenths = int(_rounded(length_mm / MM_PER_INCH * 16, 0, rounding))
    sign, sixteenths = ("-" if sixteenths < 0 else ""), abs(sixteenths)
    feet, rest = divmod(sixteenths, 12 * 16)
    inches, part = divmod(rest, 16)
    broken = Fraction(part, 16)
    words = [f"{feet} ft"] if feet else []
    if rest or not feet:
        figures = [str(inches)] if inches or not part else []
        words.append(" ".join([*figures, *([str(broken)] if part else [])]) + " in")
    return sign + " ".join(words)


def format_area(area_m2: float, system: str = "metric") -> str:
    """Write an area: m² (three decimals below one, else two) or square feet.

    >>> format_area(1.89), format_area(1.89, "us")
    ('1.89 m²', '20.3 sq ft')
    """
    if _is_us(system):
        return _fixed(area_m2 / M2_PER_SQ_FT, 1, "sq ft")
    return _fixed(area_m2, 2 if abs(area_m2) >= 1 else 3, "m²")


def format_volume(volume_m3: float, system: str = "metric") -> str:
    """Write a volume of concrete: m³ (four decimals below one, else three) or cubic feet.

    >>> format_volume(0.0712), format_volume(0.0712, "us")
    ('0.0712 m³', '2.51 cu ft')
    """
    if _is_us(system):
        return _fixed(volume_m3 / M3_PER_CU_FT, 2, "cu ft")
    return _fixed(volume_m3, 3 if abs(volume_m3) >= 1 else 4, "m³")


def format_distance(distance_km: float, system: str = "metric") -> str:
    """Write a way to drive: km or miles, to three decimals where they say something.

    >>> format_distance(24.0), format_distance(24.14016, "us"), format_distance(24.0, "us")
    ('24 km', '15 mi', '14.913 mi')
    """
    value, unit = (distance_km / KM_PER_MILE, "mi") if _is_us(system) else (distance_km, "km")
    text = f"{_rounded(value, 3):f}"
    return f"{text.rstrip('0').rstrip('.')} {unit}"


def format_mass(mass_kg: float, system: str = "metric") -> str:
    """Write a mass: kg or pounds, one decimal below a hundred.

    >>> format_mass(170.88), format_mass(9.07, "us")
    ('171 kg', '20.0 lb')
    """
    value, unit = (mass_kg / KG_PER_LB, "lb") if _is_us(system) else (mass_kg, "kg")
    return _fixed(value, 0 if abs(value) >= 100 else 1, unit)


def format_volume_l(volume_l: float, system: str = "metric") -> str:
    """Write a volume of liquid: litres (mL below one) or US gallons (fluid ounces below one).

    >>> format_volume_l(2.5), format_volume_l(0.25, "us")
    ('2.50 L', '8.5 fl oz')
    """
    if _is_us(system):
        gallons = volume_l / L_PER_US_GALLON
        if abs(gallons) >= 1:
            return _fixed(gallons, 2, "gal")
        return _fixed(volume_l * 1000 / ML_PER_US_FL_OZ, 1, "fl oz")
    return _fixed(volume_l, 2, "L") if abs(volume_l) >= 1 else _fixed(volume_l * 1000, 0, "mL")


def _is_us(system: str) -> bool:
    if system not in ("metric", "us"):
        raise ValueError(f"unit system must be metric or us, not {system!r}")
    return system == "us"
