"""How soon the most used pages are seen on a slow phone.

The demo is started, and each page is opened in Chromium at phone size with the processor slowed
four times (Chrome DevTools Protocol, ``Emulation.setCPUThrottlingRate``). Printed: the median of a
few first contentful paints as the browser itself reports them (W3C Paint Timing), and the ratio to
an empty page that a plain server of files gives in the same run. The aim is less than one second
each. Only a page that does not load fails the run.

Run it with ``python benchmarks/face.py``; it needs ``chromium``.
"""

from __future__ import annotations

import http.server
import re
import shutil
import statistics
import subprocess
import sys
import threading
import urllib.request

from playwright.sync_api import Browser, Error, sync_playwright

SLOWED = 4
OPENED = 3
AIM_S = 1.0
EMPTY = b"<!doctype html><html lang=en><title>Empty</title><p>Empty</p>"
FIRST_PAINT = """() => new Promise((seen) => {
  new PerformanceObserver((list) => {
    for (const one of list.getEntries())
      if (one.name === "first-contentful-paint") seen(one.startTime);
  }).observe({type: "paint", buffered: true});
  setTimeout(() => seen(-1), 8000);
})"""


class Empty(http.server.BaseHTTPRequestHandler):
    """Serves one page with a word on it, whatever is asked for."""

    def do_GET(self) -> None:
        """Answer with the empty page."""
        self.send_response(200)
        self.send_header("Content-Type", "text/html")
        self.send_header("Content-Length", str(len(EMPTY)))
        self.end_headers()
        self.wfile.write(EMPTY)

    def log_message(self, *_words: object) -> None:
        """Say nothing."""


def demo() -> tuple[subprocess.Popen[str], str]:
    """Start the demo on a port that the system picks."""
    program = subprocess.Popen(
        [sys.executable, "-c", "from pinfeather.cli import main; main()", "demo", "--no-browser",
         "--port", "0"],
        stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True,
    )  # fmt: skip
    assert program.stdout is not None
    for line in program.stdout:
        if found := re.search(r"http://127\.0\.0\.1:\d+", line):
            return program, found[0]
    sys.exit("the demo did not start")


def pages(address: str) -> dict[str, str]:
    """Return the ten most used pages of the demo."""
    html = urllib.request.urlopen(f"{address}/days/").read().decode()
    found = re.findall(r'<a href="(/days/\d+/)">.*?class="state">([^<]+)<', html, re.DOTALL)
    state = {word.strip(): url for url, word in reversed(found)}
    running, planned = state["under way"], state["planned"]
    return {
        "today": "/",
        "day under way": running,
        "station": f"{running}at/pick/",
        "chill": f"{running}at/chill/",
        "reading": f"{running}reading/",
        "weighing desk": f"{running}pack/",
        "planned day": planned,
        "cleaning": "/sanitary/",
        "lot": "/lots/B4/",
        "counter": "/store/",
    }


def paint_s(browser: Browser, url: str) -> float:
    """Open a page a few times, each in a browser that has kept nothing, and take the median."""
    taken = []
    for _time in range(OPENED):
        context = browser.new_context(viewport={"width": 360, "height": 740})
        page = context.new_page()
        context.new_cdp_session(page).send("Emulation.setCPUThrottlingRate", {"rate": SLOWED})
        answer = page.goto(url)
        if answer is None or not answer.ok:
            msg = f"{url} did not load"
            raise Error(msg)
        taken.append(page.evaluate(FIRST_PAINT) / 1000)
        context.close()
    return statistics.median(taken)


def main() -> None:
    """Print a line for each page."""
    chromium = shutil.which("chromium") or shutil.which("chromium-browser")
    server = http.server.ThreadingHTTPServer(("127.0.0.1", 0), Empty)
    threading.Thread(target=server.serve_forever, daemon=True).start()
    program, address = demo()
    try:
        with sync_playwright() as playwright:
            browser = playwright.chromium.launch(
                executable_path=chromium, args=["--no-sandbox", "--disable-gpu"]
            )
            urllib.request.urlopen(address).read()  # the first page a program gives takes longer
            empty_s = paint_s(browser, f"http://127.0.0.1:{server.server_port}/")
            print(f"first paint, processor slowed {SLOWED} times, median of {OPENED}")
            print(f"{'an empty page':<16}{empty_s * 1000:7.0f} ms")
            for name, url in pages(address).items():
                took_s = paint_s(browser, address + url)
                met = "" if 0 < took_s < AIM_S else "  aim not met"
                print(f"{name:<16}{took_s * 1000:7.0f} ms  {took_s / empty_s:5.1f} times{met}")
            browser.close()
    except Error as trouble:
        sys.exit(str(trouble))
    finally:
        program.terminate()
        program.wait(10)
        server.shutdown()


if __name__ == "__main__":
    main()
