"""The real program in its own process, and a real browser."""

from __future__ import annotations

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
        if not request.url.startswith(("http://127.0.0.1:", "data:", "blob:")):
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
