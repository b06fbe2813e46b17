"""The plan shapes a piece and its features are made of: frozen values, outside sizes in millimetres."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Point = tuple[float, float]
Notch = Literal["front-left", "front-right", "back-left", "back-right"]


@dataclass(frozen=True, slots=True)
class Rectangle:
    length_mm: float
    width_mm: float
    corner_radii_mm: tuple[float, float, float, float] = (0.0, 0.0, 0.0, 0.0)
    """From the lower-left corner, counter-clockwise."""


@dataclass(frozen=True, slots=True)
class Round:
    diameter_mm: float


@dataclass(frozen=True, slots=True)
class Oval:
    """An ellipse."""

    length_mm: float
    width_mm: float


@dataclass(frozen=True, slots=True)
class Slot:
    """A rectangle with full-radius ends; `length_mm` may be the smaller: the ends are on the long axis."""

    length_mm: float
    width_mm: float


@dataclass(frozen=True, slots=True)
class Ell:
    length_mm: float
    width_mm: float
    notch_length_mm: float
    notch_width_mm: float
    notch: Notch
    corner_radius_mm: float = 0.0


@dataclass(frozen=True, slots=True)
class Polygon:
    """Counter-clockwise points starting with side 0: the side lying on the front line (the lowest y; of
    several the leftmost), else the document's first side. `spec.parse` settles this, radii with their points.
    """

    points_mm: tuple[Point, ...]
    corner_radii_mm: tuple[float, ...]


Shape = Rectangle | Round | Oval | Slot | Ell | Polygon
