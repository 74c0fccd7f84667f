"""Birds shared out among the farm's free windows, and the planned days made of it."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from pinfeather import clock, quantity
from pinfeather.actions.day import days
from pinfeather.actions.farm import farm, lots
from pinfeather.actions.line import free_hours
from pinfeather.actions.line.numbers import learned_times
from pinfeather.day.part_days import (
    PartDays,
    PartDaysRequest,
    part_days_from,
    plan_part_days,
    window_line,
)
from pinfeather.day.request import DayRequest, request_from
from pinfeather.errors import InputError, InputFaultsError
from pinfeather.words import gettext as _


@dataclass(frozen=True, slots=True)
class PartDaysView:
    """What was asked, the crew and equipment it is for, and the answer."""

    asked: PartDaysRequest
    base: DayRequest
    answer: PartDays


def first_form(today: dt.date) -> dict[str, Any]:
    """Return what the form shows first: the youngest lot, a month to do it in."""
    lot = next(iter(lots()), None)
    return {
        "birds": "" if lot is None or not lot.head else str(lot.head),
        "code": lot.code if lot else "",
        "species": lot.species if lot else "chicken",
        "build": lot.build if lot else "broad",
        "mean": "",
        "spread": "0.5 lb",
        "by": (today + dt.timedelta(days=28)).isoformat(),
        "windows": "",
        "light_from": "07:00",
        "light_to": "19:00",
        "store_birds": "",
        "fewest": "1",
        "longest": "10 h",
    }


def imported(
    mapping: Mapping[str, Any], files: Sequence[bytes], *, today: dt.date
) -> dict[str, Any]:
    """Fill the form's windows with what the calendars leave free.

    Raises
    ------
    InputError
        If a file cannot be read, or the form does not say which days and hours to look at.
    """
    zone = clock.zone(farm().zone)
    try:
        last = dt.date.fromisoformat(str(mapping.get("by") or ""))
    except ValueError:
        raise InputError("by", mapping.get("by"), _("Say first by when it must be done.")) from None
    try:
        light = [
            dt.time.fromisoformat(str(mapping.get(name) or "").rjust(5, "0"))
            for name in ("light_from", "light_to")
        ]
    except ValueError:
        raise InputError(
            "light_from", None, _("Say first from when to when it is light.")
        ) from None
    if not files:
        raise InputError("calendar", None, _("Choose a calendar file first."))
    hours = free_hours.Hours(today + dt.timedelta(days=1), last, light[0], light[1], zone)
    found = free_hours.free_windows(files, hours)
    if not found:
        raise InputError("calendar", None, _("These calendars leave no hour free."))
    return {**mapping, "windows": "\n".join(window_line(one) for one in found)}


def _base(today: dt.date, asked: PartDaysRequest) -> tuple[dict[str, Any], DayRequest]:
    """Return the last day's crew and equipment with one lot of these birds."""
    home = farm()
    mapping = days.draft(today) | {"profile": home.profile, "tier": home.tier}
    mapping["lots"] = [_lot(asked, asked.birds)]
    mapping |= {"deadline": "", "deadline_reason": ""}
    return mapping, request_from({**mapping, "lots": [_lot(asked, min(asked.birds, 100))]})


def _lot(asked: PartDaysRequest, birds: int) -> dict[str, Any]:
    return {
        "code": asked.code,
        "species": asked.species,
        "build": asked.build,
        "count": str(birds),
        "mean": _kg(asked.mean_kg),
        "spread": _kg(asked.spread_kg),
    }


def _kg(mass_kg: float) -> str:
    return quantity.show(mass_kg, "kg", "mass", decimals=3).replace("\u202f", " ")


def part_days(mapping: Mapping[str, Any], *, today: dt.date) -> PartDaysView:
    """Share birds out among the windows somebody wrote down.

    Raises
    ------
    InputFaultsError
        With every fault.
    """
    asked = part_days_from(mapping)
    gone = [w for w in asked.windows if w.date < today]
    if gone:
        raise InputFaultsError(
            [InputError("windows", window_line(gone[0]), _("The first window is already past."))]
        )
    _mapping, base = _base(today, asked)
    times = learned_times(base)
    return PartDaysView(asked, base, plan_part_days(base, asked, times=times))


def make_days(
    mapping: Mapping[str, Any], *, today: dt.date, number: int | None = None
) -> list[int]:
    """Plan a day for every window used; return the days' numbers.

    Parameters
    ----------
    mapping : mapping
        What was asked for.
    today : date
        On the farm's calendar.
    number : int or None
        Which of the ways, by its number of days; None is the fewest.

    Raises
    ------
    InputFaultsError
        With every fault, or if the birds do not fit.
    """
    view = part_days(mapping, today=today)
    ways = {way.split.days: way.split for way in view.answer.ways}
    split = view.answer.chosen if number is None else ways.get(number)
    if split is None:
        raise InputFaultsError(
            [InputError("windows", None, _("The birds do not fit into these windows."))]
        )
    base, _request = _base(today, view.asked)
    made = []
    for window, birds in zip(view.answer.windows, split.birds, strict=True):
        if not birds:
            continue
        free = window.window
        start = _later(free.begins, view.answer.set_up_s)
        made.append(
            {
                **base,
                "date": free.date.isoformat(),
                "start": f"{start:%H:%M}",
                "deadline": f"{_later(free.ends, -view.answer.clean_up_s):%H:%M}",
                "deadline_reason": _("clean-up begins"),
                "lots": [_lot(view.asked, birds)],
                "people": [
                    {
                        **person,
                        "from": f"{free.begins:%H:%M}",
                        "to": f"{free.ends:%H:%M}",
                        "breaks": "",
                    }
                    for person in base["people"]
                ],
            }
        )
    return [days.save_plan(one) for one in made]


def _later(time: dt.time, by_s: float) -> dt.time:
    minutes = time.hour * 60 + time.minute + round(by_s / 60)
    minutes = min(max(minutes, 0), 24 * 60 - 1)
    return dt.time(minutes // 60, minutes % 60)
