"""The best day to process a standing lot, and what a week earlier or later costs."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Final, cast

from pinfeather.actions.calc import flock_text
from pinfeather.actions.calc.catalogue import calculation
from pinfeather.actions.calc.model import Input, Units
from pinfeather.actions.calc.reading import read
from pinfeather.actions.farm import farm
from pinfeather.actions.flock.learning import setting_of
from pinfeather.actions.flock.view import LotNow, lot_now
from pinfeather.errors import InputError, InputFaultsError
from pinfeather.flock.best_day import BestDay, Costs, Room, best_day
from pinfeather.words import gettext as _

_ASKED: Final = (
    "look", "classes", "other", "feed-price", "day-cost", "bird-cost", "cap", "room", "refused",
)  # fmt: skip
_FARTHEST_D: Final = 70


@dataclass(frozen=True, slots=True)
class When:
    """A lot's best day, or why there is none."""

    now: LotNow
    asks: tuple[Input, ...]
    found: BestDay | None


def asks() -> tuple[Input, ...]:
    """Return what the best day depends on besides the lot."""
    by_name = {one.name: one for one in calculation("best-day").inputs}
    return tuple(by_name[name] for name in _ASKED)


def first_values() -> dict[str, str]:
    """Return what stands in the form before anybody writes; the farm's own price where known."""
    home = farm()
    units = _units(home.units)
    found = {one.name: one.first(units) for one in asks()}
    if home.price_per_lb and units == "us":
        found["classes"] = f"3.5 lb to 5.5 lb = {home.price_per_lb}"
    return found


def _units(name: str) -> Units:
    return cast("Units", name if name in {"us", "metric"} else "us")


def when(code: str, written: Mapping[str, str]) -> When:
    """Return the best day for a lot under what was written.

    Raises
    ------
    InputFaultsError
        With every fault.
    RecordNotFoundError
        If there is no such lot.
    """
    now = lot_now(code)
    dressing = now.numbers.dressing
    if now.stage != "standing" or now.seen is None or dressing is None or not now.age_d:
        return When(now, asks(), None)
    asked = replace(calculation("best-day"), inputs=asks())
    given = read(asked, dict(written), units=_units(farm().units))
    look = given.whole("look")
    if not 1 <= look <= _FARTHEST_D:
        raise InputFaultsError([InputError("look", look, _("Look 1 to 70 days ahead."))])
    cap, room = given.maybe("cap"), given.maybe("room")
    days = [now.today + dt.timedelta(days=d) for d in range(look + 1)]
    try:
        refused = flock_text.refused(given, "refused")
        for day in days:
            if now.withdrawal_on and day < now.withdrawal_on:
                refused.setdefault(day, _("medicine must leave the birds first"))
        found = best_day(
            now.seen,
            days,
            hatched_on=now.book.life.hatched_on,
            today=now.today,
            birds=now.heads,
            classes=flock_text.classes(given, "classes"),
            costs=Costs(
                flock_text.price(given, "feed-price"),
                flock_text.price(given, "other"),
                flock_text.cents(given, "day-cost"),
                flock_text.cents(given, "bird-cost"),
            ),
            dressing=dressing,
            room=Room(None if not cap else int(cap), room or None, refused),
            setting=setting_of(now.row),
        )
    except InputError as fault:
        name = "refused" if fault.name == "days" else fault.name
        raise InputFaultsError([InputError(name, fault.value, fault.problem)]) from fault
    return When(now, asks(), found)
