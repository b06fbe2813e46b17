"""What a browser would send of a page's form, and edits a maker might make to it."""

from __future__ import annotations

from collections.abc import Iterator
from html.parser import HTMLParser
from random import Random


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


EDITS = {
    "thickness": (-4, 12),
    "outline.length": (-60, 60),
    "outline.width": (-40, 40),
    "outline.corner_radius": (-5, 5),
    "edges[0].size": (-1, 1),
    "drop_edge.depth": (-5, 15),
    "delivery.distance_km": (1, 40),
    "quantity": (0, 2),
    "finish.coats": (0, 1),
    "features[0].at": (-30, 30),
    "features[1].at": (-30, 30),
    "name": (0, 99),
}


def edits(form: dict[str, str], number: int, *, seed: int = 7) -> Iterator[tuple[str, dict[str, str]]]:
    """So many single changes to a form, the fields in turn: what was changed, and the form after it.

    A point moves as it is dragged, to a whole millimetre; a size changes by its own small amount.
    """
    draw = Random(seed)
    offered = [name for name in EDITS if form.get(name)]
    for turn in range(number):
        name = offered[turn % len(offered)]
        low, high = EDITS[name]
        by = draw.randint(low, high)
        yield name, form | {name: _moved(form[name], by, first=turn // len(offered) % 2 == 0)}


def _moved(text: str, by: int, *, first: bool) -> str:
    start, semicolon, rest = text.partition(";")
    numbers = start.split(",")
    moved = 0 if first else len(numbers) - 1
    try:
        numbers[moved] = f"{float(numbers[moved]) + by:g}"
    except ValueError:
        return f"{text} {by}"
    return f"{', '.join(numbers)}{semicolon}{rest}"
