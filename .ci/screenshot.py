"""Take the README's picture of a day under way from the running demo.

The demo's day begins eighty minutes before it is started, so its clock is moved to the middle of a
Saturday morning on the made-up farm.

Run: .venv/bin/python .ci/screenshot.py
"""

# ruff: noqa: INP001, S603, T201 - a script, run by hand
from __future__ import annotations

import re
import shutil
import subprocess
import sys
from pathlib import Path

from playwright.sync_api import sync_playwright

ROOT = Path(__file__).resolve().parents[1]
PICTURE = ROOT / "docs" / "images" / "day.png"
WIDTH, HEIGHT = 1280, 1600
BELOW = 24
"""Room kept under the strip [px]."""
DEMO = """
import datetime as dt
from pinfeather import clock
began = clock.now()
morning = dt.datetime(2026, 9, 12, 10, 20, tzinfo=clock.zone("America/Chicago"))
real = clock.now
clock.now = lambda: morning.astimezone(dt.UTC) + (real() - began)
from pinfeather.cli import main
main()
"""


def main() -> None:
    """Start the demo, take the picture, end the demo."""
    demo = subprocess.Popen(
        [sys.executable, "-c", DEMO, "demo", "--no-browser", "--port", "0"],
        stdout=subprocess.PIPE,
        text=True,
    )
    try:
        lines = iter(demo.stdout or ())
        address = next(found[0] for line in lines if (found := re.search(r"http\S+", line)))
        with sync_playwright() as playwright:
            browser = playwright.chromium.launch(
                executable_path=shutil.which("chromium"),
                args=["--no-sandbox", "--disable-gpu", "--disable-background-networking"],
            )
            page = browser.new_page(viewport={"width": WIDTH, "height": HEIGHT})
            page.goto(f"{address}days/")
            page.get_by_role("link").filter(has_text="36 birds").or_(
                page.locator("li", has_text="36 birds").get_by_role("link")
            ).first.click()
            page.wait_for_load_state("networkidle")
            last = page.get_by_role("link", name="The same as a table").bounding_box()
            height = last["y"] + last["height"] + BELOW if last else HEIGHT
            clip = {"x": 0, "y": 0, "width": WIDTH, "height": height}
            page.screenshot(path=PICTURE, clip=clip)
            browser.close()
    finally:
        demo.terminate()
        demo.wait(10)
    print(f"wrote {PICTURE.relative_to(ROOT)}: {PICTURE.stat().st_size} bytes")


if __name__ == "__main__":
    main()
