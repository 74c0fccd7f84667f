"""What can go wrong between a wet thumb and the farm computer's disk, one fault at a time."""

from __future__ import annotations

import contextlib
import re
import socket
import sqlite3
import subprocess
import sys
import time
from pathlib import Path

import pytest
from playwright.sync_api import Error, expect

pytestmark = pytest.mark.e2e
PHONE = {"viewport": {"width": 360, "height": 740}, "has_touch": True, "is_mobile": True}
START = "from pinfeather.cli import main; main()"
NEWER = f"import pinfeather; pinfeather.__version__ = '99.0'; {START}"


class Farm:
    """A made-up farm in its own process, on a fixed port, that can be killed and started again."""

    def __init__(self, data: Path) -> None:
        with socket.socket() as free:
            free.bind(("127.0.0.1", 0))
            self.port = free.getsockname()[1]
        self.data = data
        self.address = f"http://127.0.0.1:{self.port}"
        self.start()

    def start(self, code: str = START) -> None:
        self.process = subprocess.Popen(
            [sys.executable, "-c", code, "serve", "--no-browser", "--port", str(self.port),
             "--data", str(self.data)],
            stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True,
        )  # fmt: skip
        for line in self.process.stdout:
            if "Pinfeather is at" in line:
                return
        pytest.fail("the program did not start")

    def kill(self) -> None:
        self.process.kill()
        self.process.wait(10)
        self.process.stdout.close()

    def ask(self, sql: str) -> list[tuple]:
        store = sqlite3.connect(self.data / "farm.sqlite3")
        rows = store.execute(sql).fetchall()
        store.close()
        return rows

    def tallies(self, station: str) -> int:
        return self.ask(
            "select count(*) from records_entry where kind='tally'"
            f" and json_extract(payload, '$.station')='{station}'"
        )[0][0]


MAKE = """
import datetime as dt, sys
from pathlib import Path
from pinfeather.actions.store import open_store
open_store(Path(sys.argv[1]))
from pinfeather import clock
from pinfeather.actions.demo.farm import make
make(now=clock.now())
"""


@pytest.fixture(scope="module")
def place(tmp_path_factory):
    data = tmp_path_factory.mktemp("faults") / "farm"
    data.mkdir()
    subprocess.run([sys.executable, "-c", MAKE, str(data)], check=True)
    farm = Farm(data)
    farm.day = farm.ask("select id from records_day where status='running'")[0][0]
    yield farm
    farm.kill()


@pytest.fixture
def at(place):
    return lambda code: f"{place.address}/days/{place.day}/at/{code}/"


def opened(context, url):
    page = context.new_page()
    page.goto(url)
    page.locator("html[data-ready=yes]").wait_for(state="attached")
    return page


def tap(page, times: int = 1) -> None:
    button = page.get_by_role("button", name=re.compile("Count one bird|One into"))
    for _ in range(times):
        button.first.click()


def count(page) -> int:
    return int(page.locator("#count").inner_text())


def waiting(page) -> int:
    """How many entries are in the phone's own store, asked of the store itself."""
    return page.evaluate(
        """() => new Promise((done) => {
            const request = indexedDB.open("pinfeather");
            request.onsuccess = () => {
              const all = request.result.transaction("entries").objectStore("entries").count();
              all.onsuccess = () => { request.result.close(); done(all.result); };
            };
        })"""
    )


def until(what, wanted, *, seconds: float = 15.0) -> None:
    end = time.monotonic() + seconds
    while (found := what()) != wanted and time.monotonic() < end:
        time.sleep(0.05)
    assert found == wanted


def test_an_hour_without_network_loses_nothing_and_keeps_each_time(place, browser, at) -> None:
    before = place.tallies("pick")
    context = browser.new_context(**PHONE)
    page = context.new_page()
    page.clock.install()
    page.goto(at("pick"))
    page.locator("html[data-ready=yes]").wait_for(state="attached")
    start = count(page)
    context.set_offline(True)
    for part in range(6):
        tap(page, 10)
        until(lambda part=part: count(page), start + 10 * (part + 1))
        page.clock.fast_forward("10:00")
    assert waiting(page) == 60
    assert place.tallies("pick") == before

    context.set_offline(False)
    page.clock.fast_forward("00:06")
    until(lambda: place.tallies("pick"), before + 60)
    until(lambda: (page.clock.fast_forward(600), waiting(page))[1], 0)

    times = [row[0] for row in place.ask(
        "select device_time from records_entry where kind='tally' order by seq desc limit 60"
    )]  # fmt: skip
    assert times == sorted(times, reverse=True)  # sent in the order they were counted
    minutes = {moment[:16] for moment in times}
    assert 6 <= len(minutes) <= 12  # ten minutes apart, not all at once
    assert count(page) == start + 60
    context.close()


def test_the_farm_computer_is_killed_between_two_taps(place, browser, at) -> None:
    before = place.tallies("pick")
    context = browser.new_context(**PHONE)
    page = opened(context, at("pick"))
    start = count(page)
    tap(page, 5)
    place.kill()
    tap(page, 7)
    until(lambda: count(page), start + 12)
    expect(page.locator("#saved")).to_contain_text("kept on this phone")
    place.start()
    until(lambda: waiting(page), 0)

    assert place.tallies("pick") == before + 12
    expect(page.locator("#saved")).to_contain_text("Nothing waiting")
    until(lambda: count(page), start + 12)
    context.close()


def test_a_newer_version_takes_what_an_older_page_kept_and_renews_the_page(
    place, browser, at
) -> None:
    before = place.tallies("kill")
    context = browser.new_context(**PHONE)
    page = opened(context, at("kill"))
    start = count(page)
    place.kill()
    tap(page, 3)
    page.evaluate("document.documentElement.dataset.old = 'yes'")
    place.start(NEWER)
    until(lambda: place.tallies("kill"), before + 3)

    page.locator("html:not([data-old])[data-ready=yes]").wait_for(state="attached", timeout=30000)
    assert count(page) == start + 3
    assert waiting(page) == 0
    place.kill()
    place.start()
    context.close()


def test_a_page_reloaded_when_back_in_reach_sends_what_waits(place, browser, at) -> None:
    before = place.tallies("draw")
    context = browser.new_context(**PHONE)
    page = opened(context, at("draw"))
    start = count(page)
    context.set_offline(True)
    tap(page, 4)
    until(lambda: waiting(page), 4)
    context.set_offline(False)
    page.reload()

    until(lambda: place.tallies("draw"), before + 4)
    until(lambda: count(page), start + 4)
    context.close()


def test_a_tab_closed_and_another_page_opened_sends_what_waits(place, browser, at) -> None:
    before = place.tallies("draw")
    context = browser.new_context(**PHONE)
    page = opened(context, at("draw"))
    context.set_offline(True)
    tap(page, 3)
    until(lambda: waiting(page), 3)
    page.close()
    context.set_offline(False)
    other = context.new_page()
    other.goto(f"{place.address}/thermometers/")  # not even a page of that day

    until(lambda: place.tallies("draw"), before + 3)
    expect(other.locator("#carry")).to_be_hidden()
    context.close()


def test_a_battery_that_dies_after_counted_loses_nothing(place, browser, at, tmp_path) -> None:
    """The browser's processes are killed, not closed, right after the count went up."""
    before = place.tallies("kill")
    chromium = browser.browser_type
    how = {
        "executable_path": _program(), "args": ["--no-sandbox", "--disable-gpu"], **PHONE,
    }  # fmt: skip
    context = chromium.launch_persistent_context(str(tmp_path / "phone"), **how)
    page = opened(context, at("kill"))
    start = count(page)
    context.set_offline(True)
    tap(page, 2)
    until(lambda: count(page), start + 2)
    _kill_browser(tmp_path / "phone")
    with contextlib.suppress(Error):  # there is nothing left to close
        context.close()
    assert place.tallies("kill") == before

    context = chromium.launch_persistent_context(str(tmp_path / "phone"), **how)
    page = opened(context, at("kill"))
    until(lambda: place.tallies("kill"), before + 2)
    context.close()


def _program() -> str:
    import shutil

    return shutil.which("chromium") or shutil.which("chromium-browser")


def _kill_browser(profile: Path) -> None:
    """Kill the processes of one browser: those that name its profile."""
    import os
    import signal

    for entry in Path("/proc").iterdir():
        if not entry.name.isdecimal():
            continue
        try:
            line = (entry / "cmdline").read_bytes()
        except OSError:
            continue
        if str(profile).encode() in line and b"chrom" in line:
            os.kill(int(entry.name), signal.SIGKILL)


def test_a_phone_without_room_says_so_loudly_and_counts_nothing(place, browser, at) -> None:
    before = place.tallies("pick")
    context = browser.new_context(**PHONE)
    page = opened(context, at("pick"))
    start = count(page)
    devtools = context.new_cdp_session(page)
    devtools.send("Storage.overrideQuotaForOrigin", {"origin": place.address, "quotaSize": 1})
    tap(page)

    loud = page.locator("#loud")
    expect(loud).to_be_visible()
    expect(loud).to_contain_text("NOT counted")
    assert loud.get_attribute("role") == "alert"
    assert count(page) == start
    time.sleep(1.2)  # two rounds of asking do not take the alarm away
    expect(loud).to_be_visible()
    assert place.tallies("pick") == before

    devtools.send("Storage.overrideQuotaForOrigin", {"origin": place.address})
    tap(page)
    until(lambda: count(page), start + 1)
    expect(loud).to_be_hidden()
    until(lambda: place.tallies("pick"), before + 1)
    context.close()


def test_a_browser_that_keeps_nothing_still_counts_with_the_farm_computer_in_reach(
    place, browser, at
) -> None:
    before = place.tallies("pick")
    context = browser.new_context(**PHONE)
    context.add_init_script("indexedDB.open = () => { throw new Error('private'); }")
    page = opened(context, at("pick"))
    expect(page.locator("#saved")).to_contain_text("keeps nothing")
    tap(page)

    until(lambda: place.tallies("pick"), before + 1)
    context.close()


def test_two_phones_that_counted_the_same_bird_show_a_difference(place, browser, at) -> None:
    """Two counts of one bird are two counts, until somebody takes one back."""
    contexts = [browser.new_context(**PHONE) for _ in range(2)]
    first, second = (opened(context, at("catch")) for context in contexts)
    level = int(place.ask("select count(*) from records_entry")[0][0])
    caught, killed = place.tallies("catch"), place.tallies("kill")
    need = max(0, caught - killed)
    kill = opened(contexts[0], at("kill"))
    tap(kill, need)  # now every caught bird is killed, or more
    until(lambda: place.tallies("kill"), killed + need)
    kill.close()
    third, fourth = (opened(context, at("kill")) for context in contexts)
    for context in contexts:
        context.set_offline(True)
    tap(third)
    tap(fourth)
    for page in (third, fourth):
        until(lambda page=page: waiting(page), 1)
    for context in contexts:
        context.set_offline(False)

    until(lambda: place.tallies("kill"), killed + need + 2)
    for page in (third, fourth, first, second):
        expect(page.locator("#findings")).to_contain_text(
            re.compile(r"birds? more at the cones than\s+came from catching"), timeout=10000
        )
    assert int(place.ask("select count(*) from records_entry")[0][0]) == level + need + 2
    devices = place.ask("select distinct device from records_entry order by seq desc limit 2")
    assert len(devices) == 2
    for context in contexts:
        context.close()


def test_a_wrong_clock_is_measured_and_put_right(place, browser, at) -> None:
    context = browser.new_context(**PHONE)
    context.add_init_script(
        """const slow = 2 * 3600 * 1000; const Real = Date;
        class Slow extends Real {
          constructor(...a) { if (a.length) super(...a); else super(Real.now() - slow); }
          static now() { return Real.now() - slow; }
        }
        window.Date = Slow;"""
    )
    page = opened(context, at("pick"))
    before = place.tallies("pick")
    tap(page)
    until(lambda: place.tallies("pick"), before + 1)

    (skew, late) = place.ask(
        "select skew_s, (julianday(received_at) - julianday(device_time)) * 86400"
        " from records_entry where kind='tally' order by seq desc limit 1"
    )[0]
    assert skew == pytest.approx(7200, abs=2)
    assert late == pytest.approx(7200, abs=3)
    expect(page.locator("#ago")).to_contain_text(re.compile(r"^last one \d+ s ago"))
    context.close()


def test_an_entry_not_taken_is_kept_and_shown_until_somebody_saw_it(place, browser, at) -> None:
    context = browser.new_context(**PHONE)
    page = opened(context, at("pick"))
    context.set_offline(True)
    tap(page)
    until(lambda: waiting(page), 1)
    page.evaluate(
        """() => new Promise((done) => {
            const request = indexedDB.open("pinfeather");
            request.onsuccess = () => {
              const write = request.result.transaction("entries", "readwrite");
              write.objectStore("entries").openCursor().onsuccess = (event) => {
                const row = event.target.result.value;
                row.payload.station = "roof";
                event.target.result.update(row);
                write.oncomplete = () => { request.result.close(); done(); };
              };
            };
        })"""
    )
    page.close()
    context.set_offline(False)
    page = opened(context, at("pick"))
    expect(page.locator("#refused")).to_contain_text("roof")
    page.reload()
    expect(page.locator("#refused")).to_be_visible()

    page.get_by_role("button", name="It is on paper now").click()
    expect(page.locator("#refused")).to_be_hidden()
    page.reload()
    page.locator("html[data-ready=yes]").wait_for(state="attached")
    expect(page.locator("#refused")).to_be_hidden()
    context.close()


def test_others_see_a_tap_within_a_second(place, browser, at) -> None:
    """Not a measurement (see benchmarks): a page that does not move at all would fail here."""
    context = browser.new_context(viewport={"width": 1280, "height": 800})
    desk, watching = context.new_page(), opened(context, at("draw"))
    desk.goto(f"{place.address}/days/{place.day}/")
    phone = opened(browser.new_context(**PHONE), at("draw"))
    number = count(phone) + 1
    tap(phone)

    expect(watching.locator("#count")).to_have_text(str(number), timeout=5000)
    expect(desk.locator(".stations a", has_text="Draw").locator("b")).to_have_text(
        str(number), timeout=5000
    )
    phone.context.close()
    context.close()


def test_first_page_and_cold_page_renew_themselves_and_the_closing_page_says_so(
    place, browser, at
) -> None:
    context = browser.new_context(viewport={"width": 1280, "height": 800})
    marked = "document.querySelector('#live').dataset.old = 'yes'"
    first, cold, closing = (context.new_page() for _ in range(3))
    first.goto(f"{place.address}/")
    cold.goto(f"{place.address}/days/{place.day}/cold/")
    closing.goto(f"{place.address}/days/{place.day}/close/")
    for page in (first, cold):
        page.evaluate(marked)
    phone = opened(browser.new_context(**PHONE), at("draw"))
    tap(phone)

    for page in (first, cold):
        expect(page.locator("#live:not([data-old])")).to_be_visible(timeout=5000)
    expect(closing.locator("#moved")).to_contain_text("since this page was opened", timeout=5000)
    phone.context.close()
    context.close()


def test_due_times_survive_a_reload_and_go_by_the_farm_computers_clock(place, browser, at) -> None:
    right, wrong = browser.new_context(**PHONE), browser.new_context(**PHONE)
    wrong.add_init_script("const real = Date.now; Date.now = () => real.call(Date) + 45 * 60000;")
    pages = [opened(context, at("chill")) for context in (right, wrong)]

    def shown(page) -> list[str]:
        return [
            re.sub(r"\d+ s$", "", text) for text in page.locator("#due small").all_inner_texts()
        ]

    until(lambda: shown(pages[0]) == shown(pages[1]), True)
    before = shown(pages[0])
    assert before
    for page in pages:
        page.reload()
        page.locator("html[data-ready=yes]").wait_for(state="attached")
    until(lambda: len(shown(pages[0])) == len(before) and shown(pages[0]) == shown(pages[1]), True)
    for context in (right, wrong):
        context.close()


def test_sound_and_shaking_are_off_until_switched_on_here(place, browser, at) -> None:
    context = browser.new_context(**PHONE)
    context.add_init_script(
        """window.heard = []; navigator.vibrate = (p) => heard.push(p);
        window.AudioContext = class {
          constructor() { heard.push("sound"); throw new Error(); }
        };"""
    )
    page = opened(context, at("pick"))
    tap(page)
    until(lambda: waiting(page), 0)
    assert page.evaluate("heard") == []

    page.get_by_text("This phone").click()
    page.get_by_label("A sound for each bird").check()
    page.get_by_label("Shake for each bird").check()
    page.evaluate("heard.length = 0")
    tap(page)
    until(lambda: sorted(map(str, page.evaluate("heard"))), ["30", "sound"])
    page.reload()
    page.get_by_text("This phone").click()
    assert page.get_by_label("Shake for each bird").is_checked()
    context.close()
