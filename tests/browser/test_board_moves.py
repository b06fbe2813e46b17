"""Features moved in the drawing, on a phone by finger, at a desk by mouse; files in and out; two people."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest
from playwright.sync_api import Locator, Page, expect

from quoting.models import PieceRevision, SavedPiece
from quoting.services.pieces import revise_piece
from tests.browser.conftest import Doing, Visit

pytestmark = pytest.mark.usefixtures("workshop")
PREVIEW, BOARD = re.compile("/pieces/preview"), re.compile("/pieces/new")
NARROW = {"width": 360, "height": 740}


def drag(page: Page, handle: Locator, dx: float, dy: float, *, finger: bool) -> None:
    """Take a handle along, in px."""
    handle.scroll_into_view_if_needed()
    box = handle.bounding_box()
    assert box is not None
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    if not finger:
        page.mouse.move(x, y)
        page.mouse.down()
        page.mouse.move(x + dx, y + dy, steps=6)
        page.mouse.up()
        return
    touch = page.context.new_cdp_session(page)

    def send(kind: str, *points: dict[str, float]) -> None:
        touch.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": list(points)})

    send("touchStart", {"x": x, "y": y})
    for step in range(1, 7):
        send("touchMove", {"x": x + dx * step / 6, "y": y + dy * step / 6})
    send("touchEnd")


def px_per_mm(page: Page) -> float:
    """How large the drawing stands on the page."""
    svg = page.locator("svg.setting-out")
    box, view = svg.bounding_box(), str(svg.get_attribute("viewBox")).split()
    assert box is not None
    return min(box["width"] / float(view[2]), box["height"] / float(view[3]))


def move_a_trough(page: Page, *, finger: bool) -> None:
    trough, drain = page.locator("#f-features-0-at"), page.locator("#f-features-0-drains-0-at")
    handle, scale = page.locator("#h-features-0-at-0"), px_per_mm(page)
    box = handle.locator("circle.reach").bounding_box()
    assert box is not None
    assert min(box["width"], box["height"]) >= 24, "WCAG 2.2, 2.5.8: large enough to be hit"
    with page.expect_response(PREVIEW) as answer:
        drag(page, handle, 100 * scale, 6 * scale, finger=finger)
    assert answer.value.status == 200
    x, y = (float(part) for part in trough.input_value().split(","))
    assert y == 450, "caught on the middle line"
    assert 1090 <= x <= 1210
    assert x % 10 == 0
    assert float(drain.input_value().split(",")[0]) == x - 200, "its drains go with it"
    expect(page.locator("#refusals")).to_be_empty()


def out_and_back(page: Page, *, finger: bool) -> None:
    sleeve, scale = page.locator("#f-features-2-at"), px_per_mm(page)
    before = sleeve.input_value()
    drag(page, page.locator("#h-features-2-at-0"), 0, -300 * scale, finger=finger)
    expect(page.locator("#f-features-2-at-fault")).to_contain_text("outline")
    expect(sleeve).to_have_attribute("aria-invalid", "true")
    expect(page.locator("#preview svg")).to_be_visible()
    with page.expect_response(BOARD):
        page.get_by_role("button", name="Undo").click()
    expect(sleeve).to_have_value(before)
    expect(page.locator("#refusals")).to_be_empty()


def keys_turn_move_and_undo(page: Page) -> None:
    trough, turn = page.locator("#f-features-0-at"), page.locator("#f-features-0-turn")
    before = trough.input_value()
    handle = page.locator("#h-features-0-at-0")
    handle.focus()
    page.keyboard.press("]")
    expect(turn).to_have_value("355")
    with page.expect_response(PREVIEW):
        page.keyboard.press("Shift+ArrowUp")
    assert trough.input_value() != before
    expect(handle).to_be_focused()
    for wanted in ("355", ""):
        with page.expect_response(BOARD):
            page.keyboard.press("Control+z")
        expect(turn).to_have_value(wanted)
        expect(trough).to_have_value(before)
        expect(handle).to_be_focused()


def moves(visit: Visit) -> None:
    finger, browser = visit.size == "phone", visit.page.context.browser
    assert browser is not None
    held = browser.new_context(viewport=NARROW if finger else None, has_touch=finger)  # type: ignore[arg-type]
    page = held.new_page()
    page.on("pageerror", lambda error: visit.faults.append(f"script: {error}"))
    visit.page = page
    visit.sign_in()
    visit.go("/pieces/new?example=reading-room-table")
    move_a_trough(page, finger=finger)
    out_and_back(page, finger=finger)
    keys_turn_move_and_undo(page)
    assert page.evaluate("document.documentElement.scrollWidth") <= page.evaluate("window.innerWidth")
    held.close()


@pytest.mark.parametrize("size", ["phone", "desk"])
def test_features_are_moved_turned_and_taken_back(walk: Doing, size: str) -> None:
    walk(moves, size)


def test_a_document_goes_out_as_a_file_and_comes_in_again(walk: Doing, tmp_path: Path) -> None:
    kept = tmp_path / "piece.json"

    def out_and_in(visit: Visit) -> None:
        page = visit.page
        visit.sign_in()
        visit.go("/pieces/new?example=hearth")
        page.get_by_label("Name").fill("Hearth by the window")
        page.get_by_text("The specification as a document").click()
        with page.expect_download() as down:
            page.get_by_role("button", name="Keep it as a file").click()
        down.value.save_as(kept)
        visit.go("/pieces/new")
        page.get_by_label("or pick a file").set_input_files(kept)
        page.get_by_role("button", name="Read it").click()
        expect(page.get_by_label("Name")).to_have_value("Hearth by the window")
        expect(page.locator("#preview svg.setting-out")).to_be_visible()

    walk(out_and_in, "phone")
    assert json.loads(kept.read_text())["name"] == "Hearth by the window"


def another_saves(visit: Visit) -> None:
    page = visit.page
    visit.sign_in()
    page.get_by_role("link", name="Corner hearth", exact=True).click()
    page.get_by_role("link", name="Edit").click()
    page.get_by_label("Thickness").fill("6.5")
    page.get_by_label("What changed").fill("thicker")
    expect(page.locator("#preview")).to_be_visible()
    other = page.context.new_page()
    other.goto(page.url)
    other.get_by_label("Identical pieces").fill("2")
    other.get_by_role("button", name="Save as another revision").click()
    expect(other.locator(".messages")).to_contain_text("Saved as revision 2")
    other.close()
    page.get_by_role("button", name="Save as another revision").click()
    expect(page.get_by_role("alert")).to_contain_text("quantity 1 → 2")
    expect(page.get_by_label("Thickness")).to_have_value("6.5")
    visit.checked("overtaken")
    page.get_by_role("button", name="Save mine on top of revision 2").click()
    expect(page.locator(".messages")).to_contain_text("Saved as revision 3")


@pytest.mark.parametrize("size", ["phone", "desk"])
def test_a_piece_that_another_saved_meanwhile_is_told_in_words(walk: Doing, size: str) -> None:
    walk(another_saves, size)
    hearth = SavedPiece.objects.get(name="Corner hearth")
    notes = list(PieceRevision.objects.filter(piece=hearth).order_by("number").values_list("number", "note"))
    assert notes == [(1, ""), (2, ""), (3, "thicker")]
    assert revise_piece(hearth, hearth.revisions.get(number=3).document).number == 3
