"""What stands below a view: notes, the schedule of features, the title block after ISO 7200."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from quoting.engine.drawing import dimensions
from quoting.engine.drawing.canvas import Canvas
from quoting.engine.drawing.text import ascent, descent, shortened, type_size, wrapped
from quoting.engine.drawing.values import Box, Drawing, TitleBlock

_LEADING = 1.3
_FIELD_CAP = 1.5


@dataclass(frozen=True, slots=True)
class Entry:
    """One line below the view; `number` is the item's, in a balloon if it is short, empty for a note."""

    text: str
    number: str = ""


def entries_below(canvas: Canvas, entries: Sequence[Entry], *, left: float, width: float) -> None:
    """Set the entries below everything drawn so far, wrapped to `width` from `left`."""
    style = canvas.style
    size = type_size(style.cap)
    diameter = balloon_size(canvas, entries)
    indent = _indent(canvas, entries, diameter)
    y = canvas.extent.y1 + 3.0
    for entry in entries:
        height = ascent(size) + descent(size)
        in_balloon = entry.number.isdecimal()
        if in_balloon:
            height = max(height, diameter)
            dimensions.balloon(canvas, entry.number, Box(left, y, left + diameter, y + diameter))
        start = left + (indent if entry.number else 0.0)
        first = y + height / 2 + (ascent(size) - descent(size)) / 2
        if entry.number and not in_balloon:
            canvas.text(entry.number, (left, first))
        lines = wrapped(entry.text, size, width - (start - left))
        for index, line in enumerate(lines):
            canvas.text(line, (start, first + index * _LEADING * size))
        y += height + (len(lines) - 1) * _LEADING * size + 0.25 * style.cap


def _indent(canvas: Canvas, entries: Sequence[Entry], diameter: float) -> float:
    widths = [
        diameter if entry.number.isdecimal() else canvas.text_size(entry.number)[0]
        for entry in entries
        if entry.number
    ]
    return max(widths, default=0.0) + 1.5


def balloon_size(canvas: Canvas, entries: Sequence[Entry]) -> float:
    """Diameter of a balloon that holds the longest of the numbers."""
    numbers = [entry.number for entry in entries if entry.number.isdecimal()]
    return max([1.9 * canvas.style.cap, *(canvas.text_size(number)[0] + 1.2 for number in numbers)])


def title_block(canvas: Canvas, block: TitleBlock, *, scale: str, unit: str, left: float) -> None:
    """Draw the title block, 180 mm wide, below everything drawn so far."""
    top = canvas.extent.y1 + 4.0
    rows: tuple[tuple[float, tuple[tuple[str, str, float], ...]], ...] = (
        (
            8.0,
            (
                ("Legal owner", block.owner, 70.0),
                ("Document type", block.document_type, 55.0),
                ("Identification number", block.number, 55.0),
            ),
        ),
        (
            8.0,
            (
                ("Title", block.title, 100.0),
                ("Rev.", block.revision, 15.0),
                ("Date of issue", block.date, 35.0),
                ("Sheet", block.sheet, 30.0),
            ),
        ),
        (
            8.0,
            (
                ("Created by", block.creator, 50.0),
                ("Approved by", block.approver, 50.0),
                ("Scale", scale, 25.0),
                ("Unit", unit, 55.0),
            ),
        ),
    )
    if block.supplement:
        rows = (*rows[:2], (8.0, (("Supplementary title", block.supplement, 180.0),)), rows[2])
    y = top
    for height, fields in rows:
        x = left
        for label, value, width in fields:
            _field(canvas, Box(x, y, x + width, y + height), label, value)
            x += width
        y += height
    line = canvas.style.narrow  # half the frame's line, which lies within the 180 mm
    canvas.rect(Box(left + line, top, left + 180.0 - line, y), "outline")


def _field(canvas: Canvas, box: Box, label: str, value: str) -> None:
    canvas.rect(box, "thin")
    canvas.text(label, (box.x0 + 1.0, box.y0 + 2.6), cap=_FIELD_CAP)
    size = type_size(canvas.style.cap)
    canvas.text(shortened(value, size, box.width - 2.0), (box.x0 + 1.0, box.y1 - 1.4))


def finish(
    canvas: Canvas,
    *,
    title: str,
    description: str,
    prefix: str,
    scale: str | None,
    unit: str,
    notes: Sequence[Entry],
    block: TitleBlock | None,
) -> Drawing:
    """Notes, schedule and title block below the view, then the finished drawing; `scale` None: to none."""
    style = canvas.style
    width = style.width - 2 * style.margin
    middle = (canvas.extent.x0 + canvas.extent.x1) / 2
    left = middle - width / 2
    sentences = [unit]
    if scale is None:
        sentences.append("Not to scale")
    elif not style.compact and block is None:
        wide = f"{style.width / 25.4:.2f} in" if "inches" in unit else f"{style.width:g} mm"
        sentences.append(f"Scale {scale} when {wide} wide")
    entries_below(canvas, [Entry(". ".join(sentences) + "."), *notes], left=left, width=width)
    if block is not None and not style.compact:
        plain_unit = unit.partition(",")[0].removeprefix("Dimensions in ")
        title_block(canvas, block, scale=scale or "none", unit=plain_unit, left=middle - 90.0)
    return canvas.drawing(title, description, prefix=prefix, width=style.width)
