"""What a maker asks: what if it were thicker, one more, in a lighter mix, delivered; side by side."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from quoting.engine.errors import Fault, Refused
from quoting.engine.estimate.build import Estimate, estimate
from quoting.engine.pricing.compare import Comparison, compare
from quoting.engine.spec.codes import KnownCodes
from quoting.engine.spec.parse import parse_piece
from quoting.engine.units import KM_PER_MILE, format_distance
from quoting.engine.values import PriceBook, ShopTerms

MOST_CHANGES = 12
USUAL_KM = {"metric": 20.0, "us": 12 * KM_PER_MILE}
"""How far a piece is taken where nobody has said: a guess to put a figure on it."""
_THICKER = {"metric": ("10 mm", 10.0), "us": ("1/2 in", 12.7)}


@dataclass(frozen=True, slots=True)
class Change:
    """A change to a specification: what it is called, and what it sets (a merge patch, RFC 7396)."""

    name: str
    patch: Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class Case:
    """A change carried out: its own estimate and the differences, or why it cannot be made."""

    name: str
    patch: Mapping[str, Any]
    estimate: Estimate | None
    differences: Comparison | None
    faults: tuple[Fault, ...]


@dataclass(frozen=True, slots=True)
class WhatIf:
    """A piece as it is, and every change beside it."""

    base: Estimate
    cases: tuple[Case, ...]


def what_if(
    document: Mapping[str, Any],
    changes: Sequence[Change] | None,
    book: PriceBook,
    terms: ShopTerms,
    codes: KnownCodes,
) -> WhatIf:
    """A specification and each change to it (`usual_changes` for None), estimated and compared.

    A change that makes a piece which cannot be cast or priced is answered with its faults. Raises Refused
    when the specification itself cannot be estimated, or for more than `MOST_CHANGES` changes.
    """
    base = _estimate(document, book, terms, codes)
    wanted = usual_changes(base, book, terms) if changes is None else changes
    if len(wanted) > MOST_CHANGES:
        message = f"at most {MOST_CHANGES} changes are laid side by side"
        raise Refused([Fault("changes", message, "too_many", str(len(wanted)))])
    return WhatIf(base, tuple(_case(document, change, base, book, terms, codes) for change in wanted))


def usual_changes(made: Estimate, book: PriceBook, terms: ShopTerms) -> tuple[Change, ...]:
    """The changes worth a look: thicker, one more, a lighter mix if there is one, delivered or collected."""
    added, more_mm = _THICKER[terms.unit_system]
    found = [
        Change(f"{added} thicker", {"thickness": f"{made.piece.thickness_mm + more_mm:.6g} mm"}),
        Change("One more", {"quantity": made.quantity + 1}),
    ]
    mix = book.mixes[made.piece.mix or terms.default_mix]
    lighter = min(book.mixes.values(), key=lambda each: (each.density_kg_m3, each.code))
    if lighter.density_kg_m3 < mix.density_kg_m3:
        found.append(Change(lighter.name, {"mix": lighter.code}))
    if made.piece.delivery is None:
        usual_km = USUAL_KM[terms.unit_system]
        to = {"distance_km": usual_km, "steps": 0, "install": False}
        found.append(Change(f"Delivered, {format_distance(usual_km, terms.unit_system)}", {"delivery": to}))
    else:
        found.append(Change("Collected", {"delivery": None}))
    return tuple(found)


def merged(document: Any, patch: Any) -> Any:
    """A document with a merge patch applied (RFC 7396): null takes a key out, lists are replaced whole.

    >>> merged({"a": {"b": 1, "c": 2}, "d": [1]}, {"a": {"b": None}, "d": []})
    {'a': {'c': 2}, 'd': []}
    """
    if not isinstance(patch, Mapping):
        return patch
    out = dict(document) if isinstance(document, Mapping) else {}
    for key, value in patch.items():
        if value is None:
            out.pop(key, None)
        else:
            out[key] = merged(out.get(key), value)
    return out


def _estimate(document: object, book: PriceBook, terms: ShopTerms, codes: KnownCodes) -> Estimate:
    return estimate(parse_piece(document, codes=codes, system=terms.unit_system), book, terms)


def _case(
    document: Mapping[str, Any],
    change: Change,
    base: Estimate,
    book: PriceBook,
    terms: ShopTerms,
    codes: KnownCodes,
) -> Case:
    try:
        made = _estimate(merged(document, change.patch), book, terms, codes)
    except Refused as refused:
        return Case(change.name, change.patch, None, None, tuple(refused.faults))
    return Case(change.name, change.patch, made, compare(base.price, made.price), ())
