"""How long a phone waits for its entry to be safe, with the fair queue and without it.

Eight threads write two hundred entries each into a real SQLite file, as in a shop where everybody
taps at once. The same threads then write freely: the store's own busy timeout is all that keeps
them apart. Run it with ``python benchmarks/journal_writes.py``.
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
APPENDS = 200
ROUNDS = 3


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


def burst() -> tuple[list[float], int, float]:
    """Write from all threads at once; return each wait [s], the failures, and the whole time [s]."""
    from django.db import connections

    from pinfeather.errors import StoreError
    from pinfeather.records import journal

    at = dt.datetime(2026, 6, 17, tzinfo=dt.UTC)
    waits: list[list[float]] = [[] for _ in range(THREADS)]
    failed = [0] * THREADS
    gate = threading.Barrier(THREADS + 1)

    def work(name: int) -> None:
        gate.wait()
        for n in range(APPENDS):
            payload = {"station": "draw", "birds": 1, "place": "", "lot": "K7"}
            entry = journal.NewEntry(f"t{name}n{n}", "tally", payload, "Bram", f"phone{name}", at)
            begin = time.perf_counter()
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
        p99: dict[str, list[float]] = {"queue": [], "free": []}
        print(f"{THREADS} threads x {APPENDS} appends; waits in ms")
        for number in range(ROUNDS):
            for way, lock in (("queue", queue), ("free", NoQueue())):
                writing._LOCK = lock  # type: ignore[assignment, misc]  # noqa: SLF001
                with fresh_store(f"{way}{number}", Path(folder)):
                    waits, failed, whole_s = burst()
                    kept = Entry.objects.count()
                    broken = journal.broken_at()
                p99[way].append(at_share(waits, 0.99))
                print(
                    f"{way:>5}: p50 {1e3 * at_share(waits, 0.5):8.1f}  "
                    f"p99 {1e3 * at_share(waits, 0.99):8.1f}  longest {1e3 * waits[-1]:8.1f}  "
                    f"all in {whole_s:5.2f} s  kept {kept}  failed {failed}  broken at {broken}"
                )
        writing._LOCK = queue  # type: ignore[misc]  # noqa: SLF001
        with_queue, free = (sorted(p99[way])[ROUNDS // 2] for way in ("queue", "free"))
        print(f"p99 with the queue {1e3 * with_queue:.1f} ms, without {1e3 * free:.1f} ms")
        print(f"ratio {free / with_queue:.1f}")


if __name__ == "__main__":
    main()
