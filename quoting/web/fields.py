"""A specification document as the groups of fields that its form shows."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any

from quoting.engine.errors import Fault
from quoting.engine.spec.codes import KnownCodes
from quoting.web.entries import (
    FEATURE_NAMES,
    FEATURES,
    LISTS,
    PARTS,
    SHAPE_NAMES,
    SHAPED,
    SHAPES,
    WHOLE,
    Choices,
    Entry,
)
from quoting.web.spelling import COUNTED_IN, DISTANCE_UNITS, distance_text, text_of

PART_TITLES = {
    "drop_edge": "Drop edge",
    "reinforcement": "Reinforcement",
    "finish": "Finish",
    "lighting": "Lighting",
    "delivery": "Delivery",
}
LIST_TITLES = {"edges": "Edge treatment", "drains": "Drain", "bars": "Bars", "extras": "Extra"}
MISSING_WORDS = {
    "drop_edge": "No turned-down edge.",
    "reinforcement": "No mesh, no bars.",
    "finish": "The shop's usual finish.",
    "lighting": "No light.",
    "delivery": "Collected from the workshop.",
}
POINTS_NOTE = (
    "Points are x, y from the lower left corner, several apart by a semicolon; turns counter-clockwise."
)
DISTANCE_NAMES = {"km": "km", "mi": "miles"}
SIDES_NOTE = "Sides: all, or their numbers counter-clockwise from the front, which is 0."


@dataclass(frozen=True, slots=True)
class Field:
    """One field: its name is the path of its value."""

    name: str
    label: str
    kind: str
    text: str
    choices: Choices
    help: str
    faults: tuple[str, ...]
    reload: bool = False
    """A change makes the form ask for other things."""

    @property
    def id(self) -> str:
        """For labels and for links from a list of faults."""
        return "f-" + field_id(self.name)

    @property
    def wide(self) -> bool:
        """Wants the room of two."""
        return self.kind in ("points", "run", "code", "words", "text")


@dataclass(frozen=True, slots=True)
class Group:
    """Fields that belong together; `path` names the part to take out, empty where it must stay."""

    title: str
    path: str = ""
    fields: tuple[Field, ...] = ()
    groups: tuple[Group, ...] = ()
    hidden: tuple[tuple[str, str], ...] = ()
    add: tuple[tuple[str, str], ...] = ()
    """(path of a list or part, words of its button)"""
    note: str = ""
    faults: tuple[str, ...] = ()


def field_id(path: str) -> str:
    """A path as an element's id."""
    return path.replace("[", "-").replace("]", "").replace(".", "-") or "document"


@dataclass(frozen=True)
class FormMaker:
    """Makes the groups of one document's form."""

    codes: KnownCodes
    names: Mapping[str, str]
    faults: dict[str, list[str]] = field(default_factory=dict)
    distances: str = "km"
    """In what bare distances are: km or mi."""

    @classmethod
    def of(
        cls, codes: KnownCodes, names: Mapping[str, str], faults: Iterable[Fault], system: str = "metric"
    ) -> FormMaker:
        """A maker that shows these faults at their fields, in the units of a shop of `system`."""
        by_path: dict[str, list[str]] = {}
        for fault in faults:
            by_path.setdefault(fault.path, []).append(fault.message)
        return cls(codes, names, by_path, DISTANCE_UNITS[system])

    def groups(self, document: Mapping[str, Any]) -> tuple[Group, ...]:
        """The whole form, in the order of the work."""
        features = _list_in(document, "features")
        return (
            Group("Piece", fields=self._fields("", WHOLE, document)),
            self._shape("outline", "Outline", document.get("outline")),
            self._list("edges", "edges", "Edges", document, add="Add an edge treatment"),
            self._part("drop_edge", document),
            Group(
                "Features",
                groups=tuple(self._feature(i, feature) for i, feature in enumerate(features)),
                faults=self._at("features"),
                note=POINTS_NOTE if features else "A plain slab so far.",
            ),
            *(self._part(key, document) for key in ("reinforcement", "finish", "lighting")),
            self._list("extras", "extras", "Bought-in parts", document, add="Add a part"),
            self._part("delivery", document),
        )

    def _fields(
        self, prefix: str, entries: tuple[Entry, ...], values: Mapping[str, Any]
    ) -> tuple[Field, ...]:
        return tuple(self._field(prefix + entry.key, entry, values.get(entry.key)) for entry in entries)

    def _field(self, name: str, entry: Entry, value: Any) -> Field:
        text = text_of(entry, value) or entry.absent
        label = entry.label
        if entry.kind == "distance" and value is not None:
            text = distance_text(value, self.distances)
        if entry.kind == "distance":
            label = f"{label}, {DISTANCE_NAMES[self.distances]}"
        choices = self._offered(entry, text)
        reload = name == "unit" or entry.key == "shape"
        return Field(name, label, entry.kind, text, choices, entry.help, self._below(name), reload)

    def _offered(self, entry: Entry, text: str) -> Choices:
        if entry.kind == "code":
            codes = tuple(getattr(self.codes, entry.codes))
            offered: Choices = (("", "—"), *((code, self.names.get(code, code)) for code in codes))
        else:
            offered = entry.choices
        known = {value for value, _ in offered}
        if entry.kind in ("code", "choice") and text not in known:
            offered = (*offered, (text, f"{text} (unknown)" if text else "—"))
        return offered

    def _shape(self, path: str, title: str, shape: Any) -> Group:
        values = shape if isinstance(shape, dict) else {}
        chosen = Entry("shape", "Shape", "choice", choices=SHAPE_NAMES)
        which = self._field(f"{path}.shape", chosen, values.get("shape"))
        own = self._fields(f"{path}.", SHAPES.get(which.text, ()), values)
        return Group(title, fields=(which, *own), faults=self._at(path))

    def _list(self, path: str, kind: str, title: str, holder: Mapping[str, Any], *, add: str) -> Group:
        key = path.rpartition(".")[2]
        parts = [
            Group(
                f"{LIST_TITLES[kind]} {i + 1}",
                path=f"{path}[{i}]",
                fields=self._fields(f"{path}[{i}].", LISTS[kind], values),
                faults=self._at(f"{path}[{i}]"),
            )
            for i, values in enumerate(_list_in(holder, key))
        ]
        note = SIDES_NOTE if kind == "edges" and parts else ""
        return Group(title, groups=tuple(parts), add=((path, add),), note=note, faults=self._at(path))

    def _part(self, key: str, document: Mapping[str, Any]) -> Group:
        values = document.get(key)
        title = PART_TITLES[key]
        if not isinstance(values, dict):
            words = "Give this piece its own finish" if key == "finish" else f"Add {title.lower()}"
            return Group(title, add=((key, words),), note=MISSING_WORDS[key], faults=self._at(key))
        inner: tuple[Group, ...] = ()
        if key == "reinforcement":
            inner = (self._list("reinforcement.bars", "bars", "Bars", values, add="Add bars"),)
        own = self._fields(f"{key}.", PARTS[key], values)
        hidden: tuple[tuple[str, str], ...] = ((f"{key}.is", "1"),)
        if key == "delivery":
            hidden += ((f"{key}.{COUNTED_IN}", self.distances),)
        return Group(title, key, own, inner, hidden=hidden, faults=self._at(key))

    def _feature(self, index: int, feature: Any) -> Group:
        values = feature if isinstance(feature, dict) else {}
        kind, path = str(values.get("kind", "")), f"features[{index}]"
        inner: list[Group] = []
        if kind in SHAPED:
            inner.append(self._shape(f"{path}.shape", "Shape", values.get("shape")))
        if kind == "opening":
            inner.append(self._list(f"{path}.edges", "edges", "Rim", values, add="Add a rim treatment"))
        if kind == "trough":
            inner.append(self._list(f"{path}.drains", "drains", "Drains", values, add="Add a drain"))
        name = dict(FEATURE_NAMES).get(kind, kind)
        own = self._fields(f"{path}.", FEATURES.get(kind, ()), values)
        hidden = ((f"{path}.kind", kind),)
        title = f"{index + 1}. {name[:1].upper()}{name[1:]}"
        return Group(title, path, own, tuple(inner), hidden, faults=self._at(path))

    def _at(self, path: str) -> tuple[str, ...]:
        return tuple(self.faults.get(path, ()))

    def _below(self, path: str) -> tuple[str, ...]:
        """Faults of a field: of its value and of anything inside it, such as one of several points."""
        inside = (f"{path}[", f"{path}.")
        own = [self.faults[key] for key in self.faults if key == path or key.startswith(inside)]
        return tuple(message for messages in own for message in messages)


def _list_in(holder: Mapping[str, Any], key: str) -> list[Any]:
    values = holder.get(key)
    parts = values if isinstance(values, list) else []
    return [part if isinstance(part, dict) else {} for part in parts]
