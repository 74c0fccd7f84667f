"""The farm's own times: learned from closed days, shown beside the handbook, used in plans."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import get_args

from pinfeather.actions.day import days, running
from pinfeather.actions.farm import people, save_person
from pinfeather.day.hindsight import Hindsight, hindsight
from pinfeather.day.line_learning import LAST_DAYS, LineLearning, learn_line
from pinfeather.day.practice import Practice, learn_practice, speeds
from pinfeather.day.request import DayRequest, Species
from pinfeather.day.tapped import TappedDay
from pinfeather.errors import InputError
from pinfeather.estimate import Estimate
from pinfeather.records import models
from pinfeather.words import gettext as _

_PACE_LOW, _PACE_HIGH = 0.2, 3.0


@dataclass(frozen=True, slots=True)
class LineNumbers:
    """What is known of every kind of bird the farm has processed."""

    kinds: tuple[LineLearning, ...]
    closed: int
    practice: Mapping[str, tuple[PracticeRow, ...]]


@dataclass(frozen=True, slots=True)
class PracticeRow:
    """One person's first birds, and what a day as large as their last would take of it."""

    practice: Practice
    quicker: Estimate | None


def tapped_day(day_id: int) -> TappedDay:
    """Return a day's plan beside its taps.

    Raises
    ------
    RecordNotFoundError
        If there is no such day.
    """
    view = days.day(day_id)
    done = running.day_progress(view.id)
    return TappedDay(view.plan, view.request, done, view.start)


def _closed(*, skip: int | None = None, most: int = 2 * LAST_DAYS) -> tuple[TappedDay, ...]:
    """Return the newest closed days, oldest first."""
    rows = models.Day.objects.filter(status=models.Day.Status.CLOSED).exclude(pk=skip or 0)
    newest = list(rows.order_by("-date", "-id").values_list("pk", flat=True)[:most])
    return tuple(tapped_day(pk) for pk in reversed(newest))


def learned_times(
    request: DayRequest, *, skip: int | None = None
) -> dict[tuple[str, str], Estimate]:
    """Return the farm's own station times for a day; none where its birds are of several kinds."""
    kinds = {lot.species for lot in request.lots}
    if len(kinds) != 1:
        return {}
    closed = _closed(skip=skip)
    return learn_line(closed, species=kinds.pop()).times() if closed else {}


def learned_speeds(request: DayRequest, *, skip: int | None = None) -> dict[str, Estimate]:
    """Return how much quicker beginners are by now than on their days so far, by name."""
    kinds = {lot.species for lot in request.lots}
    if len(kinds) != 1:
        return {}
    closed = _closed(skip=skip)
    return speeds(learn_practice(closed, species=kinds.pop()), request) if closed else {}


def line_numbers() -> LineNumbers:
    """Return what the closed days say, kind by kind."""
    closed = _closed()
    kinds = [learn_line(closed, species=one) for one in get_args(Species)]
    practice = {
        kind.species: tuple(
            PracticeRow(one, one.quicker(one.birds / one.days))
            for one in learn_practice(closed, species=species)
        )
        for kind, species in zip(kinds, get_args(Species), strict=True)
    }
    return LineNumbers(tuple(one for one in kinds if one.days), len(closed), practice)


def day_hindsight(day_id: int) -> Hindsight:
    """Return where the plan of a day was wrong and why.

    Raises
    ------
    RecordNotFoundError
        If there is no such day.
    """
    return hindsight(tapped_day(day_id))


def take_pace(name: str) -> None:
    """Write a learned pace into the list of people, for plans from now on.

    Raises
    ------
    InputError
        If nothing has been learned about somebody of this name, or they are not on the list.
    """
    learned = next((k.paces[name] for k in line_numbers().kinds if name in k.paces), None)
    person = next((one for one in people() if one.name == name), None)
    if learned is None or person is None:
        raise InputError("name", name, _("No pace has been learned for somebody of this name."))
    pace = min(max(person.pace * learned.value, _PACE_LOW), _PACE_HIGH)
    save_person(person.name, list(person.stations), pace=round(pace, 2))
