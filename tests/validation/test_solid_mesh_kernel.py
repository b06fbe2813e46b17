"""A general mesh kernel (manifold3d) agrees with the solid, within the error of its chords.

Pieces are generated (hypothesis), built by solid booleans from the specification alone (`mesh_piece`) and
compared; how far they may differ is derived in `mesh_bounds`. The same code is tried with the same pieces.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from quoting.engine.plane.shapes import Rectangle, Shape
from quoting.engine.solid.build import build
from quoting.engine.solid.measure import measure
from quoting.engine.spec.types import Opening, Piece, Sleeve, Trough
from tests.benchmarks.bench_solid import reading_room_table
from tests.validation.mesh_bounds import curved_length, volume_bound
from tests.validation.mesh_piece import flat_area, measured, mesh_of, triangles, trough_parts
from tests.validation.strategies import outlines, pieces, troughs

CHORD_MM = 0.05
ROUNDING = 1e-9
"""Relative: the kernel's polygon offset keeps eight decimals of a millimetre."""

steady = settings(
    max_examples=25,
    deadline=None,
    derandomize=True,
    database=None,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large],
)


@steady
@given(pieces())
def test_volume_and_centroid_agree_within_the_error_of_the_chords(piece: Piece) -> None:
    geometry = measure(build(piece))
    mesh = measured(mesh_of(piece, CHORD_MM))
    volume = geometry.volume_m3 * 1e9
    bound = volume_bound(piece, CHORD_MM) + ROUNDING * volume
    assert abs(mesh.volume_mm3 - volume) <= bound
    reach = math.hypot(*geometry.envelope_mm)
    for ours, theirs in zip(geometry.centroid_mm, mesh.centroid_mm, strict=True):
        assert abs(ours - theirs) <= bound / volume * reach
    assert math.fsum(v for _, v in geometry.volume_by_mix) == pytest.approx(geometry.volume_m3, rel=1e-12)


@steady
@given(pieces(curved=False))
def test_straight_sided_pieces_agree_to_the_kernels_rounding(piece: Piece) -> None:
    geometry = measure(build(piece))
    mesh = measured(mesh_of(piece, CHORD_MM))
    assert mesh.volume_mm3 == pytest.approx(geometry.volume_m3 * 1e9, rel=ROUNDING)
    for ours, theirs in zip(geometry.centroid_mm, mesh.centroid_mm, strict=True):
        assert theirs == pytest.approx(ours, abs=ROUNDING * geometry.envelope_mm[0])


@steady
@given(pieces())
def test_flat_faces_agree_within_the_error_of_the_chords(piece: Piece) -> None:
    plain = [f for f in piece.features if not (isinstance(f, Opening) and f.edges)]
    piece = Piece(
        "flat", "mm", piece.thickness_mm, piece.outline, drop_edge=piece.drop_edge, features=tuple(plain)
    )
    solid = build(piece)
    geometry = measure(solid)
    mesh = mesh_of(piece, CHORD_MM)
    curves = 2.0 * curved_length(piece.outline) + sum(
        contour.perimeter_mm
        for contour in [*(v.contour for v in solid.voids), *(t.outer for t in solid.troughs)]
    )
    bound = CHORD_MM * curves + ROUNDING * solid.outline.area_mm2
    assert abs(flat_area(mesh, 0.0) - geometry.show_area_m2 * 1e6) <= bound
    blind = sum(v.contour.area_mm2 for v in solid.voids if v.top_mm > 0.0 and not v.through)
    under = flat_area(mesh, piece.thickness_mm)
    assert abs(under - (geometry.underside_area_m2 * 1e6 - blind)) <= bound


@steady
@given(outlines(), st.booleans())
def test_upright_faces_agree_within_the_shortness_of_the_chords(
    drawn: tuple[Shape, tuple[float, float, float, float]], open_too: bool
) -> None:
    shape, (x0, y0, x1, y1) = drawn
    middle = ((x0 + x1) / 2.0, (y0 + y1) / 2.0)
    hole = Opening((middle,), Rectangle(150.0, 120.0, (20.0, 0.0, 30.0, 5.0)), 20.0)
    piece = Piece("upright", "mm", 40.0, shape, features=(hole if open_too else Sleeve((middle,), 70.0),))
    geometry = measure(build(piece))
    corners = triangles(mesh_of(piece, CHORD_MM))
    upright = corners[np.ptp(corners[:, :, 2], axis=1) > 1e-6]
    across = np.cross(upright[:, 1] - upright[:, 0], upright[:, 2] - upright[:, 0])
    area = float(0.5 * np.linalg.norm(across, axis=1).sum())
    true = (geometry.side_area_m2 + geometry.void_area_m2) * 1e6
    # A chord of sagitta c is short of its arc by c / 3 r of it at most; the sharpest radius drawn is 5 mm.
    assert true * (1.0 - CHORD_MM / 15.0) <= area <= true * (1.0 + ROUNDING)


@steady
@given(troughs((300.0, 300.0), 200.0, 40.0, 25.0))
def test_trough_faces_agree_within_the_shortness_of_the_chords(trough: Trough) -> None:
    piece = Piece("trough", "mm", 40.0, Rectangle(600.0, 600.0), features=(trough,))
    geometry = measure(build(piece))
    _, _, inside = trough_parts(piece, trough, CHORD_MM)
    drains = sum(math.pi * d.diameter_mm**2 / 4.0 for d in trough.drains)
    faces = inside.surface_area() - flat_area(inside, 0.0) - drains
    assert faces == pytest.approx(geometry.trough_area_m2 * 1e6, rel=CHORD_MM / 15.0)


@pytest.mark.parametrize("chord_mm", [0.2, 0.05, 0.0125])
def test_the_difference_shrinks_with_the_chords(chord_mm: float) -> None:
    piece = reading_room_table()
    volume = measure(build(piece)).volume_m3 * 1e9
    difference = abs(measured(mesh_of(piece, chord_mm)).volume_mm3 - volume)
    assert difference <= volume_bound(piece, chord_mm)
    assert difference >= 0.02 * volume_bound(piece, chord_mm), (
        "a bound that is never approached proves little"
    )
