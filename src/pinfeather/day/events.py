"""What happened on a day, read from the journal's entries into plain values."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any, Final

COUNTED: Final = ("catch", "kill", "pick", "draw", "chill", "bag")
"""The stations where birds are counted, each apart from the others."""

CAUSES: Final = ("dead on arrival", "condemned", "home use", "lost")
"""Why a bird may leave the line before it is packed."""


@dataclass(frozen=True, slots=True)
class Event:
    """One journal entry as the day sees it.

    ``at`` is the device's time moved onto the farm computer's clock.
    """

    seq: int
    client_id: str
    kind: str
    payload: Mapping[str, Any]
    who: str
    at: dt.datetime
    late: bool = False
    """Written after the day was closed."""


@dataclass(frozen=True, slots=True)
class Tally:
    """Birds counted at a station by one tap."""

    id: str
    station: str
    birds: int
    place: str
    lot: str
    who: str
    at: dt.datetime


@dataclass(frozen=True, slots=True)
class Reading:
    """A measured value as written, with its instrument."""

    id: str
    what: str
    """``bath``, ``bird``, ``giblets``, ``scalder``, ``strip``, ``room``, ``refrigerator``."""
    place: str
    written: str
    unit: str
    si: float
    instrument: str
    who: str
    at: dt.datetime
    note: str = ""
    mass_kg: float | None = None
    """Weight of the probed bird, where it was said."""


@dataclass(frozen=True, slots=True)
class LoggerNote:
    """A logger's file kept with the day; its readings are in the store, not in the journal."""

    id: str
    sha256: str
    file: int
    """Number of the file in the store."""
    what: str
    """``bird`` or ``bath``."""
    place: str
    instrument: str
    name: str
    who: str
    at: dt.datetime


@dataclass(frozen=True, slots=True)
class IcePoint:
    """An instrument's reading in melting ice."""

    id: str
    instrument: str
    written: str
    reading_degC: float
    who: str
    at: dt.datetime


@dataclass(frozen=True, slots=True)
class Done:
    """A task done: sanitiser renewed, tank stirred, ice added."""

    id: str
    task: str
    place: str
    who: str
    at: dt.datetime
    note: str = ""


@dataclass(frozen=True, slots=True)
class Explained:
    """Birds that left the line after a station, and why."""

    id: str
    after: str
    cause: str
    birds: int
    note: str
    who: str
    at: dt.datetime


@dataclass(frozen=True, slots=True)
class Source:
    """Birds of one lot out of one tank."""

    lot: str
    tank: str
    birds: int = 0


@dataclass(frozen=True, slots=True)
class Cutting:
    """Birds cut into parts together; their packages name it."""

    id: str
    number: int
    sources: tuple[Source, ...]
    carcass_kg: float
    written: str
    who: str
    at: dt.datetime
    finished: bool = False

    @property
    def birds(self) -> int:
        """Birds cut up."""
        return sum(source.birds for source in self.sources)


@dataclass(frozen=True, slots=True)
class MarkedBird:
    """A marked bird on the scale, before or after the chill."""

    id: str
    mark: str
    stage: str
    """``before`` or ``after``."""
    lot: str
    tank: str
    written: str
    mass_kg: float
    who: str
    at: dt.datetime


@dataclass(frozen=True, slots=True)
class ScaleCheck:
    """A scale under its test weight."""

    id: str
    scale: str
    test_lb: str
    reading_lb: str
    who: str
    at: dt.datetime


@dataclass(frozen=True, slots=True)
class Package:
    """One package weighed and labelled."""

    id: str
    number: int
    lot: str
    tank: str
    product: str
    gross: str
    tare: str
    net_lb: str
    price_per_lb: str
    total: str
    birds: int
    who: str
    at: dt.datetime
    sources: tuple[Source, ...] = ()
    """Every lot and tank it came from, where there are several."""
    cutting: str = ""
    """Id of the cutting its parts came off; empty for none."""
    class_name: str = ""
    """Class on the label, such as roaster; empty for none."""
    frozen: bool = False
    """Whether it is kept frozen."""
    fixed: str = ""
    """The weight its label declares where every package declares the same; else empty."""

    @property
    def lots(self) -> tuple[str, ...]:
        """Every lot in the package."""
        return tuple(dict.fromkeys((self.lot, *(source.lot for source in self.sources))))


@dataclass(frozen=True, slots=True)
class Action:
    """What was done about a finding, in somebody's own words."""

    id: str
    finding: str
    where: str
    text: str
    who: str
    at: dt.datetime


@dataclass(frozen=True, slots=True)
class Correction:
    """An earlier entry taken back, with who and why."""

    id: str
    of: str
    reason: str
    who: str
    at: dt.datetime
    late: bool


def _tally(e: Event) -> Tally:
    p = e.payload
    return Tally(
        id=e.client_id,
        station=str(p["station"]),
        birds=int(p.get("birds", 1)),
        place=str(p.get("place", "")),
        lot=str(p.get("lot", "")),
        who=e.who,
        at=e.at,
    )


def _reading(e: Event) -> Reading:
    p = e.payload
    return Reading(
        id=e.client_id,
        what=str(p["what"]),
        place=str(p.get("place", "")),
        written=str(p["written"]),
        unit=str(p["unit"]),
        si=float(p["si"]),
        instrument=str(p.get("instrument", "")),
        who=e.who,
        at=e.at,
        note=str(p.get("note", "")),
        mass_kg=None if p.get("mass_kg") is None else float(p["mass_kg"]),
    )


def _logger(e: Event) -> LoggerNote:
    p = e.payload
    return LoggerNote(
        id=e.client_id,
        sha256=str(p["sha256"]),
        file=int(p["file"]),
        what=str(p["what"]),
        place=str(p["place"]),
        instrument=str(p["instrument"]),
        name=str(p["name"]),
        who=e.who,
        at=e.at,
    )


def _ice_point(e: Event) -> IcePoint:
    p = e.payload
    return IcePoint(
        e.client_id, str(p["instrument"]), str(p["written"]), float(p["si"]), e.who, e.at
    )


def _done(e: Event) -> Done:
    p = e.payload
    return Done(
        e.client_id, str(p["task"]), str(p.get("place", "")), e.who, e.at, str(p.get("note", ""))
    )


def _explained(e: Event) -> Explained:
    p = e.payload
    return Explained(
        e.client_id,
        str(p["after"]),
        str(p["cause"]),
        int(p["birds"]),
        str(p.get("note", "")),
        e.who,
        e.at,
    )


def _package(e: Event) -> Package:
    p = e.payload
    return Package(
        id=e.client_id,
        number=int(p["number"]),
        lot=str(p["lot"]),
        tank=str(p.get("tank", "")),
        product=str(p["product"]),
        gross=str(p["gross"]),
        tare=str(p["tare"]),
        net_lb=str(p["net_lb"]),
        price_per_lb=str(p.get("price_per_lb", "")),
        total=str(p.get("total", "")),
        birds=int(p.get("birds", 1)),
        who=e.who,
        at=e.at,
        sources=_sources(p),
        cutting=str(p.get("cutting", "")),
        class_name=str(p.get("class_name", "")),
        frozen=bool(p.get("frozen", False)),
        fixed=str(p.get("fixed", "")),
    )


def _sources(p: Mapping[str, Any]) -> tuple[Source, ...]:
    return tuple(
        Source(str(s["lot"]), str(s.get("tank", "")), int(s.get("birds", 0)))
        for s in p.get("sources", ())
    )


def _cutting(e: Event) -> Cutting:
    p = e.payload
    return Cutting(
        id=e.client_id,
        number=int(p["number"]),
        sources=_sources(p),
        carcass_kg=float(p["mass_kg"]),
        written=str(p["written"]),
        who=e.who,
        at=e.at,
    )


def _marked(e: Event) -> MarkedBird:
    p = e.payload
    return MarkedBird(
        id=e.client_id,
        mark=str(p["mark"]),
        stage=str(p["stage"]),
        lot=str(p.get("lot", "")),
        tank=str(p.get("tank", "")),
        written=str(p["written"]),
        mass_kg=float(p["mass_kg"]),
        who=e.who,
        at=e.at,
    )


def scale_check(e: Event) -> ScaleCheck:
    """Read a scale's check; it belongs to a date, not to a processing day.

    Parameters
    ----------
    e : Event
        Of the kind ``"scale check"``.

    Returns
    -------
    ScaleCheck
        What the scale showed under its test weight.

    References
    ----------
    Derivation: the payload's own fields.
    """
    p = e.payload
    return ScaleCheck(
        e.client_id, str(p["scale"]), str(p["test_lb"]), str(p["reading_lb"]), e.who, e.at
    )


def _action(e: Event) -> Action:
    p = e.payload
    return Action(
        e.client_id, str(p["finding"]), str(p.get("where", "")), str(p["text"]), e.who, e.at
    )


def _correction(e: Event) -> Correction:
    p = e.payload
    return Correction(e.client_id, str(p["of"]), str(p.get("reason", "")), e.who, e.at, e.late)


READ: Final[Mapping[str, Callable[[Event], Any]]] = {
    "tally": _tally,
    "reading": _reading,
    "logger": _logger,
    "ice point": _ice_point,
    "done": _done,
    "explained": _explained,
    "package": _package,
    "cutting": _cutting,
    "marked bird": _marked,
    "action": _action,
    "correction": _correction,
}
"""What makes a plain value of an entry, by its kind; other kinds are not part of a day's sum."""
