"""Cuts across a solid: net width, area, centroid, section moduli, and what lies beyond the cut.

Axis "x" cuts across the length at x = at_mm, "y" across the width. "Flat" properties resist bending of the
piece lying flat (about the horizontal axis through the centroid), "edge" ones bending when it stands on its
edge (about the vertical axis). Chords come from the contours in closed form. Edge treatments and rims are
deducted, at the depths of their quadrature nodes: exactly where a cut meets straight sides; within a
treatment's size of a corner or an arc's extreme that deduction alone is approximate. A cut along an upright
face is the limit from below. The section is taken to act as a whole; it is a guide for handling, never a
structural design.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise

from quoting.engine.plane.cut import Axis, Chords, CutContour
from quoting.engine.solid.build import Solid
from quoting.engine.solid.leaning import Leaning

_GRID = 32
_JUST_PAST_MM = 0.01
_FRACTIONS = (0.0, 0.125, 0.25, 0.375, 0.5, 0.625, 0.75, 0.875, 1.0)


@dataclass(frozen=True, slots=True)
class Section:
    """One cut. Lengths in mm, areas in mm², section moduli in mm³, second moments in mm⁴."""

    axis: Axis
    at_mm: float
    net_width_mm: float
    """Least width of concrete at any level of the slab, voids out, edge treatments not."""
    area_mm2: float
    centroid_z_mm: float
    centroid_across_mm: float
    height_mm: float
    """From the show face to the lowest concrete in the cut."""
    i_flat_mm4: float
    i_edge_mm4: float
    s_flat_top_mm3: float
    s_flat_bottom_mm3: float
    s_edge_mm3: float
    """At the further of the two outer faces."""


@dataclass(frozen=True, slots=True)
class Beyond:
    """What lies beyond a cut (x > at, or y > at): volume in mm³, its first moment about the cut in mm⁴."""

    volume_mm3: float
    moment_mm4: float


Weights = tuple[float, float, float]


class Slicer:
    """A solid made ready for many cuts across one axis."""

    __slots__ = ("_axis", "_leaning", "_levels", "_solid", "_stack", "_troughs", "_voids")

    def __init__(self, solid: Solid, axis: Axis) -> None:
        self._solid, self._axis = solid, axis
        ready: dict[int, CutContour] = {}
        weights: dict[tuple[int, int], Weights] = {}
        for layer in solid.layers:
            if not layer.leaning:
                ready.setdefault(id(layer.contour), CutContour(layer.contour, axis))
                key = (id(layer.contour), layer.below)
                w0, w1, w2 = weights.get(key, (0.0, 0.0, 0.0))
                weights[key] = (
                    w0 + layer.sign * layer.depth_mm,
                    w1 + layer.sign * layer.depth1_mm2,
                    w2 + layer.sign * layer.depth2_mm3,
                )
        self._stack = tuple((ready[key[0]], key[1], weight) for key, weight in weights.items())
        self._leaning = tuple(
            Leaning(body, n, axis) for n, body in enumerate(solid.troughs, 1) if body.trough.taper_deg > 0.0
        )
        self._voids = tuple((void, ready[id(void.contour)]) for void in solid.voids)
        self._troughs = tuple((body, ready[id(body.outer)]) for body in solid.troughs)
        self._levels = tuple(ready[id(contour)] for contour in solid.drop_band or (solid.outline,))

    @property
    def span_mm(self) -> tuple[float, float]:
        """The outline's extent along the axis."""
        return self._levels[0].low_mm, self._levels[0].high_mm

    def section(self, at_mm: float) -> Section:
        """The properties of the cut at `at_mm`; raises ValueError where it misses the piece."""
        outline = self._levels[0].chords(at_mm)
        if not outline:
            low, high = self.span_mm
            raise ValueError(
                f"a cut at {at_mm:g} mm misses the piece, which runs from {low:g} to {high:g} mm"
            )
        terms = [(w, cut.chords(at_mm)) for cut, _, w in self._stack if cut.low_mm < at_mm <= cut.high_mm]
        for leaning in (lean for lean in self._leaning if lean.low_mm < at_mm):
            for z, weight, _, cut in leaning.slices(at_mm):
                terms.append(((-weight, -weight * z, -weight * z * z), cut.chords(at_mm)))
        middle = 0.5 * (outline[0][0] + outline[-1][1])
        area, qz, izz, qu, iuu = _integrals(terms, middle)
        z, across = qz / area, qu / area
        height = self._height(at_mm)
        i_flat, i_edge = izz - area * z * z, iuu - area * across * across
        reach = 0.5 * (outline[-1][1] - outline[0][0]) + abs(across)
        return Section(
            axis=self._axis,
            at_mm=at_mm,
            net_width_mm=self._net_width(at_mm, outline),
            area_mm2=area,
            centroid_z_mm=z,
            centroid_across_mm=middle + across,
            height_mm=height,
            i_flat_mm4=i_flat,
            i_edge_mm4=i_edge,
            s_flat_top_mm3=i_flat / z,
            s_flat_bottom_mm3=i_flat / (height - z),
            s_edge_mm3=i_edge / reach,
        )

    def beyond(self, at_mm: float) -> tuple[Beyond, ...]:
        """What lies beyond the cut: of slab and drop edge first, then of what hangs below at each trough."""
        volumes: list[list[float]] = [[] for _ in range(len(self._solid.troughs) + 1)]
        moments: list[list[float]] = [[] for _ in volumes]
        terms = [(w[0], below, cut) for cut, below, w in self._stack if at_mm < cut.high_mm]
        for leaning in self._leaning:
            terms += [(-weight, below, cut) for _, weight, below, cut in leaning.slices(at_mm)]
        for weight, below, cut in terms:
            area, moment = cut.beyond(at_mm)
            volumes[below].append(weight * area)
            moments[below].append(weight * moment)
        return tuple(
            Beyond(math.fsum(volume), math.fsum(moment))
            for volume, moment in zip(volumes, moments, strict=True)
        )

    def _height(self, at: float) -> float:
        heights = [self._solid.thickness_mm]
        drop = self._solid.piece.drop_edge
        if drop is not None:
            outer, inner = (_width(level.chords(at)) for level in self._levels)
            heights += [drop.depth_mm] if outer - inner > 1e-9 else []
        heights += [body.bottom_mm for body, cut in self._troughs if cut.chords(at)]
        return max(heights)

    def _net_width(self, at: float, outline: Chords) -> float:
        thickness = self._solid.thickness_mm
        gaps = [
            (v.top_mm, v.bottom_mm, _width(chords)) for v, cut in self._voids if (chords := cut.chords(at))
        ]
        troughs = [body for body, cut in self._troughs if cut.chords(at)]
        ends = {z for top, bottom, _ in gaps for z in (top, bottom)}
        ends |= {body.trough.depth_mm for body in troughs if body.trough.depth_mm < thickness}
        levels = sorted({0.0, thickness, *ends})
        widths = []
        for top, bottom in pairwise(levels):
            middle = 0.5 * (top + bottom)
            gap = [width for start, end, width in gaps if start < middle < end]
            gap += [
                _width(CutContour(body.inner_at(top), self._axis).chords(at))
                for body in troughs
                if middle < body.trough.depth_mm
            ]
            widths.append(_width(outline) - math.fsum(gap))
        return min(widths)

    def stations(self) -> tuple[float, ...]:
        """Where to look for the weakest cut: an even grid, finer at voids and where a contour changes."""
        low, high = self.span_mm
        found = [low + (high - low) * i / _GRID for i in range(1, _GRID)]
        cuts = [*self._levels, *(cut for _, cut in self._voids), *(cut for _, cut in self._troughs)]
        cuts += [CutContour(body.inner_at(0.0), self._axis) for body in self._solid.troughs]
        for cut in cuts:
            found += [end + past for end in cut.breaks for past in (0.0, _JUST_PAST_MM)]
            if cut is not self._levels[0]:
                found += [cut.low_mm + (cut.high_mm - cut.low_mm) * fraction for fraction in _FRACTIONS]
        inside = [at for at in sorted(found) if low + _JUST_PAST_MM < at < high - _JUST_PAST_MM]
        out: list[float] = []
        for at in inside:
            if not out or at - out[-1] > 0.5 * _JUST_PAST_MM:
                out.append(at)
        return tuple(out)


def _width(chords: Chords) -> float:
    return math.fsum(end - start for start, end in chords)


def _integrals(
    terms: list[tuple[Weights, Chords]], middle: float
) -> tuple[float, float, float, float, float]:
    """Area, ∫z dA, ∫z² dA, ∫u dA, ∫u² dA, with u measured across from `middle`."""
    parts: tuple[list[float], ...] = ([], [], [], [], [])
    for (w0, w1, w2), chords in terms:
        for start, end in chords:
            a, b = start - middle, end - middle
            width, first, second = b - a, (b * b - a * a) / 2.0, (b**3 - a**3) / 3.0
            values = (width * w0, width * w1, width * w2, first * w0, second * w0)
            for part, value in zip(parts, values, strict=True):
                part.append(value)
    area, qz, izz, qu, iuu = (math.fsum(part) for part in parts)
    return area, qz, izz, qu, iuu


@lru_cache(maxsize=8)
def slicer(solid: Solid, axis: Axis) -> Slicer:
    """The (remembered) slicer of a solid across an axis."""
    return Slicer(solid, axis)


def section_at(solid: Solid, axis: Axis, at_mm: float) -> Section:
    """The section at one place; raises ValueError where the cut misses the piece."""
    return slicer(solid, axis).section(at_mm)


def stations(solid: Solid, axis: Axis) -> tuple[float, ...]:
    """Places in mm along the axis at which to look for the weakest section, in order."""
    return slicer(solid, axis).stations()


def volume_beyond(solid: Solid, axis: Axis, at_mm: float) -> float:
    """Concrete in mm³ beyond the cut (x > at, or y > at)."""
    return math.fsum(part.volume_mm3 for part in slicer(solid, axis).beyond(at_mm))


def moment_beyond(solid: Solid, axis: Axis, at_mm: float) -> float:
    """First moment in mm⁴ of that concrete about the cut: with density and g, its own weight's moment."""
    return math.fsum(part.moment_mm4 for part in slicer(solid, axis).beyond(at_mm))
