"""The freezer: places, what is in them, what goes out first, and how cold they are."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Final

from pinfeather import clock, quantity
from pinfeather.actions.day import shopfloor
from pinfeather.actions.farm import farm
from pinfeather.actions.stock import book as stock_book
from pinfeather.actions.stock.book import Pkg
from pinfeather.day.events import Reading
from pinfeather.day.instruments import trusted
from pinfeather.errors import InputError, InputFaultsError, RecordNotFoundError
from pinfeather.finding import Finding, Severity
from pinfeather.heat.freezer import FreezerLoad, freezer_load
from pinfeather.packs.shelf import Keeps, keeps, next_out
from pinfeather.records import models
from pinfeather.records.writing import writing
from pinfeather.rules.frozen_store import storage_findings
from pinfeather.rules.profile import load
from pinfeather.units import KG_PER_LB
from pinfeather.words import gettext as _

PLACE_KINDS: Final = ("freezer", "refrigerator", "shelf", "box")
_COLD: Final = ("freezer", "refrigerator")
_COLDEST_DEGC: Final = -60.0
_WARMEST_DEGC: Final = 60.0
_UNREAD: Final = dt.timedelta(hours=24)
"""A freezer read less often than once a day is pointed out; common practice."""


@dataclass(frozen=True, slots=True)
class PlaceView:
    """A place packages are kept in."""

    id: int
    name: str
    kind: str
    inside: str
    volume: str

    @property
    def volume_m3(self) -> float | None:
        """Room inside [m3]; None where it was not written."""
        return quantity.parse(self.volume, "volume").si if self.volume else None


@dataclass(frozen=True, slots=True)
class ProductLine:
    """Packages of one product in one place."""

    product: str
    count: int
    net_lb: Decimal
    oldest: dt.date
    keeps: Keeps

    def late(self, today: dt.date) -> bool:
        """Whether the oldest is past its date."""
        return self.keeps.until < today


@dataclass(frozen=True, slots=True)
class Shelf:
    """One place with what is in it."""

    place: PlaceView
    lines: tuple[ProductLine, ...]
    count: int
    net_lb: Decimal
    held: int


@dataclass(frozen=True, slots=True)
class TemperatureLine:
    """A reading of a place, corrected and judged."""

    id: str
    place: str
    at: dt.datetime
    written: str
    corrected_degC: float
    instrument: str
    who: str
    findings: tuple[Finding, ...]


def places() -> tuple[PlaceView, ...]:
    """Return the places in use, those inside others right after them."""
    rows = [_place(row) for row in models.Place.objects.filter(active=True)]
    names = {row.name for row in rows}
    top = [row for row in rows if row.inside not in names]

    def with_inner(row: PlaceView) -> list[PlaceView]:
        inner = [one for one in rows if one.inside == row.name]
        return [row, *(deeper for one in inner for deeper in with_inner(one))]

    return tuple(one for row in top for one in with_inner(row))


def _place(row: models.Place) -> PlaceView:
    return PlaceView(row.pk, row.name, row.kind, row.inside, row.volume)


def place(name: str) -> PlaceView:
    """Return one place by its name.

    Raises
    ------
    RecordNotFoundError
        If there is none.
    """
    row = models.Place.objects.filter(name=name, active=True).first()
    if row is None:
        raise RecordNotFoundError(_("There is no such place."))
    return _place(row)


def save_place(name: str, *, kind: str, inside: str = "", volume: str = "") -> None:
    """Add a place, or change one.

    Raises
    ------
    InputFaultsError
        With every fault.
    """
    name, inside, volume = name.strip(), inside.strip(), volume.strip()
    faults = []
    if not name or len(name) > 40:  # noqa: PLR2004 - the column's length
        faults.append(InputError("name", name, _("Write a name of at most 40 letters.")))
    if kind not in PLACE_KINDS:
        faults.append(InputError("kind", kind, _("Choose what it is.")))
    by_name = {one.name: one.inside for one in places()}
    above = inside
    while above and above != name and above in by_name:
        above = by_name[above]
    if inside and (above == name or inside not in by_name):
        faults.append(InputError("inside", inside, _("Choose another place that it is in.")))
    try:
        if volume and quantity.parse(volume, "volume", name="volume").si <= 0:
            faults.append(InputError("volume", volume, _("Write how much room is inside.")))
    except InputError as fault:
        faults.append(fault)
    if faults:
        raise InputFaultsError(faults)
    with writing():
        models.Place.objects.update_or_create(
            name=name, defaults={"kind": kind, "inside": inside, "volume": volume, "active": True}
        )


def stands_in(name: str, known: Sequence[PlaceView]) -> PlaceView | None:
    """Return the freezer or refrigerator that a place is, or is in."""
    by_name = {one.name: one for one in known}
    here = by_name.get(name)
    for _round in range(len(by_name)):
        if here is None or here.kind in _COLD:
            return here
        here = by_name.get(here.inside)
    return here


def is_frozen(name: str, known: Sequence[PlaceView]) -> bool:
    """Tell whether what is in a place is frozen."""
    cold = stands_in(name, known)
    return cold is not None and cold.kind == "freezer"


def keeps_until(package: Pkg, known: Sequence[PlaceView]) -> Keeps:
    """Return until when a package keeps where it is; one not put away counts as fresh."""
    frozen = is_frozen(package.kept.place, known)
    return keeps(package.product, package.packed_on, frozen=frozen, species=species(package.lot))


def species(lot: str) -> str:
    """Return the kind of bird of a lot, empty where the lot is not on record."""
    return models.Lot.objects.filter(code=lot).values_list("species", flat=True).first() or ""


def shelves() -> tuple[Shelf, ...]:
    """Return every place with what is in it, last what was not put anywhere."""
    known = places()
    kinds = {row.code: row.species for row in models.Lot.objects.all()}
    by_place: dict[str, list[Pkg]] = {one.name: [] for one in known}
    for package in stock_book.in_stock():
        by_place.setdefault(package.kept.place, []).append(package)
    views = {one.name: one for one in known}
    return tuple(
        _shelf(views.get(name, PlaceView(0, name, "", "", "")), found, known=known, kinds=kinds)
        for name, found in by_place.items()
        if found or name in views
    )


def _shelf(
    here: PlaceView, found: Sequence[Pkg], *, known: Sequence[PlaceView], kinds: Mapping[str, str]
) -> Shelf:
    frozen = is_frozen(here.name, known)
    by_product: dict[str, list[Pkg]] = {}
    for package in found:
        by_product.setdefault(package.product, []).append(package)
    lines = []
    for product, packages in sorted(by_product.items()):
        oldest = min(packages, key=lambda p: p.packed_on)
        until = keeps(product, oldest.packed_on, frozen=frozen, species=kinds.get(oldest.lot, ""))
        lines.append(ProductLine(product, len(packages), pounds(packages), oldest.packed_on, until))
    held = sum(bool(p.kept.held) for p in found)
    return Shelf(here, tuple(lines), len(found), pounds(found), held)


def pounds(packages: Iterable[Pkg]) -> Decimal:
    """Add up printed weights [lb]."""
    return sum((one.net_lb for one in packages), Decimal(0))


def first_out(product: str = "", *, limit: int = 12) -> tuple[Pkg, ...]:
    """Return the packages to take first: first frozen, first out."""
    found = {p.id: p for p in stock_book.in_stock() if not product or p.product == product}
    order = next_out(p.kept for p in found.values())
    return tuple(found[one.born.id] for one in order[:limit])


def put(ids: Sequence[str], *, place_name: str, who: str, at: dt.datetime | None = None) -> str:
    """Put packages into a place; return the entry's id.

    Raises
    ------
    InputFaultsError
        If no place is chosen, or a package is not in stock.
    """
    if not models.Place.objects.filter(name=place_name, active=True).exists():
        raise InputFaultsError([InputError("place", place_name, _("Choose where they go."))])
    payload = {"act": "put", "packages": list(ids), "place": place_name}
    return stock_book.write("stock", payload, who=who, at=at)


def loads(*, now: dt.datetime) -> dict[str, FreezerLoad]:
    """Return how each freezer copes with what was put into it in the last 24 hours."""
    known = places()
    since = now - dt.timedelta(hours=24)
    fresh: dict[str, dict[str, Decimal]] = {}
    entries = models.Entry.objects.filter(kind="stock", device_time__gte=since).order_by("seq")
    stock = {p.id: p for p in stock_book.in_stock()}
    for entry in entries:
        if entry.payload.get("act") != "put":
            continue
        for ident in entry.payload["packages"]:
            package = stock.get(ident)
            cold = stands_in(package.kept.place, known) if package else None
            if package and cold:
                fresh.setdefault(cold.name, {})[ident] = package.net_lb
    found = {}
    for one in known:
        if one.kind != "freezer" or one.volume_m3 is None:
            continue
        inside = [p for p in stock.values() if stands_in(p.kept.place, known) == one]
        new_lb = float(sum(fresh.get(one.name, {}).values(), Decimal(0)))
        found[one.name] = freezer_load(
            birds_kg=new_lb * KG_PER_LB,
            volume_m3=one.volume_m3,
            already_kg=(float(pounds(inside)) - new_lb) * KG_PER_LB,
        )
    return found


def save_temperature(
    place_name: str,
    *,
    written: str,
    instrument: str,
    who: str,
    at: dt.datetime | None = None,
) -> str:
    """Write down how cold a freezer or refrigerator is; return the entry's id.

    Raises
    ------
    InputFaultsError
        With every fault.
    """
    faults = []
    row = models.Place.objects.filter(name=place_name, kind__in=_COLD, active=True).first()
    if row is None:
        faults.append(InputError("place", place_name, _("Choose a freezer or refrigerator.")))
    if instrument not in shopfloor.accuracies_K():
        faults.append(InputError("instrument", instrument, _("Choose the thermometer.")))
    try:
        value = quantity.parse(written, "temperature", name="written")
        if not _COLDEST_DEGC <= value.si <= _WARMEST_DEGC:
            sentence = _("{value} cannot be right. Read it again.").format(value=value.written)
            faults.append(InputError("written", written, sentence))
    except InputError as fault:
        faults.append(fault)
    if faults:
        raise InputFaultsError(faults)
    payload = {
        "place": place_name,
        "written": value.written,
        "unit": value.unit,
        "si": value.si,
        "instrument": instrument,
    }
    return stock_book.note("storage reading", payload, who=who, at=at)


def temperatures(*, now: dt.datetime, limit: int = 60) -> tuple[TemperatureLine, ...]:
    """Return the newest readings of all places, newest first, each judged."""
    rows = list(models.Entry.objects.filter(kind="storage reading").order_by("-seq")[:limit])
    readings = [
        Reading(
            id=row.client_id,
            what="refrigerator",
            place=str(row.payload["place"]),
            written=str(row.payload["written"]),
            unit=str(row.payload["unit"]),
            si=float(row.payload["si"]),
            instrument=str(row.payload["instrument"]),
            who=row.who,
            at=row.device_time,
        )
        for row in rows
    ]
    profile = load(farm().profile)
    kinds = dict(models.Place.objects.values_list("name", "kind"))
    corrected = trusted(readings, shopfloor.ice_points(now), accuracies_K=shopfloor.accuracies_K())
    lines = [
        TemperatureLine(
            one.reading.id,
            one.reading.place,
            one.reading.at,
            one.reading.written,
            one.corrected_degC,
            one.reading.instrument,
            one.reading.who,
            storage_findings(
                profile,
                air_degC=one.corrected_degC,
                uncertainty_K=one.uncertainty_K,
                frozen=kinds.get(one.reading.place) == "freezer",
                where=one.reading.place,
            ),
        )
        for one in corrected
    ]
    return tuple(sorted(lines, key=lambda line: line.at, reverse=True))


def cold_findings(lines: Sequence[TemperatureLine], *, now: dt.datetime) -> tuple[Finding, ...]:
    """Return what the newest reading of each place says, and which place nobody has read."""
    newest: dict[str, TemperatureLine] = {}
    for line in lines:
        newest.setdefault(line.place, line)
    found: list[Finding] = []
    for one in places():
        if one.kind not in _COLD:
            continue
        last = newest.get(one.name)
        if last is not None:
            found.extend(last.findings)
        if last is None or now - last.at > _UNREAD:
            found.append(
                Finding(
                    "storage.unread",
                    Severity.CHECK,
                    _("Nobody has read {place} since yesterday.").format(place=one.name)
                    if last
                    else _("Nobody has read {place} yet.").format(place=one.name),
                    _("Once a day is common practice; a dead freezer is then found in time."),
                    where=one.name,
                    status="common practice",
                )
            )
    return tuple(found)


def today() -> dt.date:
    """Return the date on the farm's wall calendar."""
    return clock.today(farm().zone)
