"""An answer that takes longer than half a second is told, and one may stop waiting for it."""

from __future__ import annotations

import pytest
from playwright.sync_api import expect

pytestmark = pytest.mark.e2e


def test_a_slow_answer_is_told_and_can_be_stopped(demo, browser) -> None:
    context = browser.new_context(viewport={"width": 360, "height": 740})
    page = context.new_page()

    page.goto(f"{demo.address}/thermometers/")
    expect(page.locator("#busy")).to_be_hidden()
    held = []

    def hold(route):
        held.append(route)

    page.route("**/screen/", hold)  # not answered yet
    shown, hidden = page.evaluate(
        """async () => {
            const bar = document.getElementById("busy");
            document.querySelector("footer a").click();
            await new Promise((done) => setTimeout(done, 900));
            const shown = !bar.hidden;
            bar.querySelector("button").click();
            return [shown, bar.hidden];
        }"""
    )
    assert (shown, hidden) == (True, True)
    for one in held:
        one.abort()
    context.close()


def test_a_quick_answer_says_nothing(demo, browser) -> None:
    context = browser.new_context(viewport={"width": 360, "height": 740})
    page = context.new_page()
    page.goto(f"{demo.address}/thermometers/")
    page.get_by_role("link", name="Language and units").click()
    page.wait_for_url("**/screen/")
    page.wait_for_timeout(700)
    expect(page.locator("#busy")).to_be_hidden()
    context.close()
