"""A lot's life by tapping on a phone: ordered, arrived, lost, weighed, struck out, planned."""

from __future__ import annotations

import datetime as dt
import io
import re
import urllib.request

import pypdf
import pytest
from playwright.sync_api import expect

pytestmark = pytest.mark.e2e
PHONE = {"viewport": {"width": 360, "height": 740}, "has_touch": True, "is_mobile": True}


def _day(days: int) -> str:
    return (dt.datetime.now(dt.UTC).date() + dt.timedelta(days=days)).isoformat()


def _fits(page) -> None:
    assert not page.evaluate("document.documentElement.scrollWidth > innerWidth"), page.url


def _start(page, address: str) -> None:
    page.goto(f"{address}/farm/")
    form = page.locator("form").filter(has=page.get_by_label("Farm's name"))
    form.get_by_label("Farm's name").fill("Alder Ford")
    form.get_by_role("button", name="Save the farm").tap()
    expect(page.get_by_role("status").first).to_contain_text("Saved.")
    page.goto(f"{address}/lots/")
    page.get_by_role("link", name="Start a lot").tap()
    page.get_by_label("Lot", exact=False).first.fill("A/1")  # nonsense first: nothing may be lost
    page.get_by_label("Birds wanted on the day").fill("30")
    page.get_by_label("Hatched").fill(_day(-40))
    page.get_by_label("Processing day in mind").fill(_day(16))
    page.get_by_role("button", name="Work out how many").tap()
    expect(page.get_by_text(re.compile(r"enough in \d+.%")).first).to_be_visible()
    page.get_by_label("Chicks ordered").fill("36")
    page.get_by_label("Here on").fill(_day(-38))
    page.get_by_role("button", name="Start the lot").last.tap()
    expect(page.locator(".fault").first).to_contain_text("short code")
    assert page.get_by_label("Chicks ordered").input_value() == "36"
    page.get_by_label("Lot", exact=False).first.fill("A1")
    page.get_by_role("button", name="Start the lot").last.tap()
    page.wait_for_url("**/lots/A1/")
    _fits(page)


def _arrive(page) -> None:
    page.get_by_role("link", name="They are here").tap()
    assert page.get_by_label("Chicks paid for").input_value() == "36"
    page.get_by_label("Day", exact=True).fill(_day(-38))
    page.get_by_label("Dead on arrival").fill("1")
    page.get_by_label("Into pen").fill("Brooder")
    _fits(page)
    page.get_by_role("button", name="Write it down").tap()
    expect(page.get_by_role("status").first).to_contain_text("35 birds in lot A1 now")


def _lose(page) -> None:
    page.get_by_role("link", name="Loss").tap()
    page.get_by_role("button", name="Predator").tap()
    expect(page.get_by_role("status").first).to_contain_text("34 birds in lot A1 now")


def _weigh(page) -> None:
    page.get_by_role("link", name="Weigh", exact=True).tap()
    page.get_by_label("Weights").fill("3.4\n3.1\n3,6")
    page.get_by_role("button", name="Write them down").tap()
    expect(page.locator(".fault").first).to_contain_text("comma")
    assert page.get_by_label("Weights").input_value() == "3.4\n3.1\n3,6"
    page.get_by_label("Weights").fill("weight_lb\n3.4\n3.1\n3.6\n3.3\n3.9\n3.0")
    _fits(page)
    page.get_by_role("button", name="Write them down").tap()
    expect(page.get_by_role("status").first).to_contain_text("6 birds weighed, mean 3.38")


def _strike_out(page) -> None:
    line = page.locator("li").filter(has_text="predator")
    line.get_by_role("link", name=re.compile("Wrong")).tap()
    page.get_by_label("Reason").fill("It came back.")
    page.get_by_role("button", name="Strike it out").tap()
    expect(page.locator("dl.facts dd.big").first).to_have_text("35")
    expect(page.locator("li.struck")).to_contain_text("It came back.")


def _treat(page) -> None:
    page.get_by_role("link", name="Other", exact=True).tap()
    page.get_by_role("link", name="Medicine").tap()
    page.get_by_label("Medicine", exact=False).first.fill("Drops")
    page.get_by_label("Withdrawal, days").fill("30")
    _fits(page)
    page.get_by_role("button", name="Write it down").tap()
    expect(page.locator("section.finding").first).to_contain_text("Drops must leave the birds")


def test_a_lot_lives_on_a_phone_from_order_to_the_plan_that_says_stop(farm, browser, watch) -> None:
    program, _folder = farm
    context = browser.new_context(**PHONE)
    page = context.new_page()
    watch.on(page)

    _start(page, program.address)
    _arrive(page)
    _lose(page)
    _weigh(page)
    _strike_out(page)
    _treat(page)
    _fits(page)

    page.get_by_role("link", name="Plan a day with them").tap()
    assert page.get_by_label("Lot", exact=True).input_value() == "A1"
    assert page.get_by_label("Mean dressed weight").input_value().endswith(" lb")
    expect(page.locator("section.finding.stop").first).to_contain_text("medicine")
    _fits(page)

    page.goto(f"{program.address}/lots/A1/when/")
    expect(page.locator("h1")).to_contain_text("Which day is best")
    _fits(page)
    page.goto(f"{program.address}/lots/")
    _fits(page)
    expect(page.locator(".lots li").first).to_contain_text("A1")

    sheet = urllib.request.urlopen(f"{program.address}/lots/A1/lot.pdf").read()
    text = " ".join(p.extract_text() for p in pypdf.PdfReader(io.BytesIO(sheet)).pages)
    assert "It came back." in text
    context.close()
