"""What stays, or changes in a known way, when a piece is scaled, mirrored, turned, moved or split."""

from __future__ import annotations

import dataclasses
from collections.abc import Callable

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from quoting.engine.plane.shapes import Ell, Oval, Point, Polygon, Rectangle, Shape, Slot
from quoting.engine.solid.build import build
from quoting.engine.solid.measure import Geometry, measure
from quoting.engine.spec.types import (
    Drain,
    DropEdge,
    EdgeTreatment,
    Feature,
    Groove,
    Insert,
    Opening,
    Piece,
    Recess,
    Sides,
    Sleeve,
    Trough,
)
from tests.validation.strategies import pieces

AREAS = ("show_area_m2", "side_area_m2", "void_area_m2", "underside_area_m2", "trough_area_m2")
SAME = 1e-9

quick = settings(
    max_examples=20, deadline=None, derandomize=True, database=None, suppress_health_check=list(HealthCheck)
)


def assert_measures(changed: Geometry, was: Geometry, k: float, centre: tuple[float, float, float]) -> None:
    """`changed` is `was` with lengths times `k` and its centroid at `centre`."""
    assert changed.volume_m3 == pytest.approx(was.volume_m3 * k**3, rel=SAME)
    for (mix, volume), (mix_was, volume_was) in zip(changed.volume_by_mix, was.volume_by_mix, strict=True):
        assert mix == mix_was
        assert volume == pytest.approx(volume_was * k**3, rel=SAME)
    for name in AREAS:
        assert getattr(changed, name) == pytest.approx(getattr(was, name) * k**2, rel=SAME), name
    assert changed.edge_length_m == pytest.approx(was.edge_length_m * k, rel=SAME)
    assert changed.centroid_mm == pytest.approx(centre, rel=SAME)


# --- scale -----------------------------------------------------------------------------------------------
def scaled(value: object, k: float, name: str = "") -> object:
    """Every length of a piece, its features and shapes times k; names carry the unit."""
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        changed = {f.name: scaled(getattr(value, f.name), k, f.name) for f in dataclasses.fields(value)}
        return dataclasses.replace(value, **changed)
    if isinstance(value, tuple):
        return tuple(scaled(item, k, name) for item in value)
    return value * k if isinstance(value, float | int) and name.endswith("_mm") else value


@quick
@given(pieces(), st.sampled_from([0.5, 1.7, 25.4]))
def test_scaling_by_k_scales_volumes_areas_and_lengths(piece: Piece, k: float) -> None:
    was = measure(build(piece))
    bigger = scaled(piece, k)
    assert isinstance(bigger, Piece)
    x, y, z = was.centroid_mm
    assert_measures(measure(build(bigger)), was, k, (x * k, y * k, z * k))


# --- mirror and turn -------------------------------------------------------------------------------------
@dataclasses.dataclass(frozen=True)
class Move:
    """A change of plan: of points, shapes, side numbers of a rectangle and turns."""

    point: Callable[[Point], Point]
    shape: Callable[[Shape], Shape]
    side: Callable[[int], int]
    turn: Callable[[float], float]
    feature_shape: Callable[[Shape], Shape]


def moved(piece: Piece, move: Move) -> Piece:
    def sides(numbers: Sides) -> Sides:
        return None if numbers is None else tuple(sorted(move.side(i) for i in numbers))

    def edges(treatments: tuple[EdgeTreatment, ...]) -> tuple[EdgeTreatment, ...]:
        return tuple(dataclasses.replace(t, sides=sides(t.sides)) for t in treatments)

    def feature(f: Feature) -> Feature:
        if isinstance(f, Groove):
            return dataclasses.replace(f, path_mm=tuple(move.point(p) for p in f.path_mm))
        if isinstance(f, Trough):
            drains = tuple(Drain(move.point(d.at_mm), d.diameter_mm) for d in f.drains)
            return dataclasses.replace(
                f, centre_mm=move.point(f.centre_mm), turn_deg=move.turn(f.turn_deg), drains=drains
            )
        centres = tuple(move.point(c) for c in f.centres_mm)
        if isinstance(f, Sleeve | Insert):
            return dataclasses.replace(f, centres_mm=centres)
        return dataclasses.replace(
            f, centres_mm=centres, shape=move.feature_shape(f.shape), turn_deg=move.turn(f.turn_deg)
        )

    drop = piece.drop_edge
    return dataclasses.replace(
        piece,
        outline=move.shape(piece.outline),
        edges=edges(piece.edges),
        drop_edge=None if drop is None else DropEdge(drop.depth_mm, drop.thickness_mm, sides(drop.sides)),
        features=tuple(feature(f) for f in piece.features),
    )


def extent(shape: Shape) -> Point:
    """The box a shape is drawn in: a polygon's is that of its points, whatever radius rounds them."""
    if isinstance(shape, Polygon):
        return max(x for x, _ in shape.points_mm), max(y for _, y in shape.points_mm)
    return build(Piece("box", "mm", 40.0, shape)).outline.box_mm[2:]


def mirrored_shape(shape: Shape) -> Shape:
    """Left for right."""
    if isinstance(shape, Rectangle):
        a, b, c, d = shape.corner_radii_mm
        return Rectangle(shape.length_mm, shape.width_mm, (b, a, d, c))
    if isinstance(shape, Ell):
        swap = {"left": "right", "right": "left"}
        front, side = shape.notch.split("-")
        return dataclasses.replace(shape, notch=f"{front}-{swap[side]}")  # type: ignore[arg-type]
    if isinstance(shape, Polygon):
        far = max(x for x, _ in shape.points_mm)
        points = tuple((far - x, y) for x, y in reversed(shape.points_mm))
        return Polygon(points, tuple(reversed(shape.corner_radii_mm)))
    return shape


def quarter_turned_shape(shape: Shape) -> Shape:
    """Counter-clockwise."""
    if isinstance(shape, Rectangle):
        a, b, c, d = shape.corner_radii_mm
        return Rectangle(shape.width_mm, shape.length_mm, (d, a, b, c))
    if isinstance(shape, Oval | Slot):
        return dataclasses.replace(shape, length_mm=shape.width_mm, width_mm=shape.length_mm)
    if isinstance(shape, Ell):
        ring = ["front-left", "front-right", "back-right", "back-left"]
        notch = ring[(ring.index(shape.notch) + 1) % 4]
        return Ell(
            shape.width_mm,
            shape.length_mm,
            shape.notch_width_mm,
            shape.notch_length_mm,
            notch,  # type: ignore[arg-type]
            shape.corner_radius_mm,
        )
    if isinstance(shape, Polygon):
        high = max(y for _, y in shape.points_mm)
        return Polygon(tuple((high - y, x) for x, y in shape.points_mm), shape.corner_radii_mm)
    return shape


@quick
@given(pieces())
def test_a_mirrored_piece_has_the_same_measures(piece: Piece) -> None:
    was, (length, _) = measure(build(piece)), extent(piece.outline)
    mirror = Move(
        point=lambda p: (length - p[0], p[1]),
        shape=mirrored_shape,
        side=lambda i: (0, 3, 2, 1)[i],
        turn=lambda turn: -turn,
        feature_shape=mirrored_shape,
    )
    x, y, z = was.centroid_mm
    assert_measures(measure(build(moved(piece, mirror))), was, 1.0, (length - x, y, z))


@quick
@given(pieces())
def test_a_piece_turned_by_a_quarter_has_the_same_measures(piece: Piece) -> None:
    was, (_, width) = measure(build(piece)), extent(piece.outline)
    turn = Move(
        point=lambda p: (width - p[1], p[0]),
        shape=quarter_turned_shape,
        side=lambda i: (i + 1) % 4,
        turn=lambda turn: turn + 90.0,
        feature_shape=lambda shape: shape,
    )
    x, y, z = was.centroid_mm
    assert_measures(measure(build(moved(piece, turn))), was, 1.0, (width - y, x, z))


# --- move and split --------------------------------------------------------------------------------------
SLAB = Rectangle(1000.0, 600.0, (30.0,) * 4)


def measured(*features: Feature) -> Geometry:
    return measure(build(Piece("slab", "mm", 40.0, SLAB, features=features)))


@pytest.mark.parametrize("turn", [0.0, 17.0, 90.0])
def test_moving_a_void_moves_the_centroid_by_its_share_and_nothing_else(turn: float) -> None:
    shape = Ell(120.0, 80.0, 40.0, 30.0, "back-left", 8.0)
    here, there = (Recess(((x, 300.0),), shape, "top", 20.0, turn) for x in (300.0, 700.0))
    was, now = measured(here), measured(there)
    share = (measured().volume_m3 - was.volume_m3) / was.volume_m3
    x, y, z = was.centroid_mm
    assert_measures(now, was, 1.0, (x - 400.0 * share, y, z))


def test_a_feature_at_two_places_is_two_features() -> None:
    rim = (EdgeTreatment("top", "round", 5.0),)
    a, b = (200.0, 200.0), (700.0, 400.0)
    shape = Oval(150.0, 90.0)
    whole = measured(Opening((a, b), shape, 10.0, rim))
    parts = measured(Opening((a,), shape, 10.0, rim), Opening((b,), shape, 10.0, rim))
    assert_measures(parts, whole, 1.0, whole.centroid_mm)


def test_a_recess_cut_in_two_takes_the_same() -> None:
    whole = measured(Recess(((400.0, 300.0),), Rectangle(200.0, 100.0, (12.0,) * 4), "underside", 15.0))
    left = Recess(((350.0, 300.0),), Rectangle(100.0, 100.0, (12.0, 0.0, 0.0, 12.0)), "underside", 15.0)
    right = Recess(((450.0, 300.0),), Rectangle(100.0, 100.0, (0.0, 12.0, 12.0, 0.0)), "underside", 15.0)
    assert_measures(measured(left, right), whole, 1.0, whole.centroid_mm)


def test_a_groove_cut_in_two_takes_the_same() -> None:
    whole = measured(Groove(((200.0, 200.0), (600.0, 200.0), (600.0, 400.0)), "top", 10.0, 6.0))
    parts = measured(
        Groove(((200.0, 200.0), (450.0, 200.0)), "top", 10.0, 6.0),
        Groove(((450.0, 200.0), (600.0, 200.0), (600.0, 400.0)), "top", 10.0, 6.0),
    )
    assert_measures(parts, whole, 1.0, whole.centroid_mm)
