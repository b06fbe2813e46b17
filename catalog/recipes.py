"""Absolute volume of a recipe: the arithmetic that says whether it makes one cubic metre. Pure."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

WATER_KG_M3 = 1000.0
TOLERANCE = 0.02


@dataclass(frozen=True, slots=True)
class RecipeMass:
    """`kg` of a material of `relative_density` (to water at 1000 kg/m³) in one cubic metre of concrete."""

    kg: float
    relative_density: float


def fibre_kg(base_kg: float, share: float) -> float:
    """Return the kg of fibre that is `share` of the whole mix, fibre included: p B ÷ (1 − p).

    `base_kg` is the mass of everything else, `share` a fraction from 0 to below 1. Reference: table C168
    of the published checks.

    >>> round(fibre_kg(121, 0.03), 3)
    3.742
    """
    if not 0 <= share < 1:
        raise ValueError("the share of fibre must be from 0 to below 1")
    return share * base_kg / (1 - share)


def absolute_volume_m3(masses: Iterable[RecipeMass], air: float) -> float:
    """Return the m³ that a recipe for one m³ really makes: Σ m ÷ (d × 1000 kg/m³) + air.

    `air` is a fraction of the one m³ aimed at. Reference: ACI 211.1, absolute volume method.

    >>> cement, sand = RecipeMass(361.9, 3.15), RecipeMass(683.4, 2.65)
    >>> stone, water = RecipeMass(1029.3, 2.6), RecipeMass(180.9, 1.0)
    >>> round(absolute_volume_m3((cement, sand, stone, water), air=0.05), 3)
    1.0
    """
    return sum(mass.kg / (mass.relative_density * WATER_KG_M3) for mass in masses) + air


def makes_one_m3(volume_m3: float) -> bool:
    """Return whether a recipe's volume is one m³ within 2 %.

    >>> makes_one_m3(1.02), makes_one_m3(0.979)
    (True, False)
    """
    return abs(volume_m3 - 1) <= TOLERANCE + 1e-12
