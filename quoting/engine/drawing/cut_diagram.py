"""Cutting diagrams: parts on sheets with the cuts numbered in their order, pieces along bars."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import partial
from itertools import groupby

from quoting.engine.cutting.values import BarLayout, BarPlan, BarStock, Cut, CutPlan, SheetPlan, Stock
from quoting.engine.drawing import dimensions, sheet
from quoting.engine.drawing.canvas import Canvas
from quoting.engine.drawing.labels import Candidate, FromTip, LabelField, around, at_point
from quoting.engine.drawing.style import style_for
from quoting.engine.drawing.text import length_text, shortened, type_size, unit_note
from quoting.engine.drawing.values import Box, Drawing, Point

_OFFCUT = "#e6e6e6"
_BETWEEN = 9.0
_BAR_HIGH = 6.0
_KIND = {"x": "crosscut", "y": "rip"}
_FINE = 1.2  # a part narrower than this on the sheet is drawn in a narrow line


def cut_diagram(
    plan: CutPlan,
    stock: Sequence[Stock],
    system: str,
    *,
    only: int | None = None,
    title: str = "Cutting diagram",
    compact: bool = False,
    prefix: str = "cuts",
) -> Drawing:
    """Draw the sheets of a plan, alike ones once: parts with their sizes, offcuts toned, cuts numbered.

    x runs to the right and y upwards from the corner the plan counts from. `stock` gives the sheets' sizes,
    `only` picks one of the different sheets by number (from 0), for a page of its own. `system` is `metric`
    or `us`. Raises KeyError for a sheet whose code is not in `stock`.
    """
    sizes = {item.code: item for item in stock}
    groups = alike(plan)
    chosen = groups if only is None else groups[only : only + 1]
    style = style_for(compact=compact)
    canvas = Canvas(style)
    room = style.width - 2 * style.margin - 12.0
    scale = room / max((sizes[one.code].length_mm for one, _ in groups), default=1.0)
    top = 0.0
    for one, number in chosen:
        top = _sheet(canvas, one, number, sizes[one.code], scale, top, system)
    words = [f"{number} × {one.code}: {_in_words(one, system)}" for one, number in chosen]
    return sheet.finish(
        canvas,
        title=title,
        description="; ".join(words) + ".",
        prefix=prefix,
        scale=None,
        unit=unit_note(system),
        notes=[sheet.Entry(_said_cuts(one, system)) for one, _ in chosen],
        block=None,
    )


def alike(plan: CutPlan) -> tuple[tuple[SheetPlan, int], ...]:
    """The different sheets of a plan in order, with how many there are of each one after another."""
    return tuple((one, len(list(same))) for one, same in groupby(plan.sheets))


def _in_words(one: SheetPlan, system: str) -> str:
    parts = ", ".join(f"{part.name} {_size(part.length_mm, part.width_mm, system)}" for part in one.placed)
    offcuts = ", ".join(_size(rest.length_mm, rest.width_mm, system) for rest in one.offcuts)
    return parts + (f"; offcuts {offcuts}" if offcuts else "")


def _said_cuts(one: SheetPlan, system: str) -> str:
    said = [
        "\u00a0".join((str(number), _KIND[cut.axis], "at", length_text(cut.at_mm, system)))
        for number, cut in enumerate(one.cuts, 1)
    ]
    return f"Cuts on {one.code}: {', '.join(said)}." if said else f"{one.code} is used whole."


def _size(length: float, width: float, system: str) -> str:
    return f"{length_text(length, system)} × {length_text(width, system)}"


# --- a sheet ---------------------------------------------------------------------------------------------
def _sheet(
    canvas: Canvas, one: SheetPlan, number: int, stock: Stock, scale: float, top: float, system: str
) -> float:
    """Draw one sheet with its heading below `top`; returns where the next may begin."""
    many = f"{number} × " if number > 1 else ""
    heading = f"{many}{one.code}, {_size(stock.length_mm, stock.width_mm, system)}"
    caption = canvas.text(heading, (0.0, top + canvas.style.cap))
    corner = caption.y1 + 6.0
    low = corner + stock.width_mm * scale

    def laid(x: float, y: float, length: float, width: float) -> Box:
        return Box(x * scale, low - (y + width) * scale, (x + length) * scale, low - y * scale)

    field = LabelField(lambda box: box.y0 >= top)
    field.block(caption)
    rests = [laid(rest.x_mm, rest.y_mm, rest.length_mm, rest.width_mm) for rest in one.offcuts]
    for rest, box in zip(one.offcuts, rests, strict=True):
        canvas.rect(box, "thin", fill=_OFFCUT)
        _written_in(canvas, field, box, "offcut", _size(rest.length_mm, rest.width_mm, system))
    boxes = [laid(part.x_mm, part.y_mm, part.length_mm, part.width_mm) for part in one.placed]
    for box in boxes:
        canvas.rect(box, "thin" if min(box.width, box.height) < _FINE else "visible", fill="#fff")
    canvas.rect(laid(0.0, 0.0, stock.length_mm, stock.width_mm), "outline")
    beside = [
        (part.name, box)
        for part, box in zip(one.placed, boxes, strict=True)
        if not _written_in(canvas, field, box, part.name, _size(part.length_mm, part.width_mm, system))
    ]
    whole = (stock.length_mm, stock.width_mm)
    for cut in one.cuts:
        canvas.line(*_ends(cut, scale, low), stroke="thin")
    # short cuts have fewest places for their numbers, so they choose first
    for order, cut in sorted(enumerate(one.cuts, 1), key=lambda item: item[1].to_mm - item[1].from_mm):
        _cut(canvas, field, cut, order, whole, scale, low)
    for box in (*boxes, *rests):
        field.ink(((box.x0, box.y0), (box.x1, box.y0), (box.x1, box.y1), (box.x0, box.y1), (box.x0, box.y0)))
    for name, box in beside:
        _written_beside(canvas, field, box, name)
    return canvas.extent.y1 + _BETWEEN


def _written_in(canvas: Canvas, field: LabelField, box: Box, name: str, size: str) -> bool:
    """Name and size inside the box: on two lines, on one, turned, the name alone; False if none fits."""
    small = canvas.style.cap * 0.72
    one_line = f"{name}  {size}"
    (nw, nh), (sw, sh) = canvas.text_size(name), canvas.text_size(size, small)
    lw, lh = canvas.text_size(one_line, small)
    x, y = (box.x0 + box.x1) / 2, (box.y0 + box.y1) / 2
    wide, high = box.width - 1.0, box.height - 0.6
    if max(nw, sw) <= wide and nh + sh <= high:
        field.block(canvas.text_in(name, Box(x, y - (nh + sh) / 2, x, y + (nh - sh) / 2)))
        field.block(canvas.text_in(size, Box(x, y + (nh - sh) / 2, x, y + (nh + sh) / 2), cap=small))
    elif lw <= wide and lh <= high:
        field.block(canvas.text_in(one_line, box, cap=small))
    elif lw <= box.height - 1.0 and lh <= box.width - 0.6:
        field.block(canvas.text_in(one_line, box, cap=small, turned=True))
    elif canvas.text_size(name, small)[0] <= wide and lh <= high:
        field.block(canvas.text_in(name, box, cap=small))
    else:
        return False
    return True


def _written_beside(canvas: Canvas, field: LabelField, box: Box, name: str) -> None:
    """The name beside a part too small for it, with a leader."""
    small = canvas.style.cap * 0.72
    text = shortened(name, type_size(small), 40.0)
    middle = ((box.x0 + box.x1) / 2, (box.y0 + box.y1) / 2)
    extent = canvas.text_size(text, small)
    found = field.place(*extent, [_round_about(middle, extent)], must=True)
    if found is not None:
        canvas.text_in(text, found[0], cap=small)
        dimensions.leader(canvas, found[1].leader, arrow=False)


def _cut(
    canvas: Canvas,
    field: LabelField,
    cut: Cut,
    order: int,
    whole: tuple[float, float],
    scale: float,
    low: float,
) -> None:
    """The number of a cut in the order of cutting, outside the sheet where it can be."""
    start, end = _ends(cut, scale, low)
    cap = canvas.style.cap * 0.64
    text = str(order)
    width, height = canvas.text_size(text, cap)
    side = max(width, height) + 0.7
    found = field.place(side, side, _number_places(start, end, cut, whole, side), must=True)
    if found is None:
        return
    box, candidate = found
    if candidate.leader:
        canvas.line(*candidate.leader, stroke="thin")
    canvas.circle(((box.x0 + box.x1) / 2, (box.y0 + box.y1) / 2), side / 2, "thin", fill="#fff")
    canvas.text_in(text, box, cap=cap)


def _ends(cut: Cut, scale: float, low: float) -> tuple[Point, Point]:
    """Where a cut begins and ends on the drawing."""
    if cut.axis == "x":
        x = cut.at_mm * scale
        return (x, low - cut.from_mm * scale), (x, low - cut.to_mm * scale)
    y = low - cut.at_mm * scale
    return (cut.from_mm * scale, y), (cut.to_mm * scale, y)


def _number_places(
    start: Point, end: Point, cut: Cut, whole: tuple[float, float], side: float
) -> Iterator[Candidate | FromTip]:
    """Beyond the cut's ends at the sheet's edge, then along the cut, then farther out with a line to it."""
    upright = cut.axis == "x"
    reach = whole[1] if upright else whole[0]
    ends = []
    if cut.to_mm >= reach - 1e-6:
        ends.append((end, 1.0))
    if cut.from_mm <= 1e-6:
        ends.append((start, -1.0))
    for (x, y), way in ends:
        away = side / 2 + 0.5
        centre = (x, y - way * away) if upright else (x + way * away, y)
        yield Candidate(centre, 0.0, ((x, y), centre))
    for step in range(1, 20):
        share = step / 20
        yield Candidate(
            (end[0] + (start[0] - end[0]) * share, end[1] + (start[1] - end[1]) * share), 1.0 + share
        )
    for tip, way in ends:
        yield FromTip(tip, partial(_farther_out, tip, way, upright, side))
    yield _round_about(((start[0] + end[0]) / 2, (start[1] + end[1]) / 2), (side, side), 50.0)


def _farther_out(tip: Point, way: float, upright: bool, side: float) -> Iterator[Candidate]:
    """Beyond a cut's end, farther and farther, to either hand."""
    (x, y), step = tip, side * 0.6
    for ring in range(1, 40):
        for slide in (0.0, 0.5, -0.5, 1.0, -1.0, 2.0, -2.0):
            away, off = side / 2 + 0.5 + ring * step, slide * ring * step
            centre = (x + off, y - way * away) if upright else (x + way * away, y + off)
            yield Candidate(centre, 3.0 + ring, (tip, centre))


def _round_about(middle: Point, size: tuple[float, float], dearer: float = 0.0) -> FromTip:
    """On any side of a point, nearest first."""

    return FromTip(middle, partial(around, Box(*middle, *middle), size, at_point(middle), dearer))


# --- bars ------------------------------------------------------------------------------------------------
def bar_diagram(
    plan: BarPlan,
    stock: Sequence[BarStock],
    system: str,
    *,
    title: str = "Cutting diagram for bars",
    compact: bool = False,
    prefix: str = "bars",
) -> Drawing:
    """Draw the bars of a plan one below another, alike ones once: pieces in order, the offcut toned.

    `stock` gives the bars' lengths; raises KeyError for a bar whose code is not in it.
    """
    lengths = {item.code: item.length_mm for item in stock}
    style = style_for(compact=compact)
    canvas = Canvas(style)
    groups = [(one, len(list(same))) for one, same in groupby(plan.bars)]
    longest = max((lengths[one.code] for one, _ in groups), default=1.0)
    scale = (style.width - 2 * style.margin) / longest
    top = 0.0
    for one, number in groups:
        many = f"{number} × " if number > 1 else ""
        caption = canvas.text(
            f"{many}{one.code}, {length_text(lengths[one.code], system)}", (0.0, top + style.cap)
        )
        _bar(canvas, one, lengths[one.code], scale, caption.y1 + 1.0, system)
        top = canvas.extent.y1 + 4.0
    words = [
        f"{number} × {one.code}: "
        + ", ".join(f"{piece.name} {length_text(piece.length_mm, system)}" for piece in one.pieces)
        + f"; offcut {length_text(one.offcut_mm, system)}"
        for one, number in groups
    ]
    return sheet.finish(
        canvas,
        title=title,
        description="; ".join(words) + ".",
        prefix=prefix,
        scale=None,
        unit=unit_note(system),
        notes=[],
        block=None,
    )


def _bar(canvas: Canvas, one: BarLayout, length: float, scale: float, top: float, system: str) -> None:
    field = LabelField()
    low = top + _BAR_HIGH
    whole = Box(0.0, top, length * scale, low)
    if one.offcut_mm > 0:
        rest = Box((length - one.offcut_mm) * scale, top, length * scale, low)
        canvas.rect(rest, "thin", fill=_OFFCUT)
        _written_in(canvas, field, rest, "offcut", length_text(one.offcut_mm, system))
    boxes = [
        Box(piece.x_mm * scale, top, (piece.x_mm + piece.length_mm) * scale, low) for piece in one.pieces
    ]
    beside = []
    for piece, box in zip(one.pieces, boxes, strict=True):
        canvas.rect(box, "thin" if box.width < _FINE else "visible", fill="#fff")
        if not _written_in(canvas, field, box, piece.name, length_text(piece.length_mm, system)):
            beside.append((piece.name, box))
    canvas.rect(whole, "outline")
    for label in canvas.labels:
        field.block(label.box)
    field.limit(lambda box: box.y0 >= low)
    for name, box in beside:
        _written_beside(canvas, field, box, name)
