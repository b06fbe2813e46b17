"""Estimates as text for a terminal: what a maker reads at a glance, figures in the shop's units."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from quoting.engine.estimate.build import Estimate
from quoting.engine.units import format_area, format_length, format_mass, format_volume


def takeoff_text(made: Estimate, system: str) -> str:
    """The whole take-off of a piece as plain text, one block a subject."""
    blocks = [
        _headed(f"{made.piece.name} × {made.quantity}", _geometry(made, system)),
        _headed(
            "Mould",
            _columns(
                (
                    part.drawing,
                    part.name,
                    f"{part.quantity} ×",
                    f"{format_length(part.length_mm, system)} × {format_length(part.width_mm, system)}",
                    f"× {format_length(part.thickness_mm, system)}",
                    part.edges,
                )
                for part in made.mould.parts
            ),
        ),
        _headed(
            "Materials",
            _columns(
                (line.name, f"{line.packs} × {line.pack_name}", f"{line.cost:.2f}", line.working)
                for line in made.materials
            ),
        ),
        _headed(
            "Hours",
            _columns(
                (line.name, f"{line.hours:.2f} h", f"{line.cost:.2f}", line.working) for line in made.labour
            ),
        ),
        _headed("Cure", _columns((f"day {step.earliest_day}", step.name, step.why) for step in made.cure)),
        _headed(
            "Handling",
            [
                made.handling.working,
                *(f"{lift.name}: {lift.advice}" for lift in made.handling.lifts),
                made.handling.disclaimer,
            ],
        ),
        _headed("Cautions", [f"{caution.text} [{caution.source}]" for caution in made.cautions]),
        _headed(
            "Price", _columns((step.name, f"{step.amount:.2f}", step.working) for step in made.price.steps)
        ),
    ]
    return "\n\n".join(blocks)


def _geometry(made: Estimate, system: str) -> list[str]:
    measured = made.geometry
    sides = " × ".join(format_length(side, system) for side in measured.envelope_mm)
    return _columns(
        [
            ("over all", sides),
            ("concrete", format_volume(measured.volume_m3, system)),
            ("show face", format_area(measured.show_area_m2, system)),
            ("sides", format_area(measured.side_area_m2, system)),
            ("edge", format_length(measured.edge_length_m * 1000, system)),
            ("mass", format_mass(made.weights.total_kg, system)),
        ]
    )


def _headed(head: str, lines: Sequence[str]) -> str:
    return "\n".join([head, "-" * len(head), *(lines or ["none"])])


def _columns(rows: Iterable[Sequence[str]]) -> list[str]:
    """Rows with each column but the last as wide as its widest cell."""
    kept = [tuple(row) for row in rows]
    if not kept:
        return []
    widths = [max(len(row[at]) for row in kept) for at in range(len(kept[0]) - 1)]
    return [
        "  ".join([*(cell.ljust(width) for cell, width in zip(row, widths, strict=False)), row[-1]]).rstrip()
        for row in kept
    ]
