"""An invented farm's day of forty-two birds, and a journal to write what happened on it."""

from __future__ import annotations

import copy
import datetime as dt
import itertools
import tomllib
from collections.abc import Callable
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

import pytest

from pinfeather.day.events import Event
from pinfeather.day.plan import DayPlan
from pinfeather.day.planner import plan_day
from pinfeather.day.progress import Progress, progress
from pinfeather.day.request import DayRequest, request_from
from pinfeather.units import to_si

DATA = Path(__file__).parents[2] / "data"
ZONE = ZoneInfo("America/Chicago")
START = dt.datetime(2026, 9, 19, 8, 30, tzinfo=ZONE)


class Journal:
    """A day's entries, written by the minute from the first bird."""

    start = START
    zone = ZONE

    def __init__(self) -> None:
        self.events: list[Event] = []
        self._ids = itertools.count(1)

    @staticmethod
    def at(minute: float) -> dt.datetime:
        return START + dt.timedelta(minutes=minute)

    def write(self, kind: str, minute: float, **payload: Any) -> str:
        number = next(self._ids)
        client_id = f"entry{number:06d}"
        self.events.append(Event(number, client_id, kind, payload, "Odile", self.at(minute)))
        return client_id

    def tally(
        self, station: str, minute: float, *, birds: int = 1, place: str = "", lot: str = "A7"
    ) -> str:
        return self.write("tally", minute, station=station, birds=birds, place=place, lot=lot)

    def reading(
        self,
        what: str,
        minute: float,
        value: float,
        *,
        unit: str = "F",
        place: str = "",
        instrument: str = "red probe",
    ) -> str:
        dimension = "strength" if what == "strip" else "temperature"
        return self.write(
            "reading",
            minute,
            what=what,
            place=place,
            written=f"{value:g} {unit}",
            unit=unit,
            si=to_si(value, unit, dimension),
            instrument=instrument,
        )

    def ice(self, minute: float, value_F: float, *, instrument: str = "red probe") -> str:
        si = to_si(value_F, "F", "temperature")
        return self.write(
            "ice point", minute, instrument=instrument, written=f"{value_F:g} F", si=si
        )

    def did(self, task: str, minute: float, *, place: str = "") -> str:
        return self.write("done", minute, task=task, place=place)

    def explain(self, after: str, minute: float, *, birds: int = 1, cause: str = "lost") -> str:
        return self.write("explained", minute, after=after, cause=cause, birds=birds, note="")

    def package(self, minute: float, *, birds: int = 1, number: int = 1) -> str:
        return self.write(
            "package",
            minute,
            number=number,
            lot="A7",
            tank="East tank",
            product="Whole chicken",
            gross="4.40 lb",
            tare="0.03 lb",
            net_lb="4.37",
            birds=birds,
        )

    def take_back(self, of: str, minute: float) -> str:
        return self.write("correction", minute, of=of, reason="tapped twice")

    def progress(self) -> Progress:
        return progress(self.events)


@pytest.fixture
def journal() -> Journal:
    return Journal()


@pytest.fixture(scope="session")
def new_journal() -> type[Journal]:
    return Journal


@pytest.fixture(scope="session")
def _written() -> dict[str, Any]:
    return tomllib.loads((DATA / "plan_day.toml").read_text(encoding="utf-8"))


@pytest.fixture
def mapping(_written: dict[str, Any]) -> dict[str, Any]:
    return copy.deepcopy(_written)


@pytest.fixture(scope="session")
def request_with(_written: dict[str, Any]) -> Callable[..., DayRequest]:
    """Return the day's request after a change to what was written."""

    def make(change: Callable[[dict[str, Any]], object] = lambda _: None) -> DayRequest:
        changed = copy.deepcopy(_written)
        change(changed)
        return request_from(changed)

    return make


@pytest.fixture(scope="session")
def day_request(request_with: Callable[..., DayRequest]) -> DayRequest:
    return request_with()


@pytest.fixture(scope="session")
def quick_plan() -> Callable[..., DayPlan]:
    """Plan with few simulated days."""

    def make(request: DayRequest, **options: Any) -> DayPlan:
        return plan_day(request, **{"days": 4, "change_days": 0, **options})

    return make


@pytest.fixture(scope="session")
def day_plan(day_request: DayRequest) -> DayPlan:
    return plan_day(day_request, days=4, change_days=1)
