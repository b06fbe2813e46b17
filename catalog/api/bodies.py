"""Bodies of requests whose keys are all known."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from rest_framework import serializers

MOST_TOLD = 20


class Known(serializers.Serializer[Any]):
    """What a request brings: a key that is none is refused, not passed over. Put it first among the bases.

    A misspelt `discount` would else be no discount. What is only read may be sent back as it was read.
    """

    def to_internal_value(self, data: Any) -> Any:
        """Read the body; raise with every unknown key beside what else is wrong."""
        keys = [str(name) for name in data if name not in self.fields] if isinstance(data, Mapping) else []
        unknown = {name: ["There is no such key here."] for name in keys[:MOST_TOLD]}
        try:
            found = super().to_internal_value(data)
        except serializers.ValidationError as wrong:
            if unknown and isinstance(wrong.detail, dict):
                raise serializers.ValidationError({**wrong.detail, **unknown}) from None
            raise
        if unknown:
            raise serializers.ValidationError(unknown)
        return found
