"""A faulty document with its faults taken out, so that the sound rest can still be checked.

What is left out of a feature or part moves nothing in plan: a faulty depth, face or code is replaced or
dropped, and whatever that spoils is not told. A feature whose place or shape is faulty is left out whole.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any, Final

from pydantic import ValidationError

from quoting.engine.errors import Fault
from quoting.engine.spec.convert import piece_of
from quoting.engine.spec.document import PieceDocument
from quoting.engine.spec.faults import structural
from quoting.engine.spec.types import Piece
from quoting.engine.units import UNITS_MM

# What a geometric check cannot do without; a fault anywhere else leaves the rest checkable.
_NEEDED: Final = ("unit", "thickness", "outline")
_STAND_IN: Final = {
    "format": 1,
    "name": "piece",
    "unit": "mm",
    "thickness": 40,
    "outline": {"shape": "rectangle", "length": 1000, "width": 1000},
}
_POCKETS: Final = ("inlay", "recess", "groove", "insert")
_PARTS: Final = frozenset({"reinforcement", "finish", "lighting", "delivery"})
_REPLACED: Final[dict[str, object]] = {"depth": "1 mm", "material": "-", "cover": "1 mm", "quantity": 1}
_IN_PLAN: Final = frozenset(
    "kind at shape turn path width length depth wall floor corner_radius diameter material".split()  # noqa: SIM905
)
_STEP: Final = re.compile(r"\.?([a-z_]+)|\[(\d{1,9})\]")


@dataclass(frozen=True, slots=True)
class Mended:
    """What can be checked of a faulty document."""

    piece: Piece
    places: tuple[int, ...]
    """The numbers its features have in the document."""
    measurable: bool
    """Whether unit, thickness and outline are the document's own."""
    spoilt: tuple[str, ...]
    """Paths already told: what lies at or under them says nothing new."""

    def news(self, faults: Iterable[Fault]) -> list[Fault]:
        """Of the faults found in what was mended, those that the document itself has."""
        # What seems to be missing may only have been left out, and treatments meet by the face they are on.
        unsure = {"nothing_there", "treatment_overlaps"}
        return [fault for fault in faults if fault.code not in unsure and not self._is_spoilt(fault.path)]

    def _is_spoilt(self, path: str) -> bool:
        return any(path == told or path.startswith((f"{told}.", f"{told}[")) for told in self.spoilt)


def structured(document: dict[Any, Any]) -> Piece:
    """The piece of a document whose structure is right. Raises pydantic's ValidationError where it is not."""
    unit = document.get("unit")
    known = isinstance(unit, str) and unit in UNITS_MM
    return piece_of(PieceDocument.model_validate(document, context={"unit": unit if known else "mm"}))


def mended(document: dict[Any, Any], faults: Iterable[Fault]) -> Mended | None:
    """The document without its structural faults; None where too little is left of it."""
    told = tuple(fault.path for fault in faults)
    heads = {re.split(r"[.\[]", path, maxsplit=1)[0] for path in told}
    sound = {key: _copied(value) for key, value in document.items() if key in PieceDocument.model_fields}
    for path in told:
        _mend(sound, [name or int(number) for name, number in _STEP.findall(path)])
    for head in (*_NEEDED, "format", "name"):
        if head in heads:
            sound[head] = _STAND_IN[head]
    places: tuple[int, ...] = ()
    if isinstance(features := sound.get("features", []), list):
        places = tuple(range(len(features)))
    for _ in range(2):
        try:
            return Mended(structured({**_STAND_IN, **sound}), places, not heads & set(_NEEDED), told)
        except ValidationError as error:
            places = _leave_out(sound, structural(error, sound), places)
    return None


def _copied(value: Any) -> Any:
    """A copy as deep as anything is changed in it: a part's keys, the keys of a list's items."""
    if isinstance(value, dict):
        return dict(value)
    if isinstance(value, list | tuple):
        return [dict(item) if isinstance(item, dict) else item for item in value]
    return value


def _leave_out(sound: dict[str, Any], faults: Iterable[Fault], places: tuple[int, ...]) -> tuple[int, ...]:
    """Take out of the document every part, and every feature, that is still faulty; the places left."""
    broken = {fault.path.split(".")[0] for fault in faults}
    kept = tuple(n for n, _ in enumerate(places) if f"features[{n}]" not in broken)
    for name in broken:
        if not name.startswith("features["):
            sound.pop(name.split("[")[0], None)
    if isinstance(sound.get("features"), list):
        sound["features"] = [sound["features"][n] for n in kept]
        return tuple(places[n] for n in kept)
    return ()


def _mend(document: dict[str, Any], steps: list[str | int]) -> None:
    """Drop or replace the value at a path, where the rest of its feature or part is none the worse for it."""
    match steps:
        case ["features" | "extras" as head, int(number), str(key), *_]:
            items = document.get(head)
            holder = items[number] if isinstance(items, list) and number < len(items) else None
        case [str(head), str(key), *_] if head in _PARTS:
            holder = document.get(head)
        case _:
            return
    if not isinstance(holder, dict):
        return
    if key in _REPLACED and (head != "features" or holder.get("kind") in _POCKETS):
        holder[key] = _REPLACED[key]
    elif head != "features" or key not in _IN_PLAN:
        holder.pop(key, None)
