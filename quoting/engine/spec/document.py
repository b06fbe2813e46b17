"""The whole document of format 1: its model (also the API's schema) and the way back from a piece."""

from __future__ import annotations

from typing import Literal

from pydantic import Field, ValidationInfo, field_validator
from pydantic_core import PydanticCustomError

from quoting.engine.spec.fields import (
    Amount,
    Coats,
    Code,
    Distance,
    Format,
    Grit,
    Length,
    LengthOrZero,
    Name,
    Pieces,
    Rows,
    Run,
    Steps,
    YesOrNo,
)
from quoting.engine.spec.models import DropEdgeModel, EdgeModel, FeatureModel, Part, ShapeModel
from quoting.engine.spec.writing import piece_document

FinishFace = Literal["show", "sides", "trough", "underside"]
__all__ = ["PieceDocument", "piece_document"]

DEFAULT_LAP_MM = 100.0
"""Where a document names no lap: one 50 mm pitch and 50 mm (common practice for light welded mesh)."""


class BarModel(Part):
    bar: Code
    where: Literal["drop_edge", "trough", "outline"]
    rows: Rows = 1


class ReinforcementModel(Part):
    mesh: Code | None = None
    cover: Length
    lap: LengthOrZero | None = None
    bars: tuple[BarModel, ...] = Field(default=(), validate_default=True)

    @field_validator("bars")
    @classmethod
    def _some_steel(cls, bars: tuple[BarModel, ...], info: ValidationInfo) -> tuple[BarModel, ...]:
        if not bars and "mesh" in info.data and info.data["mesh"] is None:
            raise PydanticCustomError(
                "no_steel", "must name a bar where there is no mesh, or leave it all out"
            )
        return bars


class FinishModel(Part):
    fill: Literal["none", "spot", "full"] = "none"
    grits: tuple[Grit, ...] = ()
    sealer: Code | None = None
    coats: Coats | None = None
    faces: tuple[FinishFace, ...] = ("show", "sides")

    @field_validator("coats")
    @classmethod
    def _coats_of_something(cls, coats: int | None, info: ValidationInfo) -> int | None:
        if "sealer" in info.data and coats is not None and (coats > 0) != (info.data["sealer"] is not None):
            raise PydanticCustomError("coats", "must be one or more with a sealer, and none without")
        return coats

    @field_validator("grits", "faces")
    @classmethod
    def _once_each(cls, values: tuple[object, ...]) -> tuple[object, ...]:
        if len(set(values)) < len(values):
            raise PydanticCustomError("repeated", "must name each once")
        return values


class LightingModel(Part):
    strip: Code
    run: Run = None
    tail: LengthOrZero = 0.0


class ExtraModel(Part):
    material: Code
    quantity: Amount
    unit: Code | None = None


class DeliveryModel(Part):
    distance_km: Distance
    steps: Steps = 0
    install: YesOrNo = False


class PieceDocument(Part):
    """What a cast piece is: format 1."""

    format: Format
    name: Name
    unit: Literal["mm", "cm", "m", "in", "ft"]
    quantity: Pieces = 1
    cast: Literal["face-down", "face-up"] = "face-down"
    mix: Code | None = None
    thickness: Length
    outline: ShapeModel
    edges: tuple[EdgeModel, ...] = ()
    drop_edge: DropEdgeModel | None = None
    features: tuple[FeatureModel, ...] = ()
    reinforcement: ReinforcementModel | None = None
    finish: FinishModel | None = None
    lighting: LightingModel | None = None
    extras: tuple[ExtraModel, ...] = ()
    delivery: DeliveryModel | None = None
