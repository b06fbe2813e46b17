"""A paper's words and drawings made ready, then printed."""

from __future__ import annotations

import re
from typing import Any

from django.template.loader import render_to_string

from catalog.selectors import Logo
from quoting.engine.drawing.canvas import FONT

# Drawings are lettered for any sans-serif; on paper they take the paper's own, which is narrower.
_DRAWN_IN = f'font-family="{FONT}"'
_PRINTED_IN = f'font-family="Sheet, Sheet Extended, {FONT}"'

# The library takes a drawing's title alone for its alternative text: on paper the description joins it.
_SAID_OF_DRAWING = re.compile(r"(<title[^>]*>[^<]*)</title><desc[^>]*>([^<]*)</desc>")


def pdf(template: str, context: dict[str, Any], *, paper: str, logo: Logo | None = None) -> bytes:
    """PDF/UA-1 bytes of `template`, on `paper` (`A4` or `Letter`), with the shop's logo where it has one.

    Raises DocumentRefused when the document asks for anything that is not the project's own.
    """
    # The printer takes half a second to load, which a command that prints nothing need not wait for.
    from quoting.documents import printer

    words = render_to_string(template, context | {"logo": logo}).replace(_DRAWN_IN, _PRINTED_IN)
    return printer.printed(_SAID_OF_DRAWING.sub(r"\1. \2</title>", words), paper, logo)
