"""Writes SVG: numbers, lines, texts, and the frame of an accessible, self-contained `<svg>` element.

Presentation attributes only: no style element or attribute, script, or reference to anything outside.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from typing import Literal
from xml.sax.saxutils import escape, quoteattr

from quoting.engine.drawing.style import LINE_TYPES, SheetStyle, Stroke
from quoting.engine.drawing.text import advance, ascent, descent, type_size
from quoting.engine.drawing.values import Box, Drawing, PlacedLabel, Point

FONT = "DejaVu Sans, Liberation Sans, Arial, Helvetica, sans-serif"
Anchor = Literal["start", "middle", "end"]


def num(value: float) -> str:
    """A number with at most three decimals and no negative zero.

    >>> num(-0.0001), num(2.5), num(3.0)
    ('0', '2.5', '3')
    """
    text = f"{value:.3f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def clean(text: str) -> str:
    """`text` without characters that XML 1.0 cannot carry, on one line."""
    kept = "".join(char if char.isprintable() or char == "\u00a0" else " " for char in text)
    return " ".join(word for word in kept.split(" ") if word)


def polyline(points: Iterable[Point], *, closed: bool = False) -> str:
    """Path data through `points`."""
    body = "L".join(f"{num(x)} {num(y)}" for x, y in points)
    return f"M{body}{'Z' if closed else ''}"


class Canvas:
    """Collects the marks of one drawing in sheet mm (y down) and remembers how far they reach."""

    def __init__(self, style: SheetStyle) -> None:
        self.style = style
        self.labels: list[PlacedLabel] = []
        self._marks: list[str] = []
        self._extent: Box | None = None

    # --- reach -------------------------------------------------------------------------------------------
    @property
    def extent(self) -> Box:
        """The box around everything drawn so far."""
        return self._extent or Box(0, 0, 0, 0)

    def reach(self, box: Box) -> None:
        """Count `box` as drawn upon."""
        self._extent = box if self._extent is None else self._extent.joined(box)

    def reach_points(self, points: Iterable[Point]) -> None:
        """Count each of the points as drawn upon."""
        drawn = list(points)
        if drawn:
            xs, ys = [x for x, _ in drawn], [y for _, y in drawn]
            self.reach(Box(min(xs), min(ys), max(xs), max(ys)))

    # --- marks -------------------------------------------------------------------------------------------
    def path(
        self,
        data: str,
        stroke: Stroke | None,
        *,
        fill: str = "none",
        box: Box | None = None,
        holes: bool = False,
    ) -> None:
        """Draw path data; the caller says how far it reaches, where nothing else does. With `holes`, a ring
        inside another is left open."""
        if box is not None:
            self.reach(box)
        rule = ' fill-rule="evenodd"' if holes else ""
        self._marks.append(f'<path d="{data}" fill="{fill}"{rule}{self._stroke(stroke)}/>')

    def line(self, *points: Point, stroke: Stroke = "thin", closed: bool = False, fill: str = "none") -> None:
        """A straight line through the points."""
        self.reach_points(points)
        self.path(polyline(points, closed=closed), stroke, fill=fill)

    def lines(self, pieces: Iterable[tuple[Point, ...]], stroke: Stroke) -> None:
        """Many unconnected lines as one path."""
        kept = [piece for piece in pieces if len(piece) > 1]
        for piece in kept:
            self.reach_points(piece)
        if kept:
            self.path("".join(polyline(piece) for piece in kept), stroke)

    def circle(
        self, centre: Point, radius: float, stroke: Stroke | None = "thin", fill: str = "none"
    ) -> None:
        """A circle of `radius` mm about `centre`."""
        x, y = centre
        self.reach(Box(x - radius, y - radius, x + radius, y + radius))
        self._marks.append(
            f'<circle cx="{num(x)}" cy="{num(y)}" r="{num(radius)}" fill="{fill}"{self._stroke(stroke)}/>'
        )

    def rect(self, box: Box, stroke: Stroke | None, *, fill: str = "none") -> None:
        """An upright rectangle."""
        self.reach(box)
        self._marks.append(
            f'<rect x="{num(box.x0)}" y="{num(box.y0)}" width="{num(box.width)}" height="{num(box.height)}"'
            f' fill="{fill}"{self._stroke(stroke)}/>'
        )

    def arrow(self, tip: Point, towards: Point) -> None:
        """A filled arrowhead at `tip`, pointing along the direction `towards`."""
        length = self.style.arrow
        size = math.hypot(*towards)
        ux, uy = towards[0] / size, towards[1] / size
        half = length * math.tan(math.radians(10))
        back = (tip[0] - ux * length, tip[1] - uy * length)
        corners = (
            tip,
            (back[0] - uy * half, back[1] + ux * half),
            (back[0] + uy * half, back[1] - ux * half),
        )
        self.reach_points(corners)
        self.path(polyline(corners, closed=True), None, fill="#000")

    def _stroke(self, stroke: Stroke | None) -> str:
        if stroke is None:
            return ""
        kind = LINE_TYPES[stroke]
        width = kind.width * self.style.narrow
        dashes = " ".join(num(part * width) for part in kind.dashes)
        pattern = f' stroke-dasharray="{dashes}" stroke-linecap="butt"' if dashes else ""
        return f' stroke="{kind.colour}" stroke-width="{num(width)}"{pattern}'

    # --- texts -------------------------------------------------------------------------------------------
    def text_size(self, text: str, cap: float | None = None) -> tuple[float, float]:
        """Width and height of the box of a one-line text."""
        size = type_size(cap or self.style.cap)
        return advance(clean(text), size), ascent(size) + descent(size)

    def text(
        self,
        text: str,
        at: Point,
        *,
        anchor: Anchor = "start",
        cap: float | None = None,
        turned: bool = False,
        bold: bool = False,
    ) -> Box:
        """Set one line of text with its base line at `at`; `turned` runs it upwards. Returns its box."""
        plain = clean(text)
        size = type_size(cap or self.style.cap)
        width = advance(plain, size) * (1.12 if bold else 1.0)
        before = {"start": 0.0, "middle": width / 2, "end": width}[anchor]
        x, y = at
        up, down = ascent(size), descent(size)
        if turned:
            box = Box(x - up, y - width + before, x + down, y + before)
        else:
            box = Box(x - before, y - up, x - before + width, y + down)
        if not plain:
            return box
        self.reach(box)
        self.labels.append(PlacedLabel(plain, box, turned))
        place = (
            f'transform="translate({num(x)} {num(y)}) rotate(-90)"'
            if turned
            else f'x="{num(x)}" y="{num(y)}"'
        )
        weight = ' font-weight="bold"' if bold else ""
        self._marks.append(
            f'<text {place} font-size="{num(size)}" text-anchor="{anchor}" fill="#000"{weight}>'
            f"{escape(plain)}</text>"
        )
        return box

    def text_in(
        self, text: str, box: Box, *, cap: float | None = None, turned: bool = False, clear: bool = False
    ) -> Box:
        """Set one line of text in the middle of `box`, on a cleared ground where lines may run under it."""
        if clear:
            self.rect(box, None, fill="#fff")
        size = type_size(cap or self.style.cap)
        x, y = (box.x0 + box.x1) / 2, (box.y0 + box.y1) / 2
        drop = (ascent(size) - descent(size)) / 2
        at = (x + drop, y) if turned else (x, y + drop)
        return self.text(text, at, anchor="middle", cap=cap, turned=turned)

    # --- the whole ---------------------------------------------------------------------------------------
    def drawing(
        self, title: str, description: str, *, prefix: str, width: float | None = None, paper: bool = False
    ) -> Drawing:
        """Close the drawing: everything moved onto a sheet `width` wide, or as wide as the marks.

        `paper` gives the element its size in mm, for printing 1 : 1; else it fills the width it is given.
        """
        margin = self.style.margin
        extent = self.extent.grown(margin)
        # marks may use a sheet's whole width, so that a 180 mm title block fits a 180 mm sheet
        sheet_width = max(width or 0.0, self.extent.width if width else extent.width)
        dx, dy = (sheet_width - extent.width) / 2 - extent.x0, -extent.y0
        height = extent.height
        title, description = clean(title), clean(description)
        title_id, desc_id = f"{prefix}-title", f"{prefix}-desc"
        size = f'width="{num(sheet_width)}mm" height="{num(height)}mm"' if paper else 'width="100%"'
        svg = "".join(
            (
                f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {num(sheet_width)} {num(height)}"',
                f" {size}",
                f' role="img" aria-labelledby={quoteattr(f"{title_id} {desc_id}")}',
                f' font-family="{FONT}">',
                f"<title id={quoteattr(title_id)}>{escape(title)}</title>",
                f"<desc id={quoteattr(desc_id)}>{escape(description)}</desc>",
                f'<rect width="{num(sheet_width)}" height="{num(height)}" fill="#fff"/>',
                f'<g transform="translate({num(dx)} {num(dy)})"',
                ' stroke-linejoin="round" stroke-linecap="round">',
                *self._marks,
                "</g></svg>",
            )
        )
        labels = tuple(
            PlacedLabel(label.text, label.box.moved(dx, dy), label.turned) for label in self.labels
        )
        return Drawing(svg, title, description, sheet_width, height, labels)
