"""What a mould takes of the price list: boards, foam, strips and tube by their layouts, screws and tape."""

from __future__ import annotations

from quoting.engine.takeoff.lines import MaterialLine, Mould
from quoting.engine.takeoff.mould import makes
from quoting.engine.takeoff.stock import counted_line, of_role, packed_line
from quoting.engine.takeoff.wording import count_of, joined, quantity
from quoting.engine.values import Material, MaterialKind, PriceBook, ShopTerms


def mould_lines(mould: Mould, book: PriceBook, terms: ShopTerms, pieces: int = 1) -> tuple[MaterialLine, ...]:
    """Lines for all castings: each material of the mould made again when it is worn out.

    Screws are taken out and used again: they are bought once a mould. Raises Refused for missing uses.
    """
    lines: list[MaterialLine] = []
    for code, packs in mould.bought:
        material = book.materials[code]
        lines += _material_lines(mould, material, dict(packs), book, terms, pieces)
    moulds = makes(of_role(book, "mould_board"), pieces)
    times = f"{moulds} × " if moulds > 1 else ""
    if mould.screws:
        screw = of_role(book, "screw")
        lead = f"{times}{mould.screws} screws" if moulds > 1 else ""
        lines.append(packed_line(screw, "mould", float(mould.screws * moulds), terms, lead=lead))
    if mould.tape_m:
        tape = of_role(book, "edge_tape")
        lead = f"{times}{quantity(mould.tape_m, 'm', terms.unit_system)}" if moulds > 1 else ""
        lines.append(packed_line(tape, "mould", mould.tape_m * moulds, terms, lead=lead))
    return tuple(lines)


def _material_lines(
    mould: Mould, material: Material, packs: dict[str, int], book: PriceBook, terms: ShopTerms, pieces: int
) -> list[MaterialLine]:
    own = [part for part in mould.parts if part.material == material.code]
    times = makes(material, pieces)
    count = sum(part.quantity for part in own)
    if material.kind is MaterialKind.BOARD:
        need = times * sum(part.quantity * part.length_mm * part.width_mm for part in own) / 1e6
    else:
        need = times * sum(part.quantity * part.length_mm for part in own) / 1000
    lead = f"{count_of(count, 'part')}" + (
        f" × {times} (each good for {count_of(material.casts or 1, 'casting')})" if times > 1 else ""
    )
    total = sum(packs.values())
    if not packs:
        return [counted_line(material, "mould", need, 0, terms, lead=f"{lead}, all from offcuts on hand")]
    others = [f"{number} of {code}" for code, number in packs.items()]
    lines = []
    for code, number in packs.items():
        words = f"{lead}, on {joined(others)}" if len(packs) > 1 else lead
        share = need * number / total
        lines.append(counted_line(book.materials[code], "mould", share, number, terms, lead=words))
    return lines
