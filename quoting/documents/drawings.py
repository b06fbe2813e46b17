"""The drawings of an estimate by kind, as finished SVG: for the API, for files, for papers."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final, Literal, get_args

from quoting.documents.quoted_piece import in_words, mould_in_words
from quoting.engine.drawing.isometric import isometric
from quoting.engine.drawing.mould_view import exploded
from quoting.engine.drawing.plan import plan
from quoting.engine.drawing.section import section_view
from quoting.engine.drawing.values import Drawing
from quoting.engine.estimate.build import Estimate

Kind = Literal["plan", "section", "isometric", "mould"]
KINDS: Final[tuple[Kind, ...]] = get_args(Kind)


def drawing(
    made: Estimate, kind: Kind, names: Mapping[str, str], *, system: str, compact: bool = False
) -> Drawing:
    """One drawing of a piece, lettered with the catalogue's `names` in place of its codes.

    `compact` letters it for a phone. `system` is `metric` or `us`.
    """
    solid = in_words(made.solid, names)
    match kind:
        case "plan":
            return plan(solid, made.geometry, system=system, compact=compact)
        case "section":
            return section_view(solid, made.geometry, system=system, compact=compact)
        case "isometric":
            return isometric(solid, made.geometry, system=system, compact=compact)
        case "mould":
            return exploded(solid, mould_in_words(made.mould, names), system=system, compact=compact)
