"""What keeps concrete out of the slab: foam knock-outs in layers, tube for sleeves, groove formers, inlays.

A sheet inlay is cast in: it lies in the mould, face to the base, and forms its own pocket (it is bedded into
a foam pocket when the piece is cast face-up). Under a backlit inlay stands a knock-out smaller than the sheet
by the ledge on every side, from the back of the sheet through the slab.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise

from quoting.engine.plane.contour import Contour
from quoting.engine.plane.shapes import Point
from quoting.engine.solid.build import Solid, Void
from quoting.engine.spec.types import Groove, Inlay, Opening, Recess, Sleeve
from quoting.engine.takeoff.lines import Caution, PlacedPart
from quoting.engine.takeoff.mould_parts import Made, Standing, Work, together
from quoting.engine.takeoff.mould_walls import CHORD_MM
from quoting.engine.units import format_length
from quoting.engine.values import Material, PriceBook, ShopTerms

_SAME_MM = 0.5


def void_work(solid: Solid, book: PriceBook, terms: ShopTerms) -> Work:
    """Parts, beads and notes for every void of the slab. The price list's roles are checked by the caller."""
    return _Voids(solid, book, terms).work()


def foam_layers(depth_mm: float, foams: Sequence[Material]) -> tuple[Material, int, float]:
    """(foam, whole layers, thickness of a last trimmed layer or 0) for a depth in mm, with the fewest layers.

    layers = depth ÷ thickness, rounded up; where a rest is left the last layer is trimmed to it. Of foams
    that give as few layers the one with least to trim off is taken, then the first by code.
    """

    def cost(foam: Material) -> tuple[int, float, str]:
        thick = foam.thickness_mm or math.inf
        layers = max(1, math.ceil(depth_mm / thick - 1e-9))
        return layers, layers * thick - depth_mm, foam.code

    foam = min(foams, key=cost)
    thick = foam.thickness_mm or depth_mm
    whole = math.floor(depth_mm / thick + 1e-9)
    rest = depth_mm - whole * thick
    return foam, whole, rest if rest > 1e-6 else 0.0


def block(
    name: str, contour: Contour, size: Point, levels: tuple[float, float], foams: Sequence[Material]
) -> list[Made]:
    """A foam block in layers: `size` is what it is sawn from (length, width), `levels` its top and bottom."""
    top, bottom = levels
    foam, whole, rest = foam_layers(bottom - top, foams)
    thick = foam.thickness_mm or (bottom - top)
    plan = contour.points(CHORD_MM)
    edges = "sawn to shape" if is_shaped(contour, size) else "square"
    made: list[Made] = []
    if whole:
        stand = Standing(plan, top, top + whole * thick)
        made.append(Made(f"{name} knock-out", *size, thick, foam.code, edges, whole, standing=(stand,)))
    if rest:
        trimmed = f"{edges}, trimmed from a full sheet"
        stand = Standing(plan, top + whole * thick, bottom)
        made.append(Made(f"{name} knock-out, last layer", *size, rest, foam.code, trimmed, standing=(stand,)))
    return made


def is_shaped(contour: Contour, size: Point) -> bool:
    """Whether a contour is anything but the plain rectangle of that size."""
    return abs(contour.area_mm2 - size[0] * size[1]) > 1e-6 * contour.area_mm2


def box_size(contour: Contour, turn_deg: float) -> Point:
    """Length and width of a contour's box with its turn undone, in mm."""
    x0, y0, x1, y1 = contour.turned(-turn_deg, contour.centroid_mm).box_mm
    return x1 - x0, y1 - y0


def tube_for(diameter_mm: float, book: PriceBook) -> Material:
    """The tube nearest a diameter in mm, the first by code of two as near."""
    return min(book.by_role("sleeve_tube"), key=lambda tube: abs((tube.diameter_mm or 0.0) - diameter_mm))


def tube_work(
    name: str,
    contour: Contour,
    diameter_mm: float,
    levels: tuple[float, float],
    book: PriceBook,
    terms: ShopTerms,
) -> Work:
    """A tube cut to the depth it stands in; a caution when the price list has no tube of that diameter."""
    tube = tube_for(diameter_mm, book)
    stand = Standing(contour.points(CHORD_MM), *levels)
    depth = levels[1] - levels[0]
    part = Made(f"{name} tube", depth, diameter_mm, diameter_mm, tube.code, "cut square", standing=(stand,))
    cautions: tuple[Caution, ...] = ()
    if abs((tube.diameter_mm or 0.0) - diameter_mm) > _SAME_MM:
        wanted = format_length(diameter_mm, terms.unit_system)
        have = format_length(tube.diameter_mm or 0.0, terms.unit_system)
        text = f"No tube of {wanted} in the price list; nearest is {have} ({tube.name}): wrap it, or add one."
        cautions = (Caution("tube_diameter", text, "price list"),)
    return Work(parts=(part,), cautions=cautions)


class _Voids:
    """The voids of one solid, kind by kind."""

    def __init__(self, solid: Solid, book: PriceBook, terms: ShopTerms) -> None:
        self.solid, self.book, self.terms = solid, book, terms
        self.foams = book.by_role("knockout_foam")
        self.face_down = solid.piece.cast == "face-down"

    def work(self) -> Work:
        """Parts, beads and notes of all the voids, each groove once though it may be two voids."""
        works = []
        for i, feature in enumerate(self.solid.piece.features):
            own = [void for void in self.solid.voids if void.feature == i]
            if isinstance(feature, Groove):
                works.append(self._groove(own, feature))
            else:
                works += [self._one(void) for void in own]
        return together(works)

    def _one(self, void: Void) -> Work:
        feature = self.solid.piece.features[void.feature]
        if isinstance(feature, Sleeve):
            tube = tube_work(
                "sleeve", void.contour, feature.diameter_mm, self._levels(void), self.book, self.terms
            )
            return Work(tube.parts, beads=self._bead(void), cautions=tube.cautions)
        if isinstance(feature, Inlay) and void.kind == "inlay" and self.face_down:
            return self._inlay(void, feature)
        assert isinstance(feature, Opening | Inlay | Recess)  # noqa: S101
        name = (
            "inlay" if isinstance(feature, Inlay) else "opening" if isinstance(feature, Opening) else "recess"
        )
        size = box_size(void.contour, feature.turn_deg)
        made = block(name, void.contour, size, self._levels(void), self.foams)
        sawn = void.contour.perimeter_mm * sum(part.quantity for part in made)
        notes = self._notes(void, name)
        return Work(tuple(made), beads=self._bead(void), sawn_mm=sawn, notes=notes)

    @staticmethod
    def _levels(void: Void) -> tuple[float, float]:
        return void.top_mm, void.bottom_mm

    def _on_base(self, void: Void) -> bool:
        """Whether the former stands on the mould's base or on a sheet that lies there."""
        if void.through:
            return True
        return (void.top_mm <= 1e-9) == self.face_down

    def _bead(self, void: Void) -> tuple[tuple[str, float, float], ...]:
        if not self._on_base(void):
            return ()
        kind = "round inlays" if void.kind == "inlay" else "round knock-outs"
        return ((kind, void.contour.perimeter_mm, self.terms.fillet_radius_mm),)

    def _notes(self, void: Void, name: str) -> tuple[str, ...]:
        notes = ["Foam knock-outs: glue the layers, tape the sides, dig out after stripping."]
        if not self._on_base(void):
            notes.append(f"Former of the {name} hangs from bearers across the mould, held against floating.")
        return tuple(notes)

    def _inlay(self, void: Void, feature: Inlay) -> Work:
        placed = PlacedPart(
            feature.material,
            "inlay, lies in the mould",
            void.contour.points(CHORD_MM),
            void.top_mm,
            void.bottom_mm,
        )
        note = "Inlays lie in the mould face to the base, held and sealed by their bead."
        return Work(beads=self._bead(void), notes=(note,), placed=(placed,))

    def _groove(self, voids: Sequence[Void], groove: Groove) -> Work:
        former = former_for(groove, self.book)
        code, width, depth = former.code, groove.width_mm, groove.depth_mm
        made = [
            Made("groove former", length, width, depth, code, cut) for length, cut in groove_lengths(groove)
        ]
        stands = tuple(Standing(void.contour.points(CHORD_MM), *self._levels(void)) for void in voids)
        made[0] = replace(made[0], standing=stands)
        notes = []
        if not _fits(former, groove):
            section = " × ".join(format_length(v, self.terms.unit_system) for v in (width, depth))
            notes.append(f"Groove former {section}, planed or built up from {former.name}.")
        if not self._on_base(voids[0]):
            notes.append("Groove formers of the upper side are pressed in and held level from bearers.")
        beads = tuple(bead for void in voids for bead in self._bead(void))
        return Work(tuple(made), beads=beads, notes=tuple(notes))


# --- grooves ---------------------------------------------------------------------------------------------
def former_for(groove: Groove, book: PriceBook) -> Material:
    """The former of just that section; else the least that it can be planed from; else the largest.

    A former without a section in the price list is soft stuff, cut to any.
    """
    formers = book.by_role("groove_former")

    def cost(former: Material) -> tuple[int, float, str]:
        width, depth = former.width_mm or math.inf, former.thickness_mm or math.inf
        if _fits(former, groove):
            return 0, 0.0, former.code
        if width >= groove.width_mm and depth >= groove.depth_mm:
            return 1, width * depth, former.code
        return 2, -width * depth, former.code

    return min(formers, key=cost)


def _fits(former: Material, groove: Groove) -> bool:
    width, depth = former.width_mm, former.thickness_mm
    return (
        width is not None
        and depth is not None
        and abs(width - groove.width_mm) <= _SAME_MM
        and abs(depth - groove.depth_mm) <= _SAME_MM
    )


def groove_lengths(groove: Groove) -> tuple[tuple[float, str], ...]:
    """(length over all in mm, how the ends are cut) of the former's straight pieces, mitred at the corners.

    A mitre makes a piece longer by half the width × tan(half the turn) on its outer edge.
    """
    path = groove.path_mm
    legs = list(pairwise(path))
    closed = len(legs) > 2 and math.dist(path[0], path[-1]) <= 1e-9
    ends = _turn(legs[-1], legs[0]) if closed else 0.0
    turns = [ends, *(_turn(a, b) for a, b in pairwise(legs)), ends]
    out = []
    for (start, end), before, after in zip(legs, turns, turns[1:], strict=False):
        extra = sum(groove.width_mm / 2 * math.tan(turn / 2) for turn in (before, after))
        cuts = [f"{math.degrees(turn) / 2:.1f}° mitre" for turn in (before, after) if turn > 1e-6]
        words = (
            "square" if not cuts else f"{cuts[0]} both ends" if cuts[0] == cuts[-1] and len(cuts) == 2 else ""
        )
        words = words or (
            f"{cuts[0]} one end" if len(cuts) == 1 else f"{cuts[0]} one end, {cuts[1]} the other"
        )
        out.append((math.dist(start, end) + extra, words))
    return tuple(out)


def _turn(first: tuple[Point, Point], second: tuple[Point, Point]) -> float:
    ax, ay = first[1][0] - first[0][0], first[1][1] - first[0][1]
    bx, by = second[1][0] - second[0][0], second[1][1] - second[0][1]
    return abs(math.atan2(ax * by - ay * bx, ax * bx + ay * by))
