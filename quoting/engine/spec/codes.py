"""The catalogue's codes a piece may name, and the nearest one where it names none of them."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from quoting.engine.errors import Fault
from quoting.engine.spec import types as spec
from quoting.engine.spec.faults import nearest, shown


@dataclass(frozen=True, slots=True)
class KnownCodes:
    """Codes that exist; `materials` are those an inlay, an insert or an extra may name."""

    mixes: Iterable[str] = ()
    meshes: Iterable[str] = ()
    bars: Iterable[str] = ()
    materials: Iterable[str] = ()
    sealers: Iterable[str] = ()
    strips: Iterable[str] = ()
    grits: Iterable[int] = ()
    inlays: Iterable[str] = ()
    """Materials meant for inlays, `inserts` those for inserts: what a new one begins with."""
    inserts: Iterable[str] = ()


def unknown_codes(piece: spec.Piece, known: KnownCodes, places: tuple[int, ...]) -> list[Fault]:
    """A fault for every code of the piece that the catalogue lacks; `places` number its features."""
    faults = []
    for path, what, code, codes in _named_codes(piece, known, places):
        if code not in codes:
            close = nearest(code, codes)
            advice = f"the nearest is {close}" if close else "there is none in the catalogue"
            faults.append(
                Fault(path, f"no {what} {shown(code)} exists; {advice}", "unknown_code", shown(code))
            )
    if piece.finish is not None:
        grits = tuple(known.grits)
        for i, grit in enumerate(piece.finish.grits):
            if grit not in grits:
                close_grit = min(grits, key=lambda other: (abs(other - grit), other), default=None)
                advice = (
                    "there is none in the catalogue" if close_grit is None else f"the nearest is {close_grit}"
                )
                message = f"no grit {grit} exists; {advice}"
                faults.append(Fault(f"finish.grits[{i}]", message, "unknown_code", str(grit)))
    return faults


def _named_codes(
    piece: spec.Piece, known: KnownCodes, places: tuple[int, ...]
) -> Iterator[tuple[str, str, str, frozenset[str]]]:
    mixes, materials = frozenset(known.mixes), frozenset(known.materials)
    if piece.mix is not None:
        yield "mix", "mix", piece.mix, mixes
    for place, feature in zip(places, piece.features, strict=True):
        if isinstance(feature, spec.Inlay | spec.Insert):
            yield f"features[{place}].material", "material", feature.material, materials
        elif isinstance(feature, spec.Trough) and feature.mix is not None:
            yield f"features[{place}].mix", "mix", feature.mix, mixes
    if (steel := piece.reinforcement) is not None:
        if steel.mesh is not None:
            yield "reinforcement.mesh", "mesh", steel.mesh, frozenset(known.meshes)
        for i, run in enumerate(steel.bars):
            yield f"reinforcement.bars[{i}].bar", "bar", run.bar, frozenset(known.bars)
    if piece.finish is not None and piece.finish.sealer is not None:
        yield "finish.sealer", "sealer", piece.finish.sealer, frozenset(known.sealers)
    if piece.lighting is not None:
        yield "lighting.strip", "light strip", piece.lighting.strip, frozenset(known.strips)
    for i, extra in enumerate(piece.extras):
        yield f"extras[{i}].material", "material", extra.material, materials
