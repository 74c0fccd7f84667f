"""How long a phone waits for its entry to be safe, with the fair queue and without it.

Eight threads write two hundred entries each into a real SQLite file, through the queue and then
freely, where the store's own busy timeout is all that keeps them apart. In the *burst* everybody
writes again as soon as the last entry is in; who is shut out then writes less, and so counts less
among the waits. In *taps* each thread has an entry to write every 80 ms whether the last one is in
or not, and its wait counts from that moment, as it does for somebody with a phone in the hand.

Run it with ``python benchmarks/journal_writes.py``.
"""

from __future__ import annotations

import datetime as dt
import os
import tempfile
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

THREADS = 8
APPENDS = 100
ROUNDS = 3
LOADS = {"burst": 0.0, "taps": 0.080}
"""Seconds from one entry of a thread to its next [s]."""


class NoQueue:
    """Stands in for the fair lock and keeps nobody waiting."""

    def acquire(self) -> None:
        """Let everybody through."""

    def release(self) -> None:
        """Nothing was held."""


@contextmanager
def fresh_store(name: str, folder: Path) -> Iterator[None]:
    """Point Django at a new file with the tables made."""
    from django.core.management import call_command
    from django.db import connections

    connections["default"].close()
    connections["default"].settings_dict["NAME"] = str(folder / f"{name}.sqlite3")
    call_command("migrate", verbosity=0, interactive=False)
    try:
        yield
    finally:
        connections["default"].close()


def write_all(every_s: float) -> tuple[list[float], int, float]:
    """Write from all threads; return each wait [s], how many failed, and the whole time [s]."""
    from django.db import connections

    from pinfeather.errors import StoreError
    from pinfeather.records import journal

    at = dt.datetime(2026, 6, 17, tzinfo=dt.UTC)
    waits: list[list[float]] = [[] for _ in range(THREADS)]
    failed = [0] * THREADS
    gate = threading.Barrier(THREADS + 1)

    def work(name: int) -> None:
        gate.wait()
        first = time.perf_counter() + every_s * name / THREADS
        for n in range(APPENDS):
            begin = time.perf_counter()
            if every_s:
                begin = first + n * every_s
                time.sleep(max(0.0, begin - time.perf_counter()))
            payload = {"station": "draw", "birds": 1, "place": "", "lot": "K7"}
            entry = journal.NewEntry(f"t{name}n{n}", "tally", payload, "Bram", f"phone{name}", at)
            try:
                journal.append([entry], day_id=None, received_at=at)
            except StoreError:
                failed[name] += 1
            waits[name].append(time.perf_counter() - begin)
        connections["default"].close()

    threads = [threading.Thread(target=work, args=(name,)) for name in range(THREADS)]
    for thread in threads:
        thread.start()
    gate.wait()
    begin = time.perf_counter()
    for thread in threads:
        thread.join()
    return sorted(w for each in waits for w in each), sum(failed), time.perf_counter() - begin


def at_share(waits: list[float], share: float) -> float:
    """Return the wait that so large a share stays within [s]."""
    return waits[min(len(waits) - 1, int(share * len(waits)))]


def main() -> None:
    """Run both ways in turn and print what was measured."""
    with tempfile.TemporaryDirectory(prefix="pinfeather-bench-") as folder:
        os.environ["PINFEATHER_DATA"] = folder
        os.environ["DJANGO_SETTINGS_MODULE"] = "pinfeather.web.settings"
        import django

        django.setup()
        from pinfeather.records import journal, writing
        from pinfeather.records.models import Entry

        queue = writing._LOCK  # noqa: SLF001 - the benchmark takes it out of the way
        print(f"{THREADS} threads x {APPENDS} appends; waits in ms")
        for load, every_s in LOADS.items():
            p99: dict[str, list[float]] = {"queue": [], "free": []}
            longest: dict[str, list[float]] = {"queue": [], "free": []}
            for number in range(ROUNDS):
                for way, lock in (("queue", queue), ("free", NoQueue())):
                    writing._LOCK = lock  # type: ignore[assignment, misc]  # noqa: SLF001
                    with fresh_store(f"{load}{way}{number}", Path(folder)):
                        waits, failed, whole_s = write_all(every_s)
                        kept, broken = Entry.objects.count(), journal.broken_at()
                    p99[way].append(at_share(waits, 0.99))
                    longest[way].append(waits[-1])
                    print(
                        f"{load} {way:>5}: p50 {1e3 * at_share(waits, 0.5):7.1f}  "
                        f"p99 {1e3 * p99[way][-1]:7.1f}  longest {1e3 * waits[-1]:7.1f}  "
                        f"all in {whole_s:5.2f} s  kept {kept}  failed {failed}  "
                        f"broken at {broken}",
                        flush=True,
                    )
            for words, found in (("p99", p99), ("longest wait", longest)):
                with_queue, free = (sorted(found[way])[ROUNDS // 2] for way in ("queue", "free"))
                print(
                    f"{load}, middle of {ROUNDS} rounds: {words} {1e3 * with_queue:.1f} ms with "
                    f"the queue, {1e3 * free:.1f} ms without, ratio {free / with_queue:.1f}"
                )
        writing._LOCK = queue  # type: ignore[misc]  # noqa: SLF001


if __name__ == "__main__":
    main()
