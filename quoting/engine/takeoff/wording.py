"""How a working is written: figures short enough for a pencil, long enough to give the same answer.

Numbers are in the shop's unit system. A line says need, allowance, pack and packs; its figures are shown
with as many digits as it takes for the sum, done by hand on what is shown, to come to the same packs.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from decimal import ROUND_CEILING, Decimal
from typing import Final

from quoting.engine import units

_US: Final = {
    "m³": (units.M3_PER_CU_FT, "cu ft"),
    "m²": (units.M2_PER_SQ_FT, "sq ft"),
    "kg": (units.KG_PER_LB, "lb"),
    "L": (units.L_PER_US_GALLON, "gal"),
    "mL": (units.ML_PER_US_FL_OZ, "fl oz"),
    "m": (units.MM_PER_FOOT / 1000, "ft"),
    "km": (units.KM_PER_MILE, "mi"),
}
_DUST: Final = 1e-9
_ODD_PLURALS: Final = {"box": "boxes", "batch": "batches"}


def in_shop_units(value: float, unit: str, system: str) -> tuple[float, str]:
    """A quantity in the unit a shop of `system` (metric or us) reckons in, and the unit's name.

    >>> in_shop_units(0.028316846592, "m³", "us")
    (1.0, 'cu ft')
    """
    factor, name = _US.get(unit, (1.0, unit)) if system == "us" else (1.0, unit)
    return value / factor, name


def figure(value: float, digits: int = 4) -> str:
    """A number with `digits` significant digits, without noughts at its end or a power of ten.

    >>> figure(0.0712345), figure(1234567.0), figure(2.50)
    ('0.07123', '1235000', '2.5')
    """
    if value == 0:
        return "0"
    text = f"{Decimal(f'{value:.{digits}g}'):f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def quantity(value: float, unit: str, system: str = "metric", digits: int = 4) -> str:
    """A figure with its unit, in the shop's system.

    >>> quantity(0.0712, "m³"), quantity(10.0, "kg", "us"), quantity(12.0, "each")
    ('0.0712 m³', '22.05 lb', '12')
    """
    number, name = in_shop_units(value, unit, system)
    return figure(number, digits) + ("" if name == "each" else f" {name}")


def percent(fraction: float) -> str:
    """A fraction as a percentage. `percent(0.1)` is `10 %`."""
    return f"{figure(fraction * 100)} %"


def count_of(number: int, name: str) -> str:
    """A count with its noun: `1 bag`, `7 bags`, `2 boxes`; a name that ends in s stays as it is."""
    plural = name if name.endswith("s") else _ODD_PLURALS.get(name, f"{name}s")
    return f"{number} {name if number == 1 else plural}"


def hands(people: int | None) -> str:
    """How many people lift something; empty where it is beyond hands.

    >>> hands(1), hands(3), hands(None)
    ('1 person', '3 people', '')
    """
    if people is None:
        return ""
    return "1 person" if people == 1 else f"{people} people"


def whole_packs(gross: float, pack_size: float) -> int:
    """Packs that hold `gross`, rounded up; binary dust below 1e-9 of a pack opens no new one.

    The allowance for waste is in `gross` already: rounding up comes last.

    >>> whole_packs(0.0783, 0.0127), whole_packs(12.0, 4.0)
    (7, 3)
    """
    return max(0, math.ceil(gross / pack_size - _DUST))


def pack_sum(
    lead: str,
    need: float,
    allowance: float,
    pack_size: float,
    unit: str,
    pack_name: str,
    system: str = "metric",
) -> str:
    """The whole sum from a need to the packs bought, written so that the shown figures give those packs.

    `lead` is how the need came about, ending before ` = `; empty when the need speaks for itself.

    >>> pack_sum("", 0.0712, 0.10, 0.0127, "m³", "bag")
    '0.0712 m³ + 10 % = 0.07832 m³ ÷ 0.0127 m³ a bag = 6.2, buy 7 bags'
    """
    gross = need * (1 + allowance)
    packs = whole_packs(gross, pack_size)
    if unit == "each" and pack_size == 1:
        return _single_sum(lead, need, allowance, packs, pack_name)
    each = "" if unit == "each" else quantity(1.0, unit, system).split(" ", 1)[1]
    for digits in range(4, 13):
        shown = [figure(in_shop_units(value, unit, system)[0], digits) for value in (need, gross, pack_size)]
        ratio = _ratio(shown[1], shown[2], packs)
        if ratio is not None and (packs == _packs_by_hand(shown[0], allowance, shown[2])):
            break
    else:
        raise AssertionError("twelve digits always settle the packs")
    unit_text = f" {each}" if each else ""
    steps = [lead] if lead else []
    steps.append(f"{shown[0]}{unit_text}" + (f" + {percent(allowance)}" if allowance else ""))
    if allowance:
        steps.append(f"{shown[1]}{unit_text}")
    steps[-1] += f" ÷ {shown[2]}{unit_text} a {pack_name}"
    return " = ".join([*steps, f"{ratio}, buy {count_of(packs, pack_name)}"])


def _single_sum(lead: str, need: float, allowance: float, packs: int, pack_name: str) -> str:
    """What is bought one by one has no division to show."""
    first = f"{figure(need, 6)} + {percent(allowance)}" if allowance else ""
    last = f"{figure(need * (1 + allowance), 6)}, buy {count_of(packs, pack_name)}"
    return " = ".join(step for step in (lead, first, last) if step)


def _packs_by_hand(need: str, allowance: float, pack: str) -> int:
    gross = Decimal(need) * (1 + Decimal(figure(allowance, 12)))
    return int((gross / Decimal(pack) - Decimal(_DUST)).to_integral_value(ROUND_CEILING))


def _ratio(gross: str, pack: str, packs: int) -> str | None:
    """Packs as a decimal number: one place, more where one place would round across a whole number."""
    exact = Decimal(gross) / Decimal(pack)
    for places in range(1, 10):
        text = f"{exact:.{places}f}".rstrip("0").rstrip(".")
        if int((Decimal(text) - Decimal(_DUST)).to_integral_value(ROUND_CEILING)) == packs:
            return text
    return None


def joined(words: Sequence[str]) -> str:
    """Words as a plain list: `a, b and c`."""
    return words[0] if len(words) == 1 else ", ".join(words[:-1]) + " and " + words[-1] if words else ""
