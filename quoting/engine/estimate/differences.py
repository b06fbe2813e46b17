"""What changed from one piece to another, in words, complete: two pieces that differ never say nothing.

Fields are walked as the dataclasses have them, so that a new one cannot be forgotten; edges and features are
told the way a maker tells them: by place, by count.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from dataclasses import fields, is_dataclass, replace
from decimal import Decimal
from typing import Any, TypeVar

from quoting.engine.spec.types import (
    BarRun,
    Drain,
    EdgeTreatment,
    Extra,
    Feature,
    Groove,
    Piece,
    Sides,
    Trough,
)
from quoting.engine.spec.wording import edge_name
from quoting.engine.units import format_distance, format_length

SAME_BUT_ORDER = "the same parts, in another order or grouping"
Said = Iterator[str]
T = TypeVar("T")


def differences(before: Piece, after: Piece, *, system: str = "metric") -> tuple[str, ...]:
    """Sentences for all that differs, in the order of the document; none for equal pieces.

    Lengths in the shop's `system`, `metric` or `us`, exactly where its rounding would hide a change.

    >>> from quoting.engine.spec.types import Rectangle
    >>> table = Piece("Table", "mm", 40.0, Rectangle(2100.0, 900.0))
    >>> differences(table, replace(table, outline=Rectangle(2250.0, 900.0)))
    ('length 2100 → 2250 mm',)
    """
    words = _Words(system)
    said: list[str] = []
    for field in fields(Piece):
        old, new = getattr(before, field.name), getattr(after, field.name)
        if old == new:
            continue
        if field.name == "outline":
            told = words.part("", old, new, whole="outline")
        elif field.name == "edges":
            told = words.edges("", old, new, lambda sides: _of_sides(sides, before, after))
        elif field.name == "features":
            told = words.features(old, new)
        else:
            told = words.value(field.name, old, new)
        said += list(told) or [f"{_name(field.name)}: {SAME_BUT_ORDER}"]
    return tuple(_counted(said))


def _of_sides(sides: Sides, before: Piece, after: Piece) -> str:
    """Which sides, by name where both pieces have the same ones."""
    if sides is None:
        return ""
    named = type(before.outline) is type(after.outline)
    return f" ({', '.join(edge_name(after.outline, side) if named else f'side {side}' for side in sides)})"


def _counted(said: Sequence[str]) -> Iterator[str]:
    """Sentences said several times, once."""
    for sentence, count in Counter(said).items():
        yield sentence if count == 1 else f"{sentence} ({count} times)"


class _Words:
    """Says values and their changes in one system of units."""

    def __init__(self, system: str) -> None:
        self.system = system

    # --- values ------------------------------------------------------------------------------------------
    def say(self, name: str, value: Any) -> str:
        """A value by the unit in its field's name."""
        if isinstance(value, bool):
            return "yes" if value else "no"
        if value is None:
            return _NONE.get(name, "none")
        if isinstance(value, float) and name.endswith("_mm"):
            return format_length(value, self.system)
        if isinstance(value, int | float) and name.endswith("_km"):
            return format_distance(value, self.system)
        if isinstance(value, Decimal):
            return f"{value.normalize():f}"
        if isinstance(value, int | float):
            return f"{value:.12g}{_unit(name)}"
        if is_dataclass(value):
            return self.whole(value)
        if isinstance(value, tuple):
            return self.several(name, value)
        return str(value)

    def several(self, name: str, values: tuple[Any, ...]) -> str:
        """Places, radii, grits: the unit once where it is one; equal radii once."""
        if name.endswith("_radii_mm") and len(set(values)) == 1:
            return self.say(name, values[0])
        said = [self.say(name, value) for value in values]
        if any(isinstance(value, tuple | str) or is_dataclass(value) for value in values):
            return ("; " if isinstance(values[0], tuple) else ", ").join(said)
        return ", ".join([each.removesuffix(" mm") for each in said[:-1]] + said[-1:]) or "none"

    def whole(self, value: Any) -> str:
        """A part in one breath: its kind, and all that it says of itself."""
        own = self.own(value)
        return f"{_kind(value)} ({own})" if own else _kind(value)

    def own(self, value: Any, *, place: bool = True) -> str:
        """What a part says of itself, its place too unless told otherwise; what it has not is left out."""
        return ", ".join(
            f"{_name(field.name)} {self.say(field.name, getattr(value, field.name))}"
            for field in fields(value)
            if getattr(value, field.name) not in (None, (), 0.0, False)
            and (place or field.name not in _PLACES)
        )

    def change(self, name: str, old: Any, new: Any) -> str:
        """`2100 → 2250 mm`; to the last digit where both would read the same."""
        first, second = self.say(name, old), self.say(name, new)
        if first == second:
            end = f" {name[-2:]}" if name.endswith(("_mm", "_km")) else ""
            first, second = f"{old!r}{end}", f"{new!r}{end}"
        for unit in (" mm", "°", " km", " mi"):
            if first.endswith(unit) and second.endswith(unit):
                first = first.removesuffix(unit)
        return f"{first} → {second}"

    def value(self, name: str, old: Any, new: Any) -> Said:
        """The change of any field."""
        if _listed(old, new):
            yield from self.parts(_name(name).removesuffix("s"), old, new)
        elif is_dataclass(old) or is_dataclass(new):
            yield from self.part(f"{_name(name)}: ", old, new, whole=_name(name))
        else:
            yield f"{_name(name)} {self.change(name, old, new)}"

    def part(self, lead: str, old: Any, new: Any, *, whole: str) -> Said:
        """What changed inside a part; or the part that came, went or became another."""
        if old is None:
            yield f"{whole} added: {self.own(new)}"
        elif new is None:
            yield f"{whole} taken out: {self.own(old)}"
        elif type(old) is not type(new):
            yield f"{whole}: {self.whole(old)} → {self.whole(new)}"
        else:
            for field in fields(old):
                first, second = getattr(old, field.name), getattr(new, field.name)
                if first != second:
                    yield from self.inner(lead, field.name, first, second)

    def inner(self, lead: str, name: str, old: Any, new: Any) -> Said:
        """A field inside a part."""
        if name == "edges":
            told = list(
                self.edges(
                    lead,
                    old,
                    new,
                    lambda sides: "" if sides is None else f" (sides {self.say('sides', sides)})",
                )
            )
            yield from told or [f"{lead}edges: {SAME_BUT_ORDER}"]
        else:
            said = list(self.value(name, old, new)) or [f"{_name(name)}: {SAME_BUT_ORDER}"]
            yield from (lead + sentence for sentence in said)

    def parts(self, noun: str, old: Sequence[Any], new: Sequence[Any]) -> Said:
        """Bars, extras and drains: what each counts, what came and what went."""
        gone, come = _without(old, new), _without(new, old)
        for first, second in _pairs(gone, come, _key):
            if isinstance(first, Extra) and isinstance(second, Extra) and first.unit == second.unit:
                yield f"{first.material}: {self.change('quantity', first.quantity, second.quantity)}"
            else:
                yield from self.part(
                    f"{noun} {_key(first)}: ".replace(" : ", ": "), first, second, whole=noun
                )
        yield from (f"{noun} taken out: {self.own(part)}" for part in gone)
        yield from (f"{noun} added: {self.own(part)}" for part in come)

    # --- edges -------------------------------------------------------------------------------------------
    def edges(
        self,
        lead: str,
        old: Sequence[EdgeTreatment],
        new: Sequence[EdgeTreatment],
        where: Callable[[Sides], str],
    ) -> Said:
        """Edge by edge, what it was and what it is; an untreated one is square."""
        gone, come = _without(old, new), _without(new, old)
        for place in dict.fromkeys((edge.at, edge.sides) for edge in [*gone, *come]):
            first = [edge for edge in gone if (edge.at, edge.sides) == place]
            second = [edge for edge in come if (edge.at, edge.sides) == place]
            was, now = self.treated(first), self.treated(second)
            if was == now:
                was, now = repr([edge.size_mm for edge in first]), repr([edge.size_mm for edge in second])
            yield f"{lead}{place[0]} edge{where(place[1])}: {was} → {now}"

    def treated(self, edges: Sequence[EdgeTreatment]) -> str:
        """What is done to an edge."""
        return " and ".join(f"{e.profile} {self.say('size_mm', e.size_mm)}" for e in edges) or "square"

    # --- features ----------------------------------------------------------------------------------------
    def features(self, old: Sequence[Feature], new: Sequence[Feature]) -> Said:
        """Features one by one: resized where they stand, moved, added, taken out."""
        gone, come = _without(_singly(old), _singly(new)), _without(_singly(new), _singly(old))
        for first, second in _pairs(gone, come, lambda one: (_kind(one), _centre(one))):
            yield from self.part(self.at(second), first, second, whole=_kind(second))
        for first, second in _pairs(gone, come, lambda one: (_kind(one), _placeless(one))):
            yield f"{_kind(second)} moved: {self.change('at_mm', _place(first), _place(second))}"
        for first, second in _pairs(gone, come, _kind):
            yield from self.part(self.at(first), first, second, whole=_kind(second))
        yield from self.counted(come, "added")
        yield from self.counted(gone, "taken out")

    def at(self, feature: Feature) -> str:
        """A feature by its kind and place."""
        return f"{_kind(feature)} at {self.say('at_mm', _centre(feature))}: "

    def counted(self, features: Sequence[Feature], what: str) -> Said:
        """`2 sleeves added (diameter 50 mm)`: like ones together."""
        alike = Counter((_kind(feature), self.own(feature, place=False)) for feature in features)
        for (kind, own), count in alike.items():
            plural = {"recess": "recesses"}.get(kind, f"{kind}s")
            yield f"{count} {kind if count == 1 else plural} {what}: {own}"


_NONE = {
    "sides": "all",
    "run_mm": "along the inlays",
    "mix": "the shop's usual",
    "finish": "the shop's usual",
}
_NAMES = {
    "corner_radii_mm": "corner radius",
    "centres_mm": "centre",
    "lap_mm": "lap of the mesh",
    "run_mm": "run",
    "notch": "missing corner",
    "cast": "cast",
}
_PLACES = ("centres_mm", "centre_mm", "path_mm")
_KINDS = {"BarRun": "bar", "DropEdge": "drop edge", "EdgeTreatment": "edge", "Ell": "L"}


def _name(field: str) -> str:
    plain = field
    for unit in ("_mm", "_deg", "_km"):
        plain = plain.removesuffix(unit)
    return _NAMES.get(field, plain.replace("_", " "))


def _unit(name: str) -> str:
    return "°" if name.endswith("_deg") else ""


def _kind(value: Any) -> str:
    name = type(value).__name__
    return _KINDS.get(name, name.lower())


def _key(part: BarRun | Extra | Drain) -> str:
    """What makes a bar, an extra or a drain the same one with other figures."""
    if isinstance(part, Drain):
        return ""
    return part.where if isinstance(part, BarRun) else part.material


def _listed(old: Any, new: Any) -> bool:
    both = [*old, *new] if isinstance(old, tuple) and isinstance(new, tuple) else []
    return any(is_dataclass(part) for part in both)


def _without(ones: Sequence[T], others: Sequence[T]) -> list[T]:
    """The ones that the others have no equal of, each counted once, in order."""
    left = Counter(others)
    kept = []
    for one in ones:
        if left[one]:
            left[one] -= 1
        else:
            kept.append(one)
    return kept


def _pairs(gone: list[T], come: list[T], key: Callable[[T], object]) -> list[tuple[T, T]]:
    """Those of both lists that share a key, in order; they leave the lists."""
    pairs = []
    for old in tuple(gone):
        match = next((new for new in come if key(new) == key(old)), None)
        if match is not None:
            gone.remove(old)
            come.remove(match)
            pairs.append((old, match))
    return pairs


def _singly(features: Sequence[Feature]) -> list[Feature]:
    """Every feature with one centre."""
    single: list[Feature] = []
    for feature in features:
        if isinstance(feature, Groove | Trough):
            single.append(feature)
        else:
            single += [replace(feature, centres_mm=(centre,)) for centre in feature.centres_mm]
    return single


def _centre(feature: Feature) -> tuple[float, float]:
    if isinstance(feature, Groove):
        return feature.path_mm[0]
    return feature.centre_mm if isinstance(feature, Trough) else feature.centres_mm[0]


def _place(feature: Feature) -> object:
    return feature.path_mm if isinstance(feature, Groove) else _centre(feature)


def _placeless(feature: Feature) -> Feature:
    """The feature without its place, to tell like ones."""
    if isinstance(feature, Groove):
        return replace(feature, path_mm=())
    if isinstance(feature, Trough):
        return replace(feature, centre_mm=(0.0, 0.0))
    return replace(feature, centres_mm=())
