"""Strength of concrete with age, and its strength in bending.

Ages are equivalent ages at 20 °C (`maturity`). Below three days Eurocode 2 asks for tests; the curve is used
there as an estimate for stripping, not as a promise.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Literal

from quoting.engine.takeoff.wording import figure
from quoting.engine.values import Mix

HARDENING_S: Mapping[str, float] = {"R": 0.20, "N": 0.25, "S": 0.38}
"""s of EN 1992-1-1 (3.2) by rate of hardening of the cement."""
ACI_209: Mapping[str, tuple[float, float]] = {
    "moist I": (4.0, 0.85),
    "steam I": (1.0, 0.95),
    "moist III": (2.3, 0.92),
    "steam III": (0.70, 0.98),
}
"""a, b of ACI 209 by curing and cement type; the steam constants are from memory (table 2.2.1)."""
_ACI_209_OF_CLASS = {"R": ACI_209["moist III"], "N": ACI_209["moist I"], "S": ACI_209["moist I"]}

Curve = Literal["ec2", "aci209"]
CURVES: tuple[Curve, ...] = ("ec2", "aci209")

MPA_PER_PSI = 0.006894757
LB_PER_FT3 = 16.01846337
"""kg/m³ in one lb/ft³."""


def stress(mpa: float, system: str = "metric") -> str:
    """A stress or strength as the shop reads it, three digits: MPa or psi.

    >>> stress(3.654), stress(27.579, "us")
    ('3.65 MPa', '4000 psi')
    """
    if system == "us":
        return f"{figure(mpa / MPA_PER_PSI, 3)} psi"
    return f"{figure(mpa, 3)} MPa"


def ec2_ratio(age_days: float, s: float) -> float:
    """Strength at an age as a share of that at 28 days: βcc = exp{s[1 − √(28/t)]}.

    Age in days above 0. Source: EN 1992-1-1 (3.2); check value C55.

    >>> round(ec2_ratio(7, HARDENING_S["N"]), 3)
    0.779
    """
    if age_days <= 0:
        return 0.0
    return math.exp(s * (1 - math.sqrt(28 / age_days)))


def ec2_age_days(ratio: float, s: float) -> float:
    """Age in days at which a share of the 28-day strength is reached: t = 28/(1 − ln(ratio)/s)².

    ValueError for a share that is never reached (from exp(s) on) or not above 0. Check value C57.

    >>> round(ec2_age_days(0.70, HARDENING_S["N"]), 2)
    4.75
    """
    if not 0 < ratio < math.exp(s):
        raise ValueError(f"this concrete reaches shares of its 28-day strength up to {math.exp(s):.2f}")
    return 28 / (1 - math.log(ratio) / s) ** 2


def aci209_ratio(age_days: float, constants: tuple[float, float]) -> float:
    """Strength at an age as a share of that at 28 days: t/(a + b·t), constants of `ACI_209`.

    It does not return exactly 1 at 28 days. Source: ACI 209R-92; check value C54.

    >>> round(aci209_ratio(7, ACI_209["moist I"]), 3)
    0.704
    """
    a, b = constants
    return age_days / (a + b * age_days)


def aci209_age_days(ratio: float, constants: tuple[float, float]) -> float:
    """Age in days at which a share of the 28-day strength is reached: t = a·p/(1 − b·p); check value C57.

    >>> round(aci209_age_days(0.70, ACI_209["moist I"]), 2)
    6.91
    """
    a, b = constants
    if not 0 < ratio < 1 / b:
        raise ValueError(f"this concrete reaches shares of its 28-day strength up to {1 / b:.2f}")
    return a * ratio / (1 - b * ratio)


def strength_mpa(mix: Mix, equivalent_age_h: float, curve: Curve = "ec2") -> float:
    """Compressive strength in MPa at an equivalent age in hours, from the mix's 28-day figure and its cement.

    `ec2`: Eurocode 2 by rate of hardening; `aci209`: moist cured, type III for rapid cement, else type I.
    """
    age_days = equivalent_age_h / 24
    if curve == "ec2":
        return mix.strength_28d_mpa * ec2_ratio(age_days, HARDENING_S[mix.cement_class])
    return mix.strength_28d_mpa * aci209_ratio(age_days, _ACI_209_OF_CLASS[mix.cement_class])


def age_for_strength_h(mix: Mix, wanted_mpa: float, curve: Curve = "ec2") -> float:
    """Equivalent age in hours at which a mix reaches a strength in MPa; ValueError when it never does."""
    share = wanted_mpa / mix.strength_28d_mpa
    if curve == "ec2":
        return 24 * ec2_age_days(share, HARDENING_S[mix.cement_class])
    return 24 * aci209_age_days(share, _ACI_209_OF_CLASS[mix.cement_class])


def lightweight_factor(density_kg_m3: float) -> float:
    """λ for lightweight concrete, from its density: 0.0075·w (lb/ft³), from 0.75 to 1.

    Source: ACI 318-19 table 19.2.4.1, from memory; check value C58 gives the bounds 0.75 and 1.

    >>> lightweight_factor(2300.0), round(lightweight_factor(1850.0), 3)
    (1.0, 0.866)
    """
    return min(1.0, max(0.75, 0.0075 * density_kg_m3 / LB_PER_FT3))


def modulus_of_rupture_mpa(strength_mpa: float, lightweight: float = 1.0) -> float:
    """Bending stress at which plain concrete cracks: fr = 0.62·λ·√f'c, MPa.

    Source: ACI 318M 19.2.3.1 (7.5·λ·√f'c in psi); check values C58, C61.

    >>> round(modulus_of_rupture_mpa(30.0), 2)
    3.4
    """
    return 0.62 * lightweight * math.sqrt(strength_mpa)


def tensile_strength_mpa(characteristic_mpa: float) -> float:
    """Mean axial tensile strength fctm = 0.30·fck^(2/3), MPa, up to class C50/60 (EN 1992-1-1 table 3.1;
    C65).

    >>> round(tensile_strength_mpa(30.0), 2)
    2.9
    """
    return float(0.30 * characteristic_mpa ** (2 / 3))


def flexural_tensile_mpa(characteristic_mpa: float, depth_mm: float) -> float:
    """Mean flexural tensile strength max[(1.6 − h/1000)·fctm, fctm], MPa, of a section h mm deep.

    Source: EN 1992-1-1 (3.23), from memory; check value C66.

    >>> round(flexural_tensile_mpa(30.0, 40.0), 2)
    4.52
    """
    return max(1.6 - depth_mm / 1000, 1.0) * tensile_strength_mpa(characteristic_mpa)
