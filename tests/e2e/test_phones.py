"""Phones of the house: let in, counting, ended; and no page that asks anything of the outside."""

from __future__ import annotations

import re
import time
from urllib.parse import urldefrag, urljoin, urlsplit

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Error, expect

pytestmark = pytest.mark.e2e
PHONE = {"viewport": {"width": 360, "height": 740}, "has_touch": True, "is_mobile": True}
DESK = {"viewport": {"width": 1280, "height": 800}}


@pytest.fixture(scope="module")
def farm(lan_program):
    one = lan_program(demo=True)
    yield one
    one.stop()


@pytest.fixture
def desk(browser, farm):
    context = browser.new_context(**DESK)
    page = context.new_page()
    page.goto(f"{farm.address}/farm/phones/")
    yield page
    context.close()


def let_in(browser, farm, desk, name: str, station: str = ""):
    """Ask on a phone, compare the words, and say yes on the farm computer."""
    context = browser.new_context(**PHONE)
    phone = context.new_page()
    phone.goto(f"{farm.lan}/")
    phone.get_by_role("button", name="Ask to be let in").tap()
    words = phone.locator(".words").inner_text()
    ask = desk.locator("section", has_text=words)
    ask.get_by_label("What you call it").fill(name)
    ask.get_by_label("Its station").select_option(station)
    ask.get_by_role("button", name="Let it in").click()
    phone.wait_for_url(re.compile(r"/days/\d+/"), timeout=15000)
    return phone


def accessible(page, name: str) -> list[str]:
    found = Axe().run(page).response["violations"]
    told = [f"{name}: {one['id']}: {one['nodes'][0]['html'][:100]}" for one in found]
    if page.evaluate("document.documentElement.scrollWidth > innerWidth"):
        told.append(f"{name}: wider than the screen")
    return told


def test_a_phone_is_let_in_counts_is_ended_and_sends_what_it_kept_when_let_in_again(
    farm, browser, desk
) -> None:
    phone = let_in(browser, farm, desk, "Draw table", "draw")
    assert phone.url.endswith("/at/draw/")
    phone.locator("html[data-ready=yes]").wait_for(state="attached")
    begin = int(phone.locator("#count").inner_text())
    tap = phone.get_by_role("button", name="Count one bird")
    tap.tap()
    expect(phone.locator("#count")).to_have_text(str(begin + 1))
    expect(phone.locator("#saved")).to_contain_text("Nothing waiting")

    phone.context.set_offline(True)
    tap.tap()
    tap.tap()
    expect(phone.locator("#saved")).to_contain_text("2 kept on this phone")
    desk.goto(f"{farm.address}/farm/phones/")
    desk.get_by_role("button", name="End Draw table").click()
    phone.context.set_offline(False)

    phone.wait_for_url("**/phones/ask/", timeout=15000)
    expect(phone.locator("h1")).to_have_text("This phone is not let in any more")
    phone.get_by_role("button", name="Ask to be let in").tap()
    words = phone.locator(".words").inner_text()
    ask = desk.locator("section", has_text=words)
    ask.get_by_label("What you call it").fill("Draw table")
    ask.get_by_label("Its station").select_option("draw")
    ask.get_by_role("button", name="Let it in").click()
    phone.wait_for_url(re.compile(r"/at/draw/"), timeout=15000)
    expect(phone.locator("#count")).to_have_text(str(begin + 3), timeout=15000)
    expect(phone.locator("#saved")).to_contain_text("Nothing waiting")
    phone.context.close()


def test_an_open_page_of_an_ended_phone_turns_plain_at_once(farm, browser, desk) -> None:
    phone = let_in(browser, farm, desk, "Tablet")
    begin = time.monotonic()
    desk.goto(f"{farm.address}/farm/phones/")
    desk.get_by_role("button", name="End Tablet").click()

    phone.wait_for_url("**/phones/ask/", timeout=10000)
    assert time.monotonic() - begin < 10
    phone.go_back()
    expect(phone.locator("h1")).to_have_text("This phone is not let in any more")
    phone.context.close()


def test_a_refused_phone_is_told_so(farm, browser, desk) -> None:
    context = browser.new_context(**PHONE)
    phone = context.new_page()
    phone.goto(f"{farm.lan}/days/")
    phone.get_by_role("button", name="Ask to be let in").tap()
    words = phone.locator(".words").inner_text()
    desk.locator("section", has_text=words).get_by_role("button", name="Refuse").click()

    expect(phone.locator("h1")).to_have_text("This phone was refused", timeout=10000)
    context.close()


def test_a_name_half_typed_is_not_lost_when_another_phone_asks_for_nothing(
    farm, browser, desk
) -> None:
    context = browser.new_context(**PHONE)
    phone = context.new_page()
    phone.goto(f"{farm.lan}/")
    phone.get_by_role("button", name="Ask to be let in").tap()
    words = phone.locator(".words").inner_text()
    field = desk.locator("section", has_text=words).get_by_label("What you call it")
    field.fill("Half a na")
    time.sleep(2.5)  # the list is asked for twice meanwhile
    expect(field).to_have_value("Half a na")
    desk.locator("section", has_text=words).get_by_role("button", name="Refuse").click()
    context.close()


def test_asking_and_letting_in_work_without_script(farm, browser) -> None:
    plain = {"java_script_enabled": False}
    desk = browser.new_context(**DESK, **plain).new_page()
    phone = browser.new_context(**PHONE, **plain).new_page()
    phone.goto(f"{farm.lan}/")
    phone.get_by_role("button", name="Ask to be let in").tap()
    words = phone.locator(".words").inner_text()
    desk.goto(f"{farm.address}/farm/phones/")
    ask = desk.locator("section", has_text=words)
    ask.get_by_label("What you call it").fill("Old phone")
    ask.get_by_role("button", name="Let it in").click()

    phone.wait_for_url(re.compile(r"/days/\d+/$"), timeout=15000)
    for page in (desk, phone):
        page.context.close()


def test_the_owner_is_asked_for_the_pin_on_a_phone(farm, browser, desk) -> None:
    phone = let_in(browser, farm, desk, "Porch")
    desk.goto(f"{farm.address}/farm/phones/")
    desk.get_by_text("Set a PIN").click()
    desk.get_by_label("New PIN").fill("4071")
    desk.get_by_role("button", name="Set it").click()

    phone.goto(f"{farm.lan}/farm/")
    phone.get_by_role("button", name="Save the farm").tap()
    expect(phone.locator("h1")).to_have_text("This is for the owner")
    problems = accessible(phone, "PIN")
    phone.get_by_label("Owner's PIN").fill("0000")
    phone.get_by_role("button", name="Go on").tap()
    expect(phone.locator(".fault")).to_have_text("That is not the PIN.")
    phone.get_by_label("Owner's PIN").fill("4071")
    phone.get_by_role("button", name="Go on").tap()
    expect(phone.get_by_text("Saved.")).to_be_visible()

    desk.get_by_text("Change the PIN, or take it off").click()
    desk.get_by_role("button", name="Take it off").click()
    desk.get_by_label("Owner's PIN").fill("4071")
    desk.get_by_role("button", name="Go on").click()
    expect(desk.get_by_text("There is no PIN any more.")).to_be_visible()
    assert problems == []
    phone.context.close()


def test_the_pages_fit_and_are_accessible(farm, browser, desk, watch) -> None:
    watch.on(desk)
    context = browser.new_context(**PHONE, color_scheme="dark")
    phone = context.new_page()
    phone.goto(f"{farm.lan}/")
    problems = accessible(phone, "ask")
    phone.get_by_role("button", name="Ask to be let in").tap()
    words = phone.locator(".words").inner_text()
    problems += accessible(phone, "wait")
    desk.locator(".words", has_text=words).wait_for()
    problems += accessible(desk, "phones, desk")
    desk.set_viewport_size({"width": 360, "height": 740})
    problems += accessible(desk, "phones, narrow")
    desk.locator("section", has_text=words).get_by_role("button", name="Refuse").click()
    context.close()
    assert problems == []


MOST_PAGES = 150


def test_no_page_asks_anything_of_the_outside(farm, browser, browsers_own) -> None:
    """Follow every link from the first page, and note every request the browser makes."""
    context = browser.new_context(**DESK, accept_downloads=True)
    asked: set[str] = set()
    context.on("request", lambda request: asked.add(request.url))
    page = context.new_page()
    sockets: list[str] = []
    page.on("websocket", lambda one: sockets.append(one.url))
    ahead, seen, shapes = [f"{farm.address}/"], set(), {}
    while ahead and len(seen) < MOST_PAGES:
        url = ahead.pop(0)
        path = urlsplit(url).path
        shape = re.sub(r"\d+|(?<=/calculators/)[^/]+|(?<=/lots/)[^/]+", "0", path)
        file = re.search(r"\.(pdf|csv|txt|ics|zip|sqlite3|toml|svg)$", path)
        if shapes.get(shape, 0) >= 1 + shape.endswith("/days/0/") or file:
            continue
        seen.add(url)
        shapes[shape] = shapes.get(shape, 0) + 1
        try:
            answer = page.goto(url)
        except Error as trouble:
            if "Download is starting" not in str(trouble):
                raise
            continue
        assert answer.status < 500, url
        links = page.eval_on_selector_all("a[href]", "all => all.map(one => one.href)")
        ahead += [urldefrag(urljoin(url, link))[0] for link in links]
    foreign = {url for url in asked
               if not url.startswith((f"{farm.address}/", "data:", "blob:", "about:",
                                      *browsers_own))}  # fmt: skip
    assert foreign == set()
    assert sockets == []
    assert len(seen) > 30
    assert {urlsplit(link).netloc for link in ahead} <= {urlsplit(farm.address).netloc}
    context.close()
