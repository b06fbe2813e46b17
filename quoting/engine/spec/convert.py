"""From the checked document to the frozen piece: defaults settled, polygons turned the right way round."""

from __future__ import annotations

from quoting.engine.spec import document as doc
from quoting.engine.spec import models
from quoting.engine.spec import types as spec


def piece_of(document: doc.PieceDocument) -> spec.Piece:
    """The piece a checked document describes; the geometry is not yet known to be castable."""
    lighting, delivery = document.lighting, document.delivery
    return spec.Piece(
        name=document.name,
        unit=document.unit,
        thickness_mm=document.thickness,
        outline=shape_of(document.outline),
        quantity=document.quantity,
        cast=document.cast,
        mix=document.mix,
        edges=_edges(document.edges),
        drop_edge=_drop_edge(document.drop_edge),
        features=tuple(feature_of(feature) for feature in document.features),
        reinforcement=_reinforcement(document.reinforcement),
        finish=_finish(document.finish),
        lighting=None if lighting is None else spec.Lighting(lighting.strip, lighting.run, lighting.tail),
        extras=tuple(spec.Extra(extra.material, extra.quantity, extra.unit) for extra in document.extras),
        delivery=None
        if delivery is None
        else spec.Delivery(delivery.distance_km, delivery.steps, delivery.install),
    )


def shape_of(model: models.ShapeModel) -> spec.Shape:
    """One plan shape; a radius given once counts for every corner."""
    match model:
        case models.RectangleModel():
            radii = model.corner_radius * 4 if len(model.corner_radius) == 1 else model.corner_radius
            # A wrong count of radii is refused by the model, so that there are four here.
            return spec.Rectangle(model.length, model.width, (radii[0], radii[1], radii[2], radii[3]))
        case models.RoundModel():
            return spec.Round(model.diameter)
        case models.OvalModel():
            return spec.Oval(model.length, model.width)
        case models.SlotModel():
            return spec.Slot(model.length, model.width)
        case models.EllModel():
            return spec.Ell(
                model.length,
                model.width,
                model.notch_length,
                model.notch_width,
                model.notch,
                model.corner_radius,
            )
        case models.PolygonModel():
            return polygon_of(model.points, model.corner_radius)


def polygon_of(points: tuple[spec.Point, ...], radii: tuple[float, ...]) -> spec.Polygon:
    """A polygon that runs counter-clockwise from its side 0, its points' bounding box at the origin.

    Side 0 is the side lying along the front (the lowest y); of several the leftmost; where none lies there,
    the document's first side. `radii` are one a point, or one for all.
    """
    if len(radii) == 1:
        radii *= len(points)
    left, front = min(x for x, _ in points), min(y for _, y in points)
    corners = [((x - left, y - front), r) for (x, y), r in zip(points, radii, strict=True)]
    if _twice_area([point for point, _ in corners]) < 0:
        # Backwards from the second point: the document's first side stays first, the other way round.
        corners = corners[1::-1] + corners[:1:-1]
    count = len(corners)
    on_front = [
        (corners[i][0][0], i)
        for i in range(count)
        if corners[i][0][1] == 0 and corners[(i + 1) % count][0][1] == 0
    ]
    first = min(on_front)[1] if on_front else 0
    corners = corners[first:] + corners[:first]
    return spec.Polygon(tuple(point for point, _ in corners), tuple(r for _, r in corners))


def _twice_area(points: list[spec.Point]) -> float:
    return sum(x0 * y1 - x1 * y0 for (x0, y0), (x1, y1) in zip(points, points[1:] + points[:1], strict=True))


def _edges(edges: tuple[models.EdgeModel, ...]) -> tuple[spec.EdgeTreatment, ...]:
    return tuple(spec.EdgeTreatment(edge.at, edge.profile, edge.size, edge.sides) for edge in edges)


def _drop_edge(drop: models.DropEdgeModel | None) -> spec.DropEdge | None:
    return None if drop is None else spec.DropEdge(drop.depth, drop.thickness, drop.sides)


def feature_of(model: models.FeatureModel) -> spec.Feature:
    """One feature of the document."""
    match model:
        case models.OpeningModel():
            return spec.Opening(model.at, shape_of(model.shape), model.turn, _edges(model.edges))
        case models.InlayModel():
            shape = shape_of(model.shape)
            return spec.Inlay(
                model.at, shape, model.material, model.depth, model.ledge, model.backlit, model.turn
            )
        case models.RecessModel():
            return spec.Recess(model.at, shape_of(model.shape), model.face, model.depth, model.turn)
        case models.GrooveModel():
            return spec.Groove(model.path, model.face, model.width, model.depth)
        case models.SleeveModel():
            return spec.Sleeve(model.at, model.diameter)
        case models.InsertModel():
            return spec.Insert(model.at, model.material)
        case models.TroughModel():
            return spec.Trough(
                centre_mm=model.at,
                length_mm=model.length,
                width_mm=model.width,
                depth_mm=model.depth,
                wall_mm=model.wall,
                floor_mm=model.floor,
                corner_radius_mm=model.corner_radius,
                taper_deg=model.taper,
                turn_deg=model.turn,
                mix=model.mix,
                drains=tuple(spec.Drain(drain.at, drain.diameter) for drain in model.drains),
            )


def _reinforcement(steel: doc.ReinforcementModel | None) -> spec.Reinforcement | None:
    if steel is None:
        return None
    lap_mm = doc.DEFAULT_LAP_MM if steel.lap is None else steel.lap
    bars = tuple(spec.BarRun(bar.bar, bar.where, bar.rows) for bar in steel.bars)
    return spec.Reinforcement(steel.mesh, steel.cover, lap_mm, bars)


def _finish(finish: doc.FinishModel | None) -> spec.Finish | None:
    if finish is None:
        return None
    # A sealer named without a number of coats is put on once.
    coats = finish.coats if finish.coats is not None else int(finish.sealer is not None)
    return spec.Finish(finish.fill, finish.grits, finish.sealer, coats, finish.faces)
