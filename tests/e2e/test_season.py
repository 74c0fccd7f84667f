"""On a phone: a family writes a season, has it worked out, looks at the ribbon, takes it over."""

from __future__ import annotations

import datetime as dt
import re

import icalendar
import pytest

pytestmark = pytest.mark.e2e
PHONE = {"viewport": {"width": 360, "height": 740}, "has_touch": True, "is_mobile": True}


def _fits(page) -> None:
    assert not page.evaluate("document.documentElement.scrollWidth > innerWidth")


def test_a_season_from_an_order_to_the_calendar(farm, browser, watch) -> None:
    program, _folder = farm
    context = browser.new_context(**PHONE, accept_downloads=True)
    page = context.new_page()
    watch.on(page)
    pickup = dt.datetime.now(dt.UTC).date() + dt.timedelta(weeks=16)

    page.goto(f"{program.address}/season/")
    page.get_by_role("link", name="Write a season").click()
    _fits(page)
    order = page.locator("details").filter(has=page.locator("[name='orders[0].name']")).first
    order.get_by_label("For whom or what").fill("Neighbours")
    order.get_by_label("Birds", exact=True).fill("many")  # nonsense first: nothing may be lost
    order.get_by_label("Pickup").fill(pickup.isoformat())
    order.get_by_label("Price").fill("$5.50/lb")
    page.get_by_role("button", name="Work out the season").last.click()
    page.get_by_text("“many” is not a whole number.").wait_for()
    assert page.locator("[name='orders[0].name']").input_value() == "Neighbours"
    page.locator("[name='orders[0].birds']").fill("25")
    page.get_by_role("button", name="Work out the season").last.click()

    page.get_by_role("heading", level=1, name=re.compile("^Yes: ")).wait_for(timeout=90_000)
    _fits(page)
    ribbon = page.locator("svg.ribbon:visible").first
    ribbon.wait_for()
    assert "lots and" in ribbon.locator("desc").text_content()
    assert ribbon.bounding_box()["width"] <= 360

    page.get_by_role("button", name=re.compile("ordered, write it down")).first.click()
    page.get_by_role("status").get_by_text("is in the flock records, as ordered").wait_for()
    assert page.get_by_role("link", name=re.compile("In the flock records as")).count() == 1

    with page.expect_download() as download:
        page.get_by_role("link", name="Dates for the calendar").click()
    read = icalendar.Calendar.from_ical(download.value.path().read_bytes())
    titles = [str(event["summary"]) for event in read.walk("VEVENT")]
    assert any(title.startswith("Order ") for title in titles)

    page.get_by_role("link", name=re.compile(r"^Plan \d")).first.click()
    assert int(page.locator("[name='lots[0].count']").input_value()) > 0
    _fits(page)
    context.close()


def test_a_phone_finds_the_pages_that_are_folded_away(farm, browser, watch) -> None:
    program, _folder = farm
    context = browser.new_context(**PHONE, java_script_enabled=False)
    page = context.new_page()
    page.goto(f"{program.address}/season/")
    page.get_by_text("More", exact=True).click()
    page.locator("details.more").get_by_role("link", name="Thermometers").click()
    assert page.url.endswith("/thermometers/")
    context.close()
