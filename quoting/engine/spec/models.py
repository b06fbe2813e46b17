"""Shapes, edges and features as a document writes them: pydantic models, tagged by `shape` and `kind`.

They check the structure only; what can be cast is checked on the frozen values (`spec.refusals`).
"""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field, ValidationInfo, field_validator
from pydantic_core import PydanticCustomError

from quoting.engine.plane.shapes import Notch
from quoting.engine.spec.fields import (
    Centres,
    Code,
    Length,
    LengthOrZero,
    Pair,
    Radii,
    SideNumbers,
    Taper,
    Turn,
    YesOrNo,
)


class Part(BaseModel):
    """An object of the document: unknown keys are refused."""

    model_config = ConfigDict(extra="forbid", frozen=True)


# --- shapes ----------------------------------------------------------------------------------------------
class RectangleModel(Part):
    shape: Literal["rectangle"]
    length: Length
    width: Length
    corner_radius: Radii = (0.0,)
    """One number, or four from the lower-left corner, counter-clockwise."""

    @field_validator("corner_radius")
    @classmethod
    def _one_or_four(cls, radii: tuple[float, ...]) -> tuple[float, ...]:
        if len(radii) not in (1, 4):
            raise PydanticCustomError("count", "must be one radius, or four from the lower-left corner")
        return radii


class RoundModel(Part):
    shape: Literal["round"]
    diameter: Length


class OvalModel(Part):
    """An ellipse."""

    shape: Literal["oval"]
    length: Length
    width: Length


class SlotModel(Part):
    """A rectangle with full-radius ends."""

    shape: Literal["slot"]
    length: Length
    width: Length


class EllModel(Part):
    shape: Literal["ell"]
    length: Length
    width: Length
    notch_length: Length
    notch_width: Length
    notch: Notch
    """The corner that is missing; front is y = 0."""
    corner_radius: LengthOrZero = 0.0


class PolygonModel(Part):
    shape: Literal["polygon"]
    points: tuple[Pair, ...]
    corner_radius: Radii = (0.0,)
    """One number, or one a point."""

    @field_validator("points")
    @classmethod
    def _three_or_more(cls, points: tuple[Pair, ...]) -> tuple[Pair, ...]:
        if len(points) < 3:
            raise PydanticCustomError("count", "must be three or more points")
        seen: dict[tuple[float, float], int] = {}
        for i, (x, y) in enumerate(points):
            if (first := seen.setdefault((round(x, 3), round(y, 3)), i)) != i:
                why = f"repeat a point: [{first}] and [{i}] are the same; name every point once"
                raise PydanticCustomError("repeated", "{why}", {"why": why})
        return points

    @field_validator("corner_radius")
    @classmethod
    def _one_or_one_a_point(cls, radii: tuple[float, ...], info: ValidationInfo) -> tuple[float, ...]:
        points = info.data.get("points")
        if points is not None and len(radii) not in (1, len(points)):
            why = f"must be one radius, or one for each of the {len(points)} points"
            raise PydanticCustomError("count", "{why}", {"why": why})
        return radii


ShapeModel = Annotated[
    RectangleModel | RoundModel | OvalModel | SlotModel | EllModel | PolygonModel,
    Field(discriminator="shape"),
]


# --- edges -----------------------------------------------------------------------------------------------
class EdgeModel(Part):
    at: Literal["top", "bottom"]
    profile: Literal["chamfer", "round"]
    size: Length
    sides: SideNumbers = None


class DropEdgeModel(Part):
    depth: Length
    thickness: Length
    sides: SideNumbers = None


# --- features --------------------------------------------------------------------------------------------
class OpeningModel(Part):
    kind: Literal["opening"]
    at: Centres
    shape: ShapeModel
    turn: Turn = 0.0
    edges: tuple[EdgeModel, ...] = ()


class InlayModel(Part):
    kind: Literal["inlay"]
    at: Centres
    shape: ShapeModel
    material: Code
    depth: Length
    ledge: LengthOrZero = 0.0
    backlit: YesOrNo = False
    turn: Turn = 0.0


class RecessModel(Part):
    kind: Literal["recess"]
    at: Centres
    shape: ShapeModel
    face: Literal["top", "underside"] = "top"
    depth: Length
    turn: Turn = 0.0


class GrooveModel(Part):
    kind: Literal["groove"]
    path: tuple[Pair, ...]
    face: Literal["top", "underside"] = "underside"
    width: Length
    depth: Length

    @field_validator("path")
    @classmethod
    def _two_or_more(cls, path: tuple[Pair, ...]) -> tuple[Pair, ...]:
        if len(path) < 2:
            raise PydanticCustomError("count", "must be two or more points")
        return path


class SleeveModel(Part):
    kind: Literal["sleeve"]
    at: Centres
    diameter: Length


class InsertModel(Part):
    kind: Literal["insert"]
    at: Centres
    material: Code


class DrainModel(Part):
    at: Pair
    diameter: Length


class TroughModel(Part):
    kind: Literal["trough"]
    at: Pair
    length: Length
    width: Length
    depth: Length
    wall: Length
    floor: Length
    corner_radius: LengthOrZero = 0.0
    taper: Taper = 0.0
    turn: Turn = 0.0
    mix: Code | None = None
    drains: tuple[DrainModel, ...] = ()


FeatureModel = Annotated[
    OpeningModel | InlayModel | RecessModel | GrooveModel | SleeveModel | InsertModel | TroughModel,
    Field(discriminator="kind"),
]
