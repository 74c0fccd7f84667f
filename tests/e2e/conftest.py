"""The real program in its own process, and a real browser."""

from __future__ import annotations

import datetime as dt
import io
import os
import re
import shutil
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser")


@pytest.fixture(scope="module")  # its event loop must be gone before tests of the store
def browser():
    if CHROMIUM is None:
        if os.environ.get("CI"):
            pytest.fail("Chromium is needed in CI")
        pytest.skip("no Chromium on this machine")
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        chromium = playwright.chromium.launch(
            executable_path=CHROMIUM,
            args=["--no-sandbox", "--disable-gpu", "--disable-background-networking"],
        )
        yield chromium
        chromium.close()


class Program:
    """``pinfeather`` running on its own, on a port the system picks."""

    def __init__(self, *args: str) -> None:
        self.process = subprocess.Popen(
            [sys.executable, "-c", "from pinfeather.cli import main; main()", *args],
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
            text=True,
        )
        self.lines: list[str] = []
        assert self.process.stdout is not None
        for line in self.process.stdout:
            self.lines.append(line)
            if found := re.search(r"http://127\.0\.0\.1:\d+", line):
                self.address = found[0]
                return
        pytest.fail("the program did not start:\n" + "".join(self.lines))

    def stop(self) -> None:
        self.process.terminate()
        self.process.wait(10)
        assert self.process.stdout is not None
        self.process.stdout.close()


@pytest.fixture
def farm(tmp_path: Path) -> Iterator[tuple[Program, Path]]:
    program = Program("serve", "--no-browser", "--port", "0", "--data", str(tmp_path / "farm"))
    yield program, tmp_path / "farm"
    program.stop()


@pytest.fixture(scope="session")
def demo() -> Iterator[Program]:
    program = Program("demo", "--no-browser", "--port", "0")
    yield program
    program.stop()


BROWSERS_OWN = ("chrome:", "chrome-extension:")
"""What the browser shows a PDF with; no request leaves the computer for it."""


@pytest.fixture
def browsers_own() -> tuple[str, ...]:
    return BROWSERS_OWN


class Watch:
    """Notes every console error and every request that leaves this computer."""

    def __init__(self) -> None:
        self.troubles: list[str] = []
        self.offline = False

    def on(self, page) -> None:
        page.on("pageerror", lambda error: self.troubles.append(str(error)))
        page.on("console", self._console)
        page.on("request", self._request)

    def _console(self, message) -> None:
        expected = "status of 422" in message.text or (
            self.offline and "ERR_INTERNET" in message.text
        )
        if message.type == "error" and not expected:
            self.troubles.append(message.text)

    def _request(self, request) -> None:
        if not request.url.startswith(("http://127.0.0.1:", "data:", "blob:", *BROWSERS_OWN)):
            self.troubles.append(f"left this computer: {request.url}")


@pytest.fixture
def watch() -> Iterator[Watch]:
    one = Watch()
    yield one
    assert one.troubles == []


LAN_PROGRAM = """
from pinfeather.cli import lan, main
lan.own_address = lambda given="": "127.0.0.2"  # stands for the home network
main()
"""


class LanProgram(Program):
    """``pinfeather … --lan`` with a loopback address in the place of the home network's."""

    def __init__(self, *args: str, folder: Path) -> None:
        self.folder = folder
        self.process = subprocess.Popen(
            [sys.executable, "-c", LAN_PROGRAM, *args, "--lan", "--no-browser", "--port", "0"],
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
            text=True,
        )
        self.lines: list[str] = []
        assert self.process.stdout is not None
        for line in self.process.stdout:
            self.lines.append(line)
            if found := re.search(r"Pinfeather is at (http://127\.0\.0\.1:(\d+))", line):
                self.address, self.port = found[1], int(found[2])
                self.lan = self.address.replace("127.0.0.1", "127.0.0.2")
                return
        pytest.fail("the program did not start:\n" + "".join(self.lines))

    @property
    def secret(self) -> bytes:
        return (self.folder / "secret-key").read_bytes()


@pytest.fixture(scope="session")
def lan_program(tmp_path_factory):
    """Start farms that let the home network in."""

    def start(*, more: list[str] | None = None, demo: bool = False) -> LanProgram:
        if demo:
            return LanProgram("demo", *(more or []), folder=Path())
        folder = tmp_path_factory.mktemp("lan") / "farm"
        return LanProgram("serve", "--data", str(folder), *(more or []), folder=folder)

    return start


MOVED_PROGRAM = """
import datetime as dt, pathlib, sys
from pinfeather import clock
offset = pathlib.Path(sys.argv.pop(1))
real = clock.now
clock.now = lambda: real() + dt.timedelta(seconds=float(offset.read_text()))
from pinfeather.cli import main
main()
"""


class MovedProgram(Program):
    """``pinfeather`` whose *now* is the computer's plus the seconds that a file says."""

    def __init__(self, offset: Path, moment: dt.datetime, *args: str) -> None:
        self.offset = offset
        self.move_to(moment)
        self.process = subprocess.Popen(
            [
                sys.executable,
                "-c",
                MOVED_PROGRAM,
                str(offset),
                *args,
                "--no-browser",
                "--port",
                "0",
            ],
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
            text=True,
        )
        self.lines: list[str] = []
        assert self.process.stdout is not None
        for line in self.process.stdout:
            self.lines.append(line)
            if found := re.search(r"http://127\.0\.0\.1:\d+", line):
                self.address = found[0]
                return
        pytest.fail("the program did not start:\n" + "".join(self.lines))

    def move_to(self, moment: dt.datetime) -> None:
        """Make it that moment; from there the program's clock goes on as clocks do."""
        ahead = moment - dt.datetime.now(dt.UTC)
        fresh = self.offset.with_suffix(".new")
        fresh.write_text(str(ahead.total_seconds()))
        fresh.replace(self.offset)  # the program reads the old one or the new one, never half of it


@pytest.fixture
def moved(tmp_path: Path):
    """Start a program at a moment of the test's choice."""
    started: list[MovedProgram] = []

    def start(moment: dt.datetime, *args: str) -> MovedProgram:
        given = args or ("serve", "--data", str(tmp_path / "farm"))
        started.append(MovedProgram(tmp_path / f"offset-{len(started)}", moment, *given))
        return started[-1]

    yield start
    for program in started:
        program.stop()


PICTURES = bool(os.environ.get("PINFEATHER_PICTURES"))


def keep_picture(page, path: Path, *, colours: int = 40, clip: dict | None = None) -> None:
    """Keep what a page shows as a small PNG with few colours; only where pictures are asked for."""
    if not PICTURES:
        return
    from PIL import Image

    page.wait_for_load_state()
    shown = Image.open(io.BytesIO(page.screenshot(clip=clip) if clip else page.screenshot()))
    path.parent.mkdir(parents=True, exist_ok=True)
    few = shown.convert("RGB").quantize(
        colours, method=Image.Quantize.MAXCOVERAGE, dither=Image.Dither.NONE
    )  # the method that keeps a rare colour, such as the word on a finding
    few.save(path, optimize=True)


@pytest.fixture
def picture():
    """Return the function that keeps a page as a picture."""
    return keep_picture


@pytest.fixture(scope="session")
def pictures_wanted() -> bool:
    """Tell whether pictures are to be taken: ``PINFEATHER_PICTURES=1``."""
    return PICTURES
