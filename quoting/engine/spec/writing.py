"""A piece written back as a document of format 1, in millimetres.

`parse_piece(piece_document(piece))` gives a piece that is equal except that its `unit` is `mm`.
"""

from __future__ import annotations

from typing import Any

from quoting.engine.spec import types as spec

Document = dict[str, Any]


def piece_document(piece: spec.Piece) -> Document:
    """Write a piece as a format 1 document: plain JSON values, lengths as bare numbers of mm.

    >>> disc = spec.Piece(name="Disc", unit="in", thickness_mm=30.0, outline=spec.Round(400.0))
    >>> piece_document(disc)["outline"]
    {'shape': 'round', 'diameter': 400.0}
    """
    return {
        "format": 1,
        "name": piece.name,
        "unit": "mm",
        "quantity": piece.quantity,
        "cast": piece.cast,
        "mix": piece.mix,
        "thickness": piece.thickness_mm,
        "outline": shape_document(piece.outline),
        "edges": [_edge(edge) for edge in piece.edges],
        "drop_edge": None if piece.drop_edge is None else _drop_edge(piece.drop_edge),
        "features": [_feature(feature) for feature in piece.features],
        "reinforcement": None if piece.reinforcement is None else _reinforcement(piece.reinforcement),
        "finish": None if piece.finish is None else _finish(piece.finish),
        "lighting": None if piece.lighting is None else _lighting(piece.lighting),
        "extras": [_extra(extra) for extra in piece.extras],
        "delivery": None if piece.delivery is None else _delivery(piece.delivery),
    }


def shape_document(shape: spec.Shape) -> Document:
    """Write one plan shape; lengths in mm."""
    match shape:
        case spec.Rectangle(length, width, radii):
            return {"shape": "rectangle", "length": length, "width": width, "corner_radius": list(radii)}
        case spec.Round(diameter):
            return {"shape": "round", "diameter": diameter}
        case spec.Oval(length, width):
            return {"shape": "oval", "length": length, "width": width}
        case spec.Slot(length, width):
            return {"shape": "slot", "length": length, "width": width}
        case spec.Ell():
            return {
                "shape": "ell",
                "length": shape.length_mm,
                "width": shape.width_mm,
                "notch_length": shape.notch_length_mm,
                "notch_width": shape.notch_width_mm,
                "notch": shape.notch,
                "corner_radius": shape.corner_radius_mm,
            }
        case spec.Polygon(points, radii):
            return {"shape": "polygon", "points": _points(points), "corner_radius": list(radii)}


def _points(points: tuple[spec.Point, ...]) -> list[list[float]]:
    return [[x, y] for x, y in points]


def _sides(sides: spec.Sides) -> str | list[int]:
    return "all" if sides is None else list(sides)


def _edge(edge: spec.EdgeTreatment) -> Document:
    return {"at": edge.at, "profile": edge.profile, "size": edge.size_mm, "sides": _sides(edge.sides)}


def _drop_edge(drop: spec.DropEdge) -> Document:
    return {"depth": drop.depth_mm, "thickness": drop.thickness_mm, "sides": _sides(drop.sides)}


def _feature(feature: spec.Feature) -> Document:
    match feature:
        case spec.Trough():
            return _trough(feature)
        case spec.Groove():
            return {
                "kind": "groove",
                "path": _points(feature.path_mm),
                "face": feature.face,
                "width": feature.width_mm,
                "depth": feature.depth_mm,
            }
        case spec.Sleeve():
            own: Document = {"kind": "sleeve", "diameter": feature.diameter_mm}
        case spec.Insert():
            own = {"kind": "insert", "material": feature.material}
        case _:
            own = {"shape": shape_document(feature.shape), "turn": feature.turn_deg, **_shaped(feature)}
    return {"kind": own["kind"], "at": _points(feature.centres_mm), **own}


def _shaped(feature: spec.Opening | spec.Inlay | spec.Recess) -> Document:
    match feature:
        case spec.Opening():
            return {"kind": "opening", "edges": [_edge(edge) for edge in feature.edges]}
        case spec.Recess():
            return {"kind": "recess", "face": feature.face, "depth": feature.depth_mm}
        case spec.Inlay():
            return {
                "kind": "inlay",
                "material": feature.material,
                "depth": feature.depth_mm,
                "ledge": feature.ledge_mm,
                "backlit": feature.backlit,
            }


def _trough(trough: spec.Trough) -> Document:
    return {
        "kind": "trough",
        "at": list(trough.centre_mm),
        "length": trough.length_mm,
        "width": trough.width_mm,
        "depth": trough.depth_mm,
        "wall": trough.wall_mm,
        "floor": trough.floor_mm,
        "corner_radius": trough.corner_radius_mm,
        "taper": trough.taper_deg,
        "turn": trough.turn_deg,
        "mix": trough.mix,
        "drains": [{"at": list(drain.at_mm), "diameter": drain.diameter_mm} for drain in trough.drains],
    }


def _reinforcement(steel: spec.Reinforcement) -> Document:
    return {
        "mesh": steel.mesh,
        "cover": steel.cover_mm,
        "lap": steel.lap_mm,
        "bars": [{"bar": run.bar, "where": run.where, "rows": run.rows} for run in steel.bars],
    }


def _finish(finish: spec.Finish) -> Document:
    return {
        "fill": finish.fill,
        "grits": list(finish.grits),
        "sealer": finish.sealer,
        "coats": finish.coats,
        "faces": list(finish.faces),
    }


def _lighting(lighting: spec.Lighting) -> Document:
    run = "inlays" if lighting.run_mm is None else _points(lighting.run_mm)
    return {"strip": lighting.strip, "run": run, "tail": lighting.tail_mm}


def _extra(extra: spec.Extra) -> Document:
    # A whole count stays whole; others are written as the nearest number, from which they read back exactly.
    whole = extra.quantity == extra.quantity.to_integral_value()
    quantity = int(extra.quantity) if whole else float(extra.quantity)
    return {"material": extra.material, "quantity": quantity, "unit": extra.unit}


def _delivery(delivery: spec.Delivery) -> Document:
    return {"distance_km": delivery.distance_km, "steps": delivery.steps, "install": delivery.install}
