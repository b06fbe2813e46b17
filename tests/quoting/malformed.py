"""Specifications that cannot be taken: what each is, and where the fault must be told."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

Document = dict[str, Any]

SOUND: Document = {
    "format": 1,
    "name": "slab",
    "unit": "mm",
    "thickness": 40,
    "outline": {"shape": "rectangle", "length": 1200, "width": 600},
    "features": [{"kind": "sleeve", "at": [600, 300], "diameter": 60}],
}


def changed(**keys: Any) -> Document:
    return SOUND | keys


def without(key: str) -> Document:
    return {name: value for name, value in SOUND.items() if name != key}


def with_feature(**keys: Any) -> Document:
    return changed(features=[keys])


def outline(**keys: Any) -> Document:
    return changed(outline=keys)


def nested(depth: int) -> Any:
    value: Any = 1
    for _ in range(depth):
        value = {"shape": value}
    return value


BOW_TIE = [[0, 0], [400, 400], [400, 0], [0, 400]]

# (what it is, the document, where the first fault must be told)
MALFORMED: list[tuple[str, Any, str]] = [
    ("null", None, ""),
    ("a list", [], ""),
    ("a word", "slab", ""),
    ("a number", 7, ""),
    ("empty", {}, "format"),
    ("format missing", without("format"), "format"),
    ("format 2", changed(format=2), "format"),
    ("format as text", changed(format="one"), "format"),
    ("name missing", without("name"), "name"),
    ("name empty", changed(name=""), "name"),
    ("name a number", changed(name=3), "name"),
    ("unit unknown", changed(unit="furlong"), "unit"),
    ("unit null", changed(unit=None), "unit"),
    ("thickness missing", without("thickness"), "thickness"),
    ("thickness zero", changed(thickness=0), "thickness"),
    ("thickness negative", changed(thickness=-40), "thickness"),
    ("thickness NaN", changed(thickness=float("nan")), "thickness"),
    ("thickness infinite", changed(thickness=float("inf")), "thickness"),
    ("thickness a truth value", changed(thickness=True), "thickness"),
    ("thickness a list", changed(thickness=[40]), "thickness"),
    ("thickness words", changed(thickness="thick"), "thickness"),
    ("thickness in kilos", changed(thickness="40 kg"), "thickness"),
    ("thickness huge", changed(thickness=1e300), "thickness"),
    ("quantity zero", changed(quantity=0), "quantity"),
    ("quantity broken", changed(quantity=1.5), "quantity"),
    ("quantity beyond", changed(quantity=1001), "quantity"),
    ("cast sideways", changed(cast="sideways"), "cast"),
    ("mix unknown", changed(mix="MIX-GRAY"), "mix"),
    ("unknown key", changed(colour="red"), "colour"),
    ("outline missing", without("outline"), "outline"),
    ("outline null", changed(outline=None), "outline"),
    ("outline without shape", outline(length=100, width=50), "outline"),
    ("shape unknown", outline(shape="star", length=100), "outline"),
    ("width missing", outline(shape="rectangle", length=1200), "outline.width"),
    ("too long", outline(shape="rectangle", length="13 m", width=600), "outline.length"),
    ("radius too large", outline(shape="rectangle", length=1200, width=600, corner_radius=301), "outline"),
    ("five radii", outline(shape="rectangle", length=1200, width=600, corner_radius=[1] * 5), "outline"),
    ("bow tie", outline(shape="polygon", points=BOW_TIE), "outline.points"),
    ("two points", outline(shape="polygon", points=[[0, 0], [9, 9]]), "outline.points"),
    ("points of three", outline(shape="polygon", points=[[0, 0, 0], [500, 0], [0, 500]]), "outline.points"),
    ("too many points", outline(shape="polygon", points=[[i, i * i] for i in range(2001)]), ""),
    ("features a word", changed(features="sink"), "features"),
    ("feature a number", changed(features=[5]), "features[0]"),
    ("kind unknown", with_feature(kind="hole", at=[600, 300]), "features[0]"),
    ("kind missing", with_feature(at=[600, 300], diameter=60), "features[0]"),
    ("off the piece", with_feature(kind="sleeve", at=[5000, 300], diameter=60), "features[0]"),
    ("too near the edge", with_feature(kind="sleeve", at=[39, 300], diameter=60), "features[0]"),
    (
        "too near each other",
        with_feature(kind="sleeve", at=[[400, 300], [469, 300]], diameter=60),
        "features[0]",
    ),
    (
        "pocket too deep",
        with_feature(
            kind="recess", at=[600, 300], face="top", depth=33, shape={"shape": "round", "diameter": 80}
        ),
        "features[0].depth",
    ),
    (
        "taper closes",
        with_feature(
            kind="trough", at=[600, 300], length=400, width=60, depth=300, wall=25, floor=25, taper=8
        ),
        "features[0]",
    ),
    (
        "too many features",
        changed(features=[{"kind": "sleeve", "at": [600, 300], "diameter": 20}] * 201),
        "features",
    ),
    ("mesh unknown", changed(reinforcement={"mesh": "MESH-5", "cover": 15}), "reinforcement.mesh"),
    ("sealer unknown", changed(finish={"sealer": "SEAL-PAN", "coats": 2}), "finish.sealer"),
    ("fill unknown", changed(finish={"fill": "some"}), "finish.fill"),
    ("extra unknown", changed(extras=[{"material": "BASE-STEAL", "quantity": 1}]), "extras[0].material"),
    ("deep nesting", changed(outline=nested(400)), ""),
    ("a name of a megabyte", changed(name="x" * 1_100_000), ""),
]

RAW: list[tuple[str, Callable[[], bytes]]] = [
    ("nothing", lambda: b""),
    ("no JSON", lambda: b"slab: 40"),
    ("cut off", lambda: b'{"format": 1, "name": "sl'),
    ("not UTF-8", lambda: b'{"name": "\xff\xfe"}'),
    ("NaN", lambda: b'{"format": 1, "thickness": NaN}'),
    ("a thousand brackets", lambda: b"[" * 100_000),
    ("ten megabytes", lambda: b'{"name": "' + b"x" * 10_000_000 + b'"}'),
    ("a number without end", lambda: b'{"thickness": ' + b"9" * 200_000 + b"}"),
]
