"""Charts from values: bars beside what was expected, swings about a middle, a cumulative curve.

Numbers are lettered by the caller, who knows their unit and currency; nothing is told by colour alone.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import pairwise

from quoting.engine.drawing.canvas import Canvas, polyline
from quoting.engine.drawing.labels import LabelField, around, at_point, leader_to
from quoting.engine.drawing.style import SheetStyle, style_for
from quoting.engine.drawing.text import shortened, type_size
from quoting.engine.drawing.values import Box, Drawing, Point

_DARK, _LIGHT = "#555", "#fff"
_BAR = 3.4
_BETWEEN = 3.0


@dataclass(frozen=True, slots=True)
class Bar:
    """One row: a value as a dark bar and, beneath it as an open bar, what it is held against."""

    label: str
    value: float
    text: str
    """The row's figures as they are to be read, such as `6.5 h, planned 5.0 h`."""
    expected: float | None = None


@dataclass(frozen=True, slots=True)
class Swing:
    """One row of a tornado: what the result becomes when one thing is low, and when it is high."""

    label: str
    low: float
    high: float
    low_text: str
    high_text: str


@dataclass(frozen=True, slots=True)
class Mark:
    """A point of a cumulative curve worth naming: `share` of all results are at most `value`."""

    value: float
    share: float
    text: str


def bars(
    rows: Sequence[Bar],
    *,
    title: str,
    description: str = "",
    compact: bool = False,
    prefix: str = "bars",
    reach: float = 0.0,
) -> Drawing:
    """Draw horizontal bars from a common zero; values below zero run to the left of it.

    Without `description` the rows' labels and texts are the description. `reach` is a value that the scale
    has room for whatever the rows are, so that charts can share one.
    """
    style = style_for(compact=compact)
    canvas = Canvas(style)
    width = style.width - 2 * style.margin
    values = [
        0.0,
        reach,
        *(row.value for row in rows),
        *(row.expected for row in rows if row.expected is not None),
    ]
    low, high = min(values), max(values)
    scale = _scale(width, low, high)
    zero = -low * scale
    top = 0.0
    for row in rows:
        top = _heading(canvas, row.label, row.text, width, top)
        start = top
        spans = [(row.value, _DARK)] + ([] if row.expected is None else [(row.expected, _LIGHT)])
        for value, fill in spans:
            left, right = sorted((zero, zero + value * scale))
            canvas.rect(Box(left, top, right, top + _BAR), "thin", fill=fill)
            top += _BAR
        canvas.line((zero, start), (zero, top), stroke="visible")
        top += _BETWEEN
    canvas.reach(Box(0.0, 0.0, width, max(top, 1.0)))
    words = description or "; ".join(f"{row.label}: {row.text}" for row in rows) + "."
    return canvas.drawing(title, words, prefix=prefix, width=style.width)


def _scale(room: float, low: float, high: float) -> float:
    """Sheet mm for one unit; nothing where the values are all but equal."""
    span = high - low
    return room / span if span > 1e-9 * max(1e-9, abs(low), abs(high)) else 0.0


def _heading(canvas: Canvas, label: str, text: str, width: float, top: float) -> float:
    """Label to the left and figures to the right above a bar; on two lines where both do not fit on one."""
    size = type_size(canvas.style.cap)
    height = canvas.text_size("")[1]
    said = shortened(text, size, width)
    room = width - canvas.text_size(said)[0] - 2.0
    base = top + 0.78 * size
    if canvas.text_size(label)[0] > room:
        canvas.text(shortened(label, size, width), (0.0, base))
        base += height
    else:
        canvas.text(label, (0.0, base))
    canvas.text(said, (width, base), anchor="end")
    return base + 0.24 * size + 0.4


def tornado(
    rows: Sequence[Swing],
    middle: float,
    middle_text: str,
    *,
    title: str,
    compact: bool = False,
    prefix: str = "tornado",
) -> Drawing:
    """Draw how far each thing swings the result about `middle`, in the order given (widest first is usual).

    The part towards the low case is open, towards the high case dark.
    """
    style = style_for(compact=compact)
    canvas = Canvas(style)
    width = style.width - 2 * style.margin
    texts = [canvas.text_size(text)[0] for row in rows for text in (row.low_text, row.high_text)]
    aside = max(texts, default=0.0) + 1.5
    ends = [middle, *(end for row in rows for end in (row.low, row.high))]
    low, high = min(ends), max(ends)
    scale = _scale(width - 2 * aside, low, high)

    def at(value: float) -> float:
        return aside + (value - low) * scale

    size = type_size(style.cap)
    height = canvas.text_size("")[1]
    heading = canvas.text(
        middle_text, (_kept(at(middle), canvas, middle_text, width), 0.78 * size), anchor="middle"
    )
    top = first = heading.y1 + 1.0
    for row in rows:
        canvas.text(shortened(row.label, size, width), (0.0, top + 0.78 * size))
        top += height + 0.4
        for value, fill in ((row.low, _LIGHT), (row.high, _DARK)):
            left, right = sorted((at(middle), at(value)))
            canvas.rect(Box(left, top, right, top + _BAR), "thin", fill=fill)
        left, right = sorted((at(row.low), at(row.high)))
        left, right = min(left, at(middle)), max(right, at(middle))
        words = (row.low_text, row.high_text) if row.low <= row.high else (row.high_text, row.low_text)
        base = top + _BAR / 2 + 0.27 * size
        canvas.text(words[0], (left - 1.0, base), anchor="end")
        canvas.text(words[1], (right + 1.0, base))
        top += _BAR + _BETWEEN
    canvas.line((at(middle), first), (at(middle), max(top - _BETWEEN, first + 1.0)), stroke="centre")
    canvas.reach(Box(0.0, 0.0, width, top))
    words_all = "; ".join(f"{row.label}: from {row.low_text} to {row.high_text}" for row in rows)
    return canvas.drawing(title, f"{middle_text}. {words_all}.", prefix=prefix, width=style.width)


def _kept(x: float, canvas: Canvas, text: str, width: float) -> float:
    """`x`, moved so that a text in its middle stays on the sheet."""
    half = canvas.text_size(text)[0] / 2
    return min(max(x, half), width - half)


def cumulative(
    curve: Sequence[tuple[float, float]],
    marks: Sequence[Mark],
    *,
    title: str,
    low_text: str,
    high_text: str,
    compact: bool = False,
    prefix: str = "curve",
) -> Drawing:
    """Draw the share of results (0 to 1, upwards) that are at most each value (to the right).

    `curve` are (value, share), both ascending; `low_text` and `high_text` letter its ends. Raises ValueError
    for a curve of fewer than two points or one that falls.
    """
    if len(curve) < 2 or any(b[0] < a[0] or b[1] < a[1] for a, b in pairwise(curve)):
        raise ValueError("a cumulative curve needs at least two points, both coordinates ascending")
    style = style_for(compact=compact)
    canvas = Canvas(style)
    field = LabelField()
    lay = _axes(canvas, field, style, (curve[0][0], curve[-1][0]), (low_text, high_text))
    points = [lay(value, share) for value, share in curve]
    canvas.reach_points(points)
    canvas.path(polyline(points), "outline")
    field.ink(points)
    frame = (lay(curve[0][0], 1.0), lay(curve[-1][0], 0.0))
    field.limit(
        lambda box: (
            box.x0 >= frame[0][0] + 0.5
            and box.x1 <= frame[1][0]
            and box.y0 >= frame[0][1]
            and box.y1 <= frame[1][1] - 0.5
        )
    )
    for mark in marks:
        at, foot = lay(mark.value, mark.share), lay(mark.value, 0.0)
        canvas.line(at, foot, stroke="hidden")
        canvas.circle(at, 0.8, "thin", fill="#fff")
        field.ink((at, foot))
    for mark in marks:
        _mark_label(canvas, field, lay(mark.value, mark.share), mark.text)
    words = "; ".join(mark.text for mark in marks)
    return canvas.drawing(
        title, f"From {low_text} to {high_text}. {words}.", prefix=prefix, width=style.width
    )


def _axes(
    canvas: Canvas,
    field: LabelField,
    style: SheetStyle,
    ends: tuple[float, float],
    texts: tuple[str, str],
) -> Callable[[float, float], Point]:
    """Frame and lettering; returns where a (value, share) lies on the sheet."""
    aside = canvas.text_size("100 %")[0] + 1.0
    right = style.width - 2 * style.margin
    bottom = 0.5 * right
    span = ends[1] - ends[0] or 1.0
    size = type_size(style.cap)

    def lay(value: float, share: float) -> Point:
        return (aside + (value - ends[0]) / span * (right - aside), bottom * (1 - share))

    for percent in (0, 25, 50, 75, 100):
        y = lay(ends[0], percent / 100)[1]
        canvas.line((aside, y), (right, y))
        field.ink(((aside, y), (right, y)))
        canvas.text(f"{percent} %", (aside - 1.0, y + 0.27 * size), anchor="end")
    canvas.line((aside, 0.0), (aside, bottom), stroke="visible")
    canvas.text(shortened(texts[0], size, (right - aside) / 2 - 1.0), (aside, bottom + 1.6 * size))
    canvas.text(
        shortened(texts[1], size, (right - aside) / 2 - 1.0), (right, bottom + 1.6 * size), anchor="end"
    )
    return lay


def _mark_label(canvas: Canvas, field: LabelField, at: Point, text: str) -> None:
    size = canvas.text_size(text)
    placed = field.place(*size, around(Box(*at, *at), size, at_point(at)), must=True)
    if placed is not None:
        canvas.text_in(text, placed[0], clear=True)
        canvas.line(*leader_to(at, placed[1].centre, size))
