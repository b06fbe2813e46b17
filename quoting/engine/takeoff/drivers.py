"""Take-off quantities that labour is reckoned by: for one piece, or where named so for one mould."""

from __future__ import annotations

from collections.abc import Sequence

from quoting.engine.plane.contour import Contour
from quoting.engine.solid.build import Solid
from quoting.engine.solid.measure import Geometry
from quoting.engine.spec.types import EdgeTreatment, Finish, Inlay, Insert, Opening, Piece, Sleeve, Trough
from quoting.engine.takeoff.finishing import face_area_m2, fill_area_m2, polished_area_m2
from quoting.engine.takeoff.lines import BatchPlan, Mould, Weights


def drivers(
    solid: Solid,
    geometry: Geometry,
    mould: Mould,
    finish: Finish,
    weight: Weights,
    batches: Sequence[BatchPlan],
    mesh_area_m2: float,
    light_length_m: float,
) -> dict[str, float]:
    """Every driver an operation may name, with its value for one piece.

    The three mould drivers and `screw_count` are for one mould. Lengths in m, areas in m², `distance_km` in
    km, counts as they are; `polish_area_m2` and `sealer_area_m2` are area × passes.
    """
    piece = solid.piece
    delivery = piece.delivery
    polished = polished_area_m2(geometry, finish)
    finished = face_area_m2(geometry, finish.faces)
    return {
        "mould_cut_length_m": mould.cut_length_m,
        "mould_joint_m": mould.joint_length_m,
        "mould_part_count": float(sum(part.quantity for part in mould.parts)),
        "screw_count": float(mould.screws),
        "sealant_bead_m": sum(length_m for _, length_m, _ in mould.bead_m),
        "volume_m3": geometry.volume_m3,
        "concrete_kg": weight.concrete_kg,
        "batch_count": float(sum(plan.batches for plan in batches)),
        "mesh_area_m2": mesh_area_m2,
        "show_area_m2": geometry.show_area_m2,
        "side_area_m2": geometry.side_area_m2,
        "edge_length_m": geometry.edge_length_m,
        "edge_treated_m": edge_treated_m(solid),
        "trough_area_m2": geometry.trough_area_m2,
        "finish_area_m2": finished,
        "polish_area_m2": polished * len(finish.grits),
        "fill_area_m2": fill_area_m2(geometry, finish),
        "sealer_area_m2": finished * finish.coats if finish.sealer else 0.0,
        "inlay_count": _centres(piece, Inlay),
        "sleeve_count": _centres(piece, Sleeve),
        "insert_count": _centres(piece, Insert),
        "opening_count": _centres(piece, Opening),
        "trough_count": float(sum(isinstance(feature, Trough) for feature in piece.features)),
        "light_length_m": light_length_m,
        "lift_count": lift_count(piece),
        "distance_km": delivery.distance_km if delivery else 0.0,
        "steps": float(delivery.steps) if delivery else 0.0,
        "install": float(delivery.install) if delivery else 0.0,
    }


def _centres(piece: Piece, kind: type[Inlay] | type[Sleeve] | type[Insert] | type[Opening]) -> float:
    return float(sum(len(feature.centres_mm) for feature in piece.features if isinstance(feature, kind)))


def lift_count(piece: Piece) -> float:
    """Lifts of one piece: out of the mould, turned (cast face-down), to the bench, on the van, fixed."""
    lifts = 1 + (piece.cast == "face-down") + 1
    if piece.delivery is not None:
        lifts += 1 + piece.delivery.install
    return float(lifts)


def edge_treated_m(solid: Solid) -> float:
    """Length of treated arrises of one piece in m: the outline's sides and the rims of openings."""
    total = sum(_treated_mm(solid.outline, treatment) for treatment in solid.piece.edges)
    for void in solid.voids:
        total += sum(_treated_mm(void.contour, treatment) for treatment in void.edges)
    return total / 1000


def _treated_mm(contour: Contour, treatment: EdgeTreatment) -> float:
    return contour.length_on_mm(treatment.sides)
