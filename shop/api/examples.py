"""Examples of the API's description: requests written by hand, answers as the API gave them to each.

They lie in `fixtures/api/`; a test sends every request and holds its answer against the description.
"""

from __future__ import annotations

import json
from functools import cache
from typing import Any

from django.conf import settings

JSON = "application/json"


@cache
def examples(kind: str) -> dict[str, Any]:
    """Return `requests` or `answers` by the name of their operation."""
    file = settings.BASE_DIR / "fixtures" / "api" / f"{kind}.json"
    found: dict[str, Any] = json.loads(file.read_text(encoding="utf-8")) if file.exists() else {}
    return found


def show_examples(operation: dict[str, Any]) -> None:
    """Put what there is beside the schemas of an operation."""
    name = operation["operationId"]
    answers: dict[str, dict[str, Any]] = operation["responses"]
    done = next((answer for code, answer in answers.items() if code.startswith("2")), {})
    for holder, kind in ((operation.get("requestBody", {}), "requests"), (done, "answers")):
        content = holder.get("content", {}).get(JSON)
        if content is not None and name in examples(kind):
            content["examples"] = {"example": {"value": examples(kind)[name]}}
