"""A piece said in words: what a client reads under "what is included". No price, no codes."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from quoting.engine.plane.contour import contour_of
from quoting.engine.plane.shapes import Ell, Oval, Polygon, Rectangle, Round, Shape, Slot
from quoting.engine.spec.types import (
    DropEdge,
    EdgeTreatment,
    Extra,
    Feature,
    Finish,
    Groove,
    Inlay,
    Insert,
    Opening,
    Piece,
    Recess,
    Sides,
    Sleeve,
    Trough,
)
from quoting.engine.takeoff.wording import count_of
from quoting.engine.units import format_length

_RECTANGLE_SIDES = ("front", "right", "back", "left")
_FACES = {"show": "show face", "sides": "sides", "trough": "inside of the trough", "underside": "underside"}


def describe(piece: Piece, names: Mapping[str, str], *, system: str = "metric") -> tuple[str, ...]:
    """Sentences that say what the piece is, one thing each, in the order of the document.

    `names` gives the catalogue's name for a code; a code without a name stands for itself. `finish` and
    `mix` must already be filled in where the shop's default applies. `system` is `metric` or `us`.
    """
    return tuple(
        sentence for _, said in describe_by_subject(piece, names, system=system) for sentence in said
    )


def describe_by_subject(
    piece: Piece, names: Mapping[str, str], *, system: str = "metric"
) -> tuple[tuple[str, tuple[str, ...]], ...]:
    """The sentences of `describe` by the subject each belongs to; subjects without any are left out."""
    body = [f"{_sizes(piece.outline, system)}, {format_length(piece.thickness_mm, system)} thick"]
    if piece.mix:
        body.append(f"Cast in {names.get(piece.mix, piece.mix)}")
    body += [_edge(edge, piece.outline, system) for edge in piece.edges]
    if piece.drop_edge is not None:
        body.append(_drop_edge(piece.drop_edge, piece.outline, system))
    fitted = [_feature(feature, names, system) for feature in _alike_together(piece.features)]
    if piece.lighting is not None:
        tail = piece.lighting.tail_mm
        lead = f", with {format_length(tail, system)} of lead to the supply" if tail else ""
        fitted.append(f"Lighting: {names.get(piece.lighting.strip, piece.lighting.strip)}{lead}")
    surface = [_finish(piece.finish, names)] if piece.finish is not None else []
    others = [_extra(extra, names) for extra in piece.extras]
    subjects = (
        ("The piece", body),
        ("Cut and set into it", fitted),
        ("Surface", surface),
        ("Supplied with it", others),
        ("Delivery", [_delivery(piece)]),
    )
    return tuple((subject, tuple(said)) for subject, said in subjects if said)


def _extra(extra: Extra, names: Mapping[str, str]) -> str:
    count = f"{extra.quantity.normalize():f} × " if extra.quantity != 1 else ""
    return f"{count}{names.get(extra.material, extra.material)}"


def _delivery(piece: Piece) -> str:
    if piece.delivery is None:
        return "Collected from the workshop"
    steps = f", up {count_of(piece.delivery.steps, 'step')}" if piece.delivery.steps else ""
    return f"Delivered{steps}{' and installed' if piece.delivery.install else ''}"


def _by(length_mm: float, width_mm: float, system: str) -> str:
    return f"{format_length(length_mm, system)} × {format_length(width_mm, system)}"


def _sizes(shape: Shape, system: str) -> str:
    match shape:
        case Rectangle():
            corners = _corners(shape.corner_radii_mm, system)
            return _by(shape.length_mm, shape.width_mm, system) + corners
        case Round():
            return f"Round, {format_length(shape.diameter_mm, system)} across"
        case Oval():
            return f"Oval, {_by(shape.length_mm, shape.width_mm, system)}"
        case Slot():
            return f"{_by(shape.length_mm, shape.width_mm, system)} with round ends"
        case Ell():
            size = _by(shape.length_mm, shape.width_mm, system)
            notch = _by(shape.notch_length_mm, shape.notch_width_mm, system)
            corners = _corners((shape.corner_radius_mm,), system)
            return f"L-shaped, {size}, {notch} out of the {shape.notch} corner{corners}"
        case Polygon():
            x0, y0, x1, y1 = contour_of(shape).box_mm  # a rounded corner may fall short of its point
            size = _by(x1 - x0, y1 - y0, system)
            corners = _corners(shape.corner_radii_mm, system)
            return f"{len(shape.points_mm)}-sided, {size} over all{corners}"


def _corners(radii: tuple[float, ...], system: str) -> str:
    if not any(radii):
        return ""
    if len(set(radii)) == 1:
        return f", corners rounded to {format_length(radii[0], system)}"
    return f", corners rounded to {', '.join(format_length(radius, system) for radius in radii)}"


def _sides(sides: Sides, outline: Shape | None) -> str:
    if sides is None:
        return "all round"
    if isinstance(outline, Rectangle):
        return f"along the {_listed([_RECTANGLE_SIDES[side] for side in sides])}"
    return f"along {'side' if len(sides) == 1 else 'sides'} {_listed([str(side) for side in sides])}"


def _listed(names: Sequence[str]) -> str:
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"


def _edge(edge: EdgeTreatment, outline: Shape | None, system: str) -> str:
    which = "Upper" if edge.at == "top" else "Lower"
    size = format_length(edge.size_mm, system)
    how = f"chamfered {size}" if edge.profile == "chamfer" else f"rounded to {size}"
    return f"{which} edge {how} {_sides(edge.sides, outline)}"


def _drop_edge(drop: DropEdge, outline: Shape, system: str) -> str:
    deep, thick = format_length(drop.depth_mm, system), format_length(drop.thickness_mm, system)
    return f"Edge turned down to {deep}, {thick} thick, {_sides(drop.sides, outline)}"


def _count(number: int, noun: str) -> str:
    return noun[0].upper() + noun[1:] if number == 1 else f"{number} {noun}s"


def _alike_together(features: Sequence[Feature]) -> list[Feature]:
    """Features alike but for their places as one, where the first of them stands."""
    found: dict[Feature, Feature] = {}
    for feature in features:
        if isinstance(feature, Groove | Trough):
            found[feature] = feature
            continue
        kind = replace(feature, centres_mm=())
        before = found.get(kind)
        centres = () if before is None or isinstance(before, Groove | Trough) else before.centres_mm
        found[kind] = replace(feature, centres_mm=(*centres, *feature.centres_mm))
    return list(found.values())


def _feature(feature: Feature, names: Mapping[str, str], system: str) -> str:
    def length(value: float) -> str:
        return format_length(value, system)

    match feature:
        case Opening():
            rim = "".join(f", {_edge(edge, None, system).lower()}" for edge in feature.edges)
            return f"{_count(len(feature.centres_mm), 'opening')}, {_small(feature.shape, system)}{rim}"
        case Inlay():
            lit = ", lit from below" if feature.backlit else ""
            of = names.get(feature.material, feature.material)
            what = f"{_count(len(feature.centres_mm), 'inlay')} of {of}"
            return f"{what}, {_small(feature.shape, system)}, flush with the surface{lit}"
        case Recess():
            where = "in the show face" if feature.face == "top" else "in the underside"
            many = len(feature.centres_mm) > 1
            what = f"{len(feature.centres_mm)} recesses" if many else "Recess"
            return f"{what} {where}, {_small(feature.shape, system)}, {length(feature.depth_mm)} deep"
        case Groove():
            where = "in the show face" if feature.face == "top" else "under the piece"
            return f"Groove {where}, {length(feature.width_mm)} wide, {length(feature.depth_mm)} deep"
        case Sleeve():
            return f"{_count(len(feature.centres_mm), 'sleeved hole')}, {length(feature.diameter_mm)} across"
        case Insert():
            number = len(feature.centres_mm)
            return f"{number} × {names.get(feature.material, feature.material)}, cast in"
        case Trough():
            drains = f", with {_count(len(feature.drains), 'drain').lower()}" if feature.drains else ""
            size = f"{length(feature.length_mm)} × {length(feature.width_mm)}"
            return f"Trough {size}, {length(feature.depth_mm)} deep inside{drains}"


def _small(shape: Shape, system: str) -> str:
    said = _sizes(shape, system)
    return said[0].lower() + said[1:]


def _finish(finish: Finish, names: Mapping[str, str]) -> str:
    parts = []
    if finish.fill != "none":
        parts.append("air holes filled" + (" where they show" if finish.fill == "spot" else ""))
    if finish.grits:
        parts.append(f"polished to grit {max(finish.grits)}")
    if finish.sealer and finish.coats:
        faces = [_FACES[face] for face in finish.faces]
        on = faces[0] if len(faces) == 1 else f"{', '.join(faces[:-1])} and {faces[-1]}"
        coats = "one coat" if finish.coats == 1 else f"{finish.coats} coats"
        parts.append(f"{coats} of {names.get(finish.sealer, finish.sealer)} on the {on}")
    if not parts:
        return "Left as it comes from the mould"
    said = ", ".join(parts)
    return said[0].upper() + said[1:]
