"""One writer at a time: a short, fair queue in front of the store.

SQLite lets one connection write; the others would poll for the lock and meet long waits in a
burst. Here they wait in order of arrival and each finds the store free.
"""

from __future__ import annotations

import threading
from collections import deque
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import Final

from django.db import DatabaseError, OperationalError, connection, transaction

from pinfeather.errors import StoreError
from pinfeather.words import gettext as _


class FairLock:
    """A lock that is handed on in order of arrival; the holder may take it again."""

    def __init__(self) -> None:
        self._guard = threading.Lock()
        self._queue: deque[threading.Event] = deque()
        self._owner: int | None = None
        self._depth = 0

    def acquire(self) -> None:
        """Wait for the lock."""
        me = threading.get_ident()
        with self._guard:
            if self._owner == me:
                self._depth += 1
                return
            if self._owner is None and not self._queue:
                self._owner, self._depth = me, 1
                return
            turn = threading.Event()
            self._queue.append(turn)
        turn.wait()
        with self._guard:
            self._owner, self._depth = me, 1

    def release(self) -> None:
        """Hand the lock to the one who has waited longest."""
        with self._guard:
            self._depth -= 1
            if self._depth:
                return
            if self._queue:
                self._owner = -1  # promised to the next in the queue
                self._queue.popleft().set()
            else:
                self._owner = None


_LOCK: Final = FairLock()
_DAMAGED: Final = ("malformed", "not a database")
"""How SQLite says that a store is no longer whole."""
_ONE_WRITER: Final = 0x70696E66
"""The number under which writers on PostgreSQL, in whatever program, let one another in."""


class _Later(threading.local):
    """What a thread has still to do once it has let the next writer in."""

    def __init__(self) -> None:
        self.jobs: list[Callable[[], None]] = []


_LATER: Final = _Later()


def afterwards(job: Callable[[], None]) -> None:
    """Do something once what is being written is on the disk and the next writer is let in."""
    transaction.on_commit(lambda: _LATER.jobs.append(job))


@contextmanager
def queue() -> Iterator[None]:
    """Hold the place of the one writer without opening the store."""
    _LOCK.acquire()
    try:
        yield
    finally:
        _LOCK.release()


@contextmanager
def writing() -> Iterator[None]:
    """Hold the store for one short transaction.

    Raises
    ------
    StoreError
        If the store is locked by another program, full, damaged, or not writable.
    """
    _LOCK.acquire()
    try:
        with transaction.atomic():
            if connection.vendor == "postgresql":
                with connection.cursor() as cursor:
                    cursor.execute("SELECT pg_advisory_xact_lock(%s)", [_ONE_WRITER])
            yield
    except OperationalError as error:
        raise StoreError(
            _(
                "The farm's records could not be written ({detail}). Nothing was lost on this "
                "device; it will try again."
            ).format(detail=error)
        ) from error
    except DatabaseError as error:
        if any(sign in str(error) for sign in _DAMAGED):
            raise StoreError(
                _("The farm's records look damaged. Restore the last backup.")
            ) from error
        raise
    finally:
        _LOCK.release()
    if not transaction.get_connection().in_atomic_block:
        while _LATER.jobs:
            _LATER.jobs.pop(0)()
