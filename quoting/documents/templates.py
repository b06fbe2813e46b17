"""Full-size templates of a piece as a PDF: how to use them, then one tile a page, to join and trace."""

from __future__ import annotations

from quoting.documents.render import pdf
from quoting.engine.drawing.template import PAPERS, Paper, tiles
from quoting.engine.errors import Fault, Refused
from quoting.engine.solid.build import Solid

__all__ = ["PAPERS", "Paper", "paper_named", "templates_pdf"]


def paper_named(asked: str) -> Paper:
    """The paper of that name. Raises Refused (code `unknown_paper`) for one that no template is cut for."""
    for known in PAPERS:
        if known == asked:
            return known
    said = f"there is no paper {asked[:40]!r} here; take {' or '.join(PAPERS)}"
    raise Refused([Fault("paper", said, "unknown_paper", asked[:40])])


def templates_pdf(solid: Solid, paper: Paper, *, system: str, mirrored: bool = False) -> bytes:
    """The pages of everything of the piece that is worth tracing; a page is as large as its tile.

    `mirrored` turns everything over left to right, for the base of a face-down mould.
    Raises Refused (code `nothing_to_trace`) for a piece of straight lines only.
    """
    pages = tiles(solid, paper, system=system, mirrored=mirrored)
    if not pages:
        raise Refused(
            [
                Fault(
                    "outline",
                    "nothing here needs a template: every line is straight; set it out from the plan's sizes",
                    "nothing_to_trace",
                )
            ]
        )
    width, height = PAPERS[paper]
    size = {"paper": paper, "width": width, "height": height}
    context = {"piece": solid.piece, "pages": pages, "mirrored": mirrored, **size}
    return pdf("quoting/papers/templates.html", context, paper=paper)
