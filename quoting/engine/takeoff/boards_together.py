"""The boards of several moulds laid out together, offcuts on hand first: fewer sheets than each by itself."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from typing import Final

from quoting.engine.cutting.values import CutPlan, Part, Stock
from quoting.engine.takeoff.lines import MaterialLine, Mould
from quoting.engine.takeoff.mould import makes, same_boards
from quoting.engine.takeoff.nesting import OnHand, lay_out_on_sheets
from quoting.engine.takeoff.stock import counted_line, known_figure
from quoting.engine.takeoff.wording import count_of
from quoting.engine.values import Material, MaterialKind, PriceBook, ShopTerms

MOST_TOGETHER: Final = 400
"""Parts laid out together; of more, each mould keeps the sheets of its own layout."""
STAGE: Final = "boards"
"""Stage of the lines that stand for a layout of several moulds."""


@dataclass(frozen=True, slots=True)
class ToBuild:
    """A mould to be built for so many castings; `mark` goes before the names of its parts."""

    mark: str
    mould: Mould
    castings: int


@dataclass(frozen=True, slots=True)
class BoardsTogether:
    """One board's parts of all the moulds."""

    code: str
    """Of the board that the parts name; sheets may be other sizes of it."""
    parts: int
    moulds: int
    plan: CutPlan | None
    """None where there are too many parts, or nothing is saved: each mould is cut by its own layout."""
    stock: tuple[Stock, ...]
    """Sheets and offcuts that the plan cuts from."""
    bought: tuple[tuple[str, int], ...]
    """(code, sheets) to buy."""
    offcuts: tuple[str, ...]
    """Labels of the offcuts used."""
    area_m2: float
    """Of the parts."""


def boards_together(
    moulds: Sequence[ToBuild], book: PriceBook, terms: ShopTerms, on_hand: OnHand | None = None
) -> tuple[BoardsTogether, ...]:
    """Lay out the boards of all moulds, board by board in the order they first appear.

    Parts are made as often as the castings wear them out. `on_hand` has offcuts by the code of their board,
    labels all different. Raises Refused for a part that fits no sheet.
    """
    codes = dict.fromkeys(
        part.material
        for one in moulds
        for part in one.mould.parts
        if book.materials[part.material].kind is MaterialKind.BOARD
    )
    return tuple(_of_board(book.materials[code], moulds, book, terms, on_hand or {}) for code in codes)


def _of_board(
    board: Material, moulds: Sequence[ToBuild], book: PriceBook, terms: ShopTerms, on_hand: OnHand
) -> BoardsTogether:
    parts = [
        Part(
            f"{one.mark} {part.drawing}",
            part.length_mm,
            part.width_mm,
            part.quantity * makes(board, one.castings),
        )
        for one in moulds
        for part in one.mould.parts
        if part.material == board.code
    ]
    sizes = same_boards(board, book)
    count = sum(part.quantity for part in parts)
    held = tuple(offcut for size in sizes for offcut in on_hand.get(size.code, ()))
    together = BoardsTogether(
        code=board.code,
        parts=count,
        moulds=sum(any(part.material == board.code for part in one.mould.parts) for one in moulds),
        plan=None,
        stock=(*held, *(_sheet(size) for size in sizes)),
        bought=(),
        offcuts=(),
        area_m2=sum(part.length_mm * part.width_mm * part.quantity for part in parts) / 1e6,
    )
    apart = replace(together, bought=_apart(board.code, moulds))
    if count > MOST_TOGETHER:
        return apart
    plan = lay_out_on_sheets(sizes, parts, terms, on_hand)
    used = [sheet.code for sheet in plan.sheets]
    bought = tuple((size.code, used.count(size.code)) for size in sizes if size.code in used)
    labels = {offcut.code for offcut in held}
    offcuts = tuple(code for code in used if code in labels)
    if _price(bought, book) > _price(apart.bought, book):
        return apart
    return replace(together, plan=plan, bought=bought, offcuts=offcuts)


def _price(bought: Sequence[tuple[str, int]], book: PriceBook) -> Decimal:
    return sum((number * book.materials[code].price for code, number in bought), Decimal(0))


def _sheet(size: Material) -> Stock:
    length_mm = known_figure(size, "length_mm", "the length of a sheet")
    return Stock(size.code, length_mm, known_figure(size, "width_mm", "the width of a sheet"), size.price)


def _apart(code: str, moulds: Sequence[ToBuild]) -> tuple[tuple[str, int], ...]:
    """The sheets of each mould's own layout, added up."""
    sheets: dict[str, int] = {}
    for one in moulds:
        for size, number in dict(one.mould.bought).get(code, ()):
            sheets[size] = sheets.get(size, 0) + number
    return tuple(sheets.items())


def lines_together(
    takeoffs: Iterable[Iterable[MaterialLine]],
    boards: Sequence[BoardsTogether],
    book: PriceBook,
    terms: ShopTerms,
) -> list[list[MaterialLine]]:
    """The lines of all take-offs, those of the boards in place of the moulds' own."""
    groups = {size.code for one in boards for size in same_boards(book.materials[one.code], book)}
    kept = [
        [line for line in takeoff if not (line.stage == "mould" and line.by_layout and line.code in groups)]
        for takeoff in takeoffs
    ]
    return [*kept, [line for one in boards for line in _lines(one, book, terms)]]


def _lines(one: BoardsTogether, book: PriceBook, terms: ShopTerms) -> Iterable[MaterialLine]:
    lead = f"{count_of(one.parts, 'part')} of {count_of(one.moulds, 'mould')}"
    if one.plan is None:
        lead += ", each mould by its own layout"
    elif one.offcuts:
        lead += f", {count_of(len(one.offcuts), 'offcut')} used first"
    if not one.bought:
        yield counted_line(book.materials[one.code], STAGE, one.area_m2, 0, terms, lead=lead)
    total = sum(number for _, number in one.bought)
    for code, number in one.bought:
        share = one.area_m2 * number / total
        yield counted_line(book.materials[code], STAGE, share, number, terms, lead=lead)
