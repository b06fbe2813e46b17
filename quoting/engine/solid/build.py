"""From a parsed piece to its solid: outline, voids, drop edge and troughs, and the stack of layers they make.

The parser has refused what cannot be cast, overlapping features among it; `NoRoom` from here means a contour
it let through has no room for its treatment. `top` treatments run along the show face's arris, `bottom` ones
along the lowest outer arris of each side: the slab's underside, or the drop edge's bottom where it has one.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise
from typing import Literal

from quoting.engine.plane.contour import Contour, NoRoom, contour_of, ring_of
from quoting.engine.plane.shapes import Point, Rectangle, Round
from quoting.engine.solid.layers import Layer, edge_layers, leaning_layers, prism
from quoting.engine.spec.types import (
    EdgeTreatment,
    Groove,
    Inlay,
    Opening,
    Piece,
    Recess,
    Sleeve,
    Trough,
)

VoidKind = Literal["opening", "inlay", "inlay_through", "recess", "groove", "sleeve"]


@dataclass(frozen=True, slots=True)
class Void:
    """One void of the slab. A groove round and back to its start gives two, meeting at their flat ends."""

    feature: int
    path: str
    kind: VoidKind
    contour: Contour
    top_mm: float
    bottom_mm: float
    through: bool
    backlit: bool = False
    edges: tuple[EdgeTreatment, ...] = ()

    @property
    def depth_mm(self) -> float:
        """From its top to its bottom."""
        return self.bottom_mm - self.top_mm


@dataclass(frozen=True, slots=True)
class TroughBody:
    """A trough: its leaning inside from the show face, its upright outside below the slab."""

    feature: int
    trough: Trough
    outer: Contour
    top_mm: float
    """Where the outside begins: the slab's underside."""
    bottom_mm: float
    drains: tuple[Contour, ...]

    @property
    def lean(self) -> float:
        """How far the inside walls come in for each mm of depth."""
        return math.tan(math.radians(self.trough.taper_deg))

    def inner_at(self, z_mm: float) -> Contour:
        """The inside at depth `z_mm` below the show face: length and width less 2 z tan taper."""
        trough = self.trough
        less = 2.0 * z_mm * self.lean
        if less >= min(trough.length_mm, trough.width_mm):
            raise NoRoom(f"a taper of {trough.taper_deg:g}° closes the trough {z_mm:g} mm down")
        shape = Rectangle(trough.length_mm - less, trough.width_mm - less, (trough.corner_radius_mm,) * 4)
        return contour_of(shape, trough.centre_mm, trough.turn_deg)


@dataclass(frozen=True, slots=True, eq=False)
class Solid:
    """A piece as bodies: what every quantity is taken from (one is equal only to itself)."""

    piece: Piece
    outline: Contour
    voids: tuple[Void, ...]
    troughs: tuple[TroughBody, ...]
    drop_band: tuple[Contour, Contour] | None
    """(outer, inner): the band lies between them, from the slab's underside to the drop edge's depth."""
    height_mm: float
    layers: tuple[Layer, ...]

    @property
    def thickness_mm(self) -> float:
        """Of the slab."""
        return self.piece.thickness_mm


def build(piece: Piece) -> Solid:
    """The solid of a parsed, castable piece."""
    outline = contour_of(piece.outline)
    voids = tuple(_voids(piece))
    troughs = tuple(
        _trough_body(i, feature, piece.thickness_mm)
        for i, feature in enumerate(piece.features)
        if isinstance(feature, Trough)
    )
    band = None
    depth = piece.thickness_mm
    if piece.drop_edge is not None:
        band = (outline, outline.grown(-piece.drop_edge.thickness_mm, piece.drop_edge.sides))
        depth = max(depth, piece.drop_edge.depth_mm)
    layers = [
        *_slab_layers(piece, outline, band),
        *(layer for void in voids for layer in _void_layers(void, piece.thickness_mm)),
        *(layer for n, body in enumerate(troughs, 1) for layer in _trough_layers(body, n)),
    ]
    height = max([depth, *(body.bottom_mm for body in troughs)])
    return Solid(piece, outline, voids, troughs, band, height, tuple(layers))


# --- slab and drop edge ----------------------------------------------------------------------------------
def _slab_layers(piece: Piece, outline: Contour, band: tuple[Contour, Contour] | None) -> list[Layer]:
    thickness = piece.thickness_mm
    top = [t for t in piece.edges if t.at == "top"]
    bottom = [t for t in piece.edges if t.at == "bottom"]
    layers = [prism(1, outline, 0.0, thickness), *edge_layers(outline, top, None, 0.0, 1)]
    if piece.drop_edge is None or band is None:
        return [*layers, *edge_layers(outline, bottom, None, thickness, -1)]
    depth, inner = piece.drop_edge.depth_mm, band[1]
    layers += [prism(1, outline, thickness, depth), prism(-1, inner, thickness, depth)]
    every = frozenset(range(outline.sides))
    dropped = every if piece.drop_edge.sides is None else frozenset(piece.drop_edge.sides)
    layers += edge_layers(outline, bottom, dropped if outline.sides else None, depth, -1)
    if every - dropped:
        # Beside a drop edge the underside's arris begins at the band's inner face.
        layers += edge_layers(inner, bottom, every - dropped, thickness, -1)
    return layers


# --- voids -----------------------------------------------------------------------------------------------
def _voids(piece: Piece) -> Iterator[Void]:
    thickness = piece.thickness_mm
    for i, feature in enumerate(piece.features):
        path = f"features[{i}]"
        if isinstance(feature, Groove):
            top, bottom = _from_face(feature.face, feature.depth_mm, thickness)
            for channel in channels(feature.path_mm, feature.width_mm):
                yield Void(i, path, "groove", channel, top, bottom, through=False)
        elif isinstance(feature, Opening | Inlay | Recess | Sleeve):
            for n, centre in enumerate(feature.centres_mm):
                where = path if len(feature.centres_mm) == 1 else f"{path}.at[{n}]"
                yield from _void(i, where, feature, centre, thickness)


def _void(
    i: int, path: str, feature: Opening | Inlay | Recess | Sleeve, centre: Point, thickness: float
) -> Iterator[Void]:
    if isinstance(feature, Sleeve):
        contour = contour_of(Round(feature.diameter_mm), centre)
        yield Void(i, path, "sleeve", contour, 0.0, thickness, through=True)
        return
    contour = contour_of(feature.shape, centre, feature.turn_deg)
    if isinstance(feature, Opening):
        yield Void(i, path, "opening", contour, 0.0, thickness, through=True, edges=feature.edges)
    elif isinstance(feature, Recess):
        top, bottom = _from_face(feature.face, feature.depth_mm, thickness)
        yield Void(i, path, "recess", contour, top, bottom, through=False)
    else:
        yield Void(i, path, "inlay", contour, 0.0, feature.depth_mm, through=False, backlit=feature.backlit)
        if feature.backlit:
            below = contour.grown(-feature.ledge_mm)
            yield Void(
                i, path, "inlay_through", below, feature.depth_mm, thickness, through=True, backlit=True
            )


def _from_face(face: str, depth: float, thickness: float) -> tuple[float, float]:
    return (0.0, depth) if face == "top" else (thickness - depth, thickness)


def channels(path: tuple[Point, ...], width_mm: float) -> tuple[Contour, ...]:
    """The plan of a groove: its path widened, mitred at the corners, flat at the ends.

    A path that comes back to its start is cut in two at the middle of its first and of a later part, with
    flat ends that meet, so that every channel has a plain outline.
    """
    if math.dist(path[0], path[-1]) > 1e-9 or len(path) < 4:
        return (_channel(path, width_mm),)
    corners = path[:-1]
    half = len(corners) // 2
    start, end = _middle(corners[0], corners[1]), _middle(corners[half], corners[(half + 1) % len(corners)])
    there = (start, *corners[1 : half + 1], end)
    back = (end, *corners[half + 1 :], corners[0], start)
    return (_channel(there, width_mm), _channel(back, width_mm))


def _middle(a: Point, b: Point) -> Point:
    return (0.5 * (a[0] + b[0]), 0.5 * (a[1] + b[1]))


def _channel(path: tuple[Point, ...], width: float) -> Contour:
    normals = []
    for (ax, ay), (bx, by) in pairwise(path):
        length = math.hypot(bx - ax, by - ay)
        if length == 0.0:
            raise NoRoom("two neighbouring points of a groove's path are the same")
        normals.append(((ay - by) / length, (bx - ax) / length))
    right: list[Point] = []
    left: list[Point] = []
    for i, (x, y) in enumerate(path):
        (ax, ay), (bx, by) = normals[max(i - 1, 0)], normals[min(i, len(normals) - 1)]
        opening = 1.0 + ax * bx + ay * by
        if opening < 1e-9:
            raise NoRoom("a groove's path doubles back on itself")
        reach = 0.5 * width / opening
        dx, dy = reach * (ax + bx), reach * (ay + by)
        right.append((x - dx, y - dy))
        left.append((x + dx, y + dy))
    return ring_of([*right, *reversed(left)])


def _void_layers(void: Void, thickness: float) -> list[Layer]:
    top = [t for t in void.edges if t.at == "top"]
    bottom = [t for t in void.edges if t.at == "bottom"]
    return [
        prism(-1, void.contour, void.top_mm, void.bottom_mm),
        *edge_layers(void.contour, top, None, 0.0, 1, rim=True),
        *edge_layers(void.contour, bottom, None, thickness, -1, rim=True),
    ]


# --- troughs ---------------------------------------------------------------------------------------------
def _trough_body(i: int, trough: Trough, thickness: float) -> TroughBody:
    radius = trough.corner_radius_mm + trough.wall_mm
    length, width = trough.length_mm + 2.0 * trough.wall_mm, trough.width_mm + 2.0 * trough.wall_mm
    outer = contour_of(Rectangle(length, width, (radius,) * 4), trough.centre_mm, trough.turn_deg)
    drains = tuple(contour_of(Round(drain.diameter_mm), drain.at_mm) for drain in trough.drains)
    bottom = max(thickness, trough.depth_mm + trough.floor_mm)
    return TroughBody(i, trough, outer, thickness, bottom, drains)


def _trough_layers(body: TroughBody, number: int) -> list[Layer]:
    under, depth = body.top_mm, body.trough.depth_mm
    layers = [prism(1, body.outer, under, body.bottom_mm, number)]
    for start, end, below in ((0.0, min(under, depth), 0), (under, depth, number)):
        if end > start:
            if body.trough.taper_deg == 0.0:
                layers.append(prism(-1, body.inner_at(0.0), start, end, below))
            else:
                layers += leaning_layers(body.inner_at, start, end, below)
    for start, end, below in ((depth, under, 0), (max(depth, under), body.bottom_mm, number)):
        if end > start:
            layers += [prism(-1, drain, start, end, below) for drain in body.drains]
    return layers
