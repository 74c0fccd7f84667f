"""One walk at phone width: targets, jumps while loading, weight of a page, twice the text."""

from __future__ import annotations

import importlib.util
from pathlib import Path

import pytest

pytestmark = pytest.mark.e2e
_spec = importlib.util.spec_from_file_location(
    "every_page", Path(__file__).with_name("test_every_page.py")
)
every_page = importlib.util.module_from_spec(_spec)
_spec.loader.exec_module(every_page)

WORKING = {"station", "chill", "reading", "explain", "pack", "store", "hand-over"}
SIDE_PX, WORKING_PX = 44, 56  # what a wet glove hits; WCAG 2.5.5 asks for 44
JUMP_LIMIT = 0.1  # the usual bound for a good page
WEIGHT_BYTES = 200_000

# Notes how far things jump while the page loads.
WATCH_JUMPS = """
window.jumped = 0;
new PerformanceObserver((list) => {
  for (const one of list.getEntries()) if (!one.hadRecentInput) window.jumped += one.value;
}).observe({type: "layout-shift", buffered: true});
"""

# Everything to be hit, with the label around a box to tick counted as the box; what is folded
# away or hidden from the eye is left out.
SMALL = """
(high) => {
  const small = [];
  const hit = 'button, summary, select, textarea, input:not([type=hidden]), .btn, nav a, '
    + '.stations a';
  for (const one of document.querySelectorAll(hit)) {
    if (!one.checkVisibility({visibilityProperty: true}) || one.matches('.out, .skip')) continue;
    const tick = one.matches('[type=checkbox], [type=radio]');
    const box = ((tick && one.closest('label')) || one).getBoundingClientRect();
    const least = one.matches('nav a, .stub *, .head *') ? 44 : high;
    const size = `${box.width.toFixed(0)} x ${box.height.toFixed(0)}`;
    if (box.height < least - 0.5 || box.width < 43.5)
      small.push(`${one.outerHTML.slice(0, 90)} ${size}`);
  }
  return small;
}
"""

WIDER = "document.documentElement.scrollWidth > innerWidth + 1"


def test_every_page_can_be_hit_stands_still_is_light_and_grows(demo, browser) -> None:
    context = browser.new_context(viewport={"width": 360, "height": 740})
    context.add_init_script(WATCH_JUMPS)
    page = context.new_page()
    asked = []
    page.on(
        "requestfinished",
        lambda request: (
            asked.append(request) if request.resource_type in {"script", "stylesheet"} else None
        ),
    )
    problems = []
    for name, url in every_page._pages(demo.address).items():
        asked.clear()
        page.set_viewport_size({"width": 360, "height": 740})
        page.goto(demo.address + url)
        page.wait_for_timeout(60)  # what moves after the page has come moves now
        high = WORKING_PX if name in WORKING else SIDE_PX
        problems += [f"{name}: too small: {one}" for one in page.evaluate(SMALL, high)]
        if (jumped := page.evaluate("window.jumped")) > JUMP_LIMIT:
            problems.append(f"{name}: jumps by {jumped:.2f} while it loads")
        weight = sum(len(request.response().body()) for request in asked)
        assert asked, "no style was asked for: the page's weight was not seen"
        if weight >= WEIGHT_BYTES:
            problems.append(f"{name}: {weight} bytes of script and style")
        page.evaluate("document.documentElement.style.fontSize = '200%'")
        if page.evaluate(WIDER):
            problems.append(f"{name}: wider than the phone with text twice the size")
        page.evaluate("document.documentElement.style.fontSize = ''")
        page.set_viewport_size({"width": 320, "height": 740})  # 1280 at four times the size
        if page.evaluate(WIDER):
            problems.append(f"{name}: wider than the screen when enlarged")
    context.close()
    assert not problems, "\n".join(problems)
