"""Every planning number the farm's own records move, from the handbook to today."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final, get_args

from pinfeather.actions.day.chill_numbers import own_chill_numbers
from pinfeather.actions.flock import books as flocks
from pinfeather.actions.flock import learning as flock_learning
from pinfeather.actions.line.numbers import tapped_day
from pinfeather.day.line_learning import LAST_DAYS, learn_line
from pinfeather.day.request import Species
from pinfeather.day.tapped import TappedDay
from pinfeather.estimate import Estimate
from pinfeather.records import models
from pinfeather.reports.tables import csv_bytes

_MOST_STEPS: Final = 12
"""As many days or lots as are looked back on; older ones only show in what they left behind."""


@dataclass(frozen=True, slots=True)
class Step:
    """What a number was after a day, or a lot, had been learned from."""

    on: dt.date
    now: Estimate


@dataclass(frozen=True, slots=True)
class MovedNumber:
    """One planning number: the handbook's, and what the farm made of it.

    Parameters
    ----------
    room : str
        ``"line"``, ``"chill"`` or ``"flock"``.
    of : tuple of str
        What it is about, as codes: kind of bird and station, build and tank, or the lots' table.
    name : str
        Code of the number.
    unit : str
        ``"s"``, ``"mm"``, ``"W/m²K"`` or ``"1"``.
    handbook : Estimate
        Before anything was learned; times [s], lengths [m], else in ``unit``.
    steps : tuple of Step
        The oldest first; empty where the farm's own records say nothing of it yet.
    """

    room: str
    of: tuple[str, ...]
    name: str
    unit: str
    handbook: Estimate
    steps: tuple[Step, ...]

    @property
    def now(self) -> Estimate:
        """What the next plan is made with."""
        return self.steps[-1].now if self.steps else self.handbook


def planning_numbers(*, today: dt.date) -> tuple[MovedNumber, ...]:
    """Return every number that is learned, the line's first."""
    return (*_line(), *_chill(today), *_flock())


def numbers_csv(numbers: Sequence[MovedNumber]) -> bytes:
    """Return every step of every number as a table, in the number's unit."""
    return csv_bytes(
        ("about", "number", "unit", "after", "value", "low", "high", "basis", "status"),
        (
            (
                " ".join(one.of),
                one.name,
                one.unit,
                "handbook" if on is None else on.isoformat(),
                *(in_unit(value, one.unit) for value in (at.value, at.low, at.high)),
                at.basis.note,
                at.basis.status,
            )
            for one in numbers
            for on, at in ((None, one.handbook), *((step.on, step.now) for step in one.steps))
        ),
    )


def in_unit(value: float, unit: str) -> str:
    """Write a number in its unit, with as many figures as it bears."""
    if unit == "mm":
        return f"{1000 * value:.1f}"
    return f"{value:.2f}" if unit == "1" else f"{value:.0f}"


def _line() -> Iterator[MovedNumber]:
    rows = models.Day.objects.filter(status=models.Day.Status.CLOSED).order_by("date", "id")
    newest = list(rows.values_list("id", flat=True))[-(_MOST_STEPS + LAST_DAYS) :]
    closed = [tapped_day(day_id) for day_id in newest]
    for species in get_args(Species):
        yield from _line_kind(closed, species)


def _line_kind(closed: Sequence[TappedDay], species: Species) -> Iterator[MovedNumber]:
    mine = [day for day in closed if {lot.species for lot in day.request.lots} == {species}]
    first = max(1, len(mine) - _MOST_STEPS + 1)
    after = [
        (mine[n - 1], learn_line(mine[:n], species=species)) for n in range(first, len(mine) + 1)
    ]
    if not after:
        return
    for place, phase in enumerate(after[-1][1].phases):
        steps = [
            Step(day.start.date(), known.phases[place].learned.posterior)
            for day, known in after
            if len(known.phases) > place
            and (known.phases[place].station, known.phases[place].phase)
            == (phase.station, phase.phase)
            and known.phases[place].learned.data is not None
        ]
        yield MovedNumber(
            "line",
            (species, phase.station),
            phase.phase,
            "s",
            phase.learned.prior,
            tuple(steps),
        )


def _chill(today: dt.date) -> Iterator[MovedNumber]:
    rows = models.Day.objects.filter(status=models.Day.Status.CLOSED)
    dates = sorted(set(rows.values_list("date", flat=True)))[-_MOST_STEPS:]
    after = [(day, own_chill_numbers(before=day + dt.timedelta(days=1))) for day in dates]
    for group, own in own_chill_numbers(before=today + dt.timedelta(days=1)).groups.items():
        known = [(day, found.groups[group]) for day, found in after if group in found.groups]
        yield MovedNumber(
            "chill",
            group,
            "breast of a 1 kg bird",
            "mm",
            own.prior_thickness_m,
            tuple(Step(day, one.learned.thickness_of_1_kg_m) for day, one in known),
        )
        yield MovedNumber(
            "chill",
            group,
            "heat into the water",
            "W/m²K",
            own.prior_surface_W_per_m2K,
            tuple(Step(day, one.learned.surface_W_per_m2K) for day, one in known),
        )


def _flock() -> Iterator[MovedNumber]:
    done = sorted(flock_learning.finished(flocks.books()), key=lambda one: (one.on, one.row.code))
    after = [
        (done[n - 1].on, flock_learning.lessons(done[:n][::-1])) for n in range(1, len(done) + 1)
    ]
    if not after:
        return
    for kind in after[-1][1]:
        first = kind.lots[0]
        of = (first.row.species, kind.title, first.row.setting)
        for lesson in kind.lessons:
            steps: list[Step] = []
            for on, known in after:
                then = next(
                    (
                        one
                        for group in known
                        if (group.lots[0].row.species, group.title, group.lots[0].row.setting) == of
                        for one in group.lessons
                        if one.what == lesson.what and one.lots
                    ),
                    None,
                )
                if then is not None and (not steps or steps[-1].now != then.posterior):
                    steps.append(Step(on, then.posterior))
            yield MovedNumber(
                "flock", of, lesson.what, "1", lesson.prior, tuple(steps[-_MOST_STEPS:])
            )
