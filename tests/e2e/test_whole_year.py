"""A farm's whole year on one phone, by tapping: from an empty store to the binder in December.

The program's clock and the phone's are moved from step to step. With ``PINFEATHER_PICTURES=1``
each step is kept as a picture of the film strip in the guide.
"""

from __future__ import annotations

import datetime as dt
import io
import re
import urllib.request
from pathlib import Path
from zoneinfo import ZoneInfo

import pypdf
import pytest
from playwright.sync_api import expect

pytestmark = pytest.mark.e2e
PHONE = {"viewport": {"width": 360, "height": 740}, "has_touch": True, "is_mobile": True}
ZONE = ZoneInfo("America/Chicago")
DOCS = Path(__file__).resolve().parents[2] / "docs"
STRIP = DOCS / "images" / "year"
MOST_BYTES = 700_000
BIRDS = 24
LOT = "M1"
WEIGHED = ["4.1", "4.6", "4.4", "5.0", "4.2", "4.8", "4.5", "4.3", "4.7", "4.9"]
WHO = "Odile"
HANDS = {
    "Odile": ("Catch", "Kill and bleed", "Scald", "Pick"),
    "Bram": ("Draw", "Rinse and inspect", "Drain and bag", "Weigh and label", "Put away"),
}


def moment(month: int, day: int, clock: str) -> dt.datetime:
    hour, minute = (int(part) for part in clock.split(":"))
    return dt.datetime(2026, month, day, hour, minute, tzinfo=ZONE)


class Year:
    """A person with a phone, whose year goes by."""

    def __init__(self, program, page, picture) -> None:
        self.program = program
        self.page = page
        self._picture = picture
        self.steps: list[str] = []

    def at(self, month: int, day: int, clock: str = "09:00") -> None:
        now = moment(month, day, clock)
        self.program.move_to(now)
        self.page.clock.set_system_time(now)

    def go(self, path: str) -> None:
        self.page.goto(path if path.startswith("http") else self.program.address + path)

    def write(self, **fields: str) -> None:
        """Write into fields by the words on them; an underscore stands for a space."""
        for label, text in fields.items():
            self.field(label.replace("_", " "), text)

    def field(self, label: str, text: str) -> None:
        field = self.page.get_by_label(label, exact=False).first
        if field.evaluate("e => e.tagName") == "SELECT":
            field.select_option(label=text)
        else:
            field.fill(text)

    def tap(self, words: str | re.Pattern, *, role: str = "button") -> None:
        exact = {"exact": True} if isinstance(words, str) else {}
        self.press(self.page.get_by_role(role, name=words, **exact).first)

    def press(self, button) -> None:
        """Tap what leads to another page, and wait for that page."""
        with self.page.expect_navigation():
            button.tap()

    def link(self, words: str | re.Pattern) -> None:
        self.tap(words, role="link")

    def open(self, part) -> None:
        """Tap open whatever is folded around a field."""
        for folded in part.locator("xpath=ancestor-or-self::details[not(@open)]").all():
            folded.locator("summary").first.tap()

    def says(self, words: str | re.Pattern) -> None:
        expect(self.page.locator("main")).to_contain_text(words)

    def step(self, name: str, *, top: str = "") -> None:
        """Look that the page fits the phone, and keep a picture of it."""
        assert not self.page.evaluate("document.documentElement.scrollWidth > innerWidth"), name
        self.steps.append(f"{len(self.steps) + 1:02d}-{name}")
        if top:
            self.page.locator(top).first.evaluate("e => e.scrollIntoView({block: 'start'})")
        else:
            self.page.evaluate("scrollTo(0, 0)")
        self._picture(self.page, STRIP / f"{self.steps[-1]}.png")


def _name_the_farm(year: Year) -> None:
    year.go("/start/")
    year.field("What is your farm called?", "Sedge Landing")
    year.field("In which state?", "Missouri")
    year.step("name-the-farm")
    year.tap("Go on")
    year.says("Your first processing day")
    year.go("/farm/")
    form = year.page.locator("form").filter(has=year.page.get_by_label("Farm's name"))
    form.get_by_label("Address").fill("Odile Marsh\n3 Sedge Landing\nTessel, MO 65001")
    form.get_by_label("Last water test").fill("2026-02-20")
    form.get_by_role("button", name="Save the farm").tap()
    expect(year.page.get_by_role("status").first).to_contain_text("Saved.")
    year.go("/sanitary/")  # nobody to choose from yet, and the page says where to go
    year.link("Add somebody, or change what they do")
    for name, stations in HANDS.items():
        form = year.page.locator("form").filter(has=year.page.get_by_label("Pace"))
        if not form.is_visible():
            year.page.get_by_text("Add somebody, or change what they do").tap()
        form.get_by_label("Name").fill(name)
        for station in stations:
            form.get_by_label(station, exact=True).check()
        year.press(form.get_by_role("button"))
        expect(year.page.get_by_role("rowheader", name=name)).to_be_visible()


def _order_chicks(year: Year) -> None:
    year.at(3, 2)
    year.go("/lots/new/")
    year.field("Lot", LOT)
    year.write(Birds_wanted_on_the_day=str(BIRDS), Hatched="2026-04-08")
    year.field("Processing day in mind", "2026-05-30")
    year.tap("Work out how many")
    year.says(re.compile(r"enough in \d+.%"))
    year.step("how-many-chicks", top="#advice")
    year.write(Hatchery="Fen Hatchery", Chicks_ordered=str(BIRDS + 2), Here_on="2026-04-09")
    year.page.get_by_role("button", name="Start the lot").last.tap()
    year.page.wait_for_url(f"**/lots/{LOT}/")
    year.step("ordered")


def _raise_them(year: Year) -> None:
    year.at(4, 9, "08:30")
    year.go(f"/lots/{LOT}/")
    year.link("They are here")
    year.write(Dead_on_arrival="1", Into_pen="Brooder")
    year.tap("Write it down")
    year.says(f"{BIRDS + 1} birds in lot {LOT} now")
    year.step("they-are-here")
    year.link("Feed in")
    year.write(How_much="120 lb", Which_feed="Starter")
    year.tap("Write it down")
    year.at(5, 1)
    year.go(f"/lots/{LOT}/")
    year.link("Loss")
    year.tap("Predator")
    year.link("Move")
    year.field("Birds", str(BIRDS))
    year.page.locator("[name=to]").fill("Orchard hut")
    year.step("out-of-the-brooder")
    year.tap("Write it down")
    year.link("Feed in")
    year.write(How_much="180 lb", Which_feed="Grower")
    year.tap("Write it down")
    year.at(5, 22)
    year.go(f"/lots/{LOT}/")
    year.link("Weigh")
    year.field("Weights", "\n".join(["weight_lb", *WEIGHED]))
    year.step("weigh")
    year.tap("Write them down")
    year.says("10 birds weighed")
    year.step("what-they-will-weigh", top="h2")


def _plan_the_day(year: Year) -> str:
    year.at(5, 27)
    year.go(f"/lots/{LOT}/")
    year.link("Plan a day with them")
    page = year.page
    assert page.get_by_label("Date", exact=True).input_value() == "2026-05-30"
    assert page.get_by_label("Birds", exact=True).input_value() == str(BIRDS)
    page.get_by_label("First bird at").fill("06:30")
    for number, name in enumerate(sorted(HANDS)):  # they stand in the form, from the farm's page
        row = page.locator("fieldset").filter(has=page.locator(f"[name='people[{number}].name']"))
        assert row.get_by_label("Name").input_value() == name
        year.open(row.get_by_label("From"))
        row.get_by_label("From").fill("05:30")
        row.get_by_label("To", exact=True).fill("16:00")
    year.open(page.get_by_label("Ice on hand"))
    page.get_by_label("Ice on hand").fill("200 lb")
    page.get_by_role("button", name="Work out the plan").last.tap()
    page.wait_for_url(re.compile(r"/days/\d+/$"), timeout=30000)
    year.says(f"{BIRDS} birds")
    year.step("the-plan")
    return page.url


def _before_the_first_bird(year: Year) -> None:
    year.at(5, 30, "05:40")
    year.go("/thermometers/")
    year.field("What you call it", "Blue probe")
    year.field("Stated accuracy", "1 F")
    year.tap("Add")
    year.field("Blue probe in ice shows", "32.4 F")
    year.tap("Write down")
    year.says("Checked today")
    year.step("ice-check")
    year.go("/sanitary/")
    before = year.page.locator("details.part").first
    for _try in range(20):
        button = before.locator("button[name=done]").first
        if not button.count():
            break
        year.page.locator("select[name=who]").first.select_option(label=WHO)
        if _try == 1:
            year.step("clean-before-the-first-bird")
        year.press(button)
    year.says("all done")


def _count(year: Year, day: str, station: str, clock: str) -> None:
    year.at(5, 30, clock)
    page = year.page
    page.goto(f"{day}at/{station}/")
    page.locator("html[data-ready=yes]").wait_for(state="attached")
    page.get_by_label("Who").first.select_option(label=WHO)
    page.get_by_text("Count a whole basket or crate").tap()
    page.locator("details [name=birds]").fill(str(BIRDS))
    page.locator("details").get_by_role("button", name=re.compile("Count them")).first.tap()
    expect(page.locator("#count")).to_have_text(str(BIRDS))
    expect(page.get_by_text("Nothing waiting").first).to_be_visible()


def _read(year: Year, day: str, what: str, value: str, clock: str) -> None:
    year.at(5, 30, clock)
    page = year.page
    page.goto(f"{day}reading/?place=Tank+1")
    option = page.locator("#what option", has_text=what).get_attribute("value")
    page.get_by_label("What").select_option(option)
    page.get_by_label("It shows").fill(value)
    page.get_by_label("Thermometer").select_option("Blue probe" if value.endswith("F") else "")
    if what.startswith("Bird"):
        year.step("probe-a-bird")
    page.get_by_role("button", name="Write it down").tap()
    page.wait_for_url(day)


def _run_the_day(year: Year, day: str) -> None:
    _count(year, day, "catch", "06:20")
    _count(year, day, "kill", "06:40")
    expect(year.page.locator("#findings")).not_to_contain_text("unaccounted")
    expect(year.page.locator("#due")).not_to_contain_text("Check every thermometer in ice")
    year.step("count-by-the-basket")
    _count(year, day, "pick", "06:50")
    _count(year, day, "draw", "07:05")
    _read(year, day, "Sanitiser strip", "100 ppm", "07:10")
    _count(year, day, "chill", "07:15")
    _read(year, day, "Tank water", "33.6 F", "07:40")
    year.step("the-day-under-way")
    _read(year, day, "Bird, thickest", "37.4 F", "10:15")


def _pack(year: Year, day: str) -> None:
    year.at(5, 30, "10:40")
    page = year.page
    page.goto(f"{day}pack/")
    page.locator("html[data-ready=yes]").wait_for(state="attached")
    page.get_by_label("Dollars per lb").fill("5.50")
    for number in range(BIRDS):
        page.locator("#gross").fill(f"{3.4 + number * 0.05:.2f}")
        page.keyboard.press("Enter")
        expect(page.locator(".stub")).to_contain_text(f"{number + 1} package")
    year.step("weigh-and-pack")


def _close(year: Year, day: str) -> None:
    year.at(5, 30, "11:30")
    page = year.page
    page.goto(f"{day}close/")
    for turn in range(30):
        box = page.get_by_label("What was done about it")
        if not box.count():
            break
        if turn == 0:
            year.step("findings-to-answer")
        box.first.fill("Counted a basket at a time; all birds were in the tank by a quarter past.")
        year.press(page.get_by_role("button", name="Write down").first)
    page.get_by_label("Closed by").select_option(label=WHO)
    year.tap("Close and seal the day")
    year.says("The day is closed and sealed.")
    year.says("proved at 40 °F in time")
    year.step("closed-and-sealed")


def _put_away(year: Year) -> None:
    year.at(5, 31, "14:00")
    year.go("/freezer/places/")
    year.write(Name="Chest freezer")
    year.tap("Save the place")
    year.go("/freezer/put/")
    page = year.page
    boxes = page.locator(".bags input[name=package]")
    assert boxes.count() == BIRDS
    for number in range(BIRDS):
        boxes.nth(number).check()
    year.tap("Put them there")
    year.go("/freezer/")
    year.says("Chest freezer")
    year.step("in-the-freezer")


def _sell(year: Year) -> None:
    year.at(6, 2)
    page = year.page
    year.go("/orders/customers/")
    year.write(Name="Wren Abbot", Phone="555-0142", Address="11 Mill Row, Tessel")
    year.tap("Save and take an order")
    expect(page.get_by_label("Customer", exact=True)).to_have_value(re.compile(r"\d+"))
    page.get_by_label("Product").first.fill("Whole chicken")
    page.locator("[name^=count]").first.fill("2")
    page.get_by_label("From, lb").first.fill("4")
    page.get_by_label("To, lb").first.fill("4.5")
    year.field("Pickup day", "2026-06-06")
    year.step("take-an-order")
    year.tap("Save the order")
    year.says("no package yet")
    order = page.url
    year.go("/orders/give/?until=2026-06-06")
    year.says("as wished")
    year.step("who-gets-which-bird")
    year.tap("Promise these packages")
    year.at(6, 6, "10:00")
    year.go(order)
    year.link("Hand over and take the money")
    expect(page.locator("output")).to_contain_text("$")
    year.step("hand-over", top="h2")
    year.tap(re.compile("Sell for"))
    expect(page.get_by_role("heading", name=re.compile("Sale"))).to_be_visible()
    year.go("/store/")
    for _package in range(3):
        year.press(page.locator(".bags button").first)
    year.tap(re.compile("Sell for"))
    expect(page.get_by_role("heading", name=re.compile("Sale"))).to_be_visible()
    year.step("sold-at-the-store")


def _reckon(year: Year) -> None:
    year.at(6, 10, "20:00")
    page = year.page
    for what, amount in (("Chicks", "71.50"), ("Feed", "118.20"), ("Bags", "14.40")):
        year.go("/money/write/?act=cost")
        options = page.get_by_label("What for").locator("option").all_inner_texts()
        page.get_by_label("What for").select_option(
            label=next(words for words in options if what.lower() in words.lower())
        )
        page.get_by_label("How much").fill(amount)
        if what == "Feed":
            year.step("a-cost")
        year.tap("Write it down")
        year.says(f"${amount}")
    year.go("/money/write/?act=hours")
    page.get_by_label("Hours, all people together").fill("16")
    page.get_by_label("Pay of an hour").fill("15")
    year.tap("Write it down")
    year.go("/money/")
    year.says("a bird")
    year.step("what-a-pound-cost")


def _prove(year: Year) -> None:
    year.at(11, 14, "10:00")
    page = year.page
    year.go("/trace/drill/")
    page.get_by_label("Who").select_option(label=WHO)
    year.tap("Start the clock")
    year.says("Find these by hand")
    year.step("recall-drill")
    year.at(11, 14, "10:21")
    found = page.locator("dl.facts dd.big").nth(1).inner_text()
    assert found == str(BIRDS - 5)
    year.field("Found by hand", found)
    page.get_by_label("Who", exact=True).select_option(label=WHO)
    year.tap("Stop the clock and write it down")
    year.says("Write where the difference comes from.")  # a buyer whose name nobody asked
    year.field("Where a difference comes from", "Three went over the counter; no name was asked.")
    year.tap("Stop the clock and write it down")
    year.says(re.compile(r"\d+ of \d+ found"))
    year.step("drill-done")
    year.at(11, 16)
    year.go("/duties/")
    year.step("what-falls-due")
    year.go("/duties/scale-seal/")
    page.get_by_label("Who").first.select_option(label=WHO)
    year.field("Note", "County scale office, sticker 2026.")
    year.tap("Write it down")
    year.says("16 Nov 2027")
    year.step("a-duty-done")


def _hand_over_the_binder(year: Year) -> None:
    year.at(12, 30)
    year.go("/binder/")
    year.tap("Make the binder")
    open_it = year.page.get_by_role("link", name="Open the binder")
    open_it.wait_for(timeout=40000)
    year.step("the-binder")
    made = urllib.request.urlopen(year.program.address + open_it.get_attribute("href")).read()
    pages = [page.extract_text() for page in pypdf.PdfReader(io.BytesIO(made)).pages]
    assert len(pages) >= 10
    text = " ".join(pages)
    for words in ("Sedge Landing", LOT, "Fen Hatchery", "Blue probe", "Wren Abbot"):
        assert words in text, words


def test_a_farm_goes_through_its_whole_year_by_tapping(moved, browser, watch, picture) -> None:
    program = moved(moment(3, 1, "19:30"))
    context = browser.new_context(**PHONE, timezone_id=ZONE.key)
    page = context.new_page()
    page.set_default_timeout(8000)
    watch.on(page)
    year = Year(program, page, picture)
    year.at(3, 1, "19:30")

    _name_the_farm(year)
    _order_chicks(year)
    _raise_them(year)
    day = _plan_the_day(year)
    _before_the_first_bird(year)
    _run_the_day(year, day)
    _pack(year, day)
    _close(year, day)
    _put_away(year)
    _sell(year)
    _reckon(year)
    _prove(year)
    _hand_over_the_binder(year)
    context.close()

    page_of_the_guide = (DOCS / "guide" / "the-year.md").read_text(encoding="utf-8")
    shown = re.findall(r"images/year/([\w-]+)\.png", page_of_the_guide)
    assert shown == year.steps
    assert {path.stem for path in STRIP.glob("*.png")} == set(year.steps)
    assert sum(path.stat().st_size for path in STRIP.glob("*.png")) < MOST_BYTES
