"""What each feature takes up in plan and in depth, as the distance rules need it."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import cached_property, lru_cache
from typing import Final

import shapely
from shapely.geometry.base import BaseGeometry

from quoting.engine.plane.contour import Contour, NoRoom, contour_of, to_polygon
from quoting.engine.plane.shapes import Round
from quoting.engine.spec import types as spec
from quoting.engine.spec.feature_rules import groove_polygon, mouth_of, outside_of, shrunk
from quoting.engine.spec.wording import COARSE_MM, GUARD_MM, KEEP_CLEAR_MM

FINE_MM: Final = GUARD_MM / 5
NEAR_MM: Final = 4 * COARSE_MM
REMEMBERED: Final = 128
"""Regions kept with what was drawn of them: a piece has some dozens."""


@dataclass(frozen=True)
class Region:
    """A plan region, drawn with coarse or fine chords only when it is looked at."""

    draw: Callable[[float], BaseGeometry]
    """Draws it with chords that stray at most so many mm."""
    contour: Contour | None = None

    @cached_property
    def coarse(self) -> BaseGeometry:
        return self.draw(COARSE_MM)

    @cached_property
    def fine(self) -> BaseGeometry:
        return self.draw(FINE_MM)

    @cached_property
    def boundary(self) -> BaseGeometry:
        return shapely.boundary(self.coarse)

    @cached_property
    def surely_inside(self) -> BaseGeometry:
        """What lies inside whatever the coarse chords leave open."""
        return shapely.buffer(self.coarse, -2 * COARSE_MM, quad_segs=1)

    def distance_mm(self, other: Region, limit_mm: float = KEEP_CLEAR_MM) -> float:
        """Least distance to another region, to within the guard unless it is well over the limit."""
        rough = self.coarse.distance(other.coarse)
        if rough > limit_mm + NEAR_MM:
            return float(rough)
        return float(self.fine.distance(other.fine))

    def is_within(self, other: Region) -> bool:
        """Whether it lies in another region, touching allowed."""
        if shapely.covers(other.surely_inside, self.coarse):
            return True
        return bool(shapely.covers(shapely.buffer(other.fine, GUARD_MM), self.fine))

    def overlaps(self, other: Region) -> bool:
        """Whether it runs into another region by more than the guard."""
        if shapely.distance(self.coarse, other.coarse) > 2 * COARSE_MM:
            return False
        return bool(shapely.intersects(shapely.buffer(self.fine, -GUARD_MM), other.fine))

    def room_to_mm(self, around: Region, limit_mm: float = KEEP_CLEAR_MM) -> float:
        """Least distance to the boundary of a region around this one, as exact as `distance_mm`."""
        rough = self.coarse.distance(around.boundary)
        if rough > limit_mm + NEAR_MM:
            return float(rough)
        return float(self.fine.distance(shapely.boundary(around.fine)))


@dataclass(frozen=True, slots=True)
class Footprint:
    """One void, pocket or cast-in part, at one centre."""

    path: str
    """Where it is placed: `features[2].at[1]`, `features[3].path`."""
    name: str
    """What a maker calls it."""
    at: str
    """Its centre as given, shortened."""
    region: Region
    """In the slab; for a trough its mouth."""
    below: Region
    """At the underside: the outside of a trough, the through part of a backlit inlay, else the region."""
    from_top_mm: float
    """Concrete left between the show face and it: 0 where it is open at the top."""
    from_underside_mm: float
    rims: tuple[spec.EdgeTreatment, ...] = ()

    @property
    def said(self) -> str:
        """Its name and its number on the drawings, for words that are read without the document.

        The feature at `features[2].at[1]` is number 3 there, and this its second centre.
        """
        index, _, centre = self.path.removeprefix("features[").partition("]")
        number = f"feature {int(index) + 1}"
        if centre.startswith(".at["):
            number += f", centre {int(centre.removeprefix('.at[').removesuffix(']')) + 1}"
        return f"{self.name} ({number})"

    @property
    def widest(self) -> Region:
        """The larger of what it takes in the slab and below it."""
        return self.below if self.is_trough else self.region

    @property
    def is_trough(self) -> bool:
        return self.name == "trough"

    @property
    def reaches_underside(self) -> bool:
        return self.from_underside_mm == 0

    def seen_by(self, other: Footprint) -> Region:
        """The region another feature has to keep clear of: a trough's walls unless that one stays above."""
        return self.widest if other.reaches_underside else self.region


@lru_cache(maxsize=REMEMBERED)
def region_of(contour: Contour) -> Region:
    """A contour as a region, remembered: refusals and cautions look at the same ones."""
    return Region(lambda chord_mm: to_polygon(contour, chord_mm), contour)


def _shape_of(geometry: BaseGeometry) -> Region:
    """A region of straight sides, or a point."""
    return Region(lambda chord_mm: geometry)


def footprints(feature: spec.Feature, path: str, thickness_mm: float) -> Iterator[Footprint]:
    """The footprints of a feature, one a centre; none where its shape is impossible (refused elsewhere)."""
    if isinstance(feature, spec.Trough):
        yield from _trough(feature, path)
    elif isinstance(feature, spec.Groove):
        top, below = _cover(feature.face, feature.depth_mm, thickness_mm)
        region = _shape_of(groove_polygon(feature))
        yield Footprint(f"{path}.path", "groove", "", region, region, top, below)
    else:
        several = len(feature.centres_mm) > 1
        for i, centre in enumerate(feature.centres_mm):
            place = f"{path}.at[{i}]" if several else f"{path}.at"
            try:
                yield _at_centre(feature, centre, place, thickness_mm)
            except NoRoom:
                return


def _at_centre(
    feature: spec.Opening | spec.Inlay | spec.Recess | spec.Sleeve | spec.Insert,
    centre: spec.Point,
    path: str,
    thickness_mm: float,
) -> Footprint:
    at = f"[{centre[0]:g}, {centre[1]:g}]"
    match feature:
        case spec.Insert():
            region = _shape_of(shapely.Point(centre))
            return Footprint(path, "insert", at, region, region, thickness_mm, 0.0)
        case spec.Sleeve():
            region = region_of(contour_of(Round(feature.diameter_mm), centre))
            return Footprint(path, "sleeve", at, region, region, 0.0, 0.0)
        case spec.Opening():
            region = region_of(contour_of(feature.shape, centre, feature.turn_deg))
            return Footprint(path, "opening", at, region, region, 0.0, 0.0, feature.edges)
        case spec.Recess():
            region = region_of(contour_of(feature.shape, centre, feature.turn_deg))
            top, below = _cover(feature.face, feature.depth_mm, thickness_mm)
            return Footprint(path, "recess", at, region, region, top, below)
        case spec.Inlay():
            sheet = contour_of(feature.shape, centre, feature.turn_deg)
            region = region_of(sheet)
            if not feature.backlit:
                return Footprint(path, "inlay", at, region, region, 0.0, thickness_mm - feature.depth_mm)
            return Footprint(path, "inlay", at, region, _through_part(sheet, feature.ledge_mm), 0.0, 0.0)


@lru_cache(maxsize=REMEMBERED)
def _through_part(sheet: Contour, ledge_mm: float) -> Region:
    """Below a backlit sheet; the sheet itself where its ledge is refused."""
    return Region(lambda chord_mm: to_polygon(shrunk(sheet, ledge_mm) or sheet, chord_mm))


def _trough(trough: spec.Trough, path: str) -> Iterator[Footprint]:
    try:
        mouth = region_of(contour_of(mouth_of(trough), trough.centre_mm, trough.turn_deg))
        outside = region_of(contour_of(outside_of(trough), trough.centre_mm, trough.turn_deg))
    except NoRoom:
        return
    at = f"[{trough.centre_mm[0]:g}, {trough.centre_mm[1]:g}]"
    yield Footprint(f"{path}.at", "trough", at, mouth, outside, 0.0, 0.0)


def _cover(face: spec.Face, depth_mm: float, thickness_mm: float) -> tuple[float, float]:
    """Concrete between a pocket and the show face, and between it and the underside."""
    left = max(thickness_mm - depth_mm, GUARD_MM)
    return (0.0, left) if face == "top" else (left, 0.0)
