"""What a drawing is once it is made: its SVG, its words, and where each of its texts stands."""

from __future__ import annotations

from dataclasses import dataclass

Point = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Box:
    """An upright rectangle on the sheet, mm, y running down."""

    x0: float
    y0: float
    x1: float
    y1: float

    @property
    def width(self) -> float:
        """Size along x, mm."""
        return self.x1 - self.x0

    @property
    def height(self) -> float:
        """Size along y, mm."""
        return self.y1 - self.y0

    def overlaps(self, other: Box, tolerance: float = 1e-6) -> bool:
        """Whether the two share an area wider and higher than `tolerance`."""
        return (
            min(self.x1, other.x1) - max(self.x0, other.x0) > tolerance
            and min(self.y1, other.y1) - max(self.y0, other.y0) > tolerance
        )

    def grown(self, by: float) -> Box:
        """The box `by` mm larger on every side."""
        return Box(self.x0 - by, self.y0 - by, self.x1 + by, self.y1 + by)

    def moved(self, dx: float, dy: float) -> Box:
        """The box shifted by (dx, dy) mm."""
        return Box(self.x0 + dx, self.y0 + dy, self.x1 + dx, self.y1 + dy)

    def joined(self, other: Box) -> Box:
        """The smallest box around both."""
        return Box(
            min(self.x0, other.x0), min(self.y0, other.y0), max(self.x1, other.x1), max(self.y1, other.y1)
        )


@dataclass(frozen=True, slots=True)
class PlacedLabel:
    """One text on the sheet and the box it is given, wide enough for the widest of the usual typefaces."""

    text: str
    box: Box
    turned: bool = False
    """Written upwards, to be read from the right (ISO 129-1)."""


@dataclass(frozen=True, slots=True)
class TitleBlock:
    """Fields of the title block after ISO 7200:2004; those left empty are drawn empty."""

    owner: str
    title: str
    number: str
    date: str
    """Date of issue as it is to be printed, ISO 8601."""
    creator: str = ""
    approver: str = ""
    document_type: str = "Dimensioned drawing"
    sheet: str = "1/1"
    revision: str = ""
    supplement: str = ""


@dataclass(frozen=True, slots=True)
class Drawing:
    """A finished drawing: one complete `<svg>` element, `width_mm` wide on paper for its stated scale."""

    svg: str
    title: str
    description: str
    width_mm: float
    height_mm: float
    labels: tuple[PlacedLabel, ...]
