"""The weighing desk in a real browser: a scale that types, one that shows itself, no script."""

from __future__ import annotations

import re
import time
import urllib.request

import pytest
from playwright.sync_api import expect

pytestmark = pytest.mark.e2e


def _desk(address: str) -> str:
    html = urllib.request.urlopen(f"{address}/days/").read().decode()
    found = re.findall(r'<a href="(/days/\d+/)">.*?class="state">([^<]+)<', html, re.DOTALL)
    return address + next(url for url, state in found if state.strip() == "under way") + "pack/"


def _count(page) -> int:
    return int(re.search(r"(\d+) package", page.locator(".stub").inner_text())[1])


def test_a_scale_that_types_makes_one_package_for_each_weight(demo, browser, watch) -> None:
    """Digits and Enter as fast as a scale types them, a second Enter from its bounce, and the
    next weight before the page has changed."""
    context = browser.new_context(viewport={"width": 360, "height": 740})
    page = context.new_page()
    watch.on(page)
    url = _desk(demo.address)
    page.goto(url)
    page.locator("html[data-ready=yes]").wait_for(state="attached")
    before = _count(page)

    page.keyboard.type("4.57\n\n5.81\n")

    expect(page.locator(".stub")).to_contain_text(f"{before + 2} packages")
    expect(page.locator(".count output")).to_have_text("5.78")
    page.reload()
    assert _count(page) == before + 2
    context.close()


def test_no_digit_is_lost_however_slowly_the_farm_computer_answers(demo, browser, watch) -> None:
    """Whenever the answer comes, half a weight is never taken for a whole one."""
    context = browser.new_context(viewport={"width": 360, "height": 740})
    page = context.new_page()
    watch.on(page)
    page.goto(_desk(demo.address))
    page.locator("html[data-ready=yes]").wait_for(state="attached")
    before = _count(page)

    def late(route):
        time.sleep(0.35)
        route.continue_()

    page.route("**/pack/", late)
    for weight in ("4.11", "5.23", "6.34"):
        page.keyboard.type(f"{weight}\n", delay=70)

    expect(page.locator(".stub")).to_contain_text(f"{before + 3} packages", timeout=15000)
    shown = page.locator("main").inner_text()
    assert all(net in shown for net in ("4.08 lb", "5.20 lb", "6.31 lb"))
    context.close()


def test_a_weight_stays_in_the_field_where_the_farm_computer_does_not_answer(
    demo, browser, watch
) -> None:
    context = browser.new_context(viewport={"width": 360, "height": 740})
    page = context.new_page()
    watch.on(page)
    page.goto(_desk(demo.address))
    page.locator("html[data-ready=yes]").wait_for(state="attached")
    before = _count(page)

    watch.offline = True
    context.set_offline(True)
    page.keyboard.type("4.44\n")
    expect(page.locator("#cut")).to_be_visible()
    expect(page.locator("#gross")).to_have_value("4.44")
    context.set_offline(False)
    page.keyboard.press("Enter")

    expect(page.locator(".stub")).to_contain_text(f"{before + 1} packages")
    context.close()


def test_the_same_weight_from_a_bounce_is_asked_about(demo, browser, watch) -> None:
    context = browser.new_context()
    page = context.new_page()
    watch.on(page)
    page.goto(_desk(demo.address))
    page.locator("html[data-ready=yes]").wait_for(state="attached")
    before = _count(page)

    page.keyboard.type("3.33\n3.33\n")

    expect(page.get_by_text("That is the weight of package")).to_be_visible()
    assert _count(page) == before + 1
    context.close()


def test_the_desk_works_without_script(demo, browser) -> None:
    context = browser.new_context(java_script_enabled=False)
    page = context.new_page()
    page.goto(_desk(demo.address))
    before = _count(page)

    page.get_by_label("Scale shows").fill("4 lb 6 oz")
    page.get_by_role("button", name="Weigh this package").click()

    assert _count(page) == before + 1
    expect(page.locator(".count output")).to_have_text("4.35")
    page.get_by_role("link", name="Look, or wrong?").click()
    page.get_by_text("Take it back").first.click()
    page.get_by_label("Why").fill("bag tore")
    page.get_by_role("button", name="Take it back").click()
    assert _count(page) == before
    context.close()


def test_a_changed_product_shows_its_own_price(demo, browser, watch) -> None:
    context = browser.new_context()
    page = context.new_page()
    watch.on(page)
    page.goto(_desk(demo.address))
    page.locator("html[data-ready=yes]").wait_for(state="attached")

    page.locator("#product").select_option("Chicken wings")

    expect(page.locator("#price_per_lb")).to_have_value("4.50")
    context.close()
