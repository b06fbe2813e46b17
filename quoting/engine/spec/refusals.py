"""What cannot be cast: every geometric fault of a piece at once.

Distances are measured in plan, whatever the depth, between a feature and the outline, the drop edge's inner
face (for what reaches the underside) and other features. Rules whose ground is already faulty are left out:
no distance is told to an outline that is impossible itself.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Callable

import shapely

from quoting.engine.errors import Fault
from quoting.engine.plane.contour import Contour, contour_of
from quoting.engine.spec import types as spec
from quoting.engine.spec.edge_rules import band_faults, drop_faults, overlap_faults, treatment_faults
from quoting.engine.spec.feature_rules import feature_faults, shrunk
from quoting.engine.spec.footprints import Footprint, footprints, region_of
from quoting.engine.spec.shape_rules import shape_faults
from quoting.engine.spec.spacing import edge_faults, pair_faults
from quoting.engine.spec.wording import GUARD_MM, Words


def refusals(piece: spec.Piece, places: tuple[int, ...] | None = None, system: str = "metric") -> list[Fault]:
    """Every fault that keeps a piece from being cast, in the order of the rules; none for a castable piece.

    `places` are the numbers its features have in the document (as they come by default); `system`, `metric`
    or `us`, is the reader's. Distances hold to 0.001 mm: exactly the limit is accepted.
    """
    words = Words(system)
    numbers = range(len(piece.features)) if places is None else places
    paths = [f"features[{number}]" for number in numbers]
    faults = shape_faults("outline", piece.outline, words)
    sound: list[tuple[str, spec.Feature]] = []
    for path, feature in zip(paths, piece.features, strict=True):
        found = feature_faults(path, feature, piece.thickness_mm, words)
        faults += found
        if not _unplaceable(found):
            sound.append((path, feature))
    faults += _reinforcement(piece, words) + _lighting(piece)
    if any(fault.path.startswith("outline") for fault in faults):
        return faults
    outline = contour_of(piece.outline)
    if piece.drop_edge is not None:
        wrong = drop_faults(piece.drop_edge, outline, piece.thickness_mm, words)
        faults += wrong
        # An impossible drop edge is left out of the rules that would measure from it.
        piece = dataclasses.replace(piece, drop_edge=None) if wrong else piece
    prints = [item for path, feature in sound for item in footprints(feature, path, piece.thickness_mm)]
    faults += _edges(piece, outline, sound, words)
    faults += _spacing(piece, outline, prints, words)
    treated = bool(piece.edges) or any(item.rims for item in prints)
    if treated and not any(fault.code in _BEFORE_OVERLAP for fault in faults):
        faults += overlap_faults(prints, piece, outline, words)
    return faults + _mesh_and_run(piece, outline, words)


_BEFORE_OVERLAP = frozenset({"edge_too_large", "treated_twice", "no_such_side", "outside", "too_close"})
"""Faults after which overlaps of treatments would only repeat what is said already."""


def _unplaceable(found: list[Fault]) -> bool:
    """Whether a feature's own faults leave its place in plan unknown; depths do not."""
    known = {"too_deep", "no_ledge", "ledge_too_large", "trough_in_slab", "taper_closes", "too_close"}
    return any(fault.code not in known for fault in found)


def _edges(
    piece: spec.Piece, outline: Contour, features: list[tuple[str, spec.Feature]], words: Words
) -> list[Fault]:
    drop, thickness = piece.drop_edge, piece.thickness_mm
    faults = treatment_faults("edges", piece.edges, outline, _heights(drop, thickness), False, words)
    if drop is not None and not faults:
        faults = band_faults(piece.edges, drop, outline, thickness, words)
    for path, feature in features:
        if isinstance(feature, spec.Opening) and feature.edges:
            rim, height = contour_of(feature.shape), _heights(None, thickness)
            faults += treatment_faults(f"{path}.edges", feature.edges, rim, height, True, words)
    return faults


def _heights(drop: spec.DropEdge | None, thickness_mm: float) -> Callable[[int], float]:
    """The visible height of each side: the slab's thickness, or the drop edge's depth."""
    if drop is None:
        return lambda side: thickness_mm
    return lambda side: drop.depth_mm if drop.sides is None or side in drop.sides else thickness_mm


def _spacing(piece: spec.Piece, outline: Contour, prints: list[Footprint], words: Words) -> list[Fault]:
    inner = None
    if piece.drop_edge is not None:
        inner = shrunk(outline, piece.drop_edge.thickness_mm, piece.drop_edge.sides)
    inside_band = None if inner is None else region_of(inner)
    faults = edge_faults(prints, piece.outline, region_of(outline), inside_band, words)
    return faults + pair_faults(prints, words)


def _reinforcement(piece: spec.Piece, words: Words) -> list[Fault]:
    steel = piece.reinforcement
    if steel is None:
        return []
    faults = []
    if steel.mesh is not None and 2 * steel.cover_mm >= piece.thickness_mm - GUARD_MM:
        message = (
            f"of {words.of(steel.cover_mm)} at both faces leaves nothing of {words.of(piece.thickness_mm)}"
            f" for the mesh; use less than {words.most(piece.thickness_mm / 2)}"
        )
        faults.append(Fault("reinforcement.cover", message, "cover_too_large", words.of(steel.cover_mm)))
    troughs = any(isinstance(feature, spec.Trough) for feature in piece.features)
    for i, run in enumerate(steel.bars):
        there = {"drop_edge": piece.drop_edge is not None, "trough": troughs, "outline": True}[run.where]
        if not there:
            message = f"the piece has no {run.where.replace('_', ' ')} to lay bars in"
            faults.append(Fault(f"reinforcement.bars[{i}].where", message, "nothing_there", run.where))
    return faults


def _lighting(piece: spec.Piece) -> list[Fault]:
    if piece.lighting is None or piece.lighting.run_mm is not None:
        return []
    if any(isinstance(feature, spec.Inlay) and feature.backlit for feature in piece.features):
        return []
    message = "there are no backlit inlays to light; add one, give a path, or leave lighting out"
    return [Fault("lighting.run", message, "nothing_there", "inlays")]


def _mesh_and_run(piece: spec.Piece, outline: Contour, words: Words) -> list[Fault]:
    faults = []
    steel, lighting = piece.reinforcement, piece.lighting
    if steel is not None and steel.mesh is not None and shrunk(outline, steel.cover_mm) is None:
        message = f"of {words.of(steel.cover_mm)} at the edges leaves no room for the mesh; use less"
        faults.append(Fault("reinforcement.cover", message, "cover_too_large", words.of(steel.cover_mm)))
    if lighting is not None and lighting.run_mm is not None:
        slab = region_of(outline).coarse.buffer(GUARD_MM)
        for i, point in enumerate(lighting.run_mm):
            if not slab.covers(shapely.Point(point)):
                message = "the light run leaves the outline; keep it inside"
                given = f"[{point[0]:g}, {point[1]:g}]"
                faults.append(Fault(f"lighting.run[{i}]", message, "outside", given))
    return faults
