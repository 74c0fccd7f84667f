"""The real program, started over and over with one fault after another.

Loads Django once, then forks for each start that the tests ask for on standard input, one JSON
object a line. The child serves the real pages with the real server on a port of its own, and does
what the fault says: dies at a point in the code, finds the disk full, may not write, is told
another time of day.
"""

from __future__ import annotations

import contextlib
import datetime as dt
import json
import os
import random
import resource
import signal
import socket
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any


def die() -> None:
    """As a power cut does it: at once, nothing put in order."""
    os.kill(os.getpid(), signal.SIGKILL)


def counted(place: object, name: str, at: int, *, after: bool) -> None:
    """Die at the so-many-th call of a function, before or after it."""
    real: Callable[..., Any] = getattr(place, name)
    calls = [0]

    def called(*args: Any, **kwargs: Any) -> Any:
        calls[0] += 1
        if calls[0] == at and not after:
            die()
        result = real(*args, **kwargs)
        if calls[0] == at and after:
            die()
        return result

    setattr(place, name, called)


def points() -> dict[str, tuple[object, str]]:
    """Where the program can be made to die."""
    from django.db.backends.base.base import BaseDatabaseWrapper

    from pinfeather.actions.day import running, shopfloor
    from pinfeather.records import backup, journal, models, place

    return {
        "line": (models.Entry, "save"),
        "batch": (journal, "append"),
        "commit": (BaseDatabaseWrapper, "commit"),
        "answer": (shopfloor, "state"),
        "receive": (running, "receive"),
        "copy": (backup, "_copy"),
        "sync": (place, "sync_file"),
        "note": (place, "write_whole"),
        "rename": (Path, "rename"),
        "replace": (Path, "replace"),
        "rotate": (backup, "rotate"),
    }


def other_clock(seed: int, jumps_s: list[float]) -> None:
    """Let the computer's clock jump back and forth."""
    from pinfeather import clock

    real, drawn = clock.now, random.Random(seed)

    def now() -> dt.datetime:
        return real() + dt.timedelta(seconds=drawn.choice(jumps_s))

    clock.now = now


def fixed_clock(moments: list[str]) -> None:
    """Let the clock show given moments, one after the other, and stay at the last."""
    from pinfeather import clock

    left = [dt.datetime.fromisoformat(one) for one in moments]
    clock.now = lambda: left.pop(0) if len(left) > 1 else left[0]


def give_up_powers() -> None:
    """Let root be held to the permissions of files, as everybody else is."""
    import ctypes

    class Header(ctypes.Structure):
        _fields_ = [("version", ctypes.c_uint32), ("pid", ctypes.c_int)]

    class Data(ctypes.Structure):
        _fields_ = [(name, ctypes.c_uint32) for name in ("effective", "permitted", "inheritable")]

    none = (Data * 2)()
    libc = ctypes.CDLL(None, use_errno=True)
    if libc.capset(ctypes.byref(Header(0x20080522, 0)), none):
        raise OSError(ctypes.get_errno(), "capset")


def run(asked: dict[str, Any]) -> None:
    """Serve one store with one fault until killed."""
    from django.db import connections

    from pinfeather.actions import safe
    from pinfeather.actions.store import ready_store
    from pinfeather.errors import StoreError

    settings = connections["default"].settings_dict
    settings["NAME"] = asked["store"]
    settings["OPTIONS"] = {**settings["OPTIONS"], "timeout": asked.get("patience_s", 0.2)}
    if "point" in asked:
        place, name = points()[asked["point"]]
        counted(place, name, asked["at"], after=asked["after"])
    if "jumps_s" in asked:
        other_clock(asked["seed"], asked["jumps_s"])
    if "moments" in asked:
        fixed_clock(asked["moments"])
    if "no_powers" in asked:
        give_up_powers()
    try:
        ready_store()
    except StoreError as error:
        safe.Trouble.sentence = str(error)
    if "pages" in asked:
        settings["OPTIONS"]["init_command"] += f"PRAGMA max_page_count={asked['pages']};"
        connections["default"].close()
    if "file_bytes" in asked:
        signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
        resource.setrlimit(resource.RLIMIT_FSIZE, (asked["file_bytes"], asked["file_bytes"]))
    connections["default"].close()
    from django.core.wsgi import get_wsgi_application
    from waitress import create_server

    from pinfeather.actions.passing import gated

    sock = socket.socket()
    sock.bind(("127.0.0.1", 0))
    server = create_server(
        gated(get_wsgi_application()), sockets=[sock], map={}, threads=2, ident=None
    )
    tell({"port": sock.getsockname()[1], "pid": os.getpid()})
    server.run()


def tell(what: dict[str, Any]) -> None:
    """Answer the tests."""
    os.write(1, (json.dumps(what) + "\n").encode())


def main() -> None:
    """Load everything once, ask for each page once, then fork for each line."""
    import django

    django.setup()
    import waitress
    from django.db import connections
    from django.test import Client

    from pinfeather.actions.store import ready_store

    assert waitress
    connections["default"].settings_dict["NAME"] = sys.argv[1]
    ready_store()
    client = Client(headers={"host": "127.0.0.1"})
    for url in ("/thermometers/", "/farm/safe/", "/api/days/1/state"):
        assert client.get(url).status_code == 200, url
    assert client.post("/farm/safe/", {"what": "backup"}).status_code == 302
    connections.close_all()
    signal.signal(signal.SIGCHLD, signal.SIG_IGN)
    tell({"ready": True})
    for line in sys.stdin:
        if os.fork() == 0:
            sys.stdin.close()
            with contextlib.suppress(KeyboardInterrupt):
                run(json.loads(line))
            os._exit(0)


if __name__ == "__main__":
    main()
