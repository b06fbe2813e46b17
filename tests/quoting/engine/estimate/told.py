"""Prints everything that an estimate says of some pieces, as bytes: run in processes of their own."""

from __future__ import annotations

import json
import sys

from quoting.engine.estimate.build import estimate
from quoting.engine.estimate.outlook import breaks, risk
from quoting.engine.estimate.report import report
from quoting.engine.estimate.side_report import breaks_report, risk_report, what_if_report
from quoting.engine.estimate.what_if import what_if
from quoting.engine.spec.codes import KnownCodes
from tests.quoting.engine.estimate.world import book, document, piece, terms


def known() -> KnownCodes:
    """The codes of the starter catalogue."""
    materials = book().materials
    every = tuple(sorted(materials))
    grits = tuple(sorted({m.grit for m in materials.values() if m.grit is not None}))
    return KnownCodes(tuple(sorted(book().mixes)), every, every, every, every, every, grits)


def told(name: str) -> str:
    """The report of one example with its risk, price breaks and changes."""
    shop = terms()
    made = estimate(piece(name), book(), shop)
    said = report(made) | {
        "risk": risk_report(risk(made, shop, draws=2000)),
        "breaks": breaks_report(breaks(made, book(), shop, (1, 2))),
        "what_if": what_if_report(what_if(document(name), None, book(), shop, known())),
    }
    return json.dumps(said, ensure_ascii=False, allow_nan=False)


if __name__ == "__main__":
    for each in sys.argv[1:]:
        sys.stdout.buffer.write(told(each).encode() + b"\n")
