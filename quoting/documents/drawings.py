"""The drawings of an estimate by kind, as finished SVG: for the API, for files, for papers."""

from __future__ import annotations

from typing import Final, Literal, get_args

from quoting.engine.drawing.isometric import isometric
from quoting.engine.drawing.mould_view import exploded
from quoting.engine.drawing.plan import plan
from quoting.engine.drawing.section import section_view
from quoting.engine.drawing.values import Drawing
from quoting.engine.estimate.build import Estimate

Kind = Literal["plan", "section", "isometric", "mould"]
KINDS: Final[tuple[Kind, ...]] = get_args(Kind)


def drawing(made: Estimate, kind: Kind, *, system: str, compact: bool = False) -> Drawing:
    """One drawing of a piece; `compact` letters it for a phone. `system` is `metric` or `us`."""
    match kind:
        case "plan":
            return plan(made.solid, made.geometry, system=system, compact=compact)
        case "section":
            return section_view(made.solid, made.geometry, system=system, compact=compact)
        case "isometric":
            return isometric(made.solid, made.geometry, system=system, compact=compact)
        case "mould":
            return exploded(made.solid, made.mould, system=system, compact=compact)
