"""The farm's own page: name, rules, people, lots, instruments."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass, replace
from typing import Final

from pinfeather import quantity
from pinfeather.clock import zone
from pinfeather.day.request import PEOPLE_STATIONS
from pinfeather.errors import InputError, InputFaultsError, RecordNotFoundError
from pinfeather.records import models
from pinfeather.records.writing import writing
from pinfeather.words import gettext as _


@dataclass(frozen=True, slots=True)
class FarmView:
    """The farm as pages and documents see it."""

    name: str = ""
    address: str = ""
    phone: str = ""
    zone: str = "America/Chicago"
    profile: str = "us-federal"
    tier: str = "producer_1000"
    altitude: str = "0 ft"
    price_per_lb: str = ""
    water_source: str = "well"
    water_test: dt.date | None = None
    units: str = "us"
    demo: bool = False

    @property
    def ready(self) -> bool:
        """Whether the farm has been named."""
        return bool(self.name)

    @property
    def label_name(self) -> str:
        """The name as labels bear it; on pretend birds it says so."""
        return _("{name}, pretend birds").format(name=self.name) if self.demo else self.name


@dataclass(frozen=True, slots=True)
class PersonView:
    """Somebody who works in the shop."""

    id: int
    name: str
    stations: tuple[str, ...]
    pace: float


@dataclass(frozen=True, slots=True)
class LotView:
    """Birds raised together."""

    id: int
    code: str
    species: str
    build: str
    hatched: dt.date | None
    head: int
    note: str
    breed: str = ""
    sex: str = "straight run"
    curve: str = ""
    setting: str = "usual"
    outlet: str = ""
    plan_on: dt.date | None = None


@dataclass(frozen=True, slots=True)
class InstrumentView:
    """A thermometer, a scale, or test strips."""

    id: int
    name: str
    kind: str
    accuracy: str

    @property
    def accuracy_K(self) -> float:
        """Stated accuracy [K]; zero where none is stated."""
        if not self.accuracy:
            return 0.0
        return quantity.parse(self.accuracy, "temperature difference").si


UNITS: Final = ("us", "metric")
"""What a farm, or a reader, may count in."""
_READER_UNITS: ContextVar[str] = ContextVar("reader_units", default="")
_MOST_HEAD = 1_000_000
FARM_FIELDS = (
    "name", "address", "phone", "zone", "profile", "tier", "altitude", "price_per_lb",
    "water_source", "water_test", "units",
)  # fmt: skip


def farm() -> FarmView:
    """Return the farm in the reader's units, or one with nothing filled in."""
    home = farm_as_kept()
    return replace(home, units=_READER_UNITS.get() or home.units)


def farm_as_kept() -> FarmView:
    """Return the farm as it is written down, whoever reads."""
    row = models.Farm.objects.first()
    if row is None:
        return FarmView()
    return FarmView(**{name: getattr(row, name) for name in FARM_FIELDS}, demo=row.demo)


@contextmanager
def reading_in(units: str) -> Iterator[None]:
    """Show everything within in one reader's units; empty for the farm's own."""
    token = _READER_UNITS.set(units if units in UNITS else "")
    try:
        yield
    finally:
        _READER_UNITS.reset(token)


def save_farm(values: dict[str, object], *, demo: bool = False) -> FarmView:
    """Save what the farm's form says.

    Raises
    ------
    InputFaultsError
        With every fault.
    """
    faults = []
    if not values.get("name"):
        faults.append(InputError("name", values.get("name"), _("Write the farm's name.")))
    try:
        quantity.parse(str(values.get("altitude") or "0 ft"), "length", name="altitude")
    except InputError as fault:
        faults.append(fault)
    try:
        zone(str(values.get("zone") or ""))
    except InputError as fault:
        faults.append(InputError("zone", values.get("zone"), fault.problem))
    if faults:
        raise InputFaultsError(faults)
    with writing():
        row = models.Farm.objects.first() or models.Farm(demo=demo)
        for name in FARM_FIELDS:
            if name in values:
                setattr(row, name, values[name])
        row.save()
    return farm()


def rules_in_words(home: FarmView) -> str:
    """Return by which rules and which exemption a farm is judged."""
    from pinfeather.actions.rules.choices import profile_choices, tier_choices

    profile = dict(profile_choices()).get(home.profile, home.profile)
    tier = dict(tier_choices(home.profile)).get(home.tier, home.tier)
    return f"{profile}: {tier}"


def people() -> tuple[PersonView, ...]:
    """Return the people who work in the shop."""
    return tuple(
        PersonView(row.pk, row.name, tuple(row.stations), row.pace)
        for row in models.Person.objects.filter(active=True)
    )


def save_person(name: str, stations: list[str], *, pace: float = 1.0) -> None:
    """Add somebody, or change what they do.

    Raises
    ------
    InputFaultsError
        If the name is empty or a station is unknown.
    """
    faults = []
    if not name.strip():
        faults.append(InputError("name", name, _("Write a name.")))
    if not stations or any(code not in PEOPLE_STATIONS for code in stations):
        faults.append(InputError("stations", stations, _("Tick at least one station.")))
    if faults:
        raise InputFaultsError(faults)
    with writing():
        models.Person.objects.update_or_create(
            name=name.strip(), defaults={"stations": stations, "pace": pace, "active": True}
        )


def lots() -> tuple[LotView, ...]:
    """Return the lots on record, youngest first."""
    return tuple(
        LotView(
            r.pk,
            r.code,
            r.species,
            r.build,
            r.hatched,
            r.head,
            r.note,
            breed=r.breed,
            sex=r.sex,
            curve=r.curve,
            setting=r.setting,
            outlet=r.outlet,
            plan_on=r.plan_on,
        )
        for r in models.Lot.objects.filter(withdrawn=False)
    )


def save_lot(
    code: str,
    *,
    species: str,
    build: str,
    hatched: dt.date | None,
    head: int,
    note: str = "",
) -> None:
    """Add a lot, or change what is written about it.

    Raises
    ------
    InputError
        If the code is empty, or the head is not a number of birds.
    """
    if not code.strip():
        raise InputError("code", code, _("Give the lot a short code, such as B3."))
    if not 0 <= head <= _MOST_HEAD:
        raise InputError("head", head, _("Between 0 and {n} birds.").format(n=_MOST_HEAD))
    with writing():
        models.Lot.objects.update_or_create(
            code=code.strip(),
            defaults={
                "species": species,
                "build": build,
                "hatched": hatched,
                "head": head,
                "note": note,
                "withdrawn": False,
            },
        )


def instruments(kind: str = "") -> tuple[InstrumentView, ...]:
    """Return the instruments in use, of one kind where asked."""
    rows = models.Instrument.objects.filter(active=True)
    if kind:
        rows = rows.filter(kind=kind)
    return tuple(InstrumentView(r.pk, r.name, r.kind, r.accuracy) for r in rows)


def instrument(name: str) -> InstrumentView:
    """Return one instrument by its name.

    Raises
    ------
    RecordNotFoundError
        If there is none.
    """
    for found in instruments():
        if found.name == name:
            return found
    raise RecordNotFoundError(_("There is no instrument called “{name}”.").format(name=name))


def save_instrument(name: str, *, kind: str, accuracy: str) -> None:
    """Add an instrument, or change its stated accuracy.

    Raises
    ------
    InputFaultsError
        If the name is empty or the accuracy is not a temperature difference.
    """
    faults = []
    if not name.strip():
        faults.append(InputError("name", name, _("Write what you call it, such as Red probe.")))
    if kind == "thermometer":
        try:
            quantity.parse(accuracy, "temperature difference", name="accuracy")
        except InputError as fault:
            faults.append(fault)
    if faults:
        raise InputFaultsError(faults)
    with writing():
        models.Instrument.objects.update_or_create(
            name=name.strip(), defaults={"kind": kind, "accuracy": accuracy, "active": True}
        )
