"""What the buttons of the quote form do to its rows."""

from __future__ import annotations

import re
from dataclasses import replace

from quoting.web.forms_quote import STANDARD, TypedQuote

_ROW = re.compile(r"remove:(items|lines)\[([0-9]{1,4})\]")


def pressed(typed: TypedQuote, action: str) -> TypedQuote:
    """The form after a button: one more item or line, or one fewer.

    >>> pressed(TypedQuote({}), "add-item").items
    ({'revision': '', 'quantity': '1', 'tax_category': 'standard', 'option': ''},)
    """
    if action == "add-item":
        item = {"revision": "", "quantity": "1", "tax_category": STANDARD, "option": ""}
        return replace(typed, items=(*typed.items, item))
    if action == "add-line":
        line = {"text": "", "quantity": "1", "unit_price": "", "tax_category": STANDARD, "option": ""}
        return replace(typed, lines=(*typed.lines, line))
    if match := _ROW.fullmatch(action):
        kept = tuple(row for i, row in enumerate(getattr(typed, match[1])) if i != int(match[2]))
        return replace(typed, items=kept) if match[1] == "items" else replace(typed, lines=kept)
    return typed
