"""A phone in the hand: a cost is written, found in the line it belongs to, and put right."""

from __future__ import annotations

import pytest
from playwright.sync_api import expect

pytestmark = pytest.mark.e2e


def test_a_cost_is_written_found_and_put_right_on_a_phone(farm, browser, watch) -> None:
    program, _folder = farm
    context = browser.new_context(viewport={"width": 360, "height": 740})
    page = context.new_page()
    watch.on(page)

    page.goto(program.address + "/money/")
    page.get_by_role("link", name="Write something down").click()
    page.get_by_role("link", name="A cost").click()
    page.get_by_label("What for").select_option(label="Insurance")
    page.get_by_label("How much").fill("48,5")
    page.get_by_role("button", name="Write it down").click()
    expect(page.get_by_text("Write a sum in dollars")).to_be_visible()
    expect(page.get_by_label("How much")).to_have_value("48,5")
    page.get_by_label("How much").fill("48.50")
    page.get_by_role("button", name="Write it down").click()
    expect(page.get_by_text("Insurance $48.50")).to_be_visible()

    page.get_by_role("link", name="Correct: Insurance $48.50").click()
    page.get_by_label("How much").fill("45.80")
    page.get_by_label("What was wrong").fill("figures turned round")
    page.get_by_role("button", name="Write the right one").click()
    expect(page.get_by_text("Struck out: figures turned round")).to_be_visible()
    expect(page.get_by_text("Insurance $45.80")).to_be_visible()

    page.goto(program.address + "/money/year/")
    expect(page.get_by_role("cell", name="$45.80").first).to_be_visible()
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
    context.close()
