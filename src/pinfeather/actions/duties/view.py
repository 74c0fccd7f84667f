"""How each duty stands today, from the rules, the journal, and what is checked elsewhere."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass, replace

from pinfeather import clock
from pinfeather.actions.day import days, shopfloor
from pinfeather.actions.duties import book
from pinfeather.actions.duties.book import Book, Done, Setting
from pinfeather.actions.farm import FarmView, farm, instruments
from pinfeather.errors import InputError, RecordNotFoundError
from pinfeather.estimate import Basis, Origin
from pinfeather.rules.deadlines import licence_deadlines
from pinfeather.rules.duties import (
    Duty,
    Interval,
    Standing,
    changed,
    in_order,
    stands,
    usual_duties,
)
from pinfeather.rules.model import Profile
from pinfeather.rules.profile import load
from pinfeather.words import gettext as _
from pinfeather.words import ngettext

_CHECKS_BACK = dt.timedelta(days=400)
_OWN_NOTICE_D = 14


@dataclass(frozen=True, slots=True)
class DutyView:
    """A duty as pages see it."""

    standing: Standing
    days_left: int | None
    history: tuple[Done, ...]
    setting: Setting
    to_mark: bool = True
    """Whether it is marked on its own page; the others are done elsewhere."""

    @property
    def code(self) -> str:
        """Its name in addresses."""
        return self.standing.duty.code

    @property
    def title(self) -> str:
        """What to do."""
        return self.standing.duty.title

    @property
    def state(self) -> str:
        """How it stands, in one word."""
        return self.standing.state

    @property
    def due_on(self) -> dt.date | None:
        """When."""
        return self.standing.due_on

    @property
    def pressing(self) -> bool:
        """Whether somebody should be told of it today."""
        return self.state in ("overdue", "due")

    @property
    def proved(self) -> bool:
        """Whether a paper or photo hangs on the newest time it was done."""
        return bool(self.history and self.history[0].proofs)

    @property
    def left(self) -> str:
        """The days left, in words."""
        if self.days_left is None:
            return _("no date yet") if self.state == "open" else ""
        if self.days_left < 0:
            n = -self.days_left
            return ngettext("{n} day overdue", "{n} days overdue", n).format(n=n)
        if self.days_left == 0:
            return _("today")
        return ngettext("{n} day left", "{n} days left", self.days_left).format(n=self.days_left)


def duties(*, off: bool = False) -> tuple[DutyView, ...]:
    """Return every duty, overdue first; those that are not this farm's only where asked."""
    home = farm()
    today, kept = clock.today(home.zone), book.read()
    profile = _profile(home)
    found = [_view(duty, kept, home, today=today) for duty in _all(profile, home, kept)]
    if off:
        return tuple(one for one in found if one.state == "off")
    by_code = {one.code: one for one in found}
    more = _application(profile, home, by_code.get("licence"), today=today)
    order = in_order([one.standing for one in (*found, *more)])
    by_code.update({one.code: one for one in more})
    return tuple(by_code[standing.duty.code] for standing in order)


def duty(code: str) -> DutyView:
    """Return one duty.

    Raises
    ------
    RecordNotFoundError
        If there is none.
    """
    home = farm()
    kept = book.read()
    for one in _all(_profile(home), home, kept):
        if one.code == code:
            return _view(one, kept, home, today=clock.today(home.zone))
    raise RecordNotFoundError(_("There is no such duty."))


def pressing() -> tuple[DutyView, ...]:
    """Return what the first page speaks of: overdue, or within its notice."""
    return tuple(one for one in duties() if one.pressing)


def _profile(home: FarmView) -> Profile:
    try:
        return load(home.profile)
    except InputError:
        return load("us-federal")


def _all(profile: Profile, home: FarmView, kept: Book) -> Sequence[Duty]:
    usual = usual_duties(profile, home.tier, own_well=home.water_source == "well")
    own = [
        Duty(code, setting.title, Interval(0, "months", _own()), _OWN_NOTICE_D)
        for code, setting in kept.settings.items()
        if setting.title
    ]
    return [_set(duty, kept.settings.get(duty.code)) for duty in (*usual, *own)]


def _own() -> Basis:
    return Basis(Origin.TYPED, _("The farm’s own"))


def _set(duty: Duty, setting: Setting | None) -> Duty:
    if setting is None:
        return duty
    if setting.count is None:
        notice_d = duty.notice_d if setting.notice_d is None else setting.notice_d
        return replace(duty, notice_d=notice_d)
    return changed(
        duty,
        count=setting.count,
        unit=setting.unit,
        reason=setting.reason,
        notice_d=setting.notice_d,
    )


def _view(duty: Duty, kept: Book, home: FarmView, *, today: dt.date) -> DutyView:
    history = kept.of(duty.code)
    setting = kept.settings.get(duty.code, Setting())
    last_on = history[0].on if history else None
    until = history[0].until if history else None
    elsewhere = _elsewhere(duty.code, home)
    if elsewhere is not None and (last_on is None or elsewhere > last_on):
        last_on, until = elsewhere, None
    typed_since = not history or setting.seq > max(one.seq for one in history)
    standing = stands(
        duty,
        today,
        last_on=last_on,
        good_until=until,
        first_on=setting.first_on if typed_since else None,
        off=setting.off,
    )
    return DutyView(standing, standing.days_left(today), history, setting)


def _elsewhere(code: str, home: FarmView) -> dt.date | None:
    """Return when a duty was last done as another page tells it."""
    if code == "water-test":
        return home.water_test
    if code != "thermometer-check":
        return None
    names = {one.name for one in instruments("thermometer")}
    newest: dict[str, dt.datetime] = {}
    for check in shopfloor.ice_points(clock.now(), back=_CHECKS_BACK):
        newest[check.instrument] = max(check.at, newest.get(check.instrument, check.at))
    if not names or not names <= newest.keys():
        return None
    return min(newest[name] for name in names).astimezone(clock.zone(home.zone)).date()


def _application(
    profile: Profile, home: FarmView, licence: DutyView | None, *, today: dt.date
) -> tuple[DutyView, ...]:
    """Return the application for the first planned day that no licence covers."""
    if licence is None or licence.state == "off":
        return ()
    covered = licence.due_on
    dates = [
        line.date for line in days.open_days() if line.status == "planned" and line.date >= today
    ]
    wanted = min((date for date in dates if covered is None or date > covered), default=None)
    if wanted is None:
        return ()
    rows = licence_deadlines(profile, home.tier, wanted)
    if not rows:
        return ()
    first = rows[0]
    age = profile.tiers[home.tier].licence
    advice = _("For the day of {date}, which no licence on record covers.").format(
        date=wanted.isoformat()
    )
    if age is not None and age.water_test_age is not None:
        advice += " " + _("The water test may then be at most {age} old.").format(
            age=age.water_test_age
        )
    duty = Duty(
        "licence-application",
        _("Send in the application for a licence"),
        Interval(0, "days", Basis(Origin.HANDBOOK, first.citation, first.status)),
        licence.standing.duty.notice_d,
        advice=advice,
    )
    standing = stands(duty, today, first_on=first.date)
    return (DutyView(standing, standing.days_left(today), (), Setting(), to_mark=False),)
