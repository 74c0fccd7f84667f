"""A data folder of the tests' own, and invented farms on real SQLite files.

Each store is made once in a run. A test works on it inside a transaction that is taken back at
the end, or on a copy of the file where threads, other processes or rollbacks matter.
"""

from __future__ import annotations

import datetime as dt
import hashlib
import itertools
import os
import runpy
import secrets
import shutil
import sqlite3
import tempfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

FOLDER = Path(tempfile.mkdtemp(prefix="pinfeather-tests-"))
SERVER = os.environ.get("PINFEATHER_TEST_DATABASE", "")
"""Address of a PostgreSQL server on which the tests may make and drop databases; else files."""
os.environ.setdefault("PINFEATHER_FAULT_SEED", str(secrets.randbelow(2**32)))  # one for all workers
os.environ["PINFEATHER_DATA"] = str(FOLDER)
os.environ["PINFEATHER_DATABASE"] = SERVER
os.environ["DJANGO_SETTINGS_MODULE"] = "pinfeather.web.settings"

import django  # noqa: E402 - the data folder must be set first

django.setup()

import pytest  # noqa: E402
from django.core.management import call_command  # noqa: E402
from django.db import connections, transaction  # noqa: E402

from pinfeather.actions import farm as farms  # noqa: E402
from pinfeather.actions.day import days, running  # noqa: E402
from pinfeather.actions.demo import farm as demo  # noqa: E402
from pinfeather.actions.season import work as season_work  # noqa: E402

NOW = dt.datetime(2026, 6, 17, 15, 40, tzinfo=dt.UTC)
"""A Wednesday, 10:40 on the invented farm's clock."""

ALL_STATIONS = ["catch", "kill", "scald", "pick", "draw", "rinse", "bag", "weigh", "store"]


def pytest_unconfigure() -> None:
    shutil.rmtree(FOLDER, ignore_errors=True)


def _day_mapping(**changed: Any) -> dict[str, Any]:
    """Six birds, two people, one tank, as the plan's form would send them."""
    return {
        "date": "2026-06-17",
        "start": "09:00",
        "deadline": "18:30",
        "deadline_reason": "evening milking",
        "air": "68 F",
        "altitude": "700 ft",
        "lots": [
            {
                "code": "K7",
                "species": "chicken",
                "build": "broad",
                "count": "6",
                "mean": "4.5 lb",
                "spread": "0.4 lb",
            }
        ],
        "people": [
            {
                "name": "Odile",
                "from": "08:30",
                "to": "18:00",
                "stations": ["catch", "kill", "scald", "pick"],
                "pace": "1",
            },
            {
                "name": "Bram",
                "from": "08:30",
                "to": "18:00",
                "stations": ["draw", "rinse", "bag", "weigh", "store"],
                "pace": "0.9",
            },
        ],
        "equipment": {
            "cones": "3",
            "scald_places": "2",
            "drum_birds": "2",
            "drum_cycle": "30 s",
            "draw_places": "1",
            "scalder": "30 gal",
            "burner": "60000 Btu/h",
            "tap": "57 F",
            "scald": "146 F",
            "ice": "200 lb",
            "refrigerator": "18 ft3",
            "freezer": "40 ft3",
            "tanks": [
                {"name": "North tank", "volume": "50 gal", "bath": "stirred", "walls": "insulated"}
            ],
        },
        "sanitiser": {"bleach": "8.25 %", "target": "100 ppm", "volume": "5 gal"},
        **changed,
    }


def _make_farm(*, zone: str = "America/Chicago") -> None:
    """Fill an empty store with a small invented farm."""
    farms.save_farm(
        {
            "name": "Sorrel Bank Farm",
            "address": "Odile Marsh\n14 Ferry Lane\nTull Landing, IA 50000",
            "phone": "555-0117",
            "zone": zone,
            "profile": "us-federal",
            "tier": "producer_1000",
            "altitude": "700 ft",
            "price_per_lb": "5.50",
            "water_source": "well",
            "water_test": dt.date(2026, 4, 2),
            "units": "us",
        }
    )
    farms.save_person("Odile", ["catch", "kill", "scald", "pick"])
    farms.save_person("Bram", ["draw", "rinse", "bag", "weigh", "store"], pace=0.9)
    farms.save_instrument("Blue probe", kind="thermometer", accuracy="1 F")
    farms.save_lot(
        "K7",
        species="chicken",
        build="broad",
        hatched=dt.date(2026, 4, 20),
        head=30,
        note="by the creek",
    )


def _sent(
    kind: str,
    payload: dict[str, Any],
    *,
    client_id: str,
    at: dt.datetime,
    who: str = "Odile",
) -> dict[str, Any]:
    """One entry as a device sends it."""
    return {"id": client_id, "kind": kind, "payload": payload, "who": who, "at": at.isoformat()}


def _count_birds(day_id: int, counts: dict[str, int], *, first: dt.datetime) -> None:
    """Count birds at stations, one a minute, each station a little after the one before."""
    entries = [
        _sent(
            "tally",
            {"station": station, "birds": 1, "place": "North tank" if station == "chill" else ""},
            client_id=f"c{day_id}{station}{number}",
            at=first + dt.timedelta(minutes=5 * place + number),
        )
        for place, (station, birds) in enumerate(counts.items())
        for number in range(birds)
    ]
    received = running.receive(day_id, entries, device="phone", sent_at=NOW, now=NOW)
    assert [r.problem for r in received if r.problem] == []


@pytest.fixture
def day_mapping() -> Callable[..., dict[str, Any]]:
    """The invented day as text, to change and to save."""
    return _day_mapping


@pytest.fixture
def sent() -> Callable[..., dict[str, Any]]:
    """Build an entry as a device sends it."""
    return _sent


@pytest.fixture
def count_birds() -> Callable[..., None]:
    """Count birds at stations."""
    return _count_birds


@pytest.fixture
def make_farm() -> Callable[..., None]:
    """Fill an empty store with the invented farm."""
    return _make_farm


@pytest.fixture
def now() -> dt.datetime:
    """The moment the tests take as now."""
    return NOW


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """Leave out what is about the other kind of store."""
    other = "sqlite" if SERVER else "postgres"
    out = [item for item in items if item.get_closest_marker(other)]
    if out:
        config.hook.pytest_deselected(items=out)
        items[:] = [item for item in items if not item.get_closest_marker(other)]


def named(path: Path) -> str:
    """Return what Django calls a store: its file, or a database of its own on the server."""
    return f"t{hashlib.sha256(str(path).encode()).hexdigest()[:24]}" if SERVER else str(path)


def on_the_server(statement: str) -> None:
    """Have the server make or drop a database."""
    import psycopg

    told = {**connections["default"].get_connection_params(), "dbname": "postgres"}
    told = {
        name: value for name, value in told.items() if name not in {"context", "cursor_factory"}
    }
    told.pop("prepare_threshold", None)
    with psycopg.connect(**told, autocommit=True) as server:
        server.execute(statement)


@contextmanager
def opened(path: Path) -> Iterator[Path]:
    """Point Django at a store, in every thread, and back again."""
    settings = connections["default"].settings_dict
    was = settings["NAME"]
    connections["default"].close()
    settings["NAME"] = named(path)
    try:
        yield path
    finally:
        connections["default"].close()
        settings["NAME"] = was


@contextmanager
def taken_back() -> Iterator[None]:
    """Work in a transaction that is rolled back at the end."""
    with transaction.atomic():
        yield
        transaction.set_rollback(True)


def copied(source: Path, target: Path) -> Path:
    """Copy a store as it stands, its write-ahead log included."""
    if SERVER:
        on_the_server(f"CREATE DATABASE {named(target)} TEMPLATE {named(source)}")
        return target
    with sqlite3.connect(source) as old, sqlite3.connect(target) as new:
        old.backup(new)
    old.close()
    new.close()
    return target


@pytest.fixture(scope="session")
def empty_file(django_db_blocker) -> Path:
    path = FOLDER / "empty.sqlite3"
    if SERVER:
        on_the_server(f"CREATE DATABASE {named(path)}")
    with django_db_blocker.unblock(), opened(path):
        call_command("migrate", verbosity=0, interactive=False)
    return path


@pytest.fixture(scope="session")
def farm_file(empty_file, django_db_blocker) -> Path:
    path = copied(empty_file, FOLDER / "farm-only.sqlite3")
    with django_db_blocker.unblock(), opened(path):
        _make_farm()
    return path


@pytest.fixture(scope="session")
def planned_file(farm_file, django_db_blocker) -> Path:
    path = copied(farm_file, FOLDER / "planned.sqlite3")
    with django_db_blocker.unblock(), opened(path):
        days.save_plan(_day_mapping(), days=4, change_days=0)
    return path


@pytest.fixture(scope="session")
def demo_file(empty_file, django_db_blocker) -> Path:
    path = copied(empty_file, FOLDER / "demo.sqlite3")
    with django_db_blocker.unblock(), opened(path):
        demo.make(now=NOW)
    return path


@pytest.fixture
def store(empty_file, django_db_blocker) -> Iterator[Path]:
    """An empty store."""
    with django_db_blocker.unblock(), opened(empty_file) as path, taken_back():
        yield path


@pytest.fixture
def farm(farm_file, django_db_blocker) -> Iterator[farms.FarmView]:
    """The small invented farm, no day yet."""
    with django_db_blocker.unblock(), opened(farm_file), taken_back():
        yield farms.farm()


@pytest.fixture
def planned_day(planned_file, django_db_blocker) -> Iterator[int]:
    """The farm with one planned day; its number."""
    with django_db_blocker.unblock(), opened(planned_file), taken_back():
        yield days.days()[0].id


@pytest.fixture
def running_day(planned_day) -> int:
    """The same day, six birds caught and killed, four picked and drawn, three in the tank."""
    _count_birds(
        planned_day,
        {"catch": 6, "kill": 6, "pick": 4, "draw": 4, "chill": 3},
        first=days.day(planned_day).start,
    )
    return planned_day


@pytest.fixture
def frozen(monkeypatch) -> dt.datetime:
    """Stop the farm computer's clock."""
    monkeypatch.setattr("pinfeather.clock.now", lambda: NOW)
    return NOW


@pytest.fixture
def demo_farm(demo_file, django_db_blocker, frozen) -> Iterator[dict[str, int]]:
    """The demo farm at a stopped clock; the number of one day of each state."""
    with django_db_blocker.unblock(), opened(demo_file), taken_back():
        yield {line.status: line.id for line in days.days()}


@pytest.fixture
def real_store(planned_file, tmp_path, django_db_blocker) -> Iterator[Path]:
    """A copy of the farm with its planned day that other threads and programs can open too."""
    with django_db_blocker.unblock(), opened(copied(planned_file, tmp_path / "farm.sqlite3")) as p:
        yield p


@pytest.fixture(scope="session")
def store_name() -> Callable[[Path], str]:
    """Tell what Django calls a store."""
    return named


@pytest.fixture
def new_store(empty_file, tmp_path, django_db_blocker) -> Callable[[], Any]:
    """Give a context in which the store is a fresh, empty one of its own."""
    numbers = itertools.count()

    @contextmanager
    def one() -> Iterator[Path]:
        folder = tmp_path / f"new{next(numbers)}"
        folder.mkdir()
        with (
            django_db_blocker.unblock(),
            opened(copied(empty_file, folder / "farm.sqlite3")) as path,
        ):
            yield path

    return one


@pytest.fixture
def in_threads() -> Callable[[list[Callable[[], Any]]], list[Any]]:
    """Run functions at once, each in its own thread; give back what they return or raise."""
    import threading

    def run(jobs: list[Callable[[], Any]]) -> list[Any]:
        results: list[Any] = [None] * len(jobs)
        gate = threading.Barrier(len(jobs))

        def work(place: int, job: Callable[[], Any]) -> None:
            gate.wait()
            try:
                results[place] = job()
            except Exception as error:  # noqa: BLE001 - handed to the test
                results[place] = error
            finally:
                connections["default"].close()

        threads = [threading.Thread(target=work, args=item) for item in enumerate(jobs)]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()
        return results

    return run


@pytest.fixture(scope="session")
def season_made() -> Any:
    """The small season asked for and answered by hand."""
    return runpy.run_path(str(Path(__file__).parent / "season_made.py"))


@pytest.fixture(autouse=True)
def _seasons_wait(monkeypatch) -> None:
    """Work no season out beside a test; one that wants it says so."""
    monkeypatch.setattr(season_work, "run", lambda job: None)
    monkeypatch.setattr(season_work, "_RUNNING", set())
