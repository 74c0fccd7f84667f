"""A reading typed while the network is away is kept on the phone and sent later."""

from __future__ import annotations

import re
import urllib.request

import pytest
from playwright.sync_api import expect

pytestmark = pytest.mark.e2e


def test_a_reading_survives_the_network_being_away(demo, browser, watch) -> None:
    html = urllib.request.urlopen(f"{demo.address}/days/").read().decode()
    running = re.search(r'<a href="(/days/\d+/)">(?:(?!</li>).)*under way', html, re.DOTALL)[1]
    context = browser.new_context(viewport={"width": 360, "height": 740})
    page = context.new_page()
    watch.on(page)
    page.goto(f"{demo.address}{running}reading/?what=bath&place=Blue+tank")
    page.locator("html[data-ready=yes]").wait_for(state="attached")
    page.get_by_label("It shows").fill("34")
    page.get_by_role("button", name="Write it down").click()
    expect(page.locator("#written_f")).to_contain_text("unit")
    assert page.get_by_label("It shows").input_value() == "34"

    watch.offline = True
    context.set_offline(True)
    page.get_by_label("It shows").fill("34.2 F")
    page.get_by_label("Thermometer").select_option("Red probe")
    page.get_by_role("button", name="Write it down").click()
    expect(page.locator("#saved")).to_contain_text("kept on this phone")

    context.set_offline(False)
    page.wait_for_url(f"{demo.address}{running}", timeout=15000)
    watch.offline = False
    journal = urllib.request.urlopen(f"{demo.address}{running}journal.csv").read().decode()
    assert journal.count("34.2 F") == 1
    context.close()
