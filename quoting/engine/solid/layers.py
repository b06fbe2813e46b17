"""The stack a piece is measured by: plan contours, each standing for a range of depth with exact weights.

A layer adds ∫f dz over its range, times what is measured of its contour: `depth_mm` is ∫dz, `depth1_mm2` is
∫z dz, `depth2_mm3` is ∫z² dz. A prism is one layer. Where the contour changes with depth (edge treatments,
leaning trough walls) its area and first moments are polynomials in the inset, so Gauss nodes between the
breaks (where an arc turns sharp, where a treatment ends) integrate them exactly: in the depth itself for what
changes in proportion to it, in the angle of the quarter round, t = R(1 − cos a), whose inset is R(1 − sin a).
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import pairwise

from quoting.engine.plane import corners
from quoting.engine.plane.contour import Contour
from quoting.engine.plane.quadrature import nodes
from quoting.engine.spec.types import EdgeTreatment

LINEAR_NODES = 3
"""Exact to the fifth degree: an area (2nd) or first moment (3rd) times z or z²."""
ROUND_NODES = 8
"""Exact to 1e-15 along a straight arris, to 3e-12 of the little that corners add to it."""


@dataclass(frozen=True, slots=True)
class Layer:
    """A plan contour with the depth it stands for; `sign` is +1 for concrete, −1 for a void."""

    sign: int
    contour: Contour
    depth_mm: float
    depth1_mm2: float
    depth2_mm3: float
    below: int = 0
    """0: slab and drop edge; n: what hangs below the slab at the n-th trough."""
    leaning: bool = False
    """Part of a trough's leaning inside, whose contour changes with depth."""


def prism(sign: int, contour: Contour, top_mm: float, bottom_mm: float, below: int = 0) -> Layer:
    """The layer of an upright body from `top_mm` to `bottom_mm`."""
    return Layer(
        sign,
        contour,
        bottom_mm - top_mm,
        (bottom_mm**2 - top_mm**2) / 2.0,
        (bottom_mm**3 - top_mm**3) / 3.0,
        below,
    )


def slice_at(
    sign: int, contour: Contour, z_mm: float, weight_mm: float, below: int = 0, leaning: bool = False
) -> Layer:
    """The layer of one quadrature node at depth `z_mm`."""
    return Layer(sign, contour, weight_mm, weight_mm * z_mm, weight_mm * z_mm * z_mm, below, leaning)


# --- edge treatments -------------------------------------------------------------------------------------
def inset_mm(treatment: EdgeTreatment, depth_mm: float) -> float:
    """How far a treatment sets the face back, `depth_mm` away from the arris's flat face.

    Chamfer: s − t. Round: R − √(2Rt − t²).
    """
    size = treatment.size_mm
    if depth_mm >= size:
        return 0.0
    if treatment.profile == "chamfer":
        return size - depth_mm
    return size - math.sqrt(depth_mm * (2.0 * size - depth_mm))


def _depth_of(treatment: EdgeTreatment, inset: float) -> float:
    """The depth at which a treatment sets the face back by `inset` mm: the inverse of `inset_mm`."""
    size = treatment.size_mm
    if treatment.profile == "chamfer":
        return size - inset
    return size - math.sqrt(inset * (2.0 * size - inset))


def edge_layers(
    contour: Contour,
    treatments: Sequence[EdgeTreatment],
    sides: frozenset[int] | None,
    face_mm: float,
    into: int,
    rim: bool = False,
) -> list[Layer]:
    """What the treatments change of a body with this contour: the treated contours less the untreated one.

    `sides` limits them to some sides (None: all); `face_mm` is the depth of the flat face at the arris and
    `into` the direction from it into the concrete (+1: down). On a `rim` the contour is a hole's and grows.
    """
    groups = _groups(contour, treatments, sides)
    used = [t for i, t in enumerate(treatments) if i in groups]
    if not used:
        return []
    top = max(t.size_mm for t in used)
    body, change = (-1, 1) if not rim else (1, -1)
    end = face_mm + into * top
    out = [prism(body, contour, min(face_mm, end), max(face_mm, end))]
    # No node lies on the face itself, where the treatment is widest: that there is room for it is tried here.
    _moved(contour, [treatments[g].size_mm if g >= 0 else 0.0 for g in groups], groups, rim)
    breaks = _breaks(contour, treatments, groups, rim)
    for start, end in pairwise(breaks):
        radius = max((t.size_mm for t in used if t.profile == "round" and t.size_mm > start), default=0.0)
        for depth, weight in _depths(start, end, radius):
            insets = [inset_mm(treatments[g], depth) if g >= 0 else 0.0 for g in groups]
            treated = _moved(contour, insets, groups, rim)
            out.append(slice_at(change, treated, face_mm + into * depth, weight))
    return out


def _groups(contour: Contour, treatments: Sequence[EdgeTreatment], sides: frozenset[int] | None) -> list[int]:
    """For each side the number of the treatment it gets, -1 for none (one entry for an ellipse)."""
    numbers = [corner.side for corner in contour.ring] if contour.sides else [0] * max(1, len(contour.ring))
    groups = []
    for number in numbers:
        group = -1
        for i, treatment in enumerate(treatments):
            listed = treatment.sides is None or not contour.sides or number in treatment.sides
            allowed = sides is None or number in sides
            if listed and allowed and number != corners.STEP:
                group = i
        groups.append(group)
    return groups


def _moved(contour: Contour, insets: Sequence[float], groups: Sequence[int], rim: bool) -> Contour:
    if contour.curve is not None:
        return contour.grown(insets[0] if rim else -insets[0])
    return contour.drawn_in([-inset if rim else inset for inset in insets], groups)


def _breaks(
    contour: Contour, treatments: Sequence[EdgeTreatment], groups: Sequence[int], rim: bool
) -> list[float]:
    """Depths at which the treated contour changes its law: a treatment ends, an arc has shrunk away."""
    found = {0.0, *(treatments[g].size_mm for g in groups if g >= 0)}
    if contour.curve is None:
        for i, bend in enumerate(corners.bends(contour.ring)):
            radius, group = bend.corner.radius_mm, groups[i]
            shrinks = (bend.turn > 0.0) != rim
            treated = radius > 0.0 and group >= 0 and groups[i - 1] == group
            if treated and shrinks and radius < treatments[group].size_mm:
                found.add(_depth_of(treatments[group], radius))
    return sorted(found)


def _depths(start: float, end: float, radius: float) -> list[tuple[float, float]]:
    """Depths with their weights; `radius` is the largest quarter round's among them, 0 for none."""
    if radius == 0.0:
        return nodes(start, end, LINEAR_NODES)
    angles = nodes(math.acos(1.0 - start / radius), math.acos(1.0 - end / radius), ROUND_NODES)
    return [(radius * (1.0 - math.cos(a)), radius * math.sin(a) * weight) for a, weight in angles]


# --- leaning walls ---------------------------------------------------------------------------------------
def leaning_layers(
    inner_at: Callable[[float], Contour], top_mm: float, bottom_mm: float, below: int
) -> list[Layer]:
    """A void whose contour shrinks in proportion to depth (area of the second degree), from top to bottom."""
    return [
        slice_at(-1, inner_at(z), z, weight, below, leaning=True)
        for z, weight in nodes(top_mm, bottom_mm, LINEAR_NODES)
    ]
