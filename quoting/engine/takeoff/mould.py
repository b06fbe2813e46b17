"""The mould of a piece: every part a maker cuts, their layouts on sheets, what labour is driven by.

The parts assembled enclose the piece exactly (its arrises apart: the sealant's bead rounds them). Parts are
those of one mould; layouts are for all castings of the quantity, parts made again as they wear out.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from quoting.engine.cutting.values import BarPart, BarPlan, CutPlan, Part
from quoting.engine.solid.build import Solid
from quoting.engine.spec.types import Groove, Inlay, Opening, Piece, Recess, Sleeve, Trough
from quoting.engine.takeoff.lines import Mould, MouldPart
from quoting.engine.takeoff.mould_parts import Made, Work, beads_by_kind, numbered, screws_in, together
from quoting.engine.takeoff.mould_sides import narrow_form, slab_work
from quoting.engine.takeoff.mould_trough import crowded_forms, narrow_core, trough_work
from quoting.engine.takeoff.mould_voids import void_work
from quoting.engine.takeoff.mould_walls import Boards, has_curves
from quoting.engine.takeoff.nesting import (
    OnHand,
    lengths_for,
    panels_of,
    pieces_of,
    sheet_sizes,
    sheets_for,
)
from quoting.engine.takeoff.stock import known_figure, of_code, of_roles
from quoting.engine.values import Material, MaterialKind, PriceBook, ShopTerms


def mould_roles(solid: Solid, board_mm: float) -> tuple[str, ...]:
    """Uses the price list must have a material for, to build this mould of board so thick (mm)."""
    piece = solid.piece
    kinds = {type(feature) for feature in piece.features}
    roles = ["mould_board", "screw", "edge_tape"]
    inner = solid.drop_band[1] if solid.drop_band else None
    if has_curves(solid.outline) or Trough in kinds or (inner is not None and has_curves(inner)):
        roles.append("strip_board")
    narrow = narrow_form(solid, board_mm) or any(narrow_core(b.trough, board_mm) for b in solid.troughs)
    if Opening in kinds or Recess in kinds or _foam_inlays(piece) or narrow:
        roles.append("knockout_foam")
    if Sleeve in kinds or any(isinstance(f, Trough) and f.drains for f in piece.features):
        roles.append("sleeve_tube")
    if Groove in kinds:
        roles.append("groove_former")
    return tuple(roles)


def _foam_inlays(piece: Piece) -> bool:
    return any(isinstance(f, Inlay) and (f.backlit or piece.cast == "face-up") for f in piece.features)


def mould(
    solid: Solid, book: PriceBook, terms: ShopTerms, quantity: int = 1, on_hand: OnHand | None = None
) -> Mould:
    """The mould of one piece, its layouts for `quantity` castings, offcuts `on_hand` used first.

    Raises Refused with every use the price list has no material for, and for parts too large for its sheets.
    """
    board_mm = next((board.thickness_mm or 0.0 for board in book.by_role("mould_board")), 0.0)
    of_roles(book, mould_roles(solid, board_mm))
    work = _whole_work(solid, book, terms)
    parts, placed = numbered([_in_stock_sizes(part, book, terms) for part in work.parts])
    laid = layouts_of(parts, book, terms, quantity, on_hand)
    cut_mm = work.sawn_mm + sum(part.quantity * _edge_mm(part, book) for part in parts)
    return Mould(
        parts=parts,
        layouts=laid.sheets,
        bars=laid.bars,
        bought=laid.bought,
        tape_m=tape_mm(parts, book) / 1000,
        cut_length_m=cut_mm / 1000,
        joint_length_m=sum(work.joints_mm) / 1000,
        screws=sum(screws_in(joint, terms.screw_spacing_mm) for joint in work.joints_mm),
        notes=(*work.notes, *_made_again(parts, book, quantity)),
        placed=(*placed, *work.placed),
        bead_m=beads_by_kind(work.beads),
        cautions=work.cautions,
    )


def _whole_work(solid: Solid, book: PriceBook, terms: ShopTerms) -> Work:
    boards = boards_of(book, terms)
    face_down = solid.piece.cast == "face-down"
    mirrored = (
        "The mould's plan is the piece's, mirrored: the show face lies on the base." if face_down else ""
    )
    works = [slab_work(solid, boards, book.by_role("knockout_foam"), terms), void_work(solid, book, terms)]
    works += [trough_work(body.trough, body.top_mm, face_down, boards, book, terms) for body in solid.troughs]
    crowded = Work(cautions=crowded_forms(solid, boards.board_mm, terms))
    return together([Work(notes=(mirrored,) if mirrored else ()), *works, crowded])


def _in_stock_sizes(part: Made, book: PriceBook, terms: ShopTerms) -> Made:
    """A part larger than its material comes in, made up of several alike."""
    material = book.materials[part.material]
    if material.kind is MaterialKind.BOARD:
        sheet = max(sheet_sizes(size, terms) for size in same_boards(material, book))
        count, length, width = panels_of(part.length_mm, part.width_mm, sheet)
    else:
        stock_mm = known_figure(material, "length_mm", "the length it comes in")
        (count, length), width = pieces_of(part.length_mm, stock_mm), part.width_mm
    if count == 1:
        return part
    edges = f"{part.edges}; {count} joined for one"
    return replace(part, length_mm=length, width_mm=width, quantity=part.quantity * count, edges=edges)


def boards_of(book: PriceBook, terms: ShopTerms) -> Boards:
    """The shop's mould board and bendable strip. Raises Refused where a thickness or sheet size lacks."""
    (board,) = of_roles(book, ["mould_board"])
    thick = known_figure(board, "thickness_mm", "its thickness")
    length, width = max(sheet_sizes(size, terms) for size in same_boards(board, book))
    strips = book.by_role("strip_board")
    if not strips:
        return Boards(board, None, thick, 0.0, length, width)
    strip_thick = known_figure(strips[0], "thickness_mm", "its thickness")
    return Boards(board, strips[0], thick, strip_thick, length, width, sheet_sizes(strips[0], terms)[0])


def makes(material: Material, quantity: int) -> int:
    """How often a part is made for `quantity` castings: ÷ castings its material lasts, rounded up."""
    return math.ceil(quantity / (material.casts or 1))


def _made_again(parts: Sequence[MouldPart], book: PriceBook, quantity: int) -> tuple[str, ...]:
    """What of a mould is made more than once, since `quantity` castings wear it out."""
    by_times: dict[int, list[str]] = {}
    for part in parts:
        by_times.setdefault(makes(book.materials[part.material], quantity), []).append(part.drawing)
    again = [f"{', '.join(marks)} {times} times" for times, marks in by_times.items() if times > 1]
    if not again:
        return ()
    return (f"{quantity} castings wear the mould out; the list is of one mould, make {'; '.join(again)}.",)


def tape_mm(parts: Sequence[MouldPart], book: PriceBook) -> float:
    """Raw edges of board that wet concrete can reach: round the base, along one edge of other parts."""
    total = 0.0
    for part in parts:
        if book.materials[part.material].role == "mould_board":
            edges = 2 * (part.length_mm + part.width_mm) if part.name == "base" else part.length_mm
            total += part.quantity * edges
    return total


def _edge_mm(part: MouldPart, book: PriceBook) -> float:
    """Saw cuts for one part: length + width of board (a cut serves two neighbours), the width of a length."""
    kind = book.materials[part.material].kind
    return part.length_mm + part.width_mm if kind is MaterialKind.BOARD else part.width_mm


# --- layouts ---------------------------------------------------------------------------------------------
@dataclass(frozen=True, slots=True)
class Layouts:
    """What all castings of a piece take of each mould material."""

    sheets: tuple[tuple[str, CutPlan], ...]
    bars: tuple[tuple[str, BarPlan], ...]
    bought: tuple[tuple[str, tuple[tuple[str, int], ...]], ...]
    """(material of the parts, ((code bought, packs), …)): one board may come in several sheet sizes."""


def layouts_of(
    parts: Sequence[MouldPart], book: PriceBook, terms: ShopTerms, quantity: int, on_hand: OnHand | None
) -> Layouts:
    """Mould parts laid out material by material, each made as often as `quantity` castings wear it out."""
    sheets: list[tuple[str, CutPlan]] = []
    bars: list[tuple[str, BarPlan]] = []
    bought: list[tuple[str, tuple[tuple[str, int], ...]]] = []
    for code in dict.fromkeys(part.material for part in parts):
        material = of_code(book, code, f"materials.{code}")
        own = [part for part in parts if part.material == code]
        times = makes(material, quantity)
        if material.kind is MaterialKind.BOARD:
            pieces = [Part(p.drawing, p.length_mm, p.width_mm, p.quantity) for p in own]
            plan, packs = sheets_for(same_boards(material, book), pieces, times, terms, on_hand)
            sheets.append((code, plan))
            bought.append((code, tuple(packs.items())))
        else:
            lengths = [BarPart(p.drawing, p.length_mm, p.quantity) for p in own]
            bar_plan, count = lengths_for(material, lengths, times, terms)
            bars.append((code, bar_plan))
            bought.append((code, ((code, count),)))
    return Layouts(tuple(sheets), tuple(bars), tuple(bought))


def same_boards(material: Material, book: PriceBook) -> tuple[Material, ...]:
    """The material first, then other sheet sizes of it: same use, same thickness."""
    others = [
        other
        for other in book.by_role(material.role)
        if material.role
        and other.code != material.code
        and other.kind is material.kind
        and other.thickness_mm == material.thickness_mm
    ]
    return (material, *others)
