"""Making a binder beside the pages: one at a time, in a thread of its own, kept in memory.

A page never waits for it. What is made is kept until the program stops or a few newer ones push it
out; it is made from the journal again whenever somebody asks, so nothing is lost with it.
"""

from __future__ import annotations

import datetime as dt
import logging
import threading
from collections import OrderedDict
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Final

from pinfeather import clock
from pinfeather.actions.binder import gather
from pinfeather.actions.binder.period import Period
from pinfeather.errors import InputFaultsError, PinfeatherError
from pinfeather.records.journal import head
from pinfeather.reports.typeset import Paper, page_count
from pinfeather.words import gettext as _

_LOG: Final = logging.getLogger("pinfeather.binder")
_MOST_KEPT: Final = 3
_LOCK: Final = threading.Lock()
_GATE: Final = threading.Lock()


class CancelledError(Exception):
    """Somebody stopped the work."""


@dataclass(slots=True)
class Job:
    """One binder: on its way, made, or stopped."""

    period: Period
    paper: Paper
    asked_at: dt.datetime
    journal: int
    """Place of the journal's newest entry when it was asked for."""
    words: str = ""
    step: int = 0
    pdf: bytes = b""
    pages: int = 0
    trouble: str = ""
    cancelled: bool = False
    finished_at: dt.datetime | None = None
    _stop: threading.Event = field(default_factory=threading.Event)

    @property
    def alive(self) -> bool:
        """Whether it is still being made."""
        return self.finished_at is None

    @property
    def steps(self) -> int:
        """How many steps there are."""
        return gather.STEPS

    def stop(self) -> None:
        """Ask it to stop; it does so between two steps."""
        self._stop.set()

    def tell(self, words: str) -> None:
        """Take note of how far it is; stop here where somebody asked for it."""
        if self._stop.is_set():
            raise CancelledError
        self.words, self.step = words, self.step + 1


_JOBS: Final[OrderedDict[tuple[Period, Paper], Job]] = OrderedDict()


def job(period: Period, paper: Paper = "us-letter") -> Job | None:
    """Return the newest work on a binder of this period, if there was any."""
    return _JOBS.get((period, paper))


def newer_entries(one: Job) -> int:
    """Return how many entries the journal got since a binder was asked for."""
    return head()[0] - one.journal


def begin(period: Period, paper: Paper = "us-letter") -> Job:
    """Begin to make a binder; one that is on its way is left to it."""
    with _LOCK:
        there = _JOBS.get((period, paper))
        if there is not None and there.alive:
            return there
        new = Job(period, paper, clock.now(), head()[0])
        _JOBS.pop((period, paper), None)
        _JOBS[period, paper] = new
        over = max(len(_JOBS) - _MOST_KEPT, 0)
        for key in [key for key, one in _JOBS.items() if not one.alive][:over]:
            del _JOBS[key]
    run(lambda: _work(new))
    return new


def cancel(period: Period, paper: Paper = "us-letter") -> None:
    """Stop the work on a binder, if there is any."""
    there = _JOBS.get((period, paper))
    if there is not None and there.alive:
        there.stop()


def run(work: Callable[[], None]) -> None:
    """Run a job beside the pages."""
    threading.Thread(target=_alone, args=(work,), name="binder", daemon=True).start()


def _alone(work: Callable[[], None]) -> None:
    from django.db import connection

    try:
        work()
    finally:
        connection.close()


def _work(one: Job) -> None:
    try:
        with _GATE:
            one.pdf = gather.make(one.period, now=one.asked_at, paper=one.paper, tell=one.tell)
            one.pages = page_count(one.pdf)
    except CancelledError:
        one.cancelled = True
    except (PinfeatherError, InputFaultsError) as error:
        one.trouble = str(error)
    except Exception:  # noqa: BLE001 - a fault of the program must reach the page as a sentence
        _LOG.exception("binder %s", one.period)
        one.trouble = _("The program itself failed; the log says how. The records are not touched.")
    finally:
        one.finished_at = clock.now()
