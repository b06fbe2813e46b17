"""From a need to a line of the take-off: catalogue materials found by role or code, packs rounded up once."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal

from quoting.engine.errors import Fault, Refused
from quoting.engine.money import exact, to_minor
from quoting.engine.takeoff.lines import MaterialLine
from quoting.engine.takeoff.wording import count_of, pack_sum, quantity, whole_packs
from quoting.engine.values import Material, Mix, PriceBook, ShopTerms


def missing_role(role: str, why: str = "") -> Fault:
    """The fault for a role no material of the price list has."""
    reason = f" ({why})" if why else ""
    message = f"no material of the price list is used as {role}{reason}: add one, or give one that use"
    return Fault(f"catalogue.{role}", message, "missing_material")


def unknown_material(code: str, path: str) -> Fault:
    """The fault for a material code that the price list does not have."""
    return Fault(
        path, f"material {code} is not in the price list: add it, or name another", "unknown_code", code
    )


def of_role(book: PriceBook, role: str) -> Material:
    """The shop's own choice for a role: the first by code. Raises Refused when there is none.

    A shop that keeps several (boards of several sizes, say) orders them by their codes.
    """
    found = book.by_role(role)
    if not found:
        raise Refused([missing_role(role)])
    return found[0]


def of_roles(book: PriceBook, roles: Sequence[str]) -> tuple[Material, ...]:
    """The shop's own choice for each role, in order. Raises Refused with every role that has none."""
    missing = [role for role in dict.fromkeys(roles) if not book.by_role(role)]
    if missing:
        raise Refused([missing_role(role) for role in missing])
    return tuple(of_role(book, role) for role in roles)


def known_figure(material: Material, figure: str, what: str) -> float:
    """A figure of a material that a rule cannot do without. Raises Refused naming the material and figure."""
    value = getattr(material, figure)
    if value is None or not value > 0:
        message = f"{material.code} ({material.name}) needs {what}: enter it in the price list"
        raise Refused([Fault(f"materials.{material.code}.{figure}", message, "missing_figure")])
    return float(value)


def of_code(book: PriceBook, code: str, path: str) -> Material:
    """A material by its code; `path` is where the piece names it. Raises Refused when unknown."""
    if code not in book.materials:
        raise Refused([unknown_material(code, path)])
    return book.materials[code]


def mix_of(book: PriceBook, code: str | None, terms: ShopTerms) -> Mix:
    """The mix of a piece (or of a trough): its own, or the shop's default. Raises Refused when unknown."""
    wanted = code or terms.default_mix
    if wanted not in book.mixes:
        named = (
            f"mix {wanted} is not in the price list"
            if wanted
            else "no mix is named and the shop has no default mix"
        )
        raise Refused([Fault("mix", f"{named}: add it, or name another", "unknown_code", wanted or None)])
    return book.mixes[wanted]


def money_for(material: Material, gross: float, packs: int, terms: ShopTerms) -> tuple[Decimal, Decimal]:
    """(cost of the packs bought, cost of what is used), rounded to the minor unit."""
    by_use = material.price * exact(gross) / exact(material.pack_size)
    return to_minor(material.price * packs, terms.minor_units), to_minor(by_use, terms.minor_units)


def packed_line(
    material: Material,
    stage: str,
    need: float,
    terms: ShopTerms,
    *,
    lead: str = "",
    allowance: float | None = None,
    source: str = "",
    working: str = "",
) -> MaterialLine:
    """A line for what is bought by the pack: need × (1 + allowance) ÷ pack size, rounded up last.

    `need` is in the material's content unit, for all the pieces; `allowance` None takes the material's own.
    `working` replaces the usual sum where another is more natural (bags by the volume they yield).
    """
    waste = material.waste if allowance is None else allowance
    working = working or pack_sum(
        lead, need, waste, material.pack_size, material.content_unit, material.pack_name, terms.unit_system
    )
    gross = need * (1 + waste)
    return _line(material, stage, need, waste, whole_packs(gross, material.pack_size), working, terms, source)


def counted_line(
    material: Material, stage: str, need: float, packs: int, terms: ShopTerms, *, lead: str, source: str = ""
) -> MaterialLine:
    """A line for what is cut from sheets or lengths: the packs are those of the layout, not of a division.

    The layout has the saw's cuts and every odd corner in it already; the material's allowance only goes into
    the cost by use.
    """
    need_text = quantity(need, material.content_unit, terms.unit_system)
    working = f"{lead}: {need_text} net, laid out on {count_of(packs, material.pack_name)}"
    return _line(material, stage, need, material.waste, packs, working, terms, source, by_layout=True)


def _line(
    material: Material,
    stage: str,
    need: float,
    allowance: float,
    packs: int,
    working: str,
    terms: ShopTerms,
    source: str,
    by_layout: bool = False,
) -> MaterialLine:
    gross = need * (1 + allowance)
    cost, by_use = money_for(material, gross, packs, terms)
    return MaterialLine(
        code=material.code,
        name=material.name,
        stage=stage,
        need=need,
        unit=material.content_unit,
        allowance=allowance,
        gross=gross,
        packs=packs,
        pack_size=material.pack_size,
        pack_name=material.pack_name,
        cost=cost,
        cost_by_use=by_use,
        working=working,
        supplier=material.supplier,
        lead_days=material.lead_days,
        stale=material.stale,
        source=source or material.source,
        by_layout=by_layout,
    )
