"""The plan of a piece and of its openings at any depth, edges treated: for views, never measured."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from quoting.engine.plane.contour import Contour
from quoting.engine.solid.build import Solid, Void
from quoting.engine.solid.layers import inset_mm
from quoting.engine.spec.types import EdgeTreatment

ContourAt = Callable[[float], Contour]
_ROUND_STEPS = 12


def treated_body(
    solid: Solid, *, least_mm: float = 0.0, steps: int = 1
) -> tuple[ContourAt, tuple[float, ...]]:
    """The outline of slab and drop edge at any depth, its edges treated, and the depths where it changes.

    Treatments smaller than `least_mm` are left out; `steps` is how often a treatment is looked at
    (1: a chamfer at both its edges, a round as often as a section needs).
    Below the slab's underside the outline is that of the drop edge, where there is one.
    """
    thickness, drop = solid.thickness_mm, solid.piece.drop_edge
    lowest = drop.depth_mm if drop is not None else thickness
    edges = [edge for edge in solid.piece.edges if edge.size_mm >= least_mm]
    top = [edge for edge in edges if edge.at == "top"]
    bottom = [edge for edge in edges if edge.at == "bottom"]

    def contour_at(z: float) -> Contour:
        def inset(side: int) -> float:
            floor = foot_mm(solid, side)
            return max(_inset(top, side, z), _inset(bottom, side, floor - z) if z <= floor else 0.0)

        return _drawn_in(solid.outline, inset)

    marks = {0.0, thickness, lowest, *(level for edge in top for level in _levels(edge, steps))}
    for edge in bottom:
        marks.update(floor - level for floor in (thickness, lowest) for level in _levels(edge, steps))
    return contour_at, tuple(sorted(z for z in marks if 0.0 <= z <= lowest))


def treated_rim(
    void: Void, thickness_mm: float, *, least_mm: float = 0.0, steps: int = 1
) -> tuple[ContourAt, tuple[float, ...]]:
    """The contour of a void at any depth, its rims treated, and the depths where it changes."""
    edges = [edge for edge in void.edges if edge.size_mm >= least_mm]

    def contour_at(z: float) -> Contour:
        contour = void.contour
        for edge in edges:
            by = inset_mm(edge, z if edge.at == "top" else thickness_mm - z)
            if by > 0.0:
                contour = contour.grown(by, edge.sides)
        return contour

    marks = {void.top_mm, void.bottom_mm}
    for edge in edges:
        levels = _levels(edge, steps)
        marks.update(levels if edge.at == "top" else [thickness_mm - level for level in levels])
    return contour_at, tuple(sorted(marks))


def foot_mm(solid: Solid, side: int) -> float:
    """Depth of the lowest outer arris of a side: of the drop edge, where the side has one."""
    drop = solid.piece.drop_edge
    dropped = drop is not None and (drop.sides is None or side in drop.sides)
    return drop.depth_mm if drop is not None and dropped else solid.thickness_mm


def _levels(edge: EdgeTreatment, steps: int) -> list[float]:
    """Distances from the flat face at which a treatment is looked at, from none to its size."""
    if edge.profile == "chamfer":
        return [edge.size_mm * step / steps for step in range(steps + 1)]
    # closer near the face, where the quarter round turns fastest
    count = steps if steps > 1 else _ROUND_STEPS
    return [edge.size_mm * (step / count) ** 2 for step in range(count + 1)]


def _inset(edges: Sequence[EdgeTreatment], side: int, depth: float) -> float:
    """How far the last treatment on `side` draws the face in, `depth` from the flat face."""
    for edge in reversed(edges):
        if side < 0 or edge.sides is None or side in edge.sides:
            return inset_mm(edge, max(depth, 0.0))
    return 0.0


def _drawn_in(contour: Contour, inset: Callable[[int], float]) -> Contour:
    if not contour.sides:
        by = inset(-1)
        return contour.grown(-by) if by else contour
    insets = [inset(corner.side) for corner in contour.ring]
    return contour.drawn_in(insets, insets) if any(insets) else contour
