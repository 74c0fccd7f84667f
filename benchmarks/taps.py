"""Eight phones tap, the farm computer is killed again and again: is every tap there, once?

The real program runs in a process of its own. Eight devices tap five times a second each, whether
the last tap was acknowledged or not; each keeps its taps in order, as the phones' outbox does, and
sends what waits in batches until it is acknowledged. Each also asks twice a second how the day
stands, as an open working page does. Every twenty seconds the program is killed (SIGKILL) and
started again. At the end each acknowledged tap must be in the store exactly once, the hash chain
whole. A ninth device watches, and notes how long a tap takes until another screen can show it.

Printed: how long a tap waits for its acknowledgement while the program is up, and how many taps
were stored a second, as a ratio to bare SQLite commits a second on the same disk. Ends with 1 where
a tap is lost or doubled.

Run it with ``python benchmarks/taps.py``, half a minute; ``--full`` takes ten minutes.
"""

from __future__ import annotations

import argparse
import datetime as dt
import http.client
import json
import os
import socket
import sqlite3
import subprocess
import sys
import tempfile
import threading
import time
import uuid
from pathlib import Path

DEVICES = 8
TAPS_EACH_PER_S = 5.0
POLL_S = 0.5
KILL_EVERY_S = 20.0
SHARES = (0.5, 0.95, 0.99)
STATIONS = ("catch", "kill", "pick", "draw")
MAKE = """
import sys
from pathlib import Path
from pinfeather.actions.store import open_store
open_store(Path(sys.argv[1]))
from pinfeather import clock
from pinfeather.actions.demo.farm import make
make(now=clock.now())
"""
SERVE = "from pinfeather.cli import main; main()"


class Program:
    """The program, its store and its port."""

    def __init__(self, folder: Path) -> None:
        with socket.socket() as free:
            free.bind(("127.0.0.1", 0))
            self.port = free.getsockname()[1]
        self.folder = folder
        self.up = threading.Event()
        self.down_s: list[tuple[float, float]] = []
        subprocess.run([sys.executable, "-c", MAKE, str(folder)], check=True)
        with sqlite3.connect(folder / "farm.sqlite3") as store:
            found = store.execute("select id from records_day where status='running'").fetchone()
        self.day = found[0]

    def start(self) -> None:
        self.process = subprocess.Popen(
            [sys.executable, "-c", SERVE, "serve", "--no-browser", "--port", str(self.port),
             "--data", str(self.folder)],
            stdout=subprocess.PIPE,
            text=True,
        )  # fmt: skip
        assert self.process.stdout is not None
        for line in self.process.stdout:
            if "Pinfeather is at" in line:
                self.up.set()
                return
        raise SystemExit("the program did not start")

    def kill(self) -> None:
        self.up.clear()
        self.process.kill()
        self.process.wait()
        if self.process.stdout:
            self.process.stdout.close()

    def restart(self) -> None:
        begin = time.perf_counter()
        self.kill()
        self.start()
        Browser(self)  # up is who answers
        self.down_s.append((begin, time.perf_counter()))


class Browser:
    """Cookies and the forms' token, as a page of the program has them."""

    def __init__(self, program: Program) -> None:
        self.program = program
        self.line: http.client.HTTPConnection | None = None
        first = self.ask("GET", f"/days/{program.day}/at/pick/")
        self.cookie = first[1].split(";")[0]
        self.token = self.cookie.partition("=")[2]

    def ask(self, method: str, path: str, body: object = None) -> tuple[int, str, bytes]:
        if self.line is None:
            self.line = http.client.HTTPConnection("127.0.0.1", self.program.port, timeout=8)
        headers = {"Content-Type": "application/json"}
        if hasattr(self, "cookie"):
            headers |= {"Cookie": self.cookie, "X-CSRFToken": self.token}
        try:
            self.line.request(method, path, None if body is None else json.dumps(body), headers)
            answer = self.line.getresponse()
            return answer.status, answer.headers.get("Set-Cookie", ""), answer.read()
        except (OSError, http.client.HTTPException):
            self.line.close()
            self.line = None
            raise


class Device(threading.Thread):
    """A phone at a station."""

    def __init__(self, program: Program, number: int, until_s: float = 0.0) -> None:
        super().__init__()
        self.program, self.number, self.until_s = program, number, until_s
        self.browser = Browser(program)
        self.waiting: list[tuple[str, float, dict[str, object]]] = []
        self.made: list[str] = []
        self.acknowledged: dict[str, int] = {}
        self.waits: list[tuple[float, float]] = []
        self.mark = ""

    def run(self) -> None:
        tap_at = time.perf_counter() + self.number / DEVICES / TAPS_EACH_PER_S
        poll_at = tap_at
        while time.perf_counter() < self.until_s or self.waiting:
            now = time.perf_counter()
            if now < self.until_s:
                while tap_at <= now:
                    self.tap(tap_at)
                    tap_at += 1 / TAPS_EACH_PER_S
            if self.waiting:
                self.send()
            if time.perf_counter() >= poll_at and not self.waiting:
                self.poll()
                poll_at = time.perf_counter() + POLL_S
            if not self.waiting:
                time.sleep(max(0.0, min(tap_at, poll_at) - time.perf_counter()))

    def tap(self, at: float) -> None:
        entry = {
            "id": uuid.uuid4().hex,
            "kind": "tally",
            "payload": {"station": STATIONS[self.number % 4], "birds": 1, "place": "", "lot": "B3"},
            "who": "",
            "at": dt.datetime.now(dt.UTC).isoformat(),  # noqa: TID251 - a device's own clock
        }
        self.waiting.append((str(entry["id"]), at, entry))
        self.made.append(str(entry["id"]))

    def send(self) -> None:
        batch = self.waiting[:50]
        body = {
            "device": f"phone{self.number}",
            "sent_at": dt.datetime.now(dt.UTC).isoformat(),  # noqa: TID251 - a device's own clock
            "state": False,
            "entries": [entry for _id, _at, entry in batch],
        }
        try:
            status, _cookie, answer = self.browser.ask(
                "POST", f"/api/days/{self.program.day}/entries", body
            )
        except (OSError, http.client.HTTPException):
            time.sleep(0.2)
            return
        if status != 200:
            time.sleep(0.2)
            return
        heard = time.perf_counter()
        for one in json.loads(answer)["received"]:
            if one["problem"]:
                raise SystemExit(f"a tap was refused: {one['problem']}")
            self.acknowledged[one["id"]] = one["seq"]
        self.waits += [(at, heard) for _id, at, _entry in batch]
        self.waiting = [one for one in self.waiting if one[0] not in self.acknowledged]

    def poll(self) -> None:
        try:
            status, _cookie, answer = self.browser.ask(
                "GET", f"/api/days/{self.program.day}/state?station=pick&mark={self.mark}"
            )
        except (OSError, http.client.HTTPException):
            return
        if status == 200:
            self.mark = json.loads(answer)["mark"]


class Watcher(threading.Thread):
    """Another open page: when does it hear of how far the journal has come?"""

    def __init__(self, program: Program) -> None:
        super().__init__(daemon=True)
        self.program = program
        self.browser = Browser(program)
        self.heard: list[tuple[int, float]] = []
        self.over = False

    def run(self) -> None:
        mark = ""
        while not self.over:
            begin = time.perf_counter()
            try:
                status, _cookie, answer = self.browser.ask(
                    "GET", f"/api/days/{self.program.day}/state?station=draw&mark={mark}"
                )
                if status == 200:
                    state = json.loads(answer)
                    mark = state["mark"]
                    self.heard.append((state["seq"], time.perf_counter()))
            except (OSError, http.client.HTTPException):
                pass
            time.sleep(max(0.0, POLL_S - (time.perf_counter() - begin)))


def bare_commits_per_s(folder: Path, *, seconds: float = 2.0) -> float:
    """One row a transaction, the same promises as the store's, nothing else."""
    store = sqlite3.connect(folder / "bare.sqlite3", isolation_level=None)
    store.execute("PRAGMA journal_mode=WAL")
    store.execute("PRAGMA synchronous=FULL")
    store.execute("create table t (id integer primary key, text text)")
    done, begin = 0, time.perf_counter()
    while time.perf_counter() - begin < seconds:
        store.execute("BEGIN IMMEDIATE")
        store.execute("insert into t (text) values (?)", ("x" * 300,))
        store.execute("COMMIT")
        done += 1
    spent_s = time.perf_counter() - begin
    store.close()
    return done / spent_s


def burst_per_s(program: Program, *, seconds: float = 3.0) -> float:
    """Eight devices send one tap after the other as fast as they are acknowledged."""
    until_s = time.perf_counter() + seconds
    devices = [Device(program, n) for n in range(DEVICES)]

    def hurry(device: Device) -> None:
        while time.perf_counter() < until_s:
            device.tap(time.perf_counter())
            device.send()

    threads = [threading.Thread(target=hurry, args=(one,)) for one in devices]
    begin = time.perf_counter()
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return sum(len(one.acknowledged) for one in devices) / (time.perf_counter() - begin)


def at_share(sorted_s: list[float], share: float) -> float:
    return sorted_s[min(len(sorted_s) - 1, int(share * len(sorted_s)))] if sorted_s else 0.0


def told(name: str, all_s: list[float]) -> None:
    if not all_s:
        print(f"{name}: none")
        return
    all_s = sorted(all_s)
    parts = [f"p{100 * share:.0f} {1e3 * at_share(all_s, share):.0f} ms" for share in SHARES]
    print(f"{name}: {', '.join(parts)}, longest {1e3 * all_s[-1]:.0f} ms, n {len(all_s)}")


def faults(program: Program, devices: list[Device]) -> list[str]:
    """Compare what was acknowledged with what is in the store."""
    with sqlite3.connect(program.folder / "farm.sqlite3") as store:
        rows = store.execute("select client_id, seq from records_entry").fetchall()
    stored: dict[str, list[int]] = {}
    for name, seq in rows:
        stored.setdefault(name, []).append(seq)
    found = []
    for device in devices:
        found += [
            f"phone{device.number}: {name} stored {len(stored.get(name, []))} times"
            for name in device.made
            if len(stored.get(name, [])) != 1
        ]
        found += [
            f"phone{device.number}: {name} acknowledged as {seq}, stored as {stored.get(name)}"
            for name, seq in device.acknowledged.items()
            if stored.get(name) != [seq]
        ]
        order = [stored[name][0] for name in device.made if name in stored]
        if order != sorted(order):
            found.append(f"phone{device.number}: not in the order it was counted")
    return found


def main() -> int:
    """Run, print, and return the exit code."""
    parser = argparse.ArgumentParser(description=__doc__.split("\n")[0])
    parser.add_argument("--full", action="store_true", help="ten minutes")
    seconds = 600.0 if parser.parse_args().full else 26.0
    with tempfile.TemporaryDirectory(prefix="pinfeather-bench-") as name:
        folder = Path(name) / "farm"
        folder.mkdir()
        bare = bare_commits_per_s(Path(name))
        program = Program(folder)
        program.start()
        devices = [Device(program, n) for n in range(DEVICES)]
        watcher = Watcher(program)
        begin = time.perf_counter()
        for device in devices:
            device.until_s = begin + seconds
        for thread in (watcher, *devices):
            thread.start()
        kills = 0
        while time.perf_counter() < begin + seconds:
            wait_s = min(KILL_EVERY_S, begin + seconds - time.perf_counter())
            time.sleep(max(0.0, wait_s))
            if time.perf_counter() < begin + seconds - 1:
                program.restart()
                kills += 1
        for device in devices:
            device.join()
        watcher.over = True
        burst = burst_per_s(program)
        program.kill()
        found = faults(program, devices)
        check = subprocess.run(
            [sys.executable, "-c", SERVE, "verify", "--data", str(folder)],
            env=os.environ, capture_output=True, text=True, check=False,
        )  # fmt: skip
    made = sum(len(one.made) for one in devices)
    print(f"{DEVICES} phones, {TAPS_EACH_PER_S:.0f} taps/s each, {seconds:.0f} s, {kills} kills")
    print(f"taps made {made}, acknowledged {sum(len(one.acknowledged) for one in devices)}, "
          f"lost, doubled or out of order {len(found)}")  # fmt: skip
    waits = [wait for one in devices for wait in one.waits]
    quiet = [
        heard - at
        for at, heard in waits
        if not any(at < back + 1.0 and heard > down for down, back in program.down_s)
    ]
    told("acknowledged, while the program is up", quiet)
    told("acknowledged, kills and restarts included", [heard - at for at, heard in waits])
    told("shown on another screen after it was acknowledged", shown(devices, watcher, program))
    down_s = [back - down for down, back in program.down_s]
    if down_s:
        print(f"killed to serving again: {', '.join(f'{one:.1f} s' for one in down_s)}")
    print(
        f"one tap after the other, as fast as it goes: {burst:.0f} taps/s; "
        f"bare SQLite commits on this disk {bare:.0f}/s; ratio {burst / bare:.3f}"
    )
    print(check.stdout.strip().splitlines()[-1] if check.stdout else check.stderr)
    for fault in found[:20]:
        print("FAULT", fault)
    return 1 if found or check.returncode else 0


def shown(devices: list[Device], watcher: Watcher, program: Program) -> list[float]:
    """How long after each acknowledgement the watching page had heard of it [s]."""
    heard = iter(watcher.heard)
    seq, moment = next(heard, (0, 0.0))
    found = []
    for place, at in sorted(
        (device.acknowledged[name], at)
        for device in devices
        for name, (_made, at) in zip(device.made, device.waits, strict=False)
    ):
        while seq < place:
            step = next(heard, None)
            if step is None:
                return found
            seq, moment = step
        if not any(at < back + 1.0 and moment > down for down, back in program.down_s):
            found.append(max(0.0, moment - at))
    return found


if __name__ == "__main__":
    sys.exit(main())
