"""How an answer of the API is described key by key: what its models have in common."""

from __future__ import annotations

from typing import Annotated, Any

from pydantic import BaseModel, ConfigDict, Field
from pydantic.json_schema import SkipJsonSchema

Money = Annotated[str, Field(pattern=r"^-?[0-9]+(\.[0-9]+)?$")]
Absent = SkipJsonSchema[None]
"""A key that is left out: for those who may not see it, or in what was kept before there was such a key."""


def _tidied(schema: dict[str, Any]) -> None:
    """Leave out what only repeats the key, and what a key that is left out would be."""
    for described in schema.get("properties", {}).values():
        described.pop("title", None)
        if described.get("default", "") is None:
            del described["default"]


class Described(BaseModel):
    """An object whose keys are all told."""

    model_config = ConfigDict(extra="forbid", json_schema_extra=_tidied)
