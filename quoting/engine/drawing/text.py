"""How wide a text runs and how a length is lettered, without a font at hand."""

from __future__ import annotations

import unicodedata
from fractions import Fraction
from typing import Final

from quoting.engine.units import MM_PER_INCH

# Advance widths of U+0020 to U+007E in thousandths of the type size: for each character the wider of
# DejaVu Sans and Liberation Sans, read from the fonts, so that a box is never too small in either.
_ADVANCE: Final = (
    318, 401, 460, 838, 636, 950, 780, 275, 390, 390, 500, 838, 318, 361, 318, 337, 636, 636, 636, 636, 636,
    636, 636, 636, 636, 636, 337, 337, 838, 838, 838, 556, 1015, 684, 686, 722, 770, 667, 611, 778, 752, 295,
    500, 667, 557, 863, 748, 787, 667, 787, 722, 667, 611, 732, 684, 989, 685, 667, 685, 390, 337, 390, 838,
    556, 500, 613, 635, 550, 635, 615, 352, 635, 634, 278, 278, 579, 278, 974, 634, 612, 635, 635, 411, 521,
    392, 634, 592, 818, 592, 592, 525, 636, 337, 636, 838,
)  # fmt: skip
_OTHER: Final = {
    "\u00a0": 318,
    "×": 838,
    "⌀": 800,
    "°": 500,
    "–": 556,
    "·": 318,
    "²": 401,
    "³": 401,
    "≈": 838,
    "±": 838,
}
_UNKNOWN: Final = 1070  # the widest Latin letter of DejaVu Sans
_CAP_SHARE: Final = 0.73  # height of a capital over the type size, DejaVu Sans and Liberation Sans
_ASCENT: Final = 0.78
_DESCENT: Final = 0.24


def advance(text: str, size: float) -> float:
    """Width of `text` set at type size `size`, in the unit of `size`; never less than it will be drawn.

    >>> round(advance("R25", 10), 2)
    19.94
    """
    total = 0
    for char in text:
        code = ord(char)
        if 0x20 <= code <= 0x7E:
            total += _ADVANCE[code - 0x20]
        elif char in _OTHER:
            total += _OTHER[char]
        elif unicodedata.combining(char) == 0:
            total += _UNKNOWN
    return total * size / 1000


def type_size(cap_height: float) -> float:
    """Type size whose capitals are `cap_height` high (ISO 3098-1 counts lettering by its capitals)."""
    return cap_height / _CAP_SHARE


def ascent(size: float) -> float:
    """Height above the base line that a text of this size may take."""
    return _ASCENT * size


def descent(size: float) -> float:
    """Depth below the base line that a text of this size may take."""
    return _DESCENT * size


def wrapped(text: str, size: float, width: float) -> tuple[str, ...]:
    """`text` in lines no wider than `width`, broken at plain spaces, or inside a word that is too long alone.

    >>> wrapped("a long trough", 10, 40)
    ('a long', 'trough')
    """
    lines: list[str] = []
    line = ""
    for whole in text.split(" "):
        word = whole
        trial = f"{line} {word}" if line else word
        if advance(trial, size) <= width:
            line = trial
            continue
        if line:
            lines.append(line)
        while advance(word, size) > width and len(word) > 1:
            cut = _fitting(word, size, width)
            lines.append(word[:cut])
            word = word[cut:]
        line = word
    if line:
        lines.append(line)
    return tuple(lines)


def shortened(text: str, size: float, width: float) -> str:
    """`text`, or its beginning with an ellipsis, within `width`."""
    if advance(text, size) <= width:
        return text
    room = width - _UNKNOWN * size / 1000
    return text[: _fitting(text, size, room)].rstrip() + "…" if room > 0 else ""


def _fitting(text: str, size: float, width: float) -> int:
    count = 1
    while count < len(text) and advance(text[: count + 1], size) <= width:
        count += 1
    return count


def length_text(mm: float, system: str) -> str:
    """A length as it is lettered on a dimension: bare number, mm to 0.1 or inches to 1/16 (`us`).

    The sheet states the unit once (ISO 129-1). Inches and their fraction are kept on one line.

    >>> length_text(2100.0, "metric"), length_text(12.5, "metric"), length_text(12.7, "us")
    ('2100', '12.5', '1/2')
    """
    if system != "us":
        text = f"{round(mm, 1) + 0.0:.1f}"
        return text.removesuffix(".0")
    sixteenths = Fraction(round(mm / MM_PER_INCH * 16), 16)
    whole, part = divmod(abs(sixteenths), 1)
    sign = "-" if sixteenths < 0 else ""
    if part == 0:
        return f"{sign}{whole}"
    return f"{sign}{whole}\u00a0{part}" if whole else f"{sign}{part}"


def unit_note(system: str) -> str:
    """The one statement of the sheet's unit."""
    return "Dimensions in inches, to the nearest 1/16" if system == "us" else "Dimensions in millimetres"
