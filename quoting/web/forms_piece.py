"""The piece form to the specification document and back.

A field is named by the path of its value (`features[2].depth`), so a refusal of the engine finds its field.
A list says how long it is by the fields that came; a part that may be missing (`drop_edge`) is there when
its marker field (`drop_edge.is`) came.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any

from quoting.web.entries import (
    FEATURES,
    LISTS,
    PARTS,
    SHAPED,
    SHAPES,
    WHOLE,
    Entry,
)
from quoting.web.spelling import COUNTED_IN, distance_of, value_of

Document = dict[str, Any]
Typed = Mapping[str, str]
MARKER = "is"
MOST_PARTS = 200


def document_of(typed: Typed) -> Document:
    """The specification document that the fields of a form say, faulty values kept as they were typed."""
    document: Document = {"format": 1} | _values("", WHOLE, typed)
    document["outline"] = _shape("outline", typed)
    document["edges"] = _list("edges", "edges", typed)
    document["features"] = [_feature(path, typed) for path in _paths("features", typed)]
    for key, entries in PARTS.items():
        if f"{key}.{MARKER}" in typed:
            document[key] = _values(f"{key}.", entries, typed)
    if "reinforcement" in document:
        document["reinforcement"]["bars"] = _list("reinforcement.bars", "bars", typed)
    document["extras"] = _list("extras", "extras", typed)
    return document


def _values(prefix: str, entries: tuple[Entry, ...], typed: Typed) -> Document:
    found = {}
    for entry in entries:
        text = typed.get(prefix + entry.key, "")
        if entry.kind == "distance":
            value = distance_of(text, typed.get(prefix + COUNTED_IN, "km"))
        else:
            value = value_of(entry, text)
        if value is not None:
            found[entry.key] = value
    return found


def _shape(path: str, typed: Typed) -> Document:
    name = typed.get(f"{path}.shape", "")
    return {"shape": name} | _values(f"{path}.", SHAPES.get(name, ()), typed)


def _feature(path: str, typed: Typed) -> Document:
    kind = typed.get(f"{path}.kind", "")
    feature: Document = {"kind": kind} | _values(f"{path}.", FEATURES.get(kind, ()), typed)
    if kind in SHAPED:
        feature["shape"] = _shape(f"{path}.shape", typed)
    if kind == "opening":
        feature["edges"] = _list(f"{path}.edges", "edges", typed)
    if kind == "trough":
        feature["drains"] = _list(f"{path}.drains", "drains", typed)
    return feature


def _list(path: str, kind: str, typed: Typed) -> list[Document]:
    return [_values(f"{one}.", LISTS[kind], typed) for one in _paths(path, typed)]


def _paths(path: str, typed: Typed) -> list[str]:
    """The elements of a list that fields came for, in the order of their numbers, without gaps."""
    pattern = re.compile(re.escape(path) + r"\[([0-9]{1,4})\]\.")
    numbers = {int(match[1]) for name in typed if (match := pattern.match(name))}
    return [f"{path}[{number}]" for number in sorted(numbers)[: MOST_PARTS + 1]]
