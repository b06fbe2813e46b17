"""The piece as the engine knows it: frozen values, lengths in millimetres, angles in degrees.

Written by `spec.parse` from the document of format 1; read by everything above. Plan coordinates have their
origin at the lower-left corner of the outline's bounding box, z runs down from the show face.

Sides are numbered counter-clockwise from 0, the front (y = 0) side: rectangle 0 front, 1 right, 2 back,
3 left; ell from its front side; polygon from the side on its front line (of several the leftmost), else from
the document's first side: its points start there. Round, oval and slot have no numbered sides.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import Literal

from quoting.engine.plane.shapes import Ell, Oval, Point, Polygon, Rectangle, Round, Shape, Slot

__all__ = ["Ell", "Oval", "Point", "Polygon", "Rectangle", "Round", "Shape", "Slot"]

At = Literal["top", "bottom"]
Profile = Literal["chamfer", "round"]
Face = Literal["top", "underside"]
Sides = tuple[int, ...] | None
"""Numbers of the sides treated, counter-clockwise from the front; None means all of them."""


# --- edges -----------------------------------------------------------------------------------------------
@dataclass(frozen=True, slots=True)
class EdgeTreatment:
    at: At
    profile: Profile
    size_mm: float
    sides: Sides = None


@dataclass(frozen=True, slots=True)
class DropEdge:
    depth_mm: float
    """Overall visible depth from the show face."""
    thickness_mm: float
    sides: Sides = None


# --- features --------------------------------------------------------------------------------------------
@dataclass(frozen=True, slots=True)
class Opening:
    centres_mm: tuple[Point, ...]
    shape: Shape
    turn_deg: float = 0.0
    edges: tuple[EdgeTreatment, ...] = ()


@dataclass(frozen=True, slots=True)
class Inlay:
    centres_mm: tuple[Point, ...]
    shape: Shape
    material: str
    depth_mm: float
    ledge_mm: float = 0.0
    backlit: bool = False
    turn_deg: float = 0.0


@dataclass(frozen=True, slots=True)
class Recess:
    centres_mm: tuple[Point, ...]
    shape: Shape
    face: Face
    depth_mm: float
    turn_deg: float = 0.0


@dataclass(frozen=True, slots=True)
class Groove:
    path_mm: tuple[Point, ...]
    face: Face
    width_mm: float
    depth_mm: float


@dataclass(frozen=True, slots=True)
class Sleeve:
    centres_mm: tuple[Point, ...]
    diameter_mm: float


@dataclass(frozen=True, slots=True)
class Insert:
    centres_mm: tuple[Point, ...]
    material: str


@dataclass(frozen=True, slots=True)
class Drain:
    at_mm: Point
    """In plan coordinates of the piece, like every other `at`."""
    diameter_mm: float


@dataclass(frozen=True, slots=True)
class Trough:
    centre_mm: Point
    length_mm: float
    width_mm: float
    depth_mm: float
    wall_mm: float
    floor_mm: float
    corner_radius_mm: float = 0.0
    taper_deg: float = 0.0
    turn_deg: float = 0.0
    mix: str | None = None
    drains: tuple[Drain, ...] = ()


Feature = Opening | Inlay | Recess | Groove | Sleeve | Insert | Trough


# --- the rest of the document ----------------------------------------------------------------------------
@dataclass(frozen=True, slots=True)
class BarRun:
    bar: str
    where: Literal["drop_edge", "trough", "outline"]
    rows: int


@dataclass(frozen=True, slots=True)
class Reinforcement:
    mesh: str | None
    cover_mm: float
    lap_mm: float
    bars: tuple[BarRun, ...] = ()


@dataclass(frozen=True, slots=True)
class Finish:
    fill: Literal["none", "spot", "full"] = "none"
    grits: tuple[int, ...] = ()
    sealer: str | None = None
    coats: int = 0
    faces: tuple[Literal["show", "sides", "trough", "underside"], ...] = ("show", "sides")


@dataclass(frozen=True, slots=True)
class Lighting:
    strip: str
    run_mm: tuple[Point, ...] | None
    """None: joined by the shortest practical run under the backlit inlays (`"run": "inlays"`)."""
    tail_mm: float = 0.0


@dataclass(frozen=True, slots=True)
class Extra:
    material: str
    quantity: Decimal
    unit: str | None = None


@dataclass(frozen=True, slots=True)
class Delivery:
    distance_km: float
    steps: int = 0
    install: bool = False


@dataclass(frozen=True, slots=True)
class Piece:
    """One parsed and castable piece specification. `mix` and `finish` None mean the shop's default."""

    name: str
    unit: Literal["mm", "cm", "m", "in", "ft"]
    thickness_mm: float
    outline: Shape
    quantity: int = 1
    cast: Literal["face-down", "face-up"] = "face-down"
    mix: str | None = None
    edges: tuple[EdgeTreatment, ...] = ()
    drop_edge: DropEdge | None = None
    features: tuple[Feature, ...] = ()
    reinforcement: Reinforcement | None = None
    finish: Finish | None = None
    lighting: Lighting | None = None
    extras: tuple[Extra, ...] = ()
    delivery: Delivery | None = None
