"""A piece of a quote as the client is told of it: sizes, words and drawings, without a code or a cost."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from quoting.engine.drawing.isometric import isometric
from quoting.engine.drawing.plan import plan
from quoting.engine.drawing.section import section_view
from quoting.engine.drawing.values import Drawing
from quoting.engine.estimate.build import Estimate
from quoting.engine.estimate.words import describe_by_subject
from quoting.engine.solid.build import Solid
from quoting.engine.spec.types import Feature, Inlay, Insert
from quoting.engine.takeoff.lines import Mould
from quoting.engine.units import format_length, format_mass
from quoting.selectors.quotes import PricedItem


def quoted_piece(priced: PricedItem, names: Mapping[str, str], system: str, position: int) -> dict[str, Any]:
    """One piece as JSON values. `position` in the quote keeps the drawings' element ids apart."""
    made = priced.estimate
    length, width, height = made.geometry.envelope_mm
    return {
        "name": priced.item.revision.piece.name,
        "revision": priced.item.revision.number,
        "option": priced.item.option,
        "quantity": made.quantity,
        "size": " × ".join(format_length(side, system) for side in (length, width, height)),
        "mass": format_mass(made.weights.total_kg, system),
        "included": [
            {"subject": subject, "sentences": list(said)}
            for subject, said in describe_by_subject(made.piece, names, system=system)
        ],
        "drawings": [
            {
                "kind": kind,
                "title": drawing.title,
                "width_mm": drawing.width_mm,
                "height_mm": drawing.height_mm,
                "svg": drawing.svg,
            }
            for kind, drawing in drawings(made, names, system, str(position)).items()
        ],
        "unit_price": str(made.price.unit_price),
        "net": str(made.price.net),
    }


def drawings(made: Estimate, names: Mapping[str, str], system: str, suffix: str) -> dict[str, Drawing]:
    """Isometric view, plan and section, lettered with the catalogue's names in place of its codes."""
    solid = in_words(made.solid, names)
    return {
        "isometric": isometric(solid, made.geometry, system=system, prefix=f"isometric-{suffix}"),
        "plan": plan(solid, made.geometry, system=system, prefix=f"plan-{suffix}"),
        "section": section_view(solid, made.geometry, system=system, prefix=f"section-{suffix}"),
    }


def in_words(solid: Solid, names: Mapping[str, str]) -> Solid:
    """The same solid, its piece naming materials as a reader knows them: for lettering only."""
    features = tuple(_named(feature, names) for feature in solid.piece.features)
    return replace(solid, piece=replace(solid.piece, features=features))


def mould_in_words(mould: Mould, names: Mapping[str, str]) -> Mould:
    """The same mould, its parts naming what they are cut from as a reader knows it: for lettering only."""
    stock = stock_in_words(mould, names)
    parts = tuple(replace(part, material=stock[part.drawing]) for part in mould.parts)
    placed = tuple(replace(part, drawing=names.get(part.drawing, part.drawing)) for part in mould.placed)
    return replace(mould, parts=parts, placed=placed)


def stock_in_words(mould: Mould, names: Mapping[str, str]) -> dict[str, str]:
    """By a part's mark: the sheets it is cut from, maybe another size of its board, or its material."""
    used: dict[str, set[str]] = defaultdict(set)
    for sheet in (sheet for _, laid_out in mould.layouts for sheet in laid_out.sheets):
        for placed in sheet.placed:
            used[placed.name].add(sheet.code)
    return {
        part.drawing: " and ".join(
            names.get(code, code) for code in sorted(used[part.drawing] or {part.material})
        )
        for part in mould.parts
    }


def _named(feature: Feature, names: Mapping[str, str]) -> Feature:
    if isinstance(feature, Inlay | Insert):
        return replace(feature, material=names.get(feature.material, feature.material))
    return feature
