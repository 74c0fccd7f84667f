"""A logger's file on a phone: chosen, looked at, kept, and seen on the cold page."""

from __future__ import annotations

import datetime as dt
import math
import re
import urllib.request
import zoneinfo

import pytest

pytestmark = pytest.mark.e2e
PHONE = {"viewport": {"width": 360, "height": 740}, "has_touch": True, "is_mobile": True}


def _curve() -> bytes:
    """Forty minutes of a bird that is getting cold, up to now on the demo farm's clock."""
    zone = zoneinfo.ZoneInfo("America/Chicago")
    begin = dt.datetime.now(dt.UTC).astimezone(zone) - dt.timedelta(minutes=41)
    lines = ["Date Time;Probe (°F)"]
    for minute in range(40):
        value = 33.5 + 66.5 * math.exp(-minute / 30)
        moment = begin + dt.timedelta(minutes=minute)
        lines.append(
            f"{moment:%d.%m.%Y %H:%M};{value:.1f}".replace(
                f"{value:.1f}", f"{value:.1f}".replace(".", ",")
            )
        )
    return "\n".join(lines).encode("cp1252")


def test_a_logger_file_is_looked_at_and_kept(demo, browser, watch) -> None:
    html = urllib.request.urlopen(f"{demo.address}/days/").read().decode()
    states = re.findall(r'<a href="(/days/\d+/)">.*?class="state">([^<]+)<', html, re.DOTALL)
    day = next(url for url, state in states if state.strip() == "under way")
    context = browser.new_context(**PHONE)
    page = context.new_page()
    watch.on(page)

    page.goto(f"{demo.address}{day}cold/")
    page.get_by_role("link", name="Bring in a logger").tap()
    page.get_by_label("File").set_input_files(
        {"name": "stick <i>3</i>.csv", "mimeType": "text/csv", "buffer": _curve()}
    )
    page.get_by_role("button", name="Look at it").tap()
    assert page.get_by_label("Unit").input_value() == "F"
    assert page.get_by_label("Decimal sign").input_value() == ","
    page.get_by_label("Tank", exact=True).select_option("Blue tank")
    page.get_by_label("Logger", exact=True).select_option("Red probe")
    page.get_by_label("Date order").select_option("dmy")
    page.get_by_role("button", name="See what it says").tap()

    page.get_by_role("heading", name="Is this what the logger saw?").wait_for()
    assert page.get_by_text("of 40 in the file").count() == 1
    assert page.locator("i", has_text="3").count() == 0  # the file's name is text, not markup
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
    page.get_by_role("button", name="Keep it with the day").tap()

    page.wait_for_url(f"**{day}cold/")
    assert page.get_by_text("Kept. Logger").count() == 1
    picture = page.locator("svg.cold-curve:visible").first
    assert picture.locator("text", has_text="Red probe, logger").count() >= 1
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
    context.close()
