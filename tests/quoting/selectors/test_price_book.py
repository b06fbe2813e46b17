"""The catalogue as the engine sees it: both starter packs, dates, query count."""

from __future__ import annotations

import pickle
from dataclasses import fields
from datetime import date, timedelta
from decimal import Decimal

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from catalog import vocabulary
from catalog.models import Material, MaterialPrice
from catalog.services.labour import set_rate, set_standard
from catalog.services.materials import set_price, update_material
from catalog.services.terms import update_terms
from quoting.engine import values
from quoting.selectors.price_book import known_codes, names_of, price_book, shop_terms
from tests.starter import put_starter

START = date(2026, 1, 5)
LATER = date(2026, 4, 1)


@pytest.fixture
def metric(db: None) -> None:
    put_starter("metric", on=START)


@pytest.fixture
def us(db: None) -> None:
    put_starter("us", on=START)


def test_kinds_and_their_units_are_the_engines() -> None:
    assert set(vocabulary.MaterialKind.values) == {kind.value for kind in values.MaterialKind}
    assert {kind.value: unit for kind, unit in values.CONTENT_UNIT.items()} == vocabulary.CONTENT_UNIT


def test_every_figure_of_the_catalogue_is_one_of_the_engines_material() -> None:
    own = {"code", "name", "kind", "pack_size", "pack_name", "price", "waste", "supplier", "lead_days"}
    own |= {"price_date", "stale", "role", "source"}
    assert {field.name for field in fields(values.Material)} == own | set(vocabulary.FIGURE_NAMES)


def test_a_material_arrives_with_all_its_figures(metric: None) -> None:
    board = price_book(START).materials["BOARD-18"]
    assert board == values.Material(
        code="BOARD-18",
        name="Melamine-faced board 18 mm, 2800 × 2070",
        kind=values.MaterialKind.BOARD,
        pack_size=pytest.approx(5.796, abs=1e-12),  # type: ignore[arg-type]  # C148
        pack_name="sheet",
        price=Decimal("62.00"),
        waste=0.0,
        supplier="Example Board Merchants",
        lead_days=3,
        price_date=START,
        stale=False,
        role="mould_board",
        length_mm=2800.0,
        width_mm=2070.0,
        thickness_mm=18.0,
        casts=3,
        mass_kg_per_m2=11.9,
        source=board.source,
    )
    assert "EN 14322" in board.source


def test_bags_yield_what_the_published_tables_say(metric: None) -> None:
    bag = price_book(START).materials["BAG-GREY"]
    assert bag.pack_size == 25.0
    assert bag.yield_m3 == pytest.approx(0.0114)  # C5: 25 kg, 88 bags per m³


def test_us_bags_yield_what_the_published_tables_say(us: None) -> None:
    bag = price_book(START).materials["BAG-GREY"]
    assert bag.pack_size == pytest.approx(60 * 0.45359237)  # C182
    assert bag.yield_m3 == pytest.approx(0.45 * 0.028316846592)  # C1: 60 lb make 0.45 ft³
    cartridge = price_book(START).materials["FILLET"]
    assert cartridge.pack_size == pytest.approx(298.7, abs=0.05)  # C145


@pytest.mark.parametrize(("code", "kg_per_m"), [("BAR-6", 0.222), ("BAR-8", 0.395), ("BAR-10", 0.617)])
def test_bars_weigh_what_the_tables_say(metric: None, code: str, kg_per_m: float) -> None:
    assert price_book(START).materials[code].mass_kg_per_m == kg_per_m  # C31


def test_us_bars_and_mesh_weigh_what_the_tables_say(us: None) -> None:
    book = price_book(START).materials
    assert (book["BAR-NO3"].mass_kg_per_m, book["BAR-NO4"].mass_kg_per_m) == (0.560, 0.994)  # C30
    assert book["MESH-152"].mass_kg_per_m2 == 1.03  # C33


def test_metric_mesh_weighs_what_the_table_says(metric: None) -> None:
    assert price_book(START).materials["MESH-A142"].mass_kg_per_m2 == 2.22  # C34


@pytest.mark.parametrize("pack", ["metric", "us"])
def test_each_pack_has_what_the_rules_of_the_take_off_look_for(db: None, pack: str) -> None:
    put_starter(pack, on=START)
    book = price_book(START)
    roles = ["mould_board", "strip_board", "knockout_foam", "sleeve_tube", "groove_former", "fillet_sealant"]
    roles += ["release", "slurry_cement", "pad", "screw", "light_supply", "edge_tape", "water"]
    assert [role for role in roles if not book.by_role(role)] == []
    assert len({board.thickness_mm for board in book.by_role("mould_board")}) == 1
    known = known_codes(book)
    assert set(known.mixes) == {"MIX-GREY", "MIX-LIGHT", "MIX-WHITE"}
    assert {"BAR-6", "BAR-8", "BAR-10"} <= set(known.bars)
    assert "MESH-50" in known.meshes
    assert set(known.sealers) == {"SEAL-PEN", "SEAL-ACRYL"}
    assert known.strips == ("STRIP-LED",)
    assert known.grits == (50, 100, 200, 400, 800, 1500, 3000)
    assert {"GLASS-8", "INSERT-M8", "BASE-STEEL"} <= set(known.materials)


@pytest.mark.parametrize("pack", ["metric", "us"])
def test_each_packs_operations_name_roles_and_returns_that_exist(db: None, pack: str) -> None:
    put_starter(pack, on=START)
    book = price_book(START)
    codes = [operation.code for operation in book.operations]
    for place, operation in enumerate(book.operations):
        assert operation.role in book.roles
        assert operation.setup_hours > 0 or operation.per_driver_hours
        if operation.breakage:
            assert operation.back_to in codes[: place + 1]
    assert {operation.stage for operation in book.operations if operation.breakage} == {
        "strip",
        "turn",
        "polish",
        "deliver",
    }


def test_standards_arrive_whole(metric: None) -> None:
    strip = next(operation for operation in price_book(START).operations if operation.code == "STRIP")
    assert (strip.stage, strip.role, strip.crew) == ("strip", "MAKER", 2)
    assert (strip.breakage, strip.back_to, strip.setup_shared) == (0.01, "KNOCK-OUTS", False)
    assert strip.spread == (0.8, 1.0, 1.6)
    assert list(strip.per_driver_hours) == sorted(strip.per_driver_hours)


def test_a_recipe_arrives_in_its_order(metric: None) -> None:
    mix = price_book(START).mixes["MIX-WHITE"]
    assert mix.bag is None
    assert [part.material for part in mix.parts] == [
        "CEM-WHITE",
        "SAND-02",
        "CHIPS-26",
        "WATER",
        "REDUCER",
        "PIG-BUFF",
    ]
    assert (mix.fibre, mix.fibre_share) == ("FIBRE-AR", 0.005)


def test_a_later_price_pay_or_standard_leaves_earlier_dates_alone(metric: None) -> None:
    before = price_book(LATER - timedelta(days=1))
    set_price("BOARD-18", "70.00", valid_from=LATER, today=LATER)
    set_rate("MAKER", {"pay_per_hour": "26.00", "on_costs": "0.27"}, valid_from=LATER, today=LATER)
    set_standard("CAST", {"setup_hours": 1.0}, valid_from=LATER, today=LATER)
    assert price_book(LATER - timedelta(days=1)) == before
    after = price_book(LATER)
    assert after.materials["BOARD-18"].price == Decimal("70.00")
    assert after.roles["MAKER"].rate == Decimal("33.02")
    cast = next(operation for operation in after.operations if operation.code == "CAST")
    assert (cast.setup_hours, cast.crew) == (1.0, 2)


def test_prices_go_stale_after_the_shops_limit(metric: None) -> None:
    update_terms({"stale_after_days": 100})
    assert not price_book(START + timedelta(days=100)).materials["BOARD-18"].stale
    assert price_book(START + timedelta(days=101)).materials["BOARD-18"].stale


def test_what_has_no_price_yet_or_is_retired_is_not_in_the_book(metric: None) -> None:
    assert price_book(START - timedelta(days=1)).materials == {}
    update_material("BOARD-16", {"retired_from": LATER})
    assert "BOARD-16" in price_book(LATER - timedelta(days=1)).materials
    assert "BOARD-16" not in price_book(LATER).materials


def test_terms_arrive_whole(metric: None) -> None:
    terms = shop_terms()
    assert (terms.currency, terms.default_mix, terms.finish_sealer) == ("EUR", "MIX-GREY", "SEAL-PEN")
    assert terms.finish_grits == (200, 400, 800)
    assert terms.tax_rates == {"reduced": Decimal("0.05"), "standard": Decimal("0.20"), "zero": Decimal(0)}
    assert terms.overhead_per_labour_hour == Decimal("14.00")
    assert len(terms.shop_temperature_c) == 12


def test_every_term_of_the_engine_is_the_shops_own(db: None) -> None:
    """Each term is changed in the catalogue and must arrive changed: none is left at the engine's default."""
    put_starter("us", on=START)
    update_terms(
        {
            "minor_units": 3,
            "finish_fill": "spot",
            "finish_faces": ["show"],
            "materials_basis": "use",
            "trim_mm": 5,
            "mould_sides": "standing",
            "people_available": 3,
            "learning_model": "wright",
            "handling_factor": 1.3,
            "flexure_safety": 1.7,
            "maturity": "nurse_saul",
            "datum_c": -5,
            "activation_k": 4000,
            "reference_c": 23,
            "working_days": [0, 1, 2, 3],
            "stale_after_days": 90,
            "breakage_flat": "0.04",
            "deposit": "0.4",
            "payment_stages": [["on order", "0.4"], ["on delivery", "0.6"]],
            "hours_basis": "likely",
            "hours_per_day": 7.5,
            "rupture_rule": "ec2",
            "strength_curve": "aci209",
            "strip_mpa": 6,
            "strip_h": 24,
            "turn_mpa": 16,
            "polish_mpa": 21,
            "dry_days": 21,
            "coat_days": 2,
            "harden_days": 4,
            "deliver_share": 0.8,
        }
    )
    ours, theirs = shop_terms(), values.ShopTerms()
    assert [f.name for f in fields(theirs) if getattr(ours, f.name) == getattr(theirs, f.name)] == []


def test_a_shop_that_has_not_said_any_terms_has_the_engines_own_defaults(db: None) -> None:
    ours, theirs = shop_terms(), values.ShopTerms()
    differing = [f.name for f in fields(theirs) if getattr(ours, f.name) != getattr(theirs, f.name)]
    assert differing == []


def test_us_terms_are_for_an_american_shop(us: None) -> None:
    terms = shop_terms()
    assert (terms.currency, terms.unit_system, terms.holiday_region) == ("USD", "us", "US")


def test_names_go_with_codes(metric: None) -> None:
    names = names_of(START)
    assert names["MIX-GREY"] == "Grey casting mix"
    assert names["GLASS-8"].startswith("Toughened glass")


def test_the_book_is_read_in_as_many_queries_however_long_it_is(metric: None) -> None:
    """Ten times the materials and their prices, and dozens of dates of pay and standards: no query more."""
    with CaptureQueriesContext(connection) as few:
        short = price_book(LATER)
    for times in range(9):
        copies = list(Material.objects.filter(code__in=short.materials))
        for row in copies:
            row.pk, row.code = None, f"{row.code}-{times}"
        made = Material.objects.bulk_create(copies)
        for number, day in enumerate((START, LATER), 1):
            prices = [MaterialPrice(material=row, price=Decimal(number), valid_from=day) for row in made]
            MaterialPrice.objects.bulk_create(prices)
    for days in range(1, 30):
        day, pay = START + timedelta(days=days), {"pay_per_hour": str(20 + days), "on_costs": "0.3"}
        set_rate("MAKER", pay, valid_from=day, today=day)
    with CaptureQueriesContext(connection) as many:
        book = price_book(LATER)
    assert len(book.materials) == 10 * len(short.materials)
    assert book.materials["BOARD-18-0"].price == Decimal(2)
    assert book.roles["MAKER"].pay_per_hour == Decimal(49)
    assert len(many) == len(few) == 6


def test_terms_are_read_in_one_query(metric: None) -> None:
    with CaptureQueriesContext(connection) as queries:
        shop_terms()
    assert len(queries) == 1


def test_the_book_can_be_handed_to_another_process(metric: None) -> None:
    book = price_book(START)
    assert pickle.loads(pickle.dumps(book)) == book  # noqa: S301
