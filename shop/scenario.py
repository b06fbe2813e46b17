"""What the demo says: its people and their password, its pieces; data only."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

from django.conf import settings

DEMO_PASSWORD = "ropewalk-demo"  # noqa: S105 - printed by quickstart, refused in production


def scenario() -> dict[str, Any]:
    """The scenario's document."""
    path = Path(settings.BASE_DIR) / "fixtures" / "demo" / "scenario.json"
    document: dict[str, Any] = json.loads(path.read_text(encoding="utf-8"))
    return document


def specification(name: str) -> dict[str, Any]:
    """One of the example specifications by its file's name without the ending."""
    path = Path(settings.BASE_DIR) / "fixtures" / "specifications" / f"{name}.json"
    document: dict[str, Any] = json.loads(path.read_text(encoding="utf-8"))
    return document
