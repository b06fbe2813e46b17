"""What a browser would send of a page's form, and edits a maker might make to it."""

from __future__ import annotations

from collections.abc import Iterator
from html.parser import HTMLParser
from random import Random

from quoting.engine.units import parse_length


class TypedForm(HTMLParser):
    """Reads the fields of one form by its id."""

    def __init__(self, wanted: str) -> None:
        super().__init__()
        self.values: dict[str, str] = {}
        self._wanted, self._inside, self._select = wanted, False, ""

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Take a field's value as it stands."""
        said = {name: value or "" for name, value in attrs}
        if tag == "form":
            self._inside = said.get("id") == self._wanted
        if not self._inside:
            return
        if tag == "input" and "name" in said and (said.get("type") != "checkbox" or "checked" in said):
            self.values[said["name"]] = said.get("value", "on")
        elif tag == "select":
            self._select = said["name"]
        elif tag == "option" and self._select and ("selected" in said or self._select not in self.values):
            self.values[self._select] = said.get("value", "")

    def handle_endtag(self, tag: str) -> None:
        """Leave a form or a list of choices."""
        if tag == "form":
            self._inside = False
        elif tag == "select":
            self._select = ""


def form_of(page: str, wanted: str) -> dict[str, str]:
    """The fields of a page's form with their values."""
    reader = TypedForm(wanted)
    reader.feed(page)
    return reader.values


LENGTHS_MM = {
    "thickness": (-4, 12),
    "outline.length": (-60, 60),
    "outline.width": (-40, 40),
    "outline.diameter": (-40, 40),
    "outline.corner_radius": (-5, 5),
    "edges[0].size": (-1, 1),
    "drop_edge.depth": (-5, 15),
    "features[0].at": (-30, 30),
    "features[1].at": (-30, 30),
}
NUMBERS = {"delivery.distance_km": (1, 40), "quantity": (0, 2), "finish.coats": (0, 1)}
WORDS = {"name": (0, 99)}


def edits(form: dict[str, str], number: int, *, seed: int = 7) -> Iterator[tuple[str, dict[str, str]]]:
    """So many single changes to a form, the fields in turn: what was changed, and the form after it.

    A point moves as it is dragged, along one axis; a size changes by its own small amount of mm.
    """
    draw = Random(seed)
    offered = [name for name in LENGTHS_MM | NUMBERS | WORDS if form.get(name)]
    for turn in range(number):
        name = offered[turn % len(offered)]
        by = draw.randint(*(LENGTHS_MM | NUMBERS | WORDS)[name])
        text = form[name]
        if name in LENGTHS_MM:
            changed = _moved(text, by, form["unit"], first=turn // len(offered) % 2 == 0)
        else:
            changed = f"{float(text) + by:g}" if name in NUMBERS else f"{text} {by}"
        yield name, form | {name: changed}


def _moved(text: str, by_mm: float, unit: str, *, first: bool) -> str:
    """The first or the last of a field's first lengths, a little longer."""
    start, semicolon, rest = text.partition(";")
    lengths = start.split(",")
    at = 0 if first else len(lengths) - 1
    lengths[at] = f"{parse_length(lengths[at], unit, zero=True, negative=True) + by_mm:g} mm"
    return f"{', '.join(lengths)}{semicolon}{rest}"
