"""Mix proportions by absolute volume, and batch weights of moist aggregate.

Every function works in any coherent unit: masses in kg with water at 1000 kg/m³, or in lb with water at
62.4 lb/ft³ as ACI 211.1 examples do.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final, Literal

WATER_KG_M3: Final = 1000.0

AggregateState = Literal["ssd", "oven_dry"]
"""How a mass of aggregate is stated: saturated, surface dry; or oven dry."""


@dataclass(frozen=True, slots=True)
class Weighed:
    """Aggregate as it lies: mass to weigh out, and water it brings to the mix (below zero: takes)."""

    mass: float
    free_water: float


@dataclass(frozen=True, slots=True)
class Proportions:
    """Masses for one unit of concrete (1 m³, or 27 ft³), sand as the part that fills the rest."""

    cement: float
    water: float
    stone: float
    sand: float
    sand_volume: float

    @property
    def total(self) -> float:
        """Mass of the whole, same unit as its parts."""
        return self.cement + self.water + self.stone + self.sand


def absolute_volume(mass: float, relative_density: float, water_density: float = WATER_KG_M3) -> float:
    """Volume a mass takes without any air: V = m ÷ (relative density × density of water).

    Source: ACI 211.1; check value C19.

    >>> round(absolute_volume(610, 3.15, 62.4), 2)
    3.1
    """
    return mass / (relative_density * water_density)


def mixed_volume(
    parts: Iterable[tuple[float, float]], air: float, water_density: float = WATER_KG_M3
) -> float:
    """Volume of a recipe: V = Σ absolute volumes ÷ (1 − air). `parts` are (mass, relative density).

    `air` is a fraction of the concrete's volume, below 1. A recipe for 1 m³ must come to 1 within 2 %.

    >>> round(mixed_volume([(300, 3.15), (180, 1.0), (1850, 2.65)], 0.02), 3)
    0.993
    """
    return sum(absolute_volume(mass, density, water_density) for mass, density in parts) / (1 - air)


def proportion(
    *,
    water: float,
    water_cement_ratio: float,
    stone: float,
    cement_density: float,
    stone_density: float,
    sand_density: float,
    air: float,
    volume: float = 1.0,
    water_density: float = WATER_KG_M3,
) -> Proportions:
    """Cement from the water-cement ratio, sand as what is left of the volume.

    sand = (V − air·V − cement − water − stone, each as absolute volume) × its density. Source: ACI 211.1,
    check values C19 and C24.

    >>> mix = proportion(water=305, water_cement_ratio=0.5, stone=1735, cement_density=3.15,
    ...     stone_density=2.60, sand_density=2.65, air=0.05, volume=27.0, water_density=62.4)
    >>> round(mix.cement), round(mix.sand)
    (610, 1152)
    """
    cement = water / water_cement_ratio
    taken = volume * air + sum(
        absolute_volume(mass, density, water_density)
        for mass, density in ((cement, cement_density), (water, 1.0), (stone, stone_density))
    )
    sand_volume = volume - taken
    return Proportions(cement, water, stone, sand_volume * sand_density * water_density, sand_volume)


def as_weighed(mass: float, stated: AggregateState, moisture: float, absorption: float = 0.0) -> Weighed:
    """Mass of moist aggregate to weigh out for a stated dry mass, and the water it carries into the mix.

    `moisture` (total) and `absorption` are fractions of the oven-dry mass. With D the oven-dry mass
    (the stated mass, or S ÷ (1 + absorption) when stated saturated and surface dry):
    weighed = D·(1 + moisture), free water = D·(moisture − absorption). Putting total moisture on a
    surface-dry mass counts the absorbed water twice: the trap of check value C22.

    >>> round(as_weighed(1701, "oven_dry", 0.015, 0.005).mass)
    1727
    """
    dry = mass if stated == "oven_dry" else mass / (1 + absorption)
    return Weighed(mass=dry * (1 + moisture), free_water=dry * (moisture - absorption))


def with_surface_moisture(ssd_mass: float, surface_moisture: float) -> Weighed:
    """The same from free surface moisture, a fraction of the saturated, surface-dry mass (C20, C21, C22).

    >>> round(with_surface_moisture(889, 0.03).mass)
    916
    """
    return Weighed(mass=ssd_mass * (1 + surface_moisture), free_water=ssd_mass * surface_moisture)


def fibre_mass(base_mass: float, share: float) -> float:
    """Fibre so that it is `share` of the whole mix, itself included: f = p·B ÷ (1 − p) (C168).

    `base_mass` B is the wet mix without fibre, `share` p a fraction below 1.

    >>> round(fibre_mass(121.0, 0.03), 3)
    3.742
    """
    return share * base_mass / (1 - share)


def pigment_limit(cement_mass: float) -> float:
    """Most pigment a mix may have, all pigments together: 10 % of the cement (ASTM C979, C156).

    >>> pigment_limit(610.0)
    61.0
    """
    return cement_mass * 0.10
