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
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise

import numpy as np

from quoting.engine.plane.cut import Chords, CutContour
from quoting.engine.plane.sweep import Floats, beyond, chord_integrals, crossings, summed
from quoting.engine.plane.turned import Axis
from quoting.engine.solid.build import Solid
from quoting.engine.solid.leaning import Leaning, Slices
from quoting.engine.solid.stack import Stack, Weights

_GRID = 32
_JUST_PAST_MM = 0.01
_FIGURES = (
    "area_mm2",
    "centroid_z_mm",
    "centroid_across_mm",
    "height_mm",
    "i_flat_mm4",
    "i_edge_mm4",
    "s_flat_top_mm3",
    "s_flat_bottom_mm3",
    "s_edge_mm3",
)
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
class Cuts:
    """Many cuts at once, one an entry; figures as in `Section`."""

    at_mm: Floats
    area_mm2: Floats
    centroid_z_mm: Floats
    centroid_across_mm: Floats
    height_mm: Floats
    i_flat_mm4: Floats
    i_edge_mm4: Floats
    reach_mm: Floats
    """From the centroid to the further of the two outer faces, across."""

    @property
    def s_flat_top_mm3(self) -> Floats:
        """Lying flat, at the show face."""
        return self.i_flat_mm4 / self.centroid_z_mm

    @property
    def s_flat_bottom_mm3(self) -> Floats:
        """Lying flat, at the lowest concrete."""
        return self.i_flat_mm4 / (self.height_mm - self.centroid_z_mm)

    @property
    def s_edge_mm3(self) -> Floats:
        """Standing on edge, at the further outer face."""
        return self.i_edge_mm4 / self.reach_mm


class Slicer:
    """A solid made ready for many cuts across one axis."""

    __slots__ = (
        "_axis",
        "_leaning",
        "_levels",
        "_outline",
        "_ovals",
        "_solid",
        "_stack",
        "_troughs",
        "_voids",
    )

    def __init__(self, solid: Solid, axis: Axis) -> None:
        self._solid, self._axis = solid, axis
        ready: dict[int, CutContour] = {}
        weights: dict[int, Weights] = {}
        for layer in solid.layers:
            if not layer.leaning:
                key = id(layer.contour)
                if key not in ready:
                    ready[key] = CutContour(layer.contour, axis)
                w0, w1, w2 = weights.get(key, (0.0, 0.0, 0.0))
                weights[key] = (
                    w0 + layer.sign * layer.depth_mm,
                    w1 + layer.sign * layer.depth1_mm2,
                    w2 + layer.sign * layer.depth2_mm3,
                )
        stack = [(ready[key], weight) for key, weight in weights.items()]
        self._stack = Stack([part for part in stack if part[0].pieces], axis)
        self._ovals = tuple(part for part in stack if not part[0].pieces)
        self._leaning = tuple(Leaning(body, axis) for body in solid.troughs if body.trough.taper_deg > 0.0)
        self._voids = tuple((void, ready[id(void.contour)]) for void in solid.voids)
        self._troughs = tuple((body, ready[id(body.outer)]) for body in solid.troughs)
        self._levels = tuple(ready[id(contour)] for contour in solid.drop_band or (solid.outline,))
        self._outline = self._levels[0].columns

    @property
    def span_mm(self) -> tuple[float, float]:
        """The outline's extent along the axis."""
        return self._levels[0].low_mm, self._levels[0].high_mm

    def section(self, at_mm: float) -> Section:
        """The properties of the cut at `at_mm`; raises ValueError where it misses the piece."""
        cuts = self.cuts((at_mm,))
        (row,) = zip(*(getattr(cuts, name).tolist() for name in _FIGURES), strict=True)
        outline = self._levels[0].chords(at_mm)
        return Section(self._axis, at_mm, self._net_width(at_mm, outline), *row)

    def cuts(self, places_mm: Sequence[float]) -> Cuts:
        """The properties of many cuts; raises ValueError where one misses the piece."""
        at = np.array(places_mm, dtype=np.float64)
        return self._cuts(at, self._slices(at))

    def survey(self, places_mm: Sequence[float]) -> tuple[Cuts, Floats]:
        """The properties of many cuts, and the first moment in mm⁴ of what lies beyond each of them."""
        at = np.array(places_mm, dtype=np.float64)
        slices = self._slices(at)
        return self._cuts(at, slices), self._beyond(at, slices)[1]

    def whole(self) -> tuple[float, float]:
        """Volume of the solid in mm³, and its first moment in mm⁴ about the near end of the span."""
        volumes, moments = [], []
        for layer in self._solid.layers:
            area, mx, my = layer.contour.moments
            volumes.append(layer.sign * layer.depth_mm * area)
            moments.append(layer.sign * layer.depth_mm * (mx if self._axis == "x" else my))
        volume = math.fsum(volumes)
        return volume, math.fsum(moments) - self.span_mm[0] * volume

    def _slices(self, at: Floats) -> list[Slices]:
        return [leaning.slices(at) for leaning in self._leaning]

    def _cuts(self, at: Floats, leaning: Sequence[Slices]) -> Cuts:
        low, high = self._extent(at)
        middle = 0.5 * (low + high)
        total = self._stack.integrals(at, middle)
        for slices in leaning:
            met = crossings(slices.pieces, at[slices.cut])
            row = slices.cut[met.cut]
            z, weight_mm = slices.z_mm[met.cut], slices.weight_mm[met.cut]
            width, first, second = (part * weight_mm for part in chord_integrals(met, middle[slices.cut]))
            for n, part in enumerate((width, width * z, width * z * z, first, second)):
                total[n] -= summed(part, row, len(at))
        for oval, weight in self._ovals:
            for n, place in enumerate(at.tolist()):
                total[:, n] += _oval_integrals(oval.chords(place), weight, float(middle[n]))
        area, qz, izz, qu, iuu = total
        z, across = qz / area, qu / area
        return Cuts(
            at_mm=at,
            area_mm2=area,
            centroid_z_mm=z,
            centroid_across_mm=middle + across,
            height_mm=self._heights(at),
            i_flat_mm4=izz - area * z * z,
            i_edge_mm4=iuu - area * across * across,
            reach_mm=0.5 * (high - low) + abs(across),
        )

    def _extent(self, at: Floats) -> tuple[Floats, Floats]:
        """Where each cut enters and leaves the outline, across."""
        lowest, highest = self.span_mm
        missed = at[~((at > lowest) & (at <= highest))]
        if len(missed):
            raise ValueError(
                f"a cut at {missed[0]:g} mm misses the piece, which runs from {lowest:g} to {highest:g} mm"
            )
        if not self._levels[0].pieces:
            ends = [self._levels[0].chords(place)[0] for place in at.tolist()]
            return np.array([start for start, _ in ends]), np.array([end for _, end in ends])
        met = crossings(self._outline, at)
        first = np.searchsorted(met.cut, np.arange(len(at)))
        return np.minimum.reduceat(met.across, first), np.maximum.reduceat(met.across, first)

    def beyond(self, places_mm: Sequence[float]) -> tuple[Floats, Floats]:
        """What lies beyond each cut: volume in mm³ and first moment about it in mm⁴."""
        at = np.array(places_mm, dtype=np.float64)
        return self._beyond(at, self._slices(at))

    def _beyond(self, at: Floats, leaning: Sequence[Slices]) -> tuple[Floats, Floats]:
        volume, moment = self._stack.beyond(at)
        for slices in leaning:
            found = beyond(slices.pieces, at[slices.cut], np.ones(len(slices.pieces.radius)))
            areas, moments = (part * slices.weight_mm for part in found)
            volume -= summed(areas, slices.cut, len(at))
            moment -= summed(moments, slices.cut, len(at))
        for oval, weight in self._ovals:
            for n, place in enumerate(at.tolist()):
                area, first = oval.beyond(place)
                volume[n] += weight[0] * area
                moment[n] += weight[0] * first
        return volume, moment

    def _heights(self, at: Floats) -> Floats:
        height = np.full_like(at, self._solid.thickness_mm)
        drop = self._solid.piece.drop_edge
        if drop is not None:
            outer, inner = (_widths(level, at) for level in self._levels)
            height[outer - inner > 1e-9] = max(drop.depth_mm, self._solid.thickness_mm)
        for body, cut in self._troughs:
            through = (at > cut.low_mm) & (at <= cut.high_mm)
            height[through] = np.maximum(height[through], body.bottom_mm)
        return height

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


def _widths(contour: CutContour, at: Floats) -> Floats:
    if not contour.pieces:
        return np.array([_width(contour.chords(place)) for place in at.tolist()])
    met = crossings(contour.columns, at)
    return summed(met.sign * met.across, met.cut, len(at))


def _oval_integrals(chords: Chords, weight: Weights, middle: float) -> tuple[float, ...]:
    """Area, ∫z dA, ∫z² dA, ∫u dA, ∫u² dA, with u measured across from `middle`."""
    w0, w1, w2 = weight
    total = [0.0] * 5
    for start, end in chords:
        a, b = start - middle, end - middle
        width, first, second = b - a, (b * b - a * a) / 2.0, (b**3 - a**3) / 3.0
        parts = (width * w0, width * w1, width * w2, first * w0, second * w0)
        total = [value + part for value, part in zip(total, parts, strict=True)]
    return tuple(total)


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
    return float(slicer(solid, axis).beyond((at_mm,))[0][0])


def moment_beyond(solid: Solid, axis: Axis, at_mm: float) -> float:
    """First moment in mm⁴ of that concrete about the cut: with density and g, its own weight's moment."""
    return float(slicer(solid, axis).beyond((at_mm,))[1][0])
