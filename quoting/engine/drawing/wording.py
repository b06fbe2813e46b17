"""What the features of a piece are called on its drawings, and their sizes in one line each."""

from __future__ import annotations

from collections.abc import Sequence

from quoting.engine.drawing.text import length_text
from quoting.engine.plane.shapes import Ell, Oval, Polygon, Rectangle, Round, Shape, Slot
from quoting.engine.solid.measure import Geometry
from quoting.engine.spec.types import (
    EdgeTreatment,
    Feature,
    Groove,
    Inlay,
    Insert,
    Opening,
    Piece,
    Recess,
    Sleeve,
    Trough,
)
from quoting.engine.units import format_volume


def shape_text(shape: Shape, system: str) -> str:
    """Outside sizes of a shape, radii with it.

    >>> shape_text(Round(60.0), "metric"), shape_text(Rectangle(600.0, 400.0, (25.0,) * 4), "metric")
    ('⌀60', '600 × 400, corners R25')
    """

    def length(mm: float) -> str:
        return length_text(mm, system)

    match shape:
        case Round():
            return f"⌀{length(shape.diameter_mm)}"
        case Rectangle():
            return (
                f"{length(shape.length_mm)} × {length(shape.width_mm)}{_radii(shape.corner_radii_mm, system)}"
            )
        case Oval():
            return f"oval {length(shape.length_mm)} × {length(shape.width_mm)}"
        case Slot():
            return f"slot {length(shape.length_mm)} × {length(shape.width_mm)}, ends full radius"
        case Ell():
            notch = f"{length(shape.notch_length_mm)} × {length(shape.notch_width_mm)}"
            return (
                f"{length(shape.length_mm)} × {length(shape.width_mm)}, {shape.notch} notch {notch}"
                + _radii((shape.corner_radius_mm,), system)
            )
        case Polygon():
            xs = [x for x, _ in shape.points_mm]
            ys = [y for _, y in shape.points_mm]
            size = f"{length(max(xs) - min(xs))} × {length(max(ys) - min(ys))}"
            return f"{len(xs)} sides within {size}{_radii(shape.corner_radii_mm, system)}"


def _radii(radii: Sequence[float], system: str) -> str:
    distinct = sorted(set(radii))
    if distinct == [0.0]:
        return ""
    if len(distinct) == 1:
        return f", corners R{length_text(distinct[0], system)}"
    return ", corners " + " ".join(f"R{length_text(radius, system)}" for radius in radii)


def count(feature: Feature) -> int:
    """How many of the feature the piece has."""
    return len(feature.centres_mm) if isinstance(feature, Opening | Inlay | Recess | Sleeve | Insert) else 1


def name(feature: Feature) -> str:
    """What a maker calls the feature."""
    match feature:
        case Opening():
            return "Opening"
        case Inlay():
            return "Backlit inlay" if feature.backlit else "Inlay"
        case Recess():
            return "Recess" if feature.face == "top" else "Recess underneath"
        case Groove():
            return "Groove" if feature.face == "top" else "Groove underneath"
        case Sleeve():
            return "Sleeve"
        case Insert():
            return "Insert underneath"
        case Trough():
            return "Trough"


def sizes(feature: Feature, system: str) -> str:
    """Everything needed to make the feature but where it is."""

    def length(mm: float) -> str:
        return length_text(mm, system)

    turn = "" if isinstance(feature, Groove | Sleeve | Insert) else _turn(feature.turn_deg)
    match feature:
        case Opening():
            rim = "".join(f"; rim {edge_text(edge, system)}" for edge in feature.edges)
            return f"{shape_text(feature.shape, system)}, through{turn}{rim}"
        case Inlay():
            ledge = f", on a ledge of {length(feature.ledge_mm)}" if feature.backlit else ""
            shape = shape_text(feature.shape, system)
            return f"{shape}, {length(feature.depth_mm)} deep{ledge}{turn}, {feature.material}"
        case Recess():
            return f"{shape_text(feature.shape, system)}, {length(feature.depth_mm)} deep{turn}"
        case Groove():
            return f"{length(feature.width_mm)} wide, {length(feature.depth_mm)} deep"
        case Sleeve():
            return f"⌀{length(feature.diameter_mm)}, through"
        case Insert():
            return feature.material
        case Trough():
            return _trough(feature, system) + turn


def _trough(trough: Trough, system: str) -> str:
    def length(mm: float) -> str:
        return length_text(mm, system)

    parts = [
        f"{length(trough.length_mm)} × {length(trough.width_mm)} × {length(trough.depth_mm)} deep inside",
        f"walls {length(trough.wall_mm)}",
        f"floor {length(trough.floor_mm)}",
    ]
    if trough.corner_radius_mm:
        parts.append(f"corners R{length(trough.corner_radius_mm)}")
    if trough.taper_deg:
        parts.append(f"walls lean in {trough.taper_deg:g}°")
    diameters = sorted({drain.diameter_mm for drain in trough.drains})
    for diameter in diameters:
        number = sum(drain.diameter_mm == diameter for drain in trough.drains)
        parts.append(f"{number} drain{'s' if number > 1 else ''} ⌀{length(diameter)}")
    return ", ".join(parts)


def _turn(degrees: float) -> str:
    return f", turned {degrees:g}°" if degrees else ""


def edge_text(edge: EdgeTreatment, system: str) -> str:
    """One edge treatment: `top chamfer 5 × 45°`, `bottom round R6, sides 0, 2`."""
    size = length_text(edge.size_mm, system)
    profile = f"chamfer {size}\u00a0×\u00a045°" if edge.profile == "chamfer" else f"round R{size}"
    return f"{edge.at} {profile}{_sides(edge.sides)}"


def _sides(sides: tuple[int, ...] | None) -> str:
    if sides is None:
        return ""
    return f", side{'s' if len(sides) != 1 else ''} {', '.join(str(side) for side in sides)}"


def piece_notes(piece: Piece, system: str) -> tuple[str, ...]:
    """Thickness, edges and drop edge in a line each."""
    notes = [f"Thickness {length_text(piece.thickness_mm, system)}"]
    if piece.drop_edge is not None:
        drop = piece.drop_edge
        depth, band = length_text(drop.depth_mm, system), length_text(drop.thickness_mm, system)
        notes.append(f"Drop edge {depth} deep overall, {band} thick{_sides(drop.sides)}")
    if piece.edges:
        edges = "; ".join(edge_text(edge, system) for edge in piece.edges)
        notes.append(f"Edges: {edges}")
    else:
        notes.append("Edges square")
    return tuple(notes)


def shows_sides(piece: Piece) -> bool:
    """Whether anything on the drawing is said of numbered sides."""
    drop = piece.drop_edge
    return any(edge.sides is not None for edge in piece.edges) or (
        drop is not None and drop.sides is not None
    )


def described(piece: Piece, geometry: Geometry, system: str) -> str:
    """The piece in a few sentences, for a reader who cannot see the drawing."""
    unit = "inches" if system == "us" else "mm"
    parts = [f"{shape_text(piece.outline, system)}, {length_text(piece.thickness_mm, system)} thick ({unit})"]
    parts += [f"{note}" for note in piece_notes(piece, system)[1:]]
    for feature in piece.features:
        number = count(feature)
        called = f"{number} × {name(feature).lower()}" if number > 1 else name(feature)
        parts.append(f"{called}: {sizes(feature, system)}")
    size = " × ".join(length_text(mm, system) for mm in geometry.envelope_mm)
    parts.append(f"Overall {size} high, {format_volume(geometry.volume_m3, system)} of concrete")
    return ". ".join(parts) + "."
