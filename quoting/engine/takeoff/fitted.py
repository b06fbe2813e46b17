"""What is bought in and fitted: inlays, inserts, drains of troughs, and the extras a piece names."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from quoting.engine.cutting.values import Part
from quoting.engine.errors import Fault, Refused
from quoting.engine.plane.contour import contour_of
from quoting.engine.solid.build import Solid
from quoting.engine.spec.types import Inlay, Insert, Piece, Trough
from quoting.engine.takeoff.lines import Caution, MaterialLine
from quoting.engine.takeoff.nesting import OnHand, sheets_for
from quoting.engine.takeoff.stock import counted_line, known_figure, of_code, packed_line
from quoting.engine.takeoff.wording import count_of, quantity
from quoting.engine.units import format_length
from quoting.engine.values import Material, MaterialKind, PriceBook, ShopTerms

DRAIN_PLAY_MM: Final = 2.0
"""How far a drain's hole may be off its fitting's diameter, packed with its seal (common practice)."""


def inlays(
    piece: Piece, book: PriceBook, terms: ShopTerms, pieces: int = 1, on_hand: OnHand | None = None
) -> tuple[MaterialLine, ...]:
    """Inlays of all pieces by material: cut from sheets, or counted where they are bought ready cut."""
    lines = []
    named = [(f"features[{i}].material", f) for i, f in enumerate(piece.features) if isinstance(f, Inlay)]
    for code in dict.fromkeys(inlay.material for _, inlay in named):
        own = [(path, inlay) for path, inlay in named if inlay.material == code]
        material = of_code(book, code, own[0][0])
        if material.kind is MaterialKind.BOARD:
            lines.append(_sheet_inlays(material, [inlay for _, inlay in own], terms, pieces, on_hand))
            continue
        if material.kind is not MaterialKind.EACH:
            message = (
                f"{code} is bought by the {material.content_unit}: an inlay is sheet, or bought ready cut"
            )
            raise Refused([Fault(own[0][0], message, "wrong_kind", code)])
        count = pieces * sum(len(inlay.centres_mm) for _, inlay in own)
        lines.append(packed_line(material, "fit", float(count), terms, lead=_times(count // pieces, pieces)))
    return tuple(lines)


def _sheet_inlays(
    material: Material, own: list[Inlay], terms: ShopTerms, pieces: int, on_hand: OnHand | None
) -> MaterialLine:
    parts, words, area_mm2 = [], [], 0.0
    for n, inlay in enumerate(own, 1):
        contour = contour_of(inlay.shape)
        x0, y0, x1, y1 = contour.box_mm
        count = len(inlay.centres_mm)
        parts.append(Part(f"inlay {n}", x1 - x0, y1 - y0, count))
        area_mm2 += count * contour.area_mm2
        length, width = (format_length(v, terms.unit_system) for v in (x1 - x0, y1 - y0))
        words.append(f"{count * pieces} × {length} × {width}")
    _, bought = sheets_for([material], parts, pieces, terms, on_hand)
    return counted_line(
        material, "fit", pieces * area_mm2 / 1e6, sum(bought.values()), terms, lead=" + ".join(words)
    )


def inserts(piece: Piece, book: PriceBook, terms: ShopTerms, pieces: int = 1) -> tuple[MaterialLine, ...]:
    """Cast-in parts of all pieces by material, counted."""
    lines = []
    named = [(f"features[{i}].material", f) for i, f in enumerate(piece.features) if isinstance(f, Insert)]
    for code in dict.fromkeys(insert.material for _, insert in named):
        own = [(path, insert) for path, insert in named if insert.material == code]
        material = of_code(book, code, own[0][0])
        each = sum(len(insert.centres_mm) for _, insert in own)
        lines.append(packed_line(material, "cast", float(each * pieces), terms, lead=_times(each, pieces)))
    return tuple(lines)


@dataclass(frozen=True, slots=True)
class Drains:
    """The fittings for the drains of a piece's troughs, and what is said of drains that get none."""

    lines: tuple[MaterialLine, ...] = ()
    cautions: tuple[Caution, ...] = ()


def drains(piece: Piece, book: PriceBook, terms: ShopTerms, pieces: int = 1) -> Drains:
    """A fitting for each drain: the first used as `drain` that is made for a hole of its diameter.

    A caution for drains the price list has none for. Nothing where the piece's extras name fittings of their
    own: those are what its maker wants.
    """
    holes = [drain.diameter_mm for f in piece.features if isinstance(f, Trough) for drain in f.drains]
    kept = book.by_role("drain")
    if not holes or {extra.material for extra in piece.extras} & {fitting.code for fitting in kept}:
        return Drains()
    taken: dict[str, int] = {}
    bare: dict[float, int] = {}
    for hole_mm in holes:
        fits = [each for each in kept if abs((each.diameter_mm or 0.0) - hole_mm) <= DRAIN_PLAY_MM]
        if fits:
            taken[fits[0].code] = taken.get(fits[0].code, 0) + 1
        else:
            bare[hole_mm] = bare.get(hole_mm, 0) + 1
    return Drains(
        tuple(
            packed_line(book.materials[code], "fit", float(count * pieces), terms, lead=_times(count, pieces))
            for code, count in taken.items()
        ),
        tuple(_no_fitting(hole_mm, count, kept, terms) for hole_mm, count in bare.items()),
    )


def _no_fitting(hole_mm: float, count: int, kept: Sequence[Material], terms: ShopTerms) -> Caution:
    sizes = sorted({each.diameter_mm for each in kept if each.diameter_mm is not None})
    have = " and ".join(format_length(size, terms.unit_system) for size in sizes) or "none"
    text = (
        f"No fitting is bought for {count_of(count, 'drain')} of {format_length(hole_mm, terms.unit_system)}:"
        f" the price list has {have}. Leave a plain hole, or change the drain or the price list."
    )
    return Caution("drain_fitting", text, "price list")


def extras(piece: Piece, book: PriceBook, terms: ShopTerms, pieces: int = 1) -> tuple[MaterialLine, ...]:
    """Bought-in parts the piece names: in the material's own unit, or in packs (`"unit": "pack"`)."""
    lines = []
    faults: list[Fault] = []
    for i, extra in enumerate(piece.extras):
        path = f"extras[{i}]"
        try:
            material = of_code(book, extra.material, f"{path}.material")
        except Refused as refused:
            faults += refused.faults
            continue
        unit = extra.unit or material.content_unit
        if unit not in ("pack", material.pack_name, material.content_unit):
            message = f"{material.code} is counted in {material.content_unit}, or in packs (pack)"
            faults.append(Fault(f"{path}.unit", message, "wrong_unit", unit))
            continue
        content = 1.0 if unit == material.content_unit else material.pack_size
        each = float(extra.quantity) * content
        lead = ""
        if pieces > 1:
            lead = f"{pieces} × {quantity(each, material.content_unit, terms.unit_system)}"
        lines.append(packed_line(material, "extra", each * pieces, terms, lead=lead))
    if faults:
        raise Refused(faults)
    return tuple(lines)


def fitted_kg(solid: Solid, book: PriceBook) -> float:
    """Mass of inlays (area × mass per m², or each) and inserts (each) of one piece in kg.

    Raises Refused where the price list has no mass for an inlay; an insert without one weighs nothing.
    """
    total = 0.0
    for i, feature in enumerate(solid.piece.features):
        if isinstance(feature, Inlay):
            material = of_code(book, feature.material, f"features[{i}].material")
            if material.mass_kg_each is not None and material.kind is MaterialKind.EACH:
                total += len(feature.centres_mm) * material.mass_kg_each
            else:
                mass = known_figure(material, "mass_kg_per_m2", "its mass per m²")
                total += len(feature.centres_mm) * contour_of(feature.shape).area_mm2 / 1e6 * mass
        elif isinstance(feature, Insert):
            material = of_code(book, feature.material, f"features[{i}].material")
            total += len(feature.centres_mm) * (material.mass_kg_each or 0.0)
    return total


def _times(each: int, pieces: int) -> str:
    return f"{pieces} × {each}" if pieces > 1 and each else ""
