"""The pictures in a real browser: dark pages, a strict policy, and real widths of letters."""

from __future__ import annotations

import itertools
import shutil

import pytest

from pinfeather.reports.cold_curve import cold_curve_svg
from pinfeather.reports.strip_svg import STRIP_CSS, strip_svg

pytestmark = pytest.mark.e2e

CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser")
LIGHT = "--paper:#fff;--ink:#14181c;--soft:#5b6670;--rule:#cfd6dc;--late:#b84a00;--go:#0072b2"
DARK = "--paper:#0f1316;--ink:#eef2f4;--soft:#a3afb8;--rule:#39434b;--late:#ff9a5c;--go:#6cbcf0"
INK = {"light": "rgb(20, 24, 28)", "dark": "rgb(238, 242, 244)"}


@pytest.fixture(scope="module")
def browser():
    if CHROMIUM is None:
        pytest.skip("no Chromium on this machine")
    playwright = pytest.importorskip("playwright.sync_api")
    with playwright.sync_playwright() as running:
        opened = running.chromium.launch(executable_path=CHROMIUM, args=["--no-sandbox"])
        yield opened
        opened.close()


@pytest.fixture
def show(browser):
    opened = []

    def page_with(body, *, scheme="light", width=1160):
        context = browser.new_context(color_scheme=scheme, viewport={"width": width, "height": 900})
        opened.append(context)
        page = context.new_page()
        page.complaints = []
        page.on("console", lambda message: page.complaints.append(message.text))
        css = f":root{{{LIGHT}}}@media (prefers-color-scheme:dark){{:root{{{DARK}}}}}{STRIP_CSS}"

        def answer(route):
            if route.request.url.endswith(".css"):
                route.fulfill(body=css, content_type="text/css")
                return
            html = f"<!doctype html><meta charset=utf-8><link rel=stylesheet href=/s.css>{body}"
            route.fulfill(
                body=html,
                content_type="text/html",
                headers={"Content-Security-Policy": "default-src 'none'; style-src 'self'"},
            )

        page.route("**/*", answer)
        page.goto("http://farm.test/")
        return page

    yield page_with
    for context in opened:
        context.close()


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_the_strip_takes_the_pages_colours_under_a_strict_policy(show, make_strip, scheme):
    page = show(strip_svg(make_strip()), scheme=scheme)

    work = page.locator("path.act.work").first
    stroke = work.evaluate("node => getComputedStyle(node).stroke")
    assert stroke == INK[scheme]
    assert page.complaints == []


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_the_cold_curve_takes_the_pages_colours_under_a_strict_policy(show, make_curve, scheme):
    page = show(cold_curve_svg(make_curve()), scheme=scheme)

    words = page.get_by_text("cold by").last
    assert words.evaluate("node => getComputedStyle(node).fill") == INK[scheme]
    assert page.complaints == []


@pytest.mark.parametrize("width", [360, 1120])
@pytest.mark.parametrize("picture", ["strip", "curve"])
def test_real_letters_neither_leave_the_picture_nor_touch_along_the_axis(
    show, make_strip, make_curve, picture, width
):
    svg = (
        strip_svg(make_strip(), width=width)
        if picture == "strip"
        else cold_curve_svg(make_curve(), width=width)
    )
    page = show(svg, width=width + 20)

    boxes = page.evaluate(
        """() => [...document.querySelectorAll('svg text')].filter(t => t.textContent).map(t => {
            const svg = t.ownerSVGElement.getBoundingClientRect(), b = t.getBoundingClientRect()
            const scale = t.ownerSVGElement.viewBox.baseVal.width / svg.width
            return [t.textContent, (b.left - svg.left) * scale, (b.right - svg.left) * scale,
                    (b.top - svg.top) * scale, (b.bottom - svg.top) * scale]
        })"""
    )
    assert len(boxes) > 10
    for words, left, right, _top, bottom in boxes:
        assert left >= -1, words
        assert right <= width + 1, words
        assert bottom > 0, words
    times = sorted(
        (left, right) for words, left, right, _t, _b in boxes if words.rstrip(" apm")[-3:-2] == ":"
        and len(words) <= len("12:00 pm")
    )  # fmt: skip
    assert len(times) >= 2
    assert all(a[1] <= b[0] for a, b in itertools.pairwise(times))


def test_a_screen_reader_finds_one_picture_with_a_name(show, make_strip):
    page = show(strip_svg(make_strip()))

    picture = page.get_by_role("img", name="The strip")
    assert picture.count() == 1
