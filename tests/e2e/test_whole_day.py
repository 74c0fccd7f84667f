"""A family plans a day of 42 birds, taps it on two phones with the network cut, and proves it."""

from __future__ import annotations

import datetime as dt
import io
import re
import sqlite3
import time
import urllib.request

import pypdf
import pytest

pytestmark = pytest.mark.e2e
BIRDS = 42
PHONE = {"viewport": {"width": 360, "height": 740}, "has_touch": True, "is_mobile": True}


def _shown(page, text: str, *, within_ms: int = 8000) -> None:
    page.get_by_text(text).first.wait_for(timeout=within_ms)


def _set_up(page, address: str) -> None:
    page.goto(f"{address}/farm/")
    form = page.locator("form").filter(has=page.get_by_label("Farm's name"))
    form.get_by_label("Farm's name").fill("Alder Ford")
    form.get_by_label("Address").fill("Pia Lund\n7 Ford Lane\nTessel, MO 65001")
    form.get_by_label("Price per lb").fill("5.25")
    today = dt.datetime.now(dt.UTC).date().isoformat()
    form.get_by_label("Last water test").fill(today)
    form.get_by_role("button", name="Save the farm").click()
    _shown(page, "Saved.")
    page.goto(f"{address}/thermometers/")
    page.get_by_label("What you call it").fill("Green probe")
    page.get_by_label("Stated accuracy").fill("1 F")
    page.get_by_role("button", name="Add").click()
    page.get_by_label("Green probe in ice shows").fill("32.6 F")
    page.get_by_role("button", name="Write down").click()
    _shown(page, "Checked today")


def _plan(page, address: str) -> str:
    page.goto(f"{address}/days/new/")
    now = dt.datetime.now(dt.UTC)
    page.get_by_label("Date", exact=True).fill(now.date().isoformat())
    page.get_by_label("First bird at").fill("06:00")
    page.get_by_label("Lot", exact=True).fill("A1")
    page.get_by_label("Birds", exact=True).fill(str(BIRDS))
    page.get_by_label("Mean dressed weight").fill("39,5")  # nonsense first: nothing may be lost
    page.get_by_label("Spread").fill("0.4 lb")
    page.get_by_label("Name").fill("Pia")
    page.get_by_label("From").fill("05:00")
    page.get_by_label("To", exact=True).fill("20:00")
    for station in ("Catch", "Kill and bleed", "Scald", "Pick"):
        page.get_by_label(station, exact=True).check()
    page.get_by_role("button", name="Another person").click()
    second = page.locator("fieldset").filter(has=page.locator("[name='people[1].name']"))
    second.get_by_label("Name").fill("Jon")
    for station in ("Draw", "Rinse and inspect", "Drain and bag", "Weigh and label", "Put away"):
        second.get_by_label(station, exact=True).check()
    page.get_by_label("Ice on hand").fill("300 lb")
    page.get_by_role("button", name="Work out the plan").last.click()
    _shown(page, "One thing needs another look.")
    assert page.get_by_label("Spread").input_value() == "0.4 lb"
    assert "comma" in page.locator(".fault").first.inner_text()
    page.get_by_label("Mean dressed weight").fill("4 lb 6 oz")
    page.get_by_role("button", name="Work out the plan").last.click()
    page.wait_for_url(re.compile(r"/days/\d+/$"), timeout=30000)
    assert f"{BIRDS} birds" in page.locator("h1").inner_text()
    return page.url


def _tap(page, times: int, name: str = "Count one bird") -> None:
    button = page.get_by_role("button", name=re.compile(name))
    for _ in range(times):
        button.tap()


def _count(page) -> int:
    return int(page.locator("#count").inner_text())


def _until(what, wanted, *, seconds: float = 10.0):
    end = time.monotonic() + seconds
    while (found := what()) != wanted and time.monotonic() < end:
        time.sleep(0.1)
    assert found == wanted


def _ready(page) -> None:
    page.locator("html[data-ready=yes]").wait_for(state="attached")


def test_a_whole_day_by_tapping(farm, browser, watch, tmp_path) -> None:
    program, data = farm
    laptop_context = browser.new_context(viewport={"width": 1280, "height": 900})
    laptop = laptop_context.new_page()
    watch.on(laptop)
    _set_up(laptop, program.address)
    day = _plan(laptop, program.address)

    phones = [browser.new_context(**PHONE) for _ in range(2)]
    dirty, clean = (context.new_page() for context in phones)
    watch.on(dirty)
    watch.on(clean)

    # catch and kill on one phone, with one tap too many taken back
    for station in ("catch", "kill"):
        dirty.goto(f"{day}at/{station}/")
        _ready(dirty)
        dirty.get_by_label("Who").select_option("Pia")
        _tap(dirty, BIRDS + 1 if station == "catch" else BIRDS)
        if station == "catch":
            dirty.get_by_role("button", name="Undo").tap()
        _until(lambda: _count(dirty), BIRDS)
        _shown(dirty, "Nothing waiting")

    # the laptop sees a tap without being touched
    laptop.goto(day)
    dirty.goto(f"{day}at/pick/")
    _ready(dirty)
    _tap(dirty, 1)
    _until(lambda: laptop.locator(".stations a", has_text="Pick").inner_text().split()[-1], "1")

    # the network goes for a minute; both phones go on counting
    clean.goto(f"{day}at/draw/")
    _ready(clean)
    clean.get_by_label("Who").select_option("Jon")
    watch.offline = True
    for context in phones:
        context.set_offline(True)
    cut = time.monotonic()
    _tap(dirty, BIRDS - 1)
    _tap(clean, BIRDS)
    _until(lambda: (_count(dirty), _count(clean)), (BIRDS, BIRDS))
    _shown(clean, f"{BIRDS} kept on this phone")
    clean.screenshot(path=str(tmp_path / "offline.png"))
    time.sleep(max(0.0, 60.0 - (time.monotonic() - cut)))
    for context in phones:
        context.set_offline(False)
    _shown(clean, "Nothing waiting", within_ms=15000)
    _shown(dirty, "Nothing waiting", within_ms=15000)
    watch.offline = False

    clean.goto(f"{day}at/chill/")
    _ready(clean)
    _tap(clean, BIRDS - 1, "One into Tank 1")
    _until(lambda: _count(clean), BIRDS - 1)
    _shown(clean, "Nothing waiting")

    # one bird condemned after drawing; sanitiser strip; probe
    clean.goto(f"{day}explain/?after=draw")
    clean.get_by_label("Why").select_option("condemned")
    clean.get_by_label("What was seen").fill("Abscess on the breast.")
    clean.get_by_role("button", name="Write it down").tap()
    clean.wait_for_url(day)
    for what, value in (("Sanitiser strip", "100 ppm"), ("Bird, thickest", "38.0 F")):
        clean.goto(f"{day}reading/?place=Tank+1")
        option = clean.locator("#what option", has_text=what).get_attribute("value")
        clean.get_by_label("What").select_option(option)
        clean.get_by_label("It shows").fill(value)
        if "Bird" in what:
            probe = clean.locator("#instrument option", has_text="Green").get_attribute("value")
            clean.get_by_label("Thermometer").select_option(probe)
        clean.get_by_role("button", name="Write it down").tap()
        clean.wait_for_url(day)

    # packing by weight
    laptop.goto(f"{day}pack/")
    for number in range(BIRDS - 1):
        laptop.get_by_label("Scale shows").fill(f"{4 + number / 100:.2f}")
        laptop.get_by_role("button", name="Weigh this package").click()
        laptop.get_by_text(f"package {number + 1} ", exact=False).first.wait_for()

    # closing: every finding is answered, none is talked away
    laptop.goto(f"{day}close/")
    for _ in range(30):
        box = laptop.get_by_label("What was done about it")
        if not box.count():
            break
        box.first.fill("Taps came in a burst for this test; nothing was warm.")
        laptop.get_by_role("button", name="Write down").first.click()
        laptop.wait_for_load_state()
    laptop.get_by_label("Closed by").select_option("Pia")
    laptop.get_by_role("button", name="Close and seal the day").click()
    _shown(laptop, "The day is closed and sealed.")
    assert "proved at 40 °F in time" in laptop.locator("main").inner_text()

    # page, database and paper say the same
    store = sqlite3.connect(data / "farm.sqlite3")
    kinds = dict(store.execute("select kind, count(*) from records_entry group by kind"))
    assert kinds["package"] == BIRDS - 1
    assert kinds["correction"] == 1
    assert kinds["tally"] == BIRDS * 4 + 1 + BIRDS - 1
    seal = store.execute("select seal from records_day").fetchone()[0]
    store.close()
    assert seal[:8] in laptop.locator("main").inner_text()
    first, second = (urllib.request.urlopen(f"{day}record.pdf").read() for _ in range(2))
    assert first == second
    (tmp_path / "record.pdf").write_bytes(first)
    reader = pypdf.PdfReader(io.BytesIO(first))
    assert 2 <= len(reader.pages) <= 4
    text = " ".join(page.extract_text() for page in reader.pages)
    assert "Abscess on the breast" in text
    assert seal[:8] in text.replace("\n", "")
    assert f"{BIRDS - 1} birds" in text or f"{BIRDS - 1}" in text
    for context in (*phones, laptop_context):
        context.close()
