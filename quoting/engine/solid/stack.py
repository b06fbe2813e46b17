"""The upright bodies of a solid as one table of lines and arcs, each with the depth it stands for."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from quoting.engine.plane.cut import CutContour
from quoting.engine.plane.sweep import Floats, beyond, chord_integrals, columns, crossings, summed
from quoting.engine.plane.turned import Axis

Weights = tuple[float, float, float]
"""∫dz, ∫z dz, ∫z² dz over the depths at which a contour stands; below zero for voids."""


class Stack:
    """Contours with what each stands for: made ready for many cuts at once."""

    __slots__ = ("_depths", "_pieces", "_rising", "_weights")

    def __init__(self, parts: Sequence[tuple[CutContour, Weights]], axis: Axis) -> None:
        self._pieces = columns([piece for cut, _ in parts for piece in cut.pieces], axis)
        weights = np.array([weight for _, weight in parts], dtype=np.float64).reshape(len(parts), 3)
        self._weights = np.repeat(weights, [len(cut.pieces) for cut, _ in parts], axis=0).T
        rising = self._pieces.rising()
        self._rising, self._depths = self._pieces.only(rising), self._weights[0, rising]

    def integrals(self, at: Floats, middle: Floats) -> Floats:
        """Area, ∫z dA, ∫z² dA, ∫u dA, ∫u² dA of each cut, five rows; u across from `middle`."""
        met = crossings(self._pieces, at)
        width, first, second = chord_integrals(met, middle)
        w0, w1, w2 = self._weights[:, met.piece]
        parts = (width * w0, width * w1, width * w2, first * w0, second * w0)
        return np.array([summed(part, met.cut, len(at)) for part in parts])

    def beyond(self, at: Floats) -> tuple[Floats, Floats]:
        """Volume beyond each cut and its first moment."""
        return beyond(self._rising, at, self._depths)
