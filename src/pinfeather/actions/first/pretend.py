"""The made-up farm beside the real one: a process, a folder, a port and a cookie of its own.

The other process begins with an empty temporary folder and knows nothing of the farm's records; it
ends with this one, or when this one closes the pipe between them.
"""

from __future__ import annotations

import atexit
import os
import re
import subprocess
import sys
import threading
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Final

from pinfeather.errors import StoreError
from pinfeather.words import gettext as _

MARK: Final = "PINFEATHER_PRETEND"
"""Environment variable of a process that serves pretend birds."""
BACK: Final = "PINFEATHER_PRETEND_BACK"
"""Address of the farm it was started from; empty where somebody typed the command."""
_OWN: Final = (
    "PINFEATHER_DATA",
    "PINFEATHER_DATABASE",
    "PINFEATHER_LAN_ADDRESSES",
    "PINFEATHER_LAN_URL",
)
_CODE: Final = "from pinfeather.cli import main; main()"
_ADDRESS: Final = re.compile(r"http://127\.0\.0\.1:\d{1,5}/")
_HERE: Final = re.compile(r"http://(?:127\.0\.0\.1|localhost|\[::1\])(?::\d{1,5})?/")


@dataclass
class _Running:
    """The other process, while there is one."""

    process: subprocess.Popen[str] | None = None
    address: str = ""
    lock: threading.Lock = field(default_factory=threading.Lock)


_RUNNING: Final = _Running()


def back_address() -> str:
    """Return where the real farm is, for the way back from the pretend one; else empty."""
    found = _HERE.fullmatch(os.environ.get(BACK, ""))
    return found[0] if found else ""


def surroundings(back: str, outside: Mapping[str, str]) -> dict[str, str]:
    """Return the environment of the other process: nothing in it leads to the farm's records."""
    kept = {name: value for name, value in outside.items() if name not in _OWN}
    return {**kept, MARK: "1", BACK: back}


def start(back: str) -> None:
    """Start the made-up farm, unless it runs already.

    Raises
    ------
    StoreError
        If the system starts no further process.
    """
    with _RUNNING.lock:
        if _RUNNING.process is not None and _RUNNING.process.poll() is None:
            return
        _RUNNING.address = ""
        try:
            process = subprocess.Popen(  # noqa: S603 - our own program, nothing typed goes in
                [sys.executable, "-c", _CODE, "demo", "--no-browser", "--port", "0"],
                stdin=subprocess.PIPE,
                stdout=subprocess.PIPE,
                stderr=subprocess.DEVNULL,
                text=True,
                env=surroundings(back, os.environ),
            )
        except OSError as error:
            raise StoreError(
                _("The pretend farm could not be started ({why}).").format(why=error.strerror)
            ) from error
        _RUNNING.process = process
        atexit.register(stop)
    threading.Thread(target=_listen, args=(process,), name="pretend farm", daemon=True).start()


def _listen(process: subprocess.Popen[str]) -> None:
    """Wait for the other process to say where it is."""
    for line in process.stdout or ():
        if (found := _ADDRESS.search(line)) and _RUNNING.process is process:
            _RUNNING.address = found[0]


def address() -> str:
    """Return where the made-up farm answers; empty while it is still being filled."""
    running = _RUNNING.process is not None and _RUNNING.process.poll() is None
    return _RUNNING.address if running else ""


def running() -> bool:
    """Tell whether it was started and has not ended."""
    return _RUNNING.process is not None and _RUNNING.process.poll() is None


def stop() -> None:
    """End it; its folder goes with it."""
    with _RUNNING.lock:
        process, _RUNNING.process, _RUNNING.address = _RUNNING.process, None, ""
    if process is None:
        return
    if process.stdin is not None:
        process.stdin.close()
    try:
        process.wait(8)
    except subprocess.TimeoutExpired:
        process.kill()
        process.wait()
    if process.stdout is not None:
        process.stdout.close()
