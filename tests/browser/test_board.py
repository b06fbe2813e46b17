"""The drawing board: what is typed, dragged and taken back shows at once."""

from __future__ import annotations

import re

import pytest
from playwright.sync_api import expect

from tests.browser.conftest import Doing, Visit

pytestmark = pytest.mark.usefixtures("workshop")


def draw(visit: Visit) -> None:
    page = visit.page
    visit.sign_in()
    visit.go("/pieces/new?shape=rectangle&length=1200&width=600&name=Shelf")
    undo = page.get_by_role("button", name="Undo")
    expect(undo).to_be_hidden()
    weight = page.locator("dt", has_text="Weight of one").locator("+ dd")
    before = weight.inner_text()

    page.get_by_label("Thickness").fill("60")
    expect(weight).not_to_have_text(before)
    page.get_by_label("Thickness").fill("-3")
    expect(page.locator("#refusals")).to_contain_text("thickness")
    expect(page.locator("#f-thickness-fault")).not_to_be_empty()
    expect(page.locator("#preview svg")).to_be_visible()
    page.get_by_label("Thickness").fill("50")
    expect(page.locator("#refusals")).to_be_empty()
    expect(page.locator("#f-thickness-fault")).to_be_empty()

    page.get_by_label("Another feature").select_option("sleeve")
    page.get_by_role("button", name="Add it").click()
    centre = page.locator("#f-features-0-at")
    expect(centre).to_have_value("600, 300")
    handle = page.locator("#h-features-0-at-0")
    handle.focus()
    page.keyboard.press("ArrowRight")
    page.keyboard.press("Shift+ArrowUp")
    expect(centre).to_have_value("610, 301")
    with page.expect_response(re.compile("/preview")):
        pass
    expect(page.locator("#h-features-0-at-0")).to_be_focused()

    box = page.locator("#h-features-0-at-0").bounding_box()
    assert box is not None
    page.mouse.move(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
    page.mouse.down()
    page.mouse.move(box["x"] + box["width"] / 2 - 120, box["y"] + box["height"] / 2, steps=5)
    page.mouse.up()
    moved = centre.input_value()
    x, y = (float(part) for part in moved.split(","))
    assert x < 500
    assert y == 300, "caught on the middle line"
    assert x % 10 == 0

    undo.click()
    expect(centre).to_have_value("610, 301")
    page.get_by_label("Bare numbers are").select_option("in")
    expect(page.locator("#f-outline-length")).to_have_value("47.2441")
    visit.checked("board-inches")


def test_drawing_by_keys_and_by_hand(walk: Doing) -> None:
    walk(draw)


def without_scripts(visit: Visit) -> None:
    plain = visit.page.context.browser.new_context(java_script_enabled=False)  # type: ignore[union-attr]
    visit.page = plain.new_page()
    visit.sign_in()
    page = visit.page
    visit.go("/pieces/new?example=hearth")
    page.get_by_label("Another feature").select_option("sleeve")
    page.get_by_role("button", name="Add it").click()
    expect(page.get_by_text("Sleeve", exact=False).first).to_be_visible()
    page.locator("#f-features-0-at").fill("nowhere")
    page.get_by_role("button", name="Save the piece").click()
    expect(page.locator("#f-features-0-at")).to_have_value("nowhere")
    expect(page.locator("#f-features-0-at-fault")).not_to_be_empty()
    page.get_by_role("button", name="Take out 1. Sleeve").click()
    page.get_by_role("button", name="Save the piece").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Corner hearth")
    plain.close()


def test_the_board_works_without_scripts(walk: Doing) -> None:
    walk(without_scripts)
