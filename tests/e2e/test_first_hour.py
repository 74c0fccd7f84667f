"""From an empty store to a planned day of one's own, by visible words alone, counting every tap."""

from __future__ import annotations

import re

import pytest
from axe_playwright_python.sync_playwright import Axe

pytestmark = pytest.mark.e2e
PHONE = {"viewport": {"width": 360, "height": 740}, "has_touch": True, "is_mobile": True}
MOST_TAPS = 5
MOST_FIELDS = 4
MAIN = (
    "start",
    "days",
    "lots",
    "season",
    "freezer",
    "orders",
    "store",
    "money",
    "trace",
    "thermometers",
    "import",
)


class Hands:
    """A person with a phone: finds things by the words on them, and counts what it takes."""

    def __init__(self, page) -> None:
        self.page = page
        self.taps = 0
        self.fields = 0

    def tap(self, words: str, *, role: str = "button") -> None:
        self.page.get_by_role(role, name=words, exact=True).first.tap()
        self.taps += 1

    def write(self, label: str, text: str) -> None:
        self.page.get_by_label(label).fill(text)
        self.fields += 1

    def choose(self, label: str, words: str) -> None:
        self.page.get_by_label(label).select_option(label=words)
        self.fields += 1


def fits(page) -> bool:
    return page.evaluate("document.documentElement.scrollWidth <= innerWidth")


@pytest.fixture
def hands(farm, browser, watch):
    program, _folder = farm
    context = browser.new_context(**PHONE)
    page = context.new_page()
    watch.on(page)
    page.goto(program.address)
    yield Hands(page)
    context.close()


def test_a_new_farm_has_a_planned_day_after_a_handful_of_taps(hands) -> None:
    page = hands.page
    hands.tap("Name the farm", role="link")
    hands.write("What is your farm called?", "Alder Ford")
    hands.choose("In which state?", "Missouri")
    hands.tap("Go on")
    hands.write("How many birds?", "40")
    hands.write("Who will be there?", "Pia, Jon and Lev")
    hands.tap("Plan the day")
    page.wait_for_url(re.compile(r"/days/\d+/$"), timeout=30000)

    assert "40 birds" in page.locator("h1").inner_text()
    assert "assumed" in page.locator(".message").inner_text()
    assert fits(page)
    assert hands.taps <= MOST_TAPS
    assert hands.fields <= MOST_FIELDS
    page.get_by_role("link", name="Days", exact=True).tap()
    page.get_by_role("heading", name="Processing days").wait_for()
    assert "40 birds" in page.locator("main").inner_text()


def test_every_main_page_of_an_empty_farm_says_what_it_is_for_and_offers_one_thing_to_do(
    hands,
) -> None:
    page = hands.page
    origin = page.url.rstrip("/")
    for path in MAIN:
        page.goto(f"{origin}/{path}/")
        assert fits(page), path
        words = page.locator("main").inner_text()
        assert len(words.split()) > 12, path
        actions = page.locator("main a.btn:visible, main button:visible")
        assert actions.count() >= 1, path
        assert Axe().run(page).response["violations"] == [], path


def test_pretend_birds_live_apart_and_one_tap_leads_back(hands) -> None:
    page = hands.page
    own = page.url
    hands.tap("Try it with pretend birds first")
    page.wait_for_url(lambda url: not url.startswith(own), timeout=60000)
    band = page.locator(".pretend")
    assert "Pretend birds" in band.inner_text()
    assert "nothing here counts" in band.inner_text()
    assert "Juniper Hollow" in page.locator(".name").inner_text()
    page.goto(f"{page.url}lots/new/")
    assert "Pretend birds" in band.inner_text()
    assert fits(page)
    names = {one["name"] for one in page.context.cookies()}
    assert "pretend-csrftoken" in names
    page.get_by_role("link", name="Back to my farm").tap()
    page.wait_for_url(own)
    assert page.locator(".pretend").count() == 0
    page.get_by_text("Name the farm").first.wait_for()
    page.goto(f"{own}days/")
    assert page.locator("main .list").count() == 0
    page.goto(f"{own}pretend/?stay")
    hands.tap("End it, back to my farm")
    page.wait_for_url(own)


def test_a_list_is_pasted_looked_at_put_right_brought_in_and_taken_back(hands) -> None:
    page = hands.page
    hands.tap("Bring in a list", role="link")
    page.get_by_label("Past processing days").check()
    hands.write("Or paste the rows", "Date,Kind,Birds\n3/4/2026,turkey,9\n3/5/2026,emu,4\n")
    hands.tap("Look at it")
    page.get_by_role("heading", name="One row cannot be read").wait_for()
    assert "Row 3, Kind" in page.locator(".finding.stop").inner_text()
    assert fits(page)
    assert Axe().run(page).response["violations"] == []
    hands.tap("Another list", role="link")
    page.get_by_role("heading", name="Bring in what you keep already").wait_for()
    page.get_by_label("Past processing days").check()
    hands.write("Or paste the rows", "Date,Kind,Birds\n3/4/2026,turkey,9\n3/5/2026,duck,4\n")
    hands.tap("Look at it")
    page.get_by_role("heading", name="Is this what your list says?").wait_for()
    assert "4 March 2026" in page.locator("table").inner_text()
    assert "which number is the month" in page.locator("main").inner_text()
    assert Axe().run(page).response["violations"] == []
    hands.tap("Bring in all 2 rows")
    page.get_by_role("heading", name="Everything that came from it").wait_for()
    assert Axe().run(page).response["violations"] == []
    brought = page.url
    page.get_by_role("link", name="Days", exact=True).tap()
    page.get_by_text("2 days, 13 birds").wait_for()
    page.goto(brought)
    hands.tap("Take it all back")
    page.get_by_text("Taken back. Nothing of it counts any more.").wait_for()
    page.get_by_role("link", name="Days", exact=True).tap()
    page.get_by_role("heading", name="Processing days").wait_for()
    assert "13 birds" not in page.locator("main").inner_text()
