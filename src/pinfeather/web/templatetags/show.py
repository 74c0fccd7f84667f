"""Filters that write codes, numbers and moments for people."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable

from django import template
from django.urls import reverse
from django.utils.functional import Promise
from django.utils.translation import gettext as _

from pinfeather import clock
from pinfeather.actions.day.days import DayView
from pinfeather.actions.day.shopfloor import Floor
from pinfeather.actions.home import HomeLine
from pinfeather.day.due import Due
from pinfeather.day.hindsight import group_words
from pinfeather.day.request import PersonRequest
from pinfeather.day.tapped import GroupCode
from pinfeather.finding import Severity
from pinfeather.units import from_si
from pinfeather.web import stock_words, words
from pinfeather.web.dayview import mass_unit
from pinfeather.words import date_text

register = template.Library()
_STATIONS = {**dict(words.STATIONS), "chill": _("Chill")}
_SPECIES, _BUILDS = dict(words.SPECIES), dict(words.BUILDS)


@register.filter
def station(code: str) -> str | Promise:
    """Return a station's name."""
    return _STATIONS.get(code, code)


@register.filter
def stations(codes: Iterable[str]) -> str:
    """Return several stations' names in the order of the line."""
    known = set(codes)
    return ", ".join(str(name).lower() for code, name in words.STATIONS if code in known)


@register.filter
def species(code: str) -> str | Promise:
    """Return a kind of bird."""
    return _SPECIES.get(code, code)


@register.filter
def build(code: str) -> str:
    """Return a build in small letters."""
    return str(_BUILDS.get(code, code)).lower()


@register.filter
def severity_word(severity: Severity | int | str) -> str | Promise:
    """Return the word that stands beside a finding's colour."""
    return words.SEVERITY_WORDS[severity_code(severity)]


@register.filter
def severity_code(severity: Severity | int | str) -> str:
    """Return the severity's name for a class attribute."""
    return severity if isinstance(severity, str) else Severity(severity).code


@register.filter
def status_word(status: str) -> str | Promise:
    """Return how a number is known, in words."""
    return words.STATUS_WORDS.get(status, status)


@register.filter
def clock_time(moment: dt.datetime | None, zone: str) -> str:
    """Return the time of day on the farm's clock."""
    if moment is None:
        return ""
    return moment.astimezone(clock.zone(zone)).strftime("%H:%M")


@register.filter
def long_date(day: dt.date | None) -> str:
    """Return a date with its weekday."""
    return "" if day is None else date_text(day, weekday=True)


@register.filter
def minutes(seconds: float | None) -> str:
    """Return seconds as whole minutes, or hours and minutes."""
    if seconds is None:
        return _("never")
    whole = round(seconds / 60)
    if whole < 90:  # noqa: PLR2004 - up to an hour and a half minutes read best
        return _("{n} min").format(n=whole)
    return _("{h} h {m:02d} min").format(h=whole // 60, m=whole % 60)


@register.filter
def at(after_s: float | None, day: DayView) -> str:
    """Return seconds after the first bird as a time on the farm's clock."""
    return _("never") if after_s is None else clock_time(day.moment(after_s), day.zone)


@register.filter
def mass(value_kg: float) -> str:
    """Return a mass in the farm's unit, without decimals."""
    unit = mass_unit()
    return f"{from_si(value_kg, unit, 'mass'):.0f}\u202f{unit}"


@register.filter
def names(people: Iterable[PersonRequest]) -> str:
    """Return people's names in one line."""
    return ", ".join(person.name for person in people)


@register.filter
def get(mapping: dict[str, object], name: str) -> object:
    """Return an entry of a mapping."""
    return mapping.get(name, "")


@register.filter
def due_by(due: Iterable[Due], now: dt.datetime) -> list[Due]:
    """Return what is due by now."""
    return [one for one in due if one.at <= now]


@register.filter
def late_by(moment: dt.datetime, now: dt.datetime) -> str:
    """Return how late something is."""
    return _("{span} late").format(span=minutes((now - moment).total_seconds()))


@register.filter
def status_of_day(status: str) -> str:
    """Return a day's state in words."""
    return {"planned": _("planned"), "running": _("under way"), "closed": _("closed")}[status]


@register.filter
def proof_word(proof: str) -> str:
    """Return how a chill batch stands, in one word."""
    return {
        "proved": _("Proved"),
        "late": _("Too late"),
        "warm": _("Not proved"),
        "pending": _("Still to prove"),
    }[str(proof)]


@register.filter
def counts(floor: Floor) -> list[dict[str, object]]:
    """Return each counted station with its count and its page."""
    rows: list[dict[str, object]] = [
        {
            "name": name,
            "count": floor.done.count(code),
            "url": reverse("station", args=[floor.day.id, code]),
        }
        for code, name in words.COUNTED
    ]
    rows.append(
        {
            "name": _("Pack"),
            "count": floor.done.count("bag"),
            "url": reverse("desk", args=[floor.day.id]),
        }
    )
    return rows


@register.filter
def cell(value: object, zone: str) -> str:
    """Return a table cell of any kind as text."""
    if value is None:
        return ""
    if isinstance(value, dt.datetime):
        return clock_time(value, zone)
    if isinstance(value, bool):
        return _("yes") if value else ""
    return f"{value:.0f}" if isinstance(value, float) else str(value)


@register.filter
def pair(where: str) -> list[str]:
    """Return the two stations of a gap."""
    return where.split("-")


@register.filter
def short_time(seconds: float) -> str:
    """Return a short time in seconds below two minutes, in minutes above."""
    if seconds < 120:  # noqa: PLR2004 - seconds read better below two minutes
        return _("{n:.0f} s").format(n=seconds)
    return minutes(seconds)


@register.filter
def percent(share: float) -> str:
    """Return a share in percent."""
    whole = round(100 * share)
    return f"{'−' if whole < 0 else ''}{abs(whole)}\u202f%"


@register.filter
def group_word(code: GroupCode) -> str:
    """Return what a group of stations is called."""
    return group_words(code)


@register.filter
def hours(seconds: float) -> str:
    """Return a long time as hours and minutes with a colon between."""
    whole = round(seconds / 60)
    return f"{whole // 60}:{whole % 60:02d}"


@register.filter
def to_seconds(seconds: float) -> str:
    """Return a time to the second, in seconds below two minutes."""
    whole = round(seconds)
    if whole < 120:  # noqa: PLR2004 - seconds read better below two minutes
        return _("{n} s").format(n=whole)
    return _("{m} min {s:02d} s").format(m=whole // 60, s=whole % 60)


@register.filter
def label_size(size: str) -> str | Promise:
    """Say how large a label is."""
    return words.LABEL_SIZES.get(size, size)


@register.filter
def stock_state(state: str) -> str | Promise:
    """Return where a package is, in words."""
    return stock_words.STATES.get(state, state)


@register.filter
def stock_act(act: str) -> str | Promise:
    """Return what happened to a package, in words."""
    return stock_words.ACTS.get(act, act)


@register.filter
def page_of(line: HomeLine) -> str:
    """Return the address of the page on which a line of the first page is dealt with."""
    return reverse(line.page, args=line.args)
