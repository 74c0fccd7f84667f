"""Seasons in the store: what was written, each working out of it, what was taken over."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from typing import Any, Final

from cattrs.preconf.json import make_converter

from pinfeather.errors import RecordNotFoundError
from pinfeather.finding import Severity
from pinfeather.records import models
from pinfeather.records.writing import writing
from pinfeather.season.asked import SeasonRequest
from pinfeather.season.plan import SeasonPlan
from pinfeather.season.request import request_from
from pinfeather.words import gettext as _

CONVERTER: Final = make_converter()
CONVERTER.register_unstructure_hook(Severity, int)
WAITING, WORKING, DONE, FAILED = (str(one) for one in models.SeasonVersion.Status)


@dataclass(frozen=True, slots=True)
class VersionLine:
    """A version in a list."""

    number: int
    status: str
    asked_on: dt.date
    replans: int | None


@dataclass(frozen=True, slots=True)
class SeasonView:
    """A season as pages see it."""

    id: int
    name: str
    from_on: dt.date
    until_on: dt.date
    mapping: Mapping[str, Any]
    """As it was last written; perhaps never worked out."""
    taken: Mapping[str, Any]
    versions: tuple[VersionLine, ...]
    """Newest first."""

    @property
    def newest(self) -> VersionLine | None:
        """The last working out, whatever became of it."""
        return self.versions[0] if self.versions else None

    @property
    def newest_done(self) -> VersionLine | None:
        """The last one that came to an answer."""
        return next((one for one in self.versions if one.status == DONE), None)


@dataclass(frozen=True, slots=True)
class VersionView:
    """One working out of a season."""

    season: SeasonView
    number: int
    status: str
    asked_on: dt.date
    mapping: Mapping[str, Any]
    replans: int | None
    trouble: str
    worker: str
    asked_at: dt.datetime
    finished_at: dt.datetime | None
    text: str

    @property
    def plan(self) -> SeasonPlan:
        """The plan as it was worked out.

        Raises
        ------
        RecordNotFoundError
            If it has not come to an answer.
        """
        if not self.text:
            raise RecordNotFoundError(_("This season plan is not worked out yet."))
        return _plan(self.text)

    @property
    def request(self) -> SeasonRequest:
        """What it was worked out from."""
        return request_from(self.mapping)

    @property
    def is_newest(self) -> bool:
        """Whether no later one came to an answer."""
        newest = self.season.newest_done
        return newest is not None and newest.number == self.number


@lru_cache(maxsize=16)
def _plan(text: str) -> SeasonPlan:
    return CONVERTER.loads(text, SeasonPlan)


def seasons() -> tuple[SeasonView, ...]:
    """Return the seasons on record, newest first."""
    return tuple(_view(row) for row in models.Season.objects.all())


def current() -> SeasonView | None:
    """Return the newest season, or None where none was ever written."""
    row = models.Season.objects.first()
    return None if row is None else _view(row)


def shown() -> SeasonView | None:
    """Return the newest season that was ever worked out; else the newest that was written."""
    row = models.Season.objects.filter(versions__isnull=False).first()
    return current() if row is None else _view(row)


def season(season_id: int) -> SeasonView:
    """Return one season.

    Raises
    ------
    RecordNotFoundError
        If there is none.
    """
    return _view(_row(season_id))


def version(season_id: int, number: int) -> VersionView:
    """Return one working out of a season.

    Raises
    ------
    RecordNotFoundError
        If there is none.
    """
    row = models.SeasonVersion.objects.filter(season_id=season_id, number=number).first()
    if row is None:
        raise RecordNotFoundError(_("There is no such season plan."))
    return VersionView(
        season(season_id),
        row.number,
        row.status,
        row.asked_on,
        row.request,
        row.replans,
        row.trouble,
        row.worker,
        row.asked_at,
        row.finished_at,
        row.plan,
    )


def save_draft(
    mapping: Mapping[str, Any], *, season_id: int | None, today: dt.date, now: dt.datetime
) -> int:
    """Keep a season as it was written, faults and all; return its number.

    Raises
    ------
    RecordNotFoundError
        If a season to be changed is not there.
    StoreError
        If the store cannot be written.
    """
    kept = plain(mapping)
    first = _date(kept.get("from")) or today
    with writing():
        row = _row(season_id) if season_id else models.Season(created_at=now)
        row.name = str(kept.get("name") or "")[:80] or _("Season {year}").format(year=first.year)
        row.from_on, row.until_on = first, _date(kept.get("until")) or first
        row.request = kept
        row.save()
    return row.pk


def take(season_id: int, kind: str, key: str, *, made: str) -> None:
    """Note that something of a plan was taken into the records.

    Raises
    ------
    RecordNotFoundError
        If there is no such season.
    """
    with writing():
        row = _row(season_id)
        row.taken = {**row.taken, kind: {**row.taken.get(kind, {}), key: made}}
        row.save(update_fields=["taken"])


def plain(value: Any) -> Any:  # noqa: ANN401 - any JSON value
    """Return a mapping as the store keeps it: dates as text, nothing empty."""
    if isinstance(value, Mapping):
        found = {str(name): plain(inner) for name, inner in value.items()}
        return {name: inner for name, inner in found.items() if inner not in ("", [], {}, None)}
    if isinstance(value, list | tuple):
        return [inner for inner in (plain(one) for one in value) if inner not in ("", {}, None)]
    if isinstance(value, dt.date | dt.time):
        return value.isoformat()
    return value


def _row(season_id: int | None) -> models.Season:
    row = models.Season.objects.filter(pk=season_id or 0).first()
    if row is None:
        raise RecordNotFoundError(_("There is no such season."))
    return row


def _view(row: models.Season) -> SeasonView:
    lines = row.versions.order_by("-number").only("number", "status", "asked_on", "replans")
    return SeasonView(
        row.pk,
        row.name,
        row.from_on,
        row.until_on,
        row.request,
        row.taken,
        tuple(VersionLine(r.number, r.status, r.asked_on, r.replans) for r in lines),
    )


def _date(text: object) -> dt.date | None:
    try:
        return dt.date.fromisoformat(str(text))
    except ValueError:
        return None
