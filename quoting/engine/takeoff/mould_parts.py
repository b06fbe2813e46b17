"""What the rooms of the mould hand to each other: parts as made, joints, beads; and how they are numbered."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace

from quoting.engine.plane.shapes import Point
from quoting.engine.takeoff.lines import Caution, MouldPart, PlacedPart

Plan = tuple[Point, ...]


@dataclass(frozen=True, slots=True)
class Standing:
    """One footprint between two levels; `plan_bottom_mm` where the part leans."""

    plan_mm: Plan
    top_mm: float
    bottom_mm: float
    plan_bottom_mm: Plan | None = None
    holes_mm: tuple[Plan, ...] = ()


@dataclass(frozen=True, slots=True)
class Made:
    """A part of the mould as it is cut, and where it stands."""

    name: str
    length_mm: float
    width_mm: float
    thickness_mm: float
    material: str
    edges: str = "square"
    quantity: int = 1
    bend_radius_mm: float | None = None
    standing: tuple[Standing, ...] = ()


@dataclass(frozen=True, slots=True)
class Work:
    """Parts with the joints, screws and beads that go with them."""

    parts: tuple[Made, ...] = ()
    joints_mm: tuple[float, ...] = ()
    """Length of every joint that is screwed."""
    beads: tuple[tuple[str, float, float], ...] = ()
    """(kind, length in mm, radius in mm)."""
    sawn_mm: float = 0.0
    """Curves and outlines sawn after the parts are off the sheet."""
    notes: tuple[str, ...] = ()
    cautions: tuple[Caution, ...] = ()
    placed: tuple[PlacedPart, ...] = field(default=())
    """Bought-in things that lie in the mould: inlays."""


def together(works: Iterable[Work]) -> Work:
    """All the works as one, in order; the same note or caution is said once."""
    every = list(works)
    return Work(
        parts=tuple(part for work in every for part in work.parts),
        joints_mm=tuple(joint for work in every for joint in work.joints_mm),
        beads=tuple(bead for work in every for bead in work.beads),
        sawn_mm=sum(work.sawn_mm for work in every),
        notes=tuple(dict.fromkeys(note for work in every for note in work.notes)),
        cautions=tuple(dict.fromkeys(caution for work in every for caution in work.cautions)),
        placed=tuple(placed for work in every for placed in work.placed),
    )


def numbered(parts: Sequence[Made]) -> tuple[tuple[MouldPart, ...], tuple[PlacedPart, ...]]:
    """Parts alike in every way counted as one row, numbered M1, M2 … in order, and where each stands."""
    rows: list[Made] = []
    index: dict[tuple[object, ...], int] = {}
    placed: list[PlacedPart] = []
    for part in parts:
        sizes = (round(part.length_mm, 3), round(part.width_mm, 3), round(part.thickness_mm, 3))
        key = (part.name, *sizes, part.material, part.edges, part.bend_radius_mm)
        if key in index:
            known = rows[index[key]]
            rows[index[key]] = replace(known, quantity=known.quantity + part.quantity)
        else:
            index[key] = len(rows)
            rows.append(part)
        number = f"M{index[key] + 1}"
        placed += [
            PlacedPart(number, part.name, s.plan_mm, s.top_mm, s.bottom_mm, s.plan_bottom_mm, s.holes_mm)
            for s in part.standing
        ]
    return tuple(_row(row, position) for position, row in enumerate(rows, 1)), tuple(placed)


def _row(made: Made, position: int) -> MouldPart:
    return MouldPart(
        name=made.name,
        length_mm=made.length_mm,
        width_mm=made.width_mm,
        thickness_mm=made.thickness_mm,
        quantity=made.quantity,
        material=made.material,
        drawing=f"M{position}",
        edges=made.edges,
        bend_radius_mm=made.bend_radius_mm,
    )


def screws_in(joint_mm: float, spacing_mm: float) -> int:
    """Screws along one joint: one at each end and no further apart than the spacing.

    >>> screws_in(900, 150), screws_in(40, 150)
    (7, 2)
    """
    return max(1, math.ceil(joint_mm / spacing_mm - 1e-9)) + 1


def beads_by_kind(beads: Iterable[tuple[str, float, float]]) -> tuple[tuple[str, float, float], ...]:
    """Beads added up by kind and radius, in the order they first appear, lengths from mm to m."""
    totals: dict[tuple[str, float], float] = {}
    for kind, length_mm, radius_mm in beads:
        if length_mm > 0:
            totals[kind, radius_mm] = totals.get((kind, radius_mm), 0.0) + length_mm / 1000
    return tuple((kind, length_m, radius_mm) for (kind, radius_mm), length_m in totals.items())
