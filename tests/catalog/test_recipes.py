"""Absolute volume against published proportioning examples."""

from __future__ import annotations

import pytest

from catalog.recipes import RecipeMass, absolute_volume_m3, fibre_kg, makes_one_m3

LB_YD3 = 0.45359237 / 0.764554857984


def test_navy_example_makes_one_cubic_metre() -> None:
    """NAVEDTRA 14070 chapter 17 (C19): 610 cement, 305 water, 1735 stone, 1152 sand lb/yd³, 5 % air."""
    masses = [
        RecipeMass(610 * LB_YD3, 3.15),
        RecipeMass(305 * LB_YD3, 1.0),
        RecipeMass(1735 * LB_YD3, 2.60),
        RecipeMass(1152 * LB_YD3, 2.65),
    ]
    # The example takes water at 62.4 lb/ft³ (999.6 kg/m³) and rounds each volume to 0.01 ft³.
    assert absolute_volume_m3(masses, 0.05) == pytest.approx(1.0, abs=1e-3)


def test_university_example_makes_one_cubic_metre() -> None:
    """Lecture on ACI 211.1 (C24): 700 cement, 280 water, 1701 stone 2.70, 1195 sand 2.65 lb/yd³, 6 % air."""
    masses = [
        RecipeMass(700 * LB_YD3, 3.15),
        RecipeMass(280 * LB_YD3, 1.0),
        RecipeMass(1701 * LB_YD3, 2.70),
        RecipeMass(1195 * LB_YD3, 2.65),
    ]
    assert absolute_volume_m3(masses, 0.06) == pytest.approx(1.0, abs=1e-3)


def test_fibre_is_a_share_of_the_whole_mix() -> None:
    assert fibre_kg(121, 0.03) == pytest.approx(3.742, abs=0.001)  # C168


def test_fibre_refuses_a_share_of_everything() -> None:
    with pytest.raises(ValueError, match="share"):
        fibre_kg(121, 1)


@pytest.mark.parametrize(("volume", "good"), [(0.98, True), (1.02, True), (0.9799, False), (1.0201, False)])
def test_two_per_cent_either_way(volume: float, good: bool) -> None:
    assert makes_one_m3(volume) is good
