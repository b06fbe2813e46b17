"""The one entry to materials: all that a piece takes, by the price book, with its mould and batches."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Final, TypeVar

from quoting.engine.errors import Fault, Refused
from quoting.engine.solid.build import Solid
from quoting.engine.solid.measure import Geometry
from quoting.engine.spec.types import Finish
from quoting.engine.takeoff import finishing
from quoting.engine.takeoff.concrete import concrete, mix_cautions, volumes_by_mix
from quoting.engine.takeoff.drivers import drivers
from quoting.engine.takeoff.fitted import drains, extras, inlays, inserts
from quoting.engine.takeoff.lighting import Lights, lighting
from quoting.engine.takeoff.lines import BatchPlan, Caution, MaterialLine, Mould
from quoting.engine.takeoff.mould import mould
from quoting.engine.takeoff.mould_lines import mould_lines
from quoting.engine.takeoff.nesting import OnHand
from quoting.engine.takeoff.reinforcement import Steel, reinforcement
from quoting.engine.takeoff.sealant import sealant
from quoting.engine.takeoff.stock import money_for
from quoting.engine.takeoff.weights import weights
from quoting.engine.takeoff.wording import count_of, whole_packs
from quoting.engine.takeoff.wording import quantity as written
from quoting.engine.values import PriceBook, ShopTerms

STAGES: Final = (
    "mould",
    "concrete",
    "reinforcement",
    "cast",
    "fill",
    "polish",
    "seal",
    "fit",
    "light",
    "extra",
)
T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class MaterialsTakeoff:
    """Materials of a quantity of one piece; mould and batches of one."""

    lines: tuple[MaterialLine, ...]
    """In the order of work."""
    mould: Mould
    batches: tuple[BatchPlan, ...]
    drivers_part: Mapping[str, float]
    cautions: tuple[Caution, ...]
    light_order: tuple[int, ...] = ()
    """Backlit voids in the order the light runs through them."""
    steel: Steel = field(default_factory=Steel)


def materials(
    solid: Solid,
    geometry: Geometry,
    book: PriceBook,
    terms: ShopTerms,
    quantity: int = 1,
    on_hand: OnHand | None = None,
) -> MaterialsTakeoff:
    """Every material of `quantity` pieces, offcuts `on_hand` (by material code) used first.

    Raises Refused with every material, figure and size the price list lacks, all at once.
    """
    piece = solid.piece
    finish = finishing.finish_of(piece, terms)
    gather = _Gather()
    volumes = gather(lambda: volumes_by_mix(geometry, book, terms, piece.mix)) or []
    made = gather(lambda: mould(solid, book, terms, quantity, on_hand))
    mixed, batches = gather(lambda: concrete(volumes, book, terms, quantity)) or ((), ())
    steel = gather(lambda: reinforcement(solid, book, terms, quantity)) or Steel()
    lights = gather(lambda: lighting(solid, book, terms, quantity)) or Lights()
    weight = gather(lambda: weights(solid, geometry, book, terms))
    lines: list[MaterialLine] = [*mixed, *steel.lines, *lights.lines]
    if made is not None:
        lines += gather(lambda: mould_lines(made, book, terms, quantity)) or ()
        lines += gather(lambda: sealant(made, book, terms, quantity)) or ()
    for section in _sections(solid, geometry, finish, book, terms, quantity, on_hand):
        lines += gather(section) or ()
    if gather.faults or made is None or weight is None:
        raise Refused(gather.faults)
    ordered = sorted(lines, key=lambda line: STAGES.index(line.stage))
    cautions = [*made.cautions, *steel.cautions, *lights.cautions]
    cautions += [caution for mix, _ in volumes for caution in mix_cautions(mix, book, terms.unit_system)]
    cautions += drains(piece, book, terms).cautions
    return MaterialsTakeoff(
        lines=share_packs(ordered, book, terms),
        mould=made,
        batches=batches,
        drivers_part=drivers(
            solid, geometry, made, finish, weight, batches, steel.mesh_area_m2, lights.length_m
        ),
        cautions=tuple(dict.fromkeys(cautions)),
        light_order=lights.order,
        steel=steel,
    )


def _sections(
    solid: Solid,
    geometry: Geometry,
    finish: Finish,
    book: PriceBook,
    terms: ShopTerms,
    pieces: int,
    on_hand: OnHand | None,
) -> list[Callable[[], tuple[MaterialLine, ...]]]:
    piece = solid.piece
    return [
        lambda: (finishing.release(piece, geometry, book, terms, pieces),),
        lambda: inserts(piece, book, terms, pieces),
        lambda: finishing.fill(finish, geometry, book, terms, pieces),
        lambda: finishing.pads(finish, geometry, book, terms, pieces),
        lambda: finishing.sealer(finish, geometry, book, terms, pieces),
        lambda: inlays(piece, book, terms, pieces, on_hand),
        lambda: drains(piece, book, terms, pieces).lines,
        lambda: extras(piece, book, terms, pieces),
    ]


class _Gather:
    """Runs sections one by one and keeps the faults of all, each fault once."""

    def __init__(self) -> None:
        self.faults: list[Fault] = []

    def __call__(self, section: Callable[[], T]) -> T | None:
        try:
            return section()
        except Refused as refused:
            self.faults += [fault for fault in refused.faults if fault not in self.faults]
            return None


# --- packs shared between stages -------------------------------------------------------------------------
def share_packs(lines: Sequence[MaterialLine], book: PriceBook, terms: ShopTerms) -> tuple[MaterialLine, ...]:
    """Packs of one material are opened once: a later line first uses up what the earlier ones left.

    Packs together = Σ gross ÷ pack size, rounded up. What is cut from sheets or lengths keeps its layout.
    """
    gross: dict[str, float] = {}
    bought: dict[str, int] = {}
    out = []
    for line in lines:
        if line.by_layout or line.code not in gross:
            if not line.by_layout:
                gross[line.code], bought[line.code] = line.gross, line.packs
            out.append(line)
            continue
        left = bought[line.code] * line.pack_size - gross[line.code]
        gross[line.code] += line.gross
        more = whole_packs(gross[line.code], line.pack_size) - bought[line.code]
        bought[line.code] += more
        out.append(_from_open_pack(line, left, more, book, terms))
    return tuple(out)


def _from_open_pack(
    line: MaterialLine, left: float, more: int, book: PriceBook, terms: ShopTerms
) -> MaterialLine:
    if more == line.packs:
        return line
    over = written(left, line.unit, terms.unit_system)
    buy = count_of(more, line.pack_name) if more else "none"
    cost, by_use = money_for(book.materials[line.code], line.gross, more, terms)
    working = f"{line.working.split(', buy ')[0]}; {over} left of the packs above, buy {buy}"
    return replace(line, packs=more, cost=cost, cost_by_use=by_use, working=working)
