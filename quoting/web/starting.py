"""A first document from the few things that a start form asks."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from quoting.web.changes import completed
from quoting.web.spelling import number_or_text

_SIZES = {"round": ("diameter",), "polygon": ()}


def plain_slab(asked: Mapping[str, str]) -> dict[str, Any]:
    """A slab of one shape, its sizes as typed, arrises eased top and bottom; the rest is the shop's usual.

    >>> plain_slab({"shape": "round", "length": "900"})["outline"]
    {'shape': 'round', 'diameter': 900}
    >>> asked = {"shape": "polygon", "length": "60", "width": "40 1/2", "unit": "in"}
    >>> plain_slab(asked)["outline"]["points"][2]
    [60, '40 1/2']
    """
    unit = "in" if asked.get("unit") == "in" else "mm"
    shape = str(asked.get("shape", "rectangle"))
    outline: dict[str, Any] = {"shape": shape}
    for key, name in zip(_SIZES.get(shape, ("length", "width")), ("length", "width"), strict=False):
        if typed := str(asked.get(name, "")).strip():
            outline[key] = number_or_text(typed)
    long, wide = (number_or_text(str(asked.get(name, "")).strip()) for name in ("length", "width"))
    if shape == "polygon" and long and wide:
        outline["points"] = [[0, 0], [long, 0], [long, wide], [0, wide]]
    eased: float | str = "1/8" if unit == "in" else 4
    document: dict[str, Any] = {
        "format": 1,
        "name": str(asked.get("name", "")).strip() or "New piece",
        "unit": unit,
        "quantity": 1,
        "thickness": number_or_text(
            str(asked.get("thickness", "")).strip() or ("1 1/2" if unit == "in" else "40")
        ),
        "outline": outline,
        "edges": [
            {"at": at, "profile": "chamfer", "size": eased, "sides": "all"} for at in ("top", "bottom")
        ],
        "features": [],
    }
    return completed(document)
