"""Shorthands of the solid's published checks."""

from __future__ import annotations

import pytest

from quoting.engine.plane.shapes import Shape
from quoting.engine.solid.build import build
from quoting.engine.solid.measure import Geometry, measure
from quoting.engine.spec.types import Feature, Piece


def piece(shape: Shape, thickness: float, *features: Feature, **more: object) -> Piece:
    return Piece("check", "mm", thickness, shape, features=features, **more)  # type: ignore[arg-type]


def geometry(shape: Shape, thickness: float, *features: Feature, **more: object) -> Geometry:
    return measure(build(piece(shape, thickness, *features, **more)))


def volume_mm3(shape: Shape, thickness: float, *features: Feature, **more: object) -> float:
    return geometry(shape, thickness, *features, **more).volume_m3 * 1e9


def exactly(value: float) -> object:
    """Straight-sided pieces: the contract's 1e-9 with three digits to spare."""
    return pytest.approx(value, rel=1e-12)
