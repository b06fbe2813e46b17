"""Example specifications to start a piece from."""

from __future__ import annotations

import json
from functools import cache
from pathlib import Path
from typing import Any

from django.conf import settings

_SCENARIO = ("reading-room-table", "cafe-counter", "round-table-top", "hearth", "bench")


@cache
def examples() -> dict[str, dict[str, Any]]:
    """Documents by name, the workshop's own pieces first, then one of every shape and feature."""
    folder = Path(settings.BASE_DIR) / "fixtures" / "specifications"
    found = {
        path.stem: json.loads(path.read_text(encoding="utf-8")) for path in sorted(folder.glob("*.json"))
    }
    first = {name: found.pop(name) for name in _SCENARIO if name in found}
    return first | found
