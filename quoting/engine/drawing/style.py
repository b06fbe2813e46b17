"""Line types, line widths, lettering sizes and scales of the sheet.

Line types after ISO 128-2:2020 (numbers of its table; dash lengths in multiples of the line width d: dash
12 d, long dash 24 d, gap 3 d, dot 0.5 d), widths from its series in the ratio 2 : 1, lettering after
ISO 3098-1, scales after ISO 5455. Numbers of the standards are from memory of common drawing practice.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Literal

Stroke = Literal["outline", "visible", "thin", "hidden", "centre", "phantom", "cut_plane", "hatch", "border"]


@dataclass(frozen=True, slots=True)
class LineType:
    """A width in multiples of the narrow line and a dash pattern in multiples of the line's own width."""

    width: float
    dashes: tuple[float, ...] = ()
    colour: str = "#000"


LINE_TYPES: Final[dict[Stroke, LineType]] = {
    "outline": LineType(2.0),  # 01.2 continuous wide: visible outlines
    "visible": LineType(1.4),  # visible edges of lesser weight, inner edges of pockets
    "thin": LineType(0.72),  # 01.1 continuous narrow: dimension, extension, leader lines
    "hidden": LineType(1.0, (12, 3)),  # 02.1 dashed narrow: hidden edges
    "centre": LineType(0.72, (24, 3, 0.5, 3)),  # 04.1 long-dashed dotted narrow: centre lines
    "phantom": LineType(0.72, (24, 3, 0.5, 3, 0.5, 3)),  # 05.1 double-dotted: adjacent parts
    "cut_plane": LineType(2.0),  # 04.2 ends of the cutting plane
    "hatch": LineType(0.6),  # 01.1: hatching of cut faces (ISO 128-3)
    "border": LineType(1.4),
}


@dataclass(frozen=True, slots=True)
class SheetStyle:
    """Sizes on the sheet, mm. `narrow` is the width of the narrow line."""

    width: float
    cap: float
    narrow: float
    margin: float
    compact: bool

    @property
    def arrow(self) -> float:
        """Length of an arrowhead; its sides open 20°."""
        return 1.1 * self.cap


SHEET: Final = SheetStyle(width=180.0, cap=2.5, narrow=0.25, margin=2.0, compact=False)
"""For paper and desk: as wide as the title block of ISO 7200."""
COMPACT: Final = SheetStyle(width=100.0, cap=2.8, narrow=0.28, margin=1.5, compact=True)
"""For a phone: at 360 px across, capitals are 10 px high."""

SCALES_METRIC: Final = (0.5, 1.0, 2.0, 2.5, 5.0, 10.0, 15.0, 20.0, 25.0, 50.0, 100.0, 200.0)
SCALES_US: Final = (0.5, 1.0, 2.0, 4.0, 8.0, 12.0, 16.0, 24.0, 32.0, 48.0, 96.0, 192.0)
"""12 inches to 1/16 inch a foot."""


def style_for(*, compact: bool) -> SheetStyle:
    """The sheet for a phone (`compact`) or for desk and paper."""
    return COMPACT if compact else SHEET


def scale_for(size_mm: float, room_mm: float, system: str) -> float:
    """The largest usual scale, as its denominator n of 1 : n, at which `size_mm` fits into `room_mm`.

    >>> scale_for(2100, 130, "metric")
    20.0
    """
    scales = SCALES_US if system == "us" else SCALES_METRIC
    for denominator in scales:
        if size_mm / denominator <= room_mm:
            return denominator
    return scales[-1] * 2


def scale_text(denominator: float) -> str:
    """`1:20`, `1:2.5`, `2:1`."""
    if denominator < 1:
        return f"{1 / denominator:g}:1"
    return f"1:{denominator:g}"
