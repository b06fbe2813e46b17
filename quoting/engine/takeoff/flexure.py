"""Bending of a piece under its own weight while it is held at two places.

The piece is a beam of varying section: its weight and its net section come from cuts across the solid. Plain
concrete, sections acting as a whole: a guide for handling, never a structural design.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import Literal

import numpy as np

from quoting.engine.plane.sweep import Floats
from quoting.engine.plane.turned import Axis
from quoting.engine.solid.build import Solid
from quoting.engine.solid.section import Cuts, slicer
from quoting.engine.takeoff.strength import (
    flexural_tensile_mpa,
    lightweight_factor,
    modulus_of_rupture_mpa,
)
from quoting.engine.values import Mix

GRAVITY = 9.80665
BEST_POINT = (2**0.5 - 1) / 2
"""Share of the length from each end at which two supports make the least of the greatest moment, 0.2071."""

_SAME = 1.0 - 1e-9
"""Stresses nearer than this are the same place twice."""

Rupture = Literal["aci", "ec2"]
RULES: tuple[Rupture, ...] = ("aci", "ec2")


@dataclass(frozen=True, slots=True)
class Bending:
    """The most stressed cut: where, its moment (positive: sagging), section modulus and bending stress."""

    at_mm: float
    moment_nmm: float
    modulus_mm3: float
    stress_mpa: float


@dataclass(frozen=True, slots=True)
class _Profile:
    """Cuts across the piece, one an entry: section moduli, and the first moment of the concrete beyond."""

    at_mm: Floats
    s_flat_mm3: Floats
    s_edge_mm3: Floats
    beyond_mm4: Floats

    def worst(self, moment_nmm: Floats, on_edge: bool) -> Bending:
        """The most stressed cut; of stresses equal but for rounding, as on both halves of a symmetrical
        piece, the first.
        """
        modulus = self.s_edge_mm3 if on_edge else self.s_flat_mm3
        stress = np.abs(moment_nmm) / modulus
        n = int(np.argmax(stress >= stress.max() * _SAME))
        return Bending(*(float(each[n]) for each in (self.at_mm, moment_nmm, modulus, stress)))


@dataclass(frozen=True, slots=True)
class _Beam:
    """The piece along an axis: its cuts, the whole volume, its first moment about the near end."""

    low_mm: float
    volume_mm3: float
    about_low_mm4: float
    cuts: _Profile


def held_at(solid: Solid, axis: Axis, inset: float) -> tuple[float, float]:
    """Two places along an axis, each a share of the span from its end (0: at the ends, `BEST_POINT`), in
    mm.
    """
    low, high = slicer(solid, axis).span_mm
    return low + inset * (high - low), high - inset * (high - low)


@lru_cache(maxsize=16)
def worst_bending(
    solid: Solid, axis: Axis, density_kg_m3: float, supports_mm: tuple[float, float], *, on_edge: bool
) -> Bending:
    """The highest bending stress under self weight, piece held at two places along an axis.

    M(x) = R₂(x₂ − x) + R₁(x₁ − x) − g·ρ·∫(s − x)A ds over what lies beyond x (a reaction counts where it
    does); stress = |M|/S, S of the net section: flat, the weaker of both faces (the piece may lie either
    way up); on edge, about the upright axis. No allowance for jerk. Density in kg/m³, places in mm;
    ValueError unless the supports are apart and in order. Source: statics; check values C68 to C77.
    """
    first, second = supports_mm
    if not first < second:
        raise ValueError("the two supports must be apart, and in order")
    newton = density_kg_m3 * 1e-9 * GRAVITY  # N per mm³
    beam = _beam(solid, axis)
    weight, about_low = newton * beam.volume_mm3, newton * beam.about_low_mm4
    far = (about_low - weight * (first - beam.low_mm)) / (second - first)
    near = weight - far
    found = []
    for cuts in (beam.cuts, _at_supports(solid, axis, supports_mm)):
        if cuts is not None:
            reactions = far * np.maximum(second - cuts.at_mm, 0.0) + near * np.maximum(
                first - cuts.at_mm, 0.0
            )
            found.append(cuts.worst(reactions - newton * cuts.beyond_mm4, on_edge))
    greatest = max(each.stress_mpa for each in found)
    return min((each for each in found if each.stress_mpa >= greatest * _SAME), key=lambda each: each.at_mm)


@lru_cache(maxsize=8)
def _beam(solid: Solid, axis: Axis) -> _Beam:
    ready = slicer(solid, axis)
    return _Beam(ready.span_mm[0], *ready.whole(), _profile(*ready.survey(ready.stations())))


@lru_cache(maxsize=16)
def _at_supports(solid: Solid, axis: Axis, supports_mm: tuple[float, float]) -> _Profile | None:
    inner = _beam(solid, axis).cuts.at_mm
    places = [at for at in supports_mm if inner[0] < at < inner[-1]]
    if not places:
        return None
    return _profile(*slicer(solid, axis).survey(places))


def _profile(cuts: Cuts, beyond_mm4: Floats) -> _Profile:
    flat = np.minimum(cuts.s_flat_top_mm3, cuts.s_flat_bottom_mm3)
    return _Profile(cuts.at_mm, flat, cuts.s_edge_mm3, beyond_mm4)


def rupture_mpa(mix: Mix, strength_mpa: float, depth_mm: float, rule: Rupture = "aci") -> float:
    """Bending stress at which a mix cracks, at the strength it has reached; MPa.

    `aci`: 0.62·λ·√f, λ by density. `ec2`: flexural tensile strength of a section `depth_mm` deep at 28
    days, × the share of the 28-day strength reached (up to 1). ValueError for another rule.
    """
    if rule == "aci":
        return modulus_of_rupture_mpa(strength_mpa, lightweight_factor(mix.density_kg_m3))
    if rule == "ec2":
        reached = min(1.0, strength_mpa / mix.strength_28d_mpa)
        return reached * flexural_tensile_mpa(mix.strength_28d_mpa, depth_mm)
    raise ValueError(f"the modulus of rupture is reckoned by aci or ec2, not {rule!r}")


def strength_for_mpa(mix: Mix, rupture: float, depth_mm: float, rule: Rupture = "aci") -> float:
    """Strength in MPa at which a mix has a modulus of rupture: `rupture_mpa` turned round."""
    if rule == "aci":
        return (rupture / rupture_mpa(mix, 1.0, depth_mm, rule)) ** 2
    return rupture / rupture_mpa(mix, mix.strength_28d_mpa, depth_mm, rule) * mix.strength_28d_mpa
