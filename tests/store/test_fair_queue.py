"""The fair queue in front of the store."""

from __future__ import annotations

import datetime as dt
import threading
import time

from django.db import connections

from pinfeather.records import journal, writing
from pinfeather.records.models import Entry

AT = dt.datetime(2026, 6, 17, 14, 0, tzinfo=dt.UTC)


def append(client_id: str) -> None:
    journal.append(
        [journal.NewEntry(client_id, "note", {"text": "x"}, "Odile", "phone", AT)],
        day_id=None,
        received_at=AT,
    )


def test_eight_threads_of_two_hundred_lose_nothing(real_store, in_threads) -> None:
    def work(name: int) -> None:
        for n in range(200):
            append(f"t{name}n{n:03d}")

    results = in_threads([lambda name=name: work(name) for name in range(8)])

    assert [r for r in results if isinstance(r, Exception)] == []
    order = list(Entry.objects.order_by("seq").values_list("client_id", flat=True))
    assert len(order) == len(set(order)) == 1600
    for name in range(8):
        mine = [one for one in order if one.startswith(f"t{name}n")]
        assert mine == sorted(mine)
    assert journal.broken_at() is None


def test_the_store_is_handed_on_in_order_of_arrival(real_store) -> None:
    lock = writing._LOCK
    threads = []

    def work(name: str) -> None:
        append(name)
        connections["default"].close()

    lock.acquire()
    try:
        for n in range(12):
            thread = threading.Thread(target=work, args=(f"arrived{n:02d}",))
            thread.start()
            threads.append(thread)
            while len(lock._queue) <= n:
                time.sleep(0.0005)
    finally:
        lock.release()
    for thread in threads:
        thread.join()

    order = list(Entry.objects.order_by("seq").values_list("client_id", flat=True))
    assert order == [f"arrived{n:02d}" for n in range(12)]


def test_nobody_overtakes_while_the_lock_changes_hands() -> None:
    lock = writing.FairLock()
    order: list[str] = []
    inside = [0]

    def work(name: str) -> None:
        lock.acquire()
        inside[0] += 1
        assert inside[0] == 1
        order.append(name)
        time.sleep(0.001)
        inside[0] -= 1
        lock.release()

    lock.acquire()
    waiting = threading.Thread(target=work, args=("waiting",))
    waiting.start()
    while not lock._queue:
        time.sleep(0.0005)
    lock.release()
    work("newcomer")
    waiting.join()

    assert order == ["waiting", "newcomer"]


def test_the_holder_may_take_the_lock_again() -> None:
    lock = writing.FairLock()
    lock.acquire()
    lock.acquire()
    lock.release()
    taken = threading.Event()

    def work() -> None:
        lock.acquire()
        taken.set()
        lock.release()

    thread = threading.Thread(target=work)
    thread.start()
    assert not taken.wait(0.05)
    lock.release()
    thread.join()
    assert taken.is_set()
