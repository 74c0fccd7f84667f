"""One bird from an order to its buyer on a phone: order, give, hand over, trace."""

from __future__ import annotations

import re

import pytest
from playwright.sync_api import expect

pytestmark = pytest.mark.e2e


def test_from_an_order_to_the_recall_of_its_bird(demo, browser, watch) -> None:
    context = browser.new_context(viewport={"width": 360, "height": 740})
    page = context.new_page()
    watch.on(page)

    # a customer and an order
    page.goto(f"{demo.address}/orders/customers/")
    page.get_by_label("Name").fill("Odd Tarrant")
    page.get_by_label("Phone").fill("555-0177")
    page.get_by_label("Address").fill("9 Weir Lane, Hollis Creek")
    page.get_by_role("button", name="Save and take an order").click()
    expect(page.get_by_label("Customer", exact=True)).to_have_value(re.compile(r"\d+"))
    page.get_by_label("From, lb").first.fill("13")
    page.get_by_label("To, lb").first.fill("14")
    page.get_by_label("Product").first.fill("Whole turkey")
    page.get_by_role("button", name="Save the order").click()
    expect(page.get_by_role("heading", name="Odd Tarrant")).to_be_visible()
    expect(page.get_by_text("no package yet")).to_be_visible()

    # a real package, with the reason
    page.get_by_role("link", name="Give packages").click()
    expect(page.get_by_text("as wished").first).to_be_visible()
    page.get_by_role("button", name="Promise these packages").click()
    page.get_by_role("link", name="Odd Tarrant").click()
    package = page.locator(".list.birds a").inner_text()

    # handed over at the counter
    page.get_by_role("link", name="Hand over and take the money").click()
    expect(page.locator("output")).to_contain_text("$")
    page.get_by_role("button", name=re.compile("Sell for")).click()
    expect(page.get_by_role("heading", name=re.compile("Sale"))).to_be_visible()
    expect(page.get_by_text("Odd Tarrant")).to_be_visible()

    # nobody can sell it again
    page.goto(f"{demo.address}/store/")
    page.get_by_label("Scan a package").fill(package)
    page.keyboard.press("Enter")  # as a scanner ends its line
    expect(page.get_by_text("no longer in stock")).to_be_visible()

    # and a recall finds who has it
    page.goto(f"{demo.address}/trace/")
    page.get_by_label(re.compile("Package, lot code")).fill(package)
    page.get_by_role("button", name="Trace it").click()
    expect(page.get_by_text("555-0177")).to_be_visible()
    expect(page.get_by_text("Red probe")).to_be_visible()
    assert not page.evaluate("document.documentElement.scrollWidth > innerWidth")
    context.close()
