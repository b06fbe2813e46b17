"""Release agent, slurry fill, polishing pads and sealer: by area, passes, coats and coverage."""

from __future__ import annotations

from typing import Final

from quoting.engine.errors import Fault, Refused
from quoting.engine.solid.measure import Geometry
from quoting.engine.spec.types import Finish, Piece
from quoting.engine.takeoff.lines import MaterialLine
from quoting.engine.takeoff.stock import known_figure, of_code, of_role, of_roles, packed_line
from quoting.engine.takeoff.wording import figure, quantity
from quoting.engine.units import L_PER_US_GALLON, M2_PER_SQ_FT
from quoting.engine.values import Material, MaterialKind, PriceBook, ShopTerms

SPOT_SHARE: Final = 0.25
"""Of the area that a spot fill is reckoned on (our rule)."""
SLURRY_KG_PER_M2: Final = 0.5
"""Cement worked into air holes where the price list gives no figure (common practice, from memory)."""


def finish_of(piece: Piece, terms: ShopTerms) -> Finish:
    """The piece's own finish, or the shop's default."""
    if piece.finish is not None:
        return piece.finish
    fill = terms.finish_fill
    faces = terms.finish_faces
    return Finish(
        fill="full" if fill == "full" else "spot" if fill == "spot" else "none",
        grits=terms.finish_grits,
        sealer=terms.finish_sealer,
        coats=terms.finish_coats,
        faces=tuple(face for face in ("show", "sides", "trough", "underside") if face in faces),
    )


def face_area_m2(geometry: Geometry, faces: tuple[str, ...]) -> float:
    """Area of the named faces of one piece in m²: show, sides, trough, underside."""
    areas = {
        "show": geometry.show_area_m2,
        "sides": geometry.side_area_m2,
        "trough": geometry.trough_area_m2,
        "underside": geometry.underside_area_m2,
    }
    return sum(areas[face] for face in faces)


def polished_area_m2(geometry: Geometry, finish: Finish) -> float:
    """Area of one polishing pass in m²: the show face and sides, of those that are finished at all."""
    return face_area_m2(geometry, tuple(face for face in finish.faces if face in ("show", "sides")))


def form_area_m2(geometry: Geometry, piece: Piece) -> float:
    """Area of the mould that concrete touches in m²: face on the base, sides, voids, troughs (C141)."""
    base = geometry.show_area_m2 if piece.cast == "face-down" else geometry.underside_area_m2
    return base + geometry.side_area_m2 + geometry.void_area_m2 + geometry.trough_area_m2


def release(
    piece: Piece, geometry: Geometry, book: PriceBook, terms: ShopTerms, pieces: int = 1
) -> MaterialLine:
    """Release agent on every mould face, afresh for every casting: area ÷ coverage."""
    material = of_role(book, "release")
    coverage = known_figure(material, "coverage_m2_per_l", "its coverage")
    area = form_area_m2(geometry, piece) * pieces
    lead = f"{_area(area, terms)} of mould ÷ {_coverage(coverage, terms)}"
    return packed_line(material, "cast", area / coverage, terms, lead=lead)


def fill(
    finish: Finish, geometry: Geometry, book: PriceBook, terms: ShopTerms, pieces: int = 1
) -> tuple[MaterialLine, ...]:
    """Cement paste for the air holes: area (a quarter of it for a spot fill) × cement, and polymer with it.

    Cement by the material's mass per m², else 0.5 kg/m² (common practice); polymer only where the price list
    has a `slurry_polymer` with a coverage.
    """
    area = fill_area_m2(geometry, finish) * pieces
    if area == 0:
        return ()
    cement = of_role(book, "slurry_cement")
    rate = cement.mass_kg_per_m2 or SLURRY_KG_PER_M2
    rate_text = f"{quantity(rate, 'kg', terms.unit_system)}/m²"
    if terms.unit_system == "us":
        rate_text = f"{quantity(rate * M2_PER_SQ_FT, 'kg', 'us')} a sq ft"
    lead = f"{_area(area, terms)}{' (a quarter of the faces)' if finish.fill == 'spot' else ''} × {rate_text}"
    lines = [packed_line(cement, "fill", area * rate, terms, lead=lead)]
    for polymer in book.by_role("slurry_polymer")[:1]:
        coverage = known_figure(polymer, "coverage_m2_per_l", "its coverage")
        polymer_lead = f"{_area(area, terms)} ÷ {_coverage(coverage, terms)}"
        lines.append(packed_line(polymer, "fill", area / coverage, terms, lead=polymer_lead))
    return tuple(lines)


def fill_area_m2(geometry: Geometry, finish: Finish) -> float:
    """Area filled on one piece in m²: the finished faces, × 0.25 for a spot fill, none for no fill."""
    share = {"none": 0.0, "spot": SPOT_SHARE, "full": 1.0}[finish.fill]
    return share * face_area_m2(geometry, finish.faces)


def pads(
    finish: Finish, geometry: Geometry, book: PriceBook, terms: ShopTerms, pieces: int = 1
) -> tuple[MaterialLine, ...]:
    """A pad for each grit: area polished ÷ the area one pad lasts. Raises Refused with every grit missing."""
    area = polished_area_m2(geometry, finish) * pieces
    if area == 0 or not finish.grits:
        return ()
    by_grit = {pad.grit: pad for pad in reversed(book.by_role("pad")) if pad.grit is not None}
    missing = [grit for grit in dict.fromkeys(finish.grits) if grit not in by_grit]
    if missing:
        raise Refused(
            Fault(
                "catalogue.pad",
                f"no pad of grit {grit} in the price list: add one",
                "missing_material",
                str(grit),
            )
            for grit in missing
        )
    passes = {grit: finish.grits.count(grit) for grit in finish.grits}
    lines = []
    for grit, times in passes.items():
        lead = f"{times} passes × {_area(area, terms)}" if times > 1 else ""
        lines.append(packed_line(by_grit[grit], "polish", area * times, terms, lead=lead))
    return tuple(lines)


def sealer(
    finish: Finish, geometry: Geometry, book: PriceBook, terms: ShopTerms, pieces: int = 1
) -> tuple[MaterialLine, ...]:
    """Sealer for the faces named, coat by coat, the first thirstier than the next; thinned with water.

    applied = area ÷ first coverage + (coats − 1) × area ÷ next coverage; coverage is that of the liquid as it
    goes on, so a sealer thinned with d parts of water takes applied ÷ (1 + d) of itself, the rest water.
    """
    if finish.sealer is None or finish.coats < 1:
        return ()
    material = of_code(book, finish.sealer, "finish.sealer")
    area = face_area_m2(geometry, finish.faces) * pieces
    if area == 0:
        return ()
    first = known_figure(material, "coverage_m2_per_l", "its coverage")
    following = material.coverage_next_m2_per_l or first
    applied_l = area / first + (finish.coats - 1) * area / following
    lead = f"{_area(area, terms)} ÷ {_coverage(first, terms)}"
    if finish.coats > 1:
        again = f"{_area(area, terms)} ÷ {_coverage(following, terms)}"
        lead += f" + {again}" if finish.coats == 2 else f" + {finish.coats - 1} × {again}"
    parts = material.dilution or 0.0
    if parts == 0:
        return (packed_line(material, "seal", applied_l, terms, lead=lead),)
    thinned = f"({lead}) ÷ (1 + {figure(parts)} of water)"
    own_l = applied_l / (1 + parts)
    return (
        packed_line(material, "seal", own_l, terms, lead=thinned),
        *_water(own_l, parts, material, book, terms),
    )


def _water(
    sealer_l: float, parts: float, material: Material, book: PriceBook, terms: ShopTerms
) -> tuple[MaterialLine, ...]:
    (water,) = of_roles(book, ["water"])
    lead = f"{quantity(sealer_l, 'L', terms.unit_system)} of {material.code} × {figure(parts)}"
    need = sealer_l * parts
    if water.kind is not MaterialKind.LIQUID:
        raise Refused([Fault(f"materials.{water.code}.kind", "water is bought by the litre", "wrong_kind")])
    return (packed_line(water, "seal", need, terms, lead=lead, allowance=material.waste),)


def us_coverage(m2_per_l: float) -> float:
    """Coverage in square feet a US gallon from m² a litre (C130).

    >>> round(us_coverage(4.91), 0)
    200.0
    """
    return m2_per_l * L_PER_US_GALLON / M2_PER_SQ_FT


def film_coverage_m2_per_l(solids: float, dry_um: float) -> float:
    """Coverage of a film-forming sealer in m²/L: solids by volume (fraction) × 1000 ÷ dry µm (C136, C137).

    >>> film_coverage_m2_per_l(0.5, 50)
    10.0
    """
    return solids * 1000 / dry_um


def _area(area_m2: float, terms: ShopTerms) -> str:
    return quantity(area_m2, "m²", terms.unit_system)


def _coverage(m2_per_l: float, terms: ShopTerms) -> str:
    if terms.unit_system == "us":
        return f"{figure(us_coverage(m2_per_l))} sq ft/gal"
    return f"{figure(m2_per_l)} m²/L"
