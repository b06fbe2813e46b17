"""A waterfall: from one total to another, each change a bar from where the last one ended."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from quoting.engine.drawing.canvas import Canvas
from quoting.engine.drawing.style import style_for
from quoting.engine.drawing.text import shortened, type_size
from quoting.engine.drawing.values import Box, Drawing

_BAR = 3.4
_BETWEEN = 2.6


@dataclass(frozen=True, slots=True)
class Step:
    """One change: where the total was, where it is after, and its figures as they are to be read."""

    label: str
    before: float
    after: float
    text: str


def waterfall(
    steps: Sequence[Step], *, title: str, compact: bool = False, prefix: str = "waterfall"
) -> Drawing:
    """Draw changes one below the other; what adds is dark, what takes away is open.

    The scale runs from the lowest total to the highest, in the unit of the steps, not from nothing.
    """
    style = style_for(compact=compact)
    canvas = Canvas(style)
    width = style.width - 2 * style.margin
    ends = [end for step in steps for end in (step.before, step.after)]
    low, high = min(ends, default=0.0), max(ends, default=0.0)
    scale = width / (high - low) if high > low else 0.0
    size = type_size(style.cap)
    top = 0.0
    for place, step in enumerate(steps):
        base = top + 0.78 * size
        said = canvas.text(step.text, (width, base), anchor="end")
        canvas.text(shortened(step.label, size, said.x0 - 2.0), (0.0, base))
        top = base + 0.24 * size + 0.4
        left, right = sorted(((step.before - low) * scale, (step.after - low) * scale))
        canvas.rect(
            Box(left, top, right, top + _BAR), "thin", fill="#555" if step.after > step.before else "#fff"
        )
        if place + 1 < len(steps):
            at = (step.after - low) * scale
            canvas.line((at, top + _BAR), (at, top + _BAR + 0.8))
        top += _BAR + _BETWEEN
    canvas.reach(Box(0.0, 0.0, width, max(top, 1.0)))
    words = "; ".join(f"{step.label}: {step.text}" for step in steps)
    return canvas.drawing(title, f"{words}." if words else "No change.", prefix=prefix, width=style.width)
