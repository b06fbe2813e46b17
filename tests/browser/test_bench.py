"""The bench on a phone: entries made with the network cut are kept and sent once when it returns."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from django.utils import timezone
from playwright.sync_api import expect

from catalog.models import ShopTerms
from shop.jobs.models import Draw, Job, Mishap, Progress, TimeEntry
from shop.jobs.planning import MaterialPlan, OperationPlan
from shop.jobs.services.jobs import PieceWanted, open_by_hand
from tests.browser.conftest import PASSWORD, Doing, Visit

D = Decimal
pytestmark = pytest.mark.usefixtures("workshop")
CUT_OFF = ("ERR_INTERNET_DISCONNECTED", "ERR_FAILED")
SMALLEST_TARGET_PX = 44
MINUTES_MS = 600_000


@pytest.fixture
def job(workshop: None) -> Job:
    """A bench with three operations and a bagged mix."""
    operations = [
        OperationPlan("CUT", "Cut the mould", "mould", "", 1, D(4), D(20), D(80), D(4)),
        OperationPlan("CAST", "Cast", "cast", "", 1, D(3), D(20), D(60), D(3)),
        OperationPlan("TURN", "Turn", "turn", "", 2, D(1), D(20), D(20), D(1), 0.03, "CAST"),
    ]
    bag = MaterialPlan("", "Grey mix", "cast", "kg", D(200), D(80), D(25), "bag")
    piece = PieceWanted("Bench", 1, operations=operations, materials=[bag])
    return open_by_hand(title="Bench for the quay", on=timezone.localdate(), pieces=[piece])


def at_the_bench(visit: Visit, number: str) -> None:
    visit.go("/accounts/login/")
    visit.page.get_by_label("Username").fill("bryony")
    visit.page.get_by_label("Password").fill(PASSWORD)
    with visit.page.expect_navigation():
        visit.page.get_by_role("button", name="Sign in").click()
    visit.faults.clear()  # where a bench hand lands after signing in is tested elsewhere
    visit.go(f"/bench/{number}/")
    visit.page.evaluate("navigator.serviceWorker.ready.then(() => true)")


def enter_all(visit: Visit) -> None:
    """Start, stop, minutes, a draw, a mishap, done: six entries."""
    page = visit.page
    running, kept = page.locator("[data-running-text]"), page.locator("[data-kept]")
    page.get_by_role("button", name="Start Cut the mould").click()
    expect(running).to_contain_text("Running: Cut the mould")
    page.clock.fast_forward(MINUTES_MS)
    page.get_by_role("button", name="Stop").click()
    expect(running).to_contain_text("No timer")
    page.get_by_text("Enter minutes").click()
    page.get_by_label("Minutes", exact=True).fill("45")
    page.get_by_role("button", name="Enter", exact=True).click()
    page.get_by_text("Draw material").click()
    page.get_by_label("Quantity").fill("50")
    page.get_by_role("button", name="Book").click()
    page.get_by_text("Something went wrong").click()
    page.get_by_label("At which operation").select_option(label="Turn")
    page.get_by_label("What happened").fill("Corner cracked")
    page.get_by_label("Cast again").check()
    page.get_by_role("button", name="Note it").click()
    page.get_by_role("button", name="Done Cut the mould").click()
    expect(kept).to_contain_text("6 entries are kept on this phone")


def forget_cut(visit: Visit) -> None:
    visit.faults[:] = [fault for fault in visit.faults if not any(sign in fault for sign in CUT_OFF)]


def test_entries_made_with_the_network_cut_are_sent_once(walk: Doing, job: Job) -> None:
    def steps(visit: Visit) -> None:
        page = visit.page
        page.clock.install(time=timezone.now() - timedelta(hours=1))
        at_the_bench(visit, job.number)
        page.reload()  # now the worker stands between
        page.context.set_offline(True)
        enter_all(visit)
        page.reload()  # without a signal: the page comes from the phone, the entries are still there
        expect(page.locator("[data-kept]")).to_contain_text("6 entries")
        page.context.set_offline(False)
        expect(page.locator("[data-kept]")).to_be_empty()
        expect(page.locator("ol.bench-operations > li")).to_have_count(5)
        forget_cut(visit)

    walk(steps, "phone")
    assert [entry.seconds is not None for entry in TimeEntry.objects.all()] == [True, True]
    stretch = TimeEntry.objects.get(started_at__isnull=False)
    assert 600 <= (stretch.seconds or 0) <= 660
    assert (Draw.objects.count(), Mishap.objects.count()) == (1, 1)
    assert Progress.objects.filter(operation__code="CUT", operation__mishap__isnull=True).exists()


def test_a_us_shop_draws_in_pounds_with_and_without_a_signal(walk: Doing, job: Job) -> None:
    ShopTerms.objects.update(unit_system="us")

    def steps(visit: Visit) -> None:
        page = visit.page
        at_the_bench(visit, job.number)
        page.reload()  # now the worker stands between
        page.get_by_text("Draw material").click()
        expect(page.locator("[data-counted]")).to_have_text("Counted in lb; a bag is 55.116 lb.")
        page.context.set_offline(True)
        page.get_by_label("Quantity").fill("50")
        page.get_by_role("button", name="Book").click()
        expect(page.locator("[data-kept]")).to_contain_text("1 entry is kept")
        with page.expect_response("**/draws"):
            page.context.set_offline(False)
        expect(page.locator("[data-kept]")).to_be_empty()
        forget_cut(visit)

    walk(steps, "phone")
    made = Draw.objects.get()
    assert (made.quantity, made.unit) == (D("22.679619"), "kg")


def test_a_draw_is_of_the_day_on_the_phone(walk: Doing, job: Job) -> None:
    """A phone so far east or west that its day is not the day in UTC."""
    now = timezone.now()
    zone = "Pacific/Kiritimati" if now.hour >= 10 else "Pacific/Pago_Pago"  # UTC+14, UTC-11

    def steps(visit: Visit) -> None:
        page = visit.page
        page.context.new_cdp_session(page).send("Emulation.setTimezoneOverride", {"timezoneId": zone})
        at_the_bench(visit, job.number)
        page.get_by_text("Draw material").click()
        page.get_by_label("Quantity").fill("50")
        with page.expect_response("**/draws"):
            page.get_by_role("button", name="Book").click()
        expect(page.locator("[data-kept]")).to_be_empty()

    walk(steps, "phone")
    drawn_on = Draw.objects.get().drawn_on
    assert drawn_on == now.astimezone(ZoneInfo(zone)).date() != now.date()


def test_an_answer_that_never_arrived_does_not_count_twice(walk: Doing, job: Job) -> None:
    """The shop has the entry, the signal fails before the phone hears of it; it is sent again."""

    def steps(visit: Visit) -> None:
        page = visit.page
        at_the_bench(visit, job.number)
        lost: list[str] = []

        def lose_first_answer(route: Any) -> None:
            answer = route.fetch()
            if lost:
                route.fulfill(response=answer)
            else:
                lost.append(answer.text())
                route.abort()

        page.route("**/api/v1/jobs/*/time", lose_first_answer)
        page.get_by_text("Enter minutes").click()
        page.get_by_label("Minutes", exact=True).fill("30")
        with page.expect_event("requestfailed"):
            page.get_by_role("button", name="Enter", exact=True).click()
        expect(page.locator("[data-kept]")).to_contain_text("1 entry is kept")
        page.evaluate("window.dispatchEvent(new Event('online'))")
        expect(page.locator("[data-kept]")).to_be_empty()
        forget_cut(visit)

    walk(steps, "phone")
    assert TimeEntry.objects.count() == 1


def test_what_the_shop_refuses_is_told_and_kept_until_put_away(walk: Doing, job: Job) -> None:
    def steps(visit: Visit) -> None:
        page = visit.page
        at_the_bench(visit, job.number)
        page.locator("#minutes-minutes").evaluate("field => field.removeAttribute('max')")
        page.get_by_text("Enter minutes").click()
        page.get_by_label("Minutes", exact=True).fill("2000")
        page.get_by_role("button", name="Enter", exact=True).click()
        refused = page.locator("[data-refused]")
        expect(refused).to_contain_text("Give minutes above 0, at most 1440.")
        page.wait_for_load_state()
        expect(refused).to_contain_text("Refused: minutes")
        page.get_by_role("button", name="Put away").click()
        expect(refused).to_be_hidden()

    walk(steps, "phone")
    assert TimeEntry.objects.count() == 0


def test_what_was_typed_for_a_refused_entry_goes_back_into_its_form(walk: Doing, job: Job) -> None:
    def steps(visit: Visit) -> None:
        page = visit.page
        at_the_bench(visit, job.number)
        page.locator("#minutes-minutes").evaluate("field => field.removeAttribute('max')")
        page.get_by_text("Enter minutes").click()
        page.get_by_label("Operation", exact=True).select_option(label="Turn")
        page.get_by_label("Minutes", exact=True).fill("2000")
        page.get_by_label("Note").fill("with the neighbour's hoist")
        page.get_by_role("button", name="Enter", exact=True).click()
        page.get_by_role("button", name="Put it right").click()
        minutes = page.get_by_label("Minutes", exact=True)
        expect(minutes).to_be_focused()
        expect(minutes).to_have_value("2000")
        expect(minutes).to_have_accessible_description("Give minutes above 0, at most 1440.")
        expect(page.get_by_label("Note")).to_have_value("with the neighbour's hoist")
        expect(page.locator("[data-refused]")).to_be_hidden()
        visit.barriers("bench-refused")
        minutes.fill("20")
        page.get_by_role("button", name="Enter", exact=True).click()
        expect(page.get_by_text("20 min, with the neighbour's hoist")).to_be_visible()

    walk(steps, "phone")
    entry = TimeEntry.objects.get()
    assert (entry.seconds, entry.operation and entry.operation.code) == (1200, "TURN")


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_targets_are_big_and_no_barrier_stands(walk: Doing, job: Job, scheme: str) -> None:
    def steps(visit: Visit) -> None:
        at_the_bench(visit, job.number)
        for details in visit.page.locator("details").all():
            details.locator("summary").click()
        visit.checked("bench-job")
        for button in visit.page.locator("[data-bench] button:visible").all():
            box = button.bounding_box()
            assert box is not None
            assert min(box["width"], box["height"]) >= SMALLEST_TARGET_PX, button.inner_text()
        visit.go("/bench/")
        visit.checked("bench")

    walk(steps, "phone", scheme)
