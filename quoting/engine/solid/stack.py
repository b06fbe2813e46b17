"""The upright bodies of a solid as one table of lines and arcs, each with the depth it stands for."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

import numpy as np

from quoting.engine.plane.cut import CutContour
from quoting.engine.plane.sweep import Floats, beyond, chord_integrals, columns, crossings, summed
from quoting.engine.plane.turned import Axis

Weights = tuple[float, float, float]
"""∫dz, ∫z dz, ∫z² dz over the depths at which a contour stands; below zero for voids."""


class Stack:
    """Contours with what each stands for: made ready for many cuts at once."""

    __slots__ = ("_below", "_pieces", "_weights")

    def __init__(self, parts: Sequence[tuple[CutContour, int, Weights]], axis: Axis) -> None:
        parts = sorted(parts, key=lambda part: part[1])
        self._pieces = columns([piece for cut, _, _ in parts for piece in cut.pieces], axis)
        counts = [len(cut.pieces) for cut, _, _ in parts]
        weights = np.array([weight for _, _, weight in parts], dtype=np.float64).reshape(len(parts), 3)
        self._weights = np.repeat(weights, counts, axis=0).T
        self._below = np.repeat(np.array([below for _, below, _ in parts], dtype=np.intp), counts)

    def integrals(self, at: Floats, middle: Floats) -> Floats:
        """Area, ∫z dA, ∫z² dA, ∫u dA, ∫u² dA of each cut, five rows; u across from `middle`."""
        met = crossings(self._pieces, at)
        width, first, second = chord_integrals(met, middle)
        w0, w1, w2 = self._weights[:, met.piece]
        parts = (width * w0, width * w1, width * w2, first * w0, second * w0)
        return np.array([summed(part, met.cut, len(at)) for part in parts])

    def beyond(self, at: Floats, bodies: int) -> tuple[Floats, Floats]:
        """Volume beyond each cut and its first moment, one row for each of the `bodies`."""
        found = [part * self._weights[0] for part in beyond(self._pieces, at)]
        ends = np.searchsorted(self._below, np.arange(bodies + 1))
        shares = [[part[:, start:end].sum(axis=1) for start, end in pairwise(ends)] for part in found]
        return np.array(shares[0]), np.array(shares[1])
