"""The guide's main pages each show one picture of the demo, and the demo still looks like it.

The words in “quotes” in a picture's caption must stand on the page that it shows. With
``PINFEATHER_PICTURES=1`` the pictures are taken anew from a demo whose clock stands in the middle
of a Saturday morning, and the README's picture of a day under way with them.
"""

from __future__ import annotations

import datetime as dt
import re
import time
import urllib.request
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest

pytestmark = pytest.mark.e2e
DOCS = Path(__file__).resolve().parents[2] / "docs"
MORNING = dt.datetime(2026, 9, 12, 10, 20, tzinfo=ZoneInfo("America/Chicago"))
PAGES = {
    "start": "/",
    "plan-a-day": "{planned}",
    "run-the-day": "{running}at/pick/",
    "close-and-prove": "{closed}",
    "weigh-and-label": "{running}pack/",
    "raise-a-lot": "/lots/B4/",
    "plan-a-season": "/season/",
    "money": "/money/",
    "rules": "/rules/",
    "sanitary-plan": "/sanitary/",
    "duties": "/duties/",
    "binder": "/binder/",
}
BELOW = 24
"""Room kept under the README's strip [px]."""


def _days(address: str) -> dict[str, str]:
    html = urllib.request.urlopen(f"{address}/days/").read().decode()
    found = re.findall(r'<a href="(/days/\d+/)">.*?class="state">([^<]+)<', html, re.DOTALL)
    words = {"planned": "planned", "under way": "running", "closed": "closed"}
    return {words[state.strip()]: url for url, state in reversed(found) if state.strip() in words}


def _season_ready(address: str) -> None:
    """Look at the demo's season until it is worked out; looking is what begins the work."""
    for _try in range(120):
        html = urllib.request.urlopen(f"{address}/season/").read().decode()
        if re.search(r"/season/\d+/\d+/ribbon/", html):
            return
        time.sleep(1)
    pytest.fail("the season was not worked out")


def _caption(name: str) -> str:
    text = (DOCS / "guide" / f"{name}.md").read_text(encoding="utf-8")
    (found,) = re.findall(rf"!\[([^\]]+)\]\(\.\./images/guide/{name}\.png\)", text)
    return found


@pytest.fixture
def shown(request, moved):
    """Return the demo: at the farm's own moment for pictures, else the one that runs already."""
    if request.getfixturevalue("pictures_wanted"):
        return moved(MORNING, "demo")
    return request.getfixturevalue("demo")


def test_each_page_still_has_the_words_that_its_caption_names(shown, browser, picture) -> None:
    _season_ready(shown.address)
    days = _days(shown.address)
    context = browser.new_context(viewport={"width": 360, "height": 740})
    page = context.new_page()
    missing = []
    for name, path in PAGES.items():
        page.goto(shown.address + path.format(**days))
        words = " ".join(page.locator("body").inner_text().split())
        missing.extend(
            f"{name}: {said}"
            for said in re.findall("“([^”]+)”", _caption(name))
            if said not in words
        )
        picture(page, DOCS / "images" / "guide" / f"{name}.png")
    context.close()

    context = browser.new_context(viewport={"width": 1280, "height": 1600})
    page = context.new_page()
    page.goto(shown.address + days["running"])
    last = page.get_by_role("link", name="The same as a table").bounding_box()
    height = last["y"] + last["height"] + BELOW
    clip = {"x": 0, "y": 0, "width": 1280, "height": height}
    picture(page, DOCS / "images" / "day.png", colours=64, clip=clip)
    context.close()
    assert missing == []


@pytest.mark.parametrize("name", PAGES)
def test_the_guide_shows_one_picture_and_says_what_is_on_it(name) -> None:
    assert len(re.findall("“[^”]+”", _caption(name))) >= 1
    assert (DOCS / "images" / "guide" / f"{name}.png").stat().st_size < 60_000
