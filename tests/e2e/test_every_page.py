"""Every page of the demo at phone and desk size, light and dark: no overflow, axe clean.

With ``PINFEATHER_SHOTS=1`` each is kept as a picture in ``shots``, to be looked at side by side.
"""

from __future__ import annotations

import os
import re
import time
import urllib.request
from pathlib import Path

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import expect

pytestmark = pytest.mark.e2e
SHOTS = Path(__file__).parent / "shots"


def _package(address: str) -> str:
    html = urllib.request.urlopen(f"{address}/freezer/").read().decode()
    found = re.search(r'href="(/packages/\w+/)"', html)
    assert found is not None
    return found[1]


def _cleaned(address: str) -> str:
    html = urllib.request.urlopen(f"{address}/sanitary/days/").read().decode()
    return re.findall(r'href="(/sanitary/day/[0-9-]+/)"', html)[1]


def _season(address: str) -> str:
    """Wait until the demo's season is worked out; looking at it is what begins the work."""
    for _try in range(120):
        html = urllib.request.urlopen(f"{address}/season/").read().decode()
        if found := re.search(r"(/season/\d+/\d+/)ribbon/", html):
            return found[1]
        time.sleep(1)
    pytest.fail("the season was not worked out")


def _pages(address: str) -> dict[str, str]:
    html = urllib.request.urlopen(f"{address}/days/").read().decode()
    found = re.findall(r'<a href="(/days/\d+/)">.*?class="state">([^<]+)<', html, re.DOTALL)
    by_state: dict[str, str] = {}
    for url, state in found:
        by_state.setdefault(state.strip(), url)
    planned, running, closed = (by_state[s] for s in ("planned", "under way", "closed"))
    return {
        "today": "/",
        "days": "/days/",
        "new": "/days/new/",
        "thermometers": "/thermometers/",
        "duties": "/duties/",
        "duty": "/duties/scale-seal/",
        "new-duty": "/duties/new/",
        "inspection": "/inspection/",
        "visit": "/visit/",
        "keeping": "/farm/keeping/?name=jo",
        "remove-name": "/farm/keeping/remove/?who=c1",
        "farm": "/farm/",
        "records-safe": "/farm/safe/",
        "season": _season(address),
        "season-table": f"{_season(address)}ribbon/",
        "season-write": "/season/write/",
        "season-new": "/season/write/?new=1",
        "planned": planned,
        "change": f"{planned}change/",
        "numbers": f"{planned}numbers/",
        "strip-table": f"{planned}strip/",
        "what-if": f"{planned}what-if/",
        "crew": f"{planned}crew/",
        "part-days": "/days/windows/",
        "calculators": "/calculators/",
        "calculator": "/calculators/chill/",
        "own-times": "/farm/line-numbers/",
        "own-cold": "/farm/numbers/",
        "running": running,
        "station": f"{running}at/pick/",
        "chill": f"{running}at/chill/",
        "reading": f"{running}reading/",
        "explain": f"{running}explain/",
        "pack": f"{running}pack/",
        "labels": f"{running}pack/labels/",
        "cuttings": f"{running}cuttings/",
        "water": f"{running}water/",
        "scale": "/scale/",
        "label-setup": "/farm/labels/",
        "close": f"{running}close/",
        "cold": f"{closed}cold/",
        "logger": f"{running}logger/",
        "hindsight": f"{closed}hindsight/",
        "closed": closed,
        "freezer": "/freezer/",
        "places": "/freezer/places/",
        "put-away": "/freezer/put/",
        "count": "/freezer/count/?place=Porch%20freezer",
        "freezer-temperatures": "/freezer/temperatures/",
        "power-cut": "/freezer/power-cut/",
        "package": _package(address),
        "orders": "/orders/",
        "order": "/orders/1/",
        "new-order": "/orders/new/",
        "give": "/orders/give/",
        "customers": "/orders/customers/",
        "store": "/store/",
        "hand-over": "/store/?order=1",
        "sales": "/store/sales/",
        "sale": "/store/sales/demosale1/",
        "rules": "/rules/",
        "rules-tier": "/rules/tier/",
        "rules-numbers": "/rules/us-federal/",
        "rules-change": "/rules/change/?path=chill.target",
        "rules-class": "/rules/change/?path=tiers.producer_1000.cap_inclusive",
        "rules-changes": "/rules/changes/",
        "first-day": "/start/day/",
        "pretend": "/pretend/",
        "lists": "/import/",
        "list": "/import/listdemodemodemodemo/",
        "trace": "/trace/",
        "trace-flock": "/trace/?q=B2",
        "recall-drill": "/trace/drill/",
        "binder": "/binder/",
        "lots": "/lots/",
        "lot": "/lots/B4/",
        "lot-behind": "/lots/B5/",
        "lot-ordered": "/lots/T2/",
        "lot-finished": "/lots/B2/",
        "lot-write": "/lots/B4/write/",
        "lot-loss": "/lots/B4/write/?kind=lost",
        "lot-signs": "/lots/B4/write/?kind=signs",
        "lot-weigh": "/lots/B4/weigh/",
        "lot-when": "/lots/B4/when/",
        "lot-change": "/lots/B4/change/",
        "lot-new": "/lots/new/",
        "lot-numbers": "/lots/numbers/",
        "pens": "/lots/pens/",
        "curves": "/lots/curves/",
        "plan-a-lot": "/days/new/?lot=B4",
        "money": "/money/",
        "money-birds": "/money/birds/lot/B2/",
        "money-write": "/money/write/",
        "money-cost": "/money/write/?act=cost",
        "money-lines": "/money/lines/",
        "money-equipment": "/money/equipment/",
        "money-what-if": "/money/what-if/",
        "money-compare": "/money/compare/",
        "money-year": "/money/year/",
        "cleaning": "/sanitary/",
        "cleaning-days": "/sanitary/days/",
        "cleaning-day": _cleaned(address),
        "cleaning-plan": "/sanitary/plan/",
        "cleaning-set-up": "/sanitary/plan/set-up/",
        "cleaning-step": "/sanitary/plan/step/picker/",
        "cleaning-new-step": "/sanitary/plan/new/",
        "cleaning-wrong": "/sanitary/line/demosanitary3n8/",
        "corrective-action": "/sanitary/not-right/demosanitary3n8/",
        "nowhere": "/days/99999/",
    }


@pytest.mark.parametrize(("width", "scheme"), [(360, "light"), (1280, "dark")])
def test_every_page_fits_and_is_accessible(demo, browser, watch, width, scheme) -> None:
    context = browser.new_context(viewport={"width": width, "height": 800}, color_scheme=scheme)
    page = context.new_page()
    # what the second walk can find anew is dark and wide: contrast, beside the width
    rules = None if scheme == "light" else {"runOnly": ["color-contrast"]}
    looked_at = bool(os.environ.get("PINFEATHER_SHOTS"))
    SHOTS.mkdir(exist_ok=True)
    problems = []
    for name, url in _pages(demo.address).items():
        if name != "nowhere":
            watch.on(page)
        page.goto(demo.address + url)
        if looked_at:
            page.screenshot(path=str(SHOTS / f"{name}-{width}-{scheme}.png"), full_page=True)
        if page.evaluate("document.documentElement.scrollWidth > innerWidth"):
            problems.append(f"{name}: wider than the screen")
        results = Axe().run(page, options=rules)
        problems.extend(
            f"{name}: {violation['id']}: {violation['nodes'][0]['html'][:120]}"
            for violation in results.response["violations"]
        )
        page.close()
        page = context.new_page()
    context.close()
    assert not problems, "\n".join(problems)


def test_working_pages_work_without_script(demo, browser) -> None:
    context = browser.new_context(java_script_enabled=False)
    page = context.new_page()
    url = demo.address + _pages(demo.address)["station"]
    page.goto(url)
    before = int(page.locator("#count").inner_text())

    page.get_by_role("button", name=re.compile("Count one bird")).click()

    assert int(page.locator("#count").inner_text()) == before + 1
    page.get_by_role("button", name="Undo").click()
    assert int(page.locator("#count").inner_text()) == before
    context.close()


def test_a_key_counts_like_a_pedal_and_typing_does_not(demo, browser, watch) -> None:
    context = browser.new_context(viewport={"width": 360, "height": 740})
    page = context.new_page()
    watch.on(page)
    page.goto(demo.address + _pages(demo.address)["station"])
    page.locator("html[data-ready=yes]").wait_for(state="attached")
    count = page.locator("#count")
    before = int(page.locator("#count").inner_text())

    page.keyboard.press("b")
    expect(count).to_have_text(str(before + 1))

    page.get_by_text("Count a whole basket or crate").click()
    page.locator("details [name=birds]").press("7")
    page.locator("details [name=birds]").press("Tab")
    page.wait_for_timeout(300)
    assert int(page.locator("#count").inner_text()) == before + 1
    page.get_by_role("button", name="Undo").click()
    expect(count).to_have_text(str(before))
    context.close()
