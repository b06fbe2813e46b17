"""Small documents that the tests of this room start from."""

from __future__ import annotations

from typing import Any

from quoting.engine.errors import Fault, Refused
from quoting.engine.spec.parse import parse_piece

Document = dict[str, Any]


def slab(**changes: Any) -> Document:
    """A plain slab, 1000 × 600 × 40 mm."""
    return {
        "format": 1,
        "name": "Slab",
        "unit": "mm",
        "thickness": 40,
        "outline": {"shape": "rectangle", "length": 1000, "width": 600},
        **changes,
    }


def rectangle(length: float | str, width: float | str, **more: Any) -> Document:
    return {"shape": "rectangle", "length": length, "width": width, **more}


def opening(x: float, y: float, length: float = 100, width: float = 100, **more: Any) -> Document:
    return {"kind": "opening", "at": [x, y], "shape": rectangle(length, width), **more}


def trough(**changes: Any) -> Document:
    return {
        "kind": "trough",
        "at": [500, 300],
        "length": 400,
        "width": 200,
        "depth": 150,
        "wall": 25,
        "floor": 25,
        **changes,
    }


def faults(document: object, system: str = "metric", **more: Any) -> tuple[Fault, ...]:
    """What a document is refused for; nothing when it is taken."""
    try:
        parse_piece(document, system=system, **more)
    except Refused as refused:
        return refused.faults
    return ()


def told(document: object, system: str = "metric", **more: Any) -> dict[str, str]:
    """Path and code of every fault."""
    return {fault.path: fault.code for fault in faults(document, system, **more)}
