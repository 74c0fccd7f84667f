"""Power and disk faults drawn at random: nothing acknowledged is lost, nothing stands twice.

The real program runs in its own process and serves the real pages. A device sends entries to it as
a phone does: in small batches, each kept until it is acknowledged, sent again after whatever
happened. Meanwhile one fault strikes. In the end the program is started again without a command of
anybody's, takes what was left over, and the journal must hold each entry once, in order, unbroken.

The seed is printed; ``PINFEATHER_FAULT_SEED=N`` draws the same faults again, and
``PINFEATHER_FAULTS=N`` draws another number of them.
"""

from __future__ import annotations

import contextlib
import datetime as dt
import http.client
import json
import os
import random
import shutil
import signal
import sqlite3
import subprocess
import sys
import tempfile
import threading
import time
from collections import Counter
from collections.abc import Callable, Iterator
from contextlib import closing
from pathlib import Path
from typing import Any

import pytest

from pinfeather.records.checking import check_file

pytestmark = pytest.mark.sqlite
SEED = int(os.environ["PINFEATHER_FAULT_SEED"])
FAULTS = int(os.environ.get("PINFEATHER_FAULTS") or 200)
MEMORY = "/dev/shm" if os.access("/dev/shm", os.W_OK) else None
"""Where the kernel keeps what a killed program has written just as on a disk, and is quicker."""
TOKEN = "a1" * 16
HEADERS = {
    "Content-Type": "application/json",
    "Cookie": f"csrftoken={TOKEN}",
    "X-CSRFToken": TOKEN,
}
STATIONS = ("catch", "kill", "pick", "draw", "chill")


class Zygote:
    """Starts the program again and again without loading it anew."""

    def __init__(self, folder: Path, store: Path) -> None:
        program = str(Path(__file__).with_name("program_under_fault.py"))
        with (folder / "stderr").open("wb") as errors:
            self.process = subprocess.Popen(
                [sys.executable, program, str(store)],
                stdin=subprocess.PIPE,
                stdout=subprocess.PIPE,
                stderr=errors,
                env={**os.environ, "PINFEATHER_DATA": str(folder)},
                text=True,
            )
        assert self.process.stdout is not None
        assert json.loads(self.process.stdout.readline())["ready"]

    def start(self, store: Path, **fault: Any) -> Program:
        assert self.process.stdin is not None
        assert self.process.stdout is not None
        self.process.stdin.write(json.dumps({"store": str(store), **fault}) + "\n")
        self.process.stdin.flush()
        told = json.loads(self.process.stdout.readline())
        return Program(told["port"], told["pid"])


class Program:
    """The program while it runs."""

    def __init__(self, port: int, pid: int) -> None:
        self.port, self.pid = port, pid

    def ask(self, method: str, url: str, body: Any = None, **headers: str) -> tuple[int, bytes]:
        connection = http.client.HTTPConnection("127.0.0.1", self.port, timeout=20)
        with closing(connection):
            content = None if body is None else json.dumps(body)
            connection.request(method, url, content, {**HEADERS, **headers})
            with connection.getresponse() as answer:
                return answer.status, answer.read()

    def post_form(self, url: str, **values: str) -> int:
        connection = http.client.HTTPConnection("127.0.0.1", self.port, timeout=20)
        with closing(connection):
            values["csrfmiddlewaretoken"] = TOKEN
            content = "&".join(f"{name}={value}" for name, value in values.items())
            kind = {"Content-Type": "application/x-www-form-urlencoded"}
            connection.request("POST", url, content, {**HEADERS, **kind})
            with connection.getresponse() as answer:
                answer.read()
                return answer.status

    def kill(self) -> None:
        with contextlib.suppress(ProcessLookupError):
            os.kill(self.pid, signal.SIGKILL)
        for _ in range(2000):
            try:
                os.kill(self.pid, 0)
            except ProcessLookupError:
                return
            time.sleep(0.001)
        raise AssertionError("the program did not end")


class Phone:
    """Keeps each entry until it is acknowledged, and sends it again."""

    def __init__(self, drawn: random.Random, entries: int, at: dt.datetime) -> None:
        self.drawn = drawn
        self.entries = [
            {
                "id": f"e{n:03d}",
                "kind": "tally",
                "payload": {"station": drawn.choice(STATIONS), "birds": 1},
                "who": "Odile",
                "at": (at + dt.timedelta(seconds=37 * n)).isoformat(),
            }
            for n in range(entries)
        ]
        self.waiting = list(self.entries)
        self.acknowledged: set[str] = set()
        self.statuses: Counter[int] = Counter()
        self.at = at

    def send(self, program: Program) -> bool:
        """Send a few of those that wait; tell whether they were acknowledged."""
        batch = self.waiting[: self.drawn.randint(1, 4)]
        body = {"device": "phone1", "sent_at": self.at.isoformat(), "entries": batch}
        try:
            status, content = program.ask("POST", "/api/days/1/entries", body)
        except (OSError, http.client.HTTPException):
            return False
        self.statuses[status] += 1
        assert status in {200, 503}, content[:600]
        told = json.loads(content)
        if status == 503:
            assert told["sentence"].endswith("."), told
            return False
        assert [one["problem"] for one in told["received"]] == [""] * len(batch)
        self.acknowledged |= {one["id"] for one in told["received"]}
        self.waiting = [one for one in self.waiting if one["id"] not in self.acknowledged]
        return True

    def send_all(self, program: Program, *, tries: int = 60) -> None:
        while self.waiting and tries:
            self.send(program)
            tries -= 1


Fault = Callable[["Scene"], None]


class Scene:
    """One store, one phone, one fault."""

    def __init__(self, zygote: Zygote, store: Path, drawn: random.Random) -> None:
        self.zygote, self.store, self.drawn = zygote, store, drawn
        day = dt.datetime(2026, 6, 17, 14, tzinfo=dt.UTC)
        self.phone = Phone(drawn, drawn.randint(3, 9), day)
        self.programs: list[Program] = []

    def start(self, **fault: Any) -> Program:
        program = self.zygote.start(self.store, **fault)
        self.programs.append(program)
        return program

    def page_says(self, program: Program) -> None:
        """The day's page comes, or one sentence with the way to the page that helps."""
        status, content = program.ask("GET", "/thermometers/")
        assert status in {200, 503}, content[:600]
        if status == 503:
            assert b"/farm/safe/" in content

    def end(self) -> None:
        """Start again as anybody would, take what waits, and hold the journal against it."""
        for program in self.programs:
            program.kill()
        program = self.start()
        self.phone.send_all(program)
        assert self.phone.waiting == []
        status, content = program.ask("GET", "/api/days/1/state")
        assert status == 200
        counts = json.loads(content)["counts"]
        sent = Counter(one["payload"]["station"] for one in self.phone.entries)
        assert {code: counts[code] for code in STATIONS} == {c: sent[c] for c in STATIONS}
        program.kill()
        with closing(sqlite3.connect(self.store)) as base:
            base.execute("PRAGMA wal_checkpoint(TRUNCATE)")
            rows = base.execute(
                "SELECT client_id, payload FROM records_entry ORDER BY seq"
            ).fetchall()
        assert [row[0] for row in rows] == [one["id"] for one in self.phone.entries]
        for (_id, payload), one in zip(rows, self.phone.entries, strict=True):
            assert json.loads(payload)["station"] == one["payload"]["station"]
        state = check_file(self.store)
        assert state.whole, state
        for made in (self.store.parent / "backups").glob("*.sqlite3"):
            assert check_file(made).whole


def killed_sometime(scene: Scene) -> None:
    """SIGKILL at a random moment while the phone is sending, once or more."""
    for _ in range(scene.drawn.randint(1, 2)):
        program = scene.start()
        timer = threading.Timer(scene.drawn.uniform(0.0, 0.08), program.kill)
        timer.start()
        for _ in range(4):
            if scene.phone.waiting:
                scene.phone.send(program)
        timer.join()


def killed_at_a_point(scene: Scene) -> None:
    """Dead at the n-th line, commit or answer: before it, or just after."""
    program = scene.start(
        point=scene.drawn.choice(["line", "batch", "commit", "answer", "receive"]),
        at=scene.drawn.randint(1, 5),
        after=scene.drawn.random() < 0.5,
    )
    for _ in range(4):
        if scene.phone.waiting:
            scene.phone.send(program)


def killed_while_backing_up(scene: Scene) -> None:
    """Dead at any step of a backup; the unfinished one does not count, and the next succeeds."""
    program = scene.start(
        point=scene.drawn.choice(["copy", "sync", "note", "rename", "replace", "rotate"]),
        at=1,
        after=scene.drawn.random() < 0.5,
    )
    scene.phone.send(program)
    with contextlib.suppress(OSError, http.client.HTTPException):
        program.post_form("/farm/safe/", what="backup")
    program.kill()
    program = scene.start()
    assert program.post_form("/farm/safe/", what="backup") == 302
    assert not list((scene.store.parent / "backups").glob("*.part"))


def killed_while_going_back(scene: Scene) -> None:
    """Dead at any step of a restore: the next start has the one store or the other, whole."""
    program = scene.start()
    scene.phone.send_all(program)
    assert program.post_form("/farm/safe/", what="backup") == 302
    program.kill()
    (made,) = (scene.store.parent / "backups").glob("*.sqlite3")
    program = scene.start(
        point=scene.drawn.choice(["note", "rename", "replace", "sync"]),
        at=scene.drawn.randint(1, 3),
        after=scene.drawn.random() < 0.5,
    )
    with contextlib.suppress(OSError, http.client.HTTPException):
        program.post_form(f"/farm/safe/{made.name}/")


def bytes_in(file: Path) -> int:
    """Length of a file; 0 where there is none, as when the program has just tidied its log away."""
    try:
        return file.stat().st_size
    except FileNotFoundError:
        return 0


def log_cut_short(scene: Scene) -> None:
    """Power gone while the log was growing: what came after the last acknowledgement is torn."""
    program = scene.start()
    log = Path(f"{scene.store}-wal")
    safe_bytes = 0
    for _ in range(scene.drawn.randint(1, 3)):
        if scene.phone.waiting and scene.phone.send(program):
            safe_bytes = bytes_in(log)
    kept = len(scene.phone.acknowledged)
    if scene.phone.waiting:
        before = set(scene.phone.acknowledged)
        scene.phone.send(program)  # on its way when the power goes: the answer never arrives
        scene.phone.acknowledged = before
        scene.phone.waiting = [e for e in scene.phone.entries if e["id"] not in before]
    program.kill()
    assert len(scene.phone.acknowledged) == kept
    if size := bytes_in(log):
        cut = scene.drawn.randint(min(safe_bytes, size), size)
        with log.open("r+b") as file:
            file.seek(cut)
            tail = scene.drawn.randbytes(min(size - cut, 5000))
            if scene.drawn.random() < 0.5:
                file.write(tail)
            else:
                file.truncate()
    Path(f"{scene.store}-shm").unlink(missing_ok=True)


def disk_full(scene: Scene) -> None:
    """No file may grow beyond a random size: a plain sentence, and nothing half written."""
    size = scene.store.stat().st_size
    program = scene.start(file_bytes=max(size, 40_000) + scene.drawn.randint(0, 60_000))
    for _ in range(6):
        if scene.phone.waiting:
            scene.phone.send(program)
    scene.page_says(program)


def store_full(scene: Scene) -> None:
    """The store itself may not grow any more."""
    with closing(sqlite3.connect(scene.store)) as base:
        pages = base.execute("PRAGMA page_count").fetchone()[0]
    program = scene.start(pages=pages + scene.drawn.randint(0, 2))
    for _ in range(5):
        if scene.phone.waiting:
            scene.phone.send(program)
    scene.page_says(program)


def may_not_write(scene: Scene) -> None:
    """The folder and what is in it may only be read."""
    folder = scene.store.parent
    for path in folder.iterdir():
        path.chmod(0o444)
    folder.chmod(0o555)
    program = scene.start(**({"no_powers": True} if os.geteuid() == 0 else {}))
    for _ in range(2):
        assert not scene.phone.send(program)
    assert scene.phone.acknowledged == set()
    scene.page_says(program)
    program.kill()
    folder.chmod(0o755)
    for path in folder.iterdir():
        path.chmod(0o644)


def locked_by_another(scene: Scene) -> None:
    """Another program holds the store for longer than the program waits."""
    program = scene.start(patience_s=0.03)
    scene.phone.send(program)
    with closing(sqlite3.connect(scene.store, timeout=5)) as other:
        other.execute("BEGIN IMMEDIATE")
        if scene.phone.waiting:
            assert not scene.phone.send(program)
        scene.page_says(program)
        other.rollback()


def clock_jumps(scene: Scene) -> None:
    """The computer's clock is set back and forth by minutes, hours or years."""
    program = scene.start(
        seed=scene.drawn.randrange(10**6),
        jumps_s=[0.0, *(scene.drawn.choice([-1, 1]) * 10 ** scene.drawn.uniform(0, 9)
                        for _ in range(3))],
    )  # fmt: skip
    for _ in range(5):
        if scene.phone.waiting:
            scene.phone.send(program)


NIGHTS = (
    ("America/Chicago", "2026-11-01T05:30:00+00:00"),  # the hour that comes twice
    ("America/Chicago", "2026-03-08T07:30:00+00:00"),  # the hour that is left out
    ("Australia/Lord_Howe", "2026-04-04T14:30:00+00:00"),  # half an hour twice
    ("Pacific/Apia", "2011-12-30T09:50:00+00:00"),  # a day left out
    ("America/Chicago", "2028-02-29T05:50:00+00:00"),  # leap day
    ("Asia/Kathmandu", "2026-12-31T18:10:00+00:00"),  # new year, three quarters past
    ("UTC", "2000-02-29T23:59:00+00:00"),
)


def strange_night(scene: Scene) -> None:
    """Work through a change of summer time, a leap day or a new zone, killed in between."""
    zone, begin = scene.drawn.choice(NIGHTS)
    other_zone = scene.drawn.choice(NIGHTS)[0]
    at = dt.datetime.fromisoformat(begin)
    scene.phone = Phone(scene.drawn, scene.drawn.randint(4, 9), at)
    for name in (zone, other_zone):
        with closing(sqlite3.connect(scene.store)) as base:
            base.execute("UPDATE records_farm SET zone = ?", [name])
            base.commit()
        moments = [(at + dt.timedelta(minutes=11 * n)).isoformat() for n in range(12)]
        program = scene.start(moments=moments)
        for _ in range(2):
            if scene.phone.waiting:
                assert scene.phone.send(program)
        status, content = program.ask("GET", "/api/days/1/state")
        assert status == 200, content[:600]
        program.kill()
    with closing(sqlite3.connect(scene.store)) as base:
        base.execute("UPDATE records_farm SET zone = 'America/Chicago'")
        base.commit()


WEIGHTS: dict[Fault, int] = {
    killed_sometime: 6,
    killed_at_a_point: 6,
    killed_while_backing_up: 3,
    killed_while_going_back: 3,
    log_cut_short: 4,
    disk_full: 4,
    store_full: 2,
    may_not_write: 2,
    locked_by_another: 2,
    clock_jumps: 3,
    strange_night: 3,
}


def copied(source: Path, target: Path) -> Path:
    with closing(sqlite3.connect(source)) as old, closing(sqlite3.connect(target)) as new:
        old.backup(new)
    return target


def drawn_fault(number: int) -> tuple[Fault, random.Random]:
    drawn = random.Random(f"{SEED}/{number}")
    (fault,) = drawn.choices(list(WEIGHTS), list(WEIGHTS.values()))
    return fault, drawn


@pytest.fixture(scope="module")
def zygote(pytestconfig, planned_file) -> Iterator[Zygote]:
    terminal = pytestconfig.pluginmanager.getplugin("capturemanager")
    with terminal.global_and_fixture_disabled():
        sys.stdout.write(f"\n{FAULTS} faults drawn with PINFEATHER_FAULT_SEED={SEED}\n")
    folder = Path(tempfile.mkdtemp(prefix="pinfeather-faults-", dir=MEMORY))
    folder.chmod(0o755)
    one = Zygote(folder, copied(planned_file, folder / "farm.sqlite3"))
    yield one
    assert one.process.stdin is not None
    assert one.process.stdout is not None
    one.process.stdin.close()
    one.process.wait(20)
    one.process.stdout.close()
    shutil.rmtree(folder, ignore_errors=True)


@pytest.fixture
def scene_of(zygote, planned_file) -> Iterator[Callable[[random.Random], Scene]]:
    folder = Path(tempfile.mkdtemp(prefix="pinfeather-fault-", dir=MEMORY))
    folder.chmod(0o755)
    scenes = []

    def made(drawn: random.Random) -> Scene:
        store = folder / "farm.sqlite3"
        copied(planned_file, store)
        scenes.append(Scene(zygote, store, drawn))
        return scenes[0]

    yield made
    for scene in scenes:
        for program in scene.programs:
            program.kill()
    folder.chmod(0o755)
    shutil.rmtree(folder, ignore_errors=True)


@pytest.mark.parametrize(
    "number", range(FAULTS), ids=[f"{n}-{drawn_fault(n)[0].__name__}" for n in range(FAULTS)]
)
def test_whatever_happens_each_entry_is_there_once(scene_of, number) -> None:
    fault, drawn = drawn_fault(number)
    scene = scene_of(drawn)
    fault(scene)
    scene.end()


def test_every_kind_of_fault_is_drawn() -> None:
    drawn = Counter(drawn_fault(n)[0] for n in range(FAULTS))
    if FAULTS >= 200:
        assert set(drawn) == set(WEIGHTS)
