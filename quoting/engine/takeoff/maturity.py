"""Maturity: how old concrete is when it has been warmer or colder than the reference temperature.

Two functions of ASTM C1074: equivalent age by the Arrhenius function, and by the temperature-time factor
(Nurse–Saul). Datum, activation energy and reference temperature are the shop's: sources disagree on all
three.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from quoting.engine.values import ShopTerms

KELVIN = 273.15

ARRHENIUS = "arrhenius"
NURSE_SAUL = "nurse_saul"
METHODS = (ARRHENIUS, NURSE_SAUL)

Interval = tuple[float, float]
"""Hours, and the mean temperature of the concrete in them in °C."""


@dataclass(frozen=True, slots=True)
class MaturityTerms:
    """How a shop reckons maturity: the method and its constants."""

    method: str = ARRHENIUS
    datum_c: float = 0.0
    """Below it, concrete is taken not to harden (Nurse–Saul): 0 °C, older practice −10 or −11 °C."""
    activation_k: float = 5000.0
    """Q = E/R in kelvin, R = 8.314 J/(mol·K) (Arrhenius): 5000 K for ordinary cement, 4000 K in Eurocode
    2.
    """
    reference_c: float = 20.0

    def __post_init__(self) -> None:
        if self.method not in METHODS:
            raise ValueError(f"maturity is reckoned by one of {', '.join(METHODS)}, not {self.method!r}")
        if not self.reference_c > self.datum_c:
            raise ValueError("the reference temperature must be above the datum")


def of_shop(terms: ShopTerms) -> MaturityTerms:
    """The shop's way of reckoning maturity."""
    return MaturityTerms(terms.maturity, terms.datum_c, terms.activation_k, terms.reference_c)


def age_factor(temperature_c: float, terms: MaturityTerms) -> float:
    """Hours of equivalent age in one hour at a temperature.

    Arrhenius: exp[−Q(1/T − 1/Tr)], kelvin. Nurse–Saul: (T − T₀)/(Tr − T₀), zero below the datum.
    ValueError at or below absolute zero. Source: ASTM C1074; check values C49 to C53.

    >>> round(age_factor(30.0, MaturityTerms()), 2)
    1.76
    """
    if temperature_c <= -KELVIN:
        raise ValueError("no temperature is below absolute zero")
    if terms.method == NURSE_SAUL:
        hour, reference = (
            temperature_time_factor([(1.0, celsius)], terms.datum_c)
            for celsius in (temperature_c, terms.reference_c)
        )
        return hour / reference
    return math.exp(-terms.activation_k * (1 / (temperature_c + KELVIN) - 1 / (terms.reference_c + KELVIN)))


def equivalent_age_h(history: Sequence[Interval], terms: MaturityTerms) -> float:
    """Equivalent age in hours at the reference temperature: Σ age factor × hours (ASTM C1074).

    >>> equivalent_age_h([(24.0, 20.0)], MaturityTerms())
    24.0
    """
    return math.fsum(age_factor(temperature_c, terms) * hours for hours, temperature_c in history)


def temperature_time_factor(history: Sequence[Interval], datum_c: float) -> float:
    """Temperature-time factor M = Σ (T − T₀)·Δt in °C·h; an interval below the datum counts nothing.

    Source: ASTM C1074; check values C46 to C48, C53.

    >>> temperature_time_factor([(672.0, 15.0)], datum_c=-11.0)
    17472.0
    """
    return math.fsum(max(0.0, temperature_c - datum_c) * hours for hours, temperature_c in history)
