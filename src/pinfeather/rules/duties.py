"""What falls due again and again: tests, seals, papers, permits; when, and by which rule."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final, Literal

from pinfeather.errors import InputError
from pinfeather.estimate import Basis, Origin
from pinfeather.rules.deadlines import add_months
from pinfeather.rules.model import Profile
from pinfeather.words import gettext as _

State = Literal["overdue", "due", "open", "later", "off"]
Unit = Literal["days", "months"]
UNITS: Final = ("days", "months")
_MOST: Final = {"days": 3_660, "months": 120}
_SOON_D: Final = 14
_SEASON_D: Final = 30
_YEAR: Final = 12
_FIRST_NOTICE_D: Final = 60


@dataclass(frozen=True, slots=True)
class Interval:
    """How often something falls due, and who says so.

    Parameters
    ----------
    count : int
        How many days or months; 0 where it has no fixed interval [unit].
    unit : str
        ``"days"`` or ``"months"``.
    basis : Basis
        The rule, common practice, or what the farm typed.
    """

    count: int
    unit: Unit
    basis: Basis

    def after(self, date: dt.date) -> dt.date | None:
        """Return when it falls due again; None where it has no fixed interval.

        References
        ----------
        Derivation: calendar arithmetic.
        """
        if not self.count:
            return None
        if self.unit == "months":
            return add_months(date, self.count)
        return date + dt.timedelta(days=self.count)


@dataclass(frozen=True, slots=True)
class Duty:
    """One thing that has to be done, and how far ahead to speak of it.

    Parameters
    ----------
    code : str
        Name used in the journal, for good.
    title : str
        What to do, in words.
    interval : Interval
        How often.
    notice_d : int
        From so many days before the date it is called due [d].
    on_paper : bool
        Whether the paper itself says until when it is good.
    advice : str
        What else to know; may be empty.
    lapses_at_year_end : bool
        Whether it is good until 31 December of the year it was done in.
    """

    code: str
    title: str
    interval: Interval
    notice_d: int
    on_paper: bool = False
    advice: str = ""
    lapses_at_year_end: bool = False

    def again_on(self, last_on: dt.date) -> dt.date | None:
        """Return when it falls due after it was done; None where it has no fixed interval.

        References
        ----------
        Derivation: calendar arithmetic.
        """
        if self.lapses_at_year_end:
            return dt.date(last_on.year, 12, 31)
        return self.interval.after(last_on)


@dataclass(frozen=True, slots=True)
class Standing:
    """How a duty stands on a date.

    Parameters
    ----------
    duty : Duty
        Which.
    state : str
        ``"overdue"``, ``"due"`` (within its notice), ``"open"`` (never done, no date yet),
        ``"later"``, or ``"off"`` (not this farm's).
    last_on, due_on : datetime.date or None
        Last done, and next due.
    """

    duty: Duty
    state: State
    last_on: dt.date | None
    due_on: dt.date | None

    def days_left(self, today: dt.date) -> int | None:
        """Return whole days to the date, negative once it is past [d].

        References
        ----------
        Derivation: difference of two dates.
        """
        return None if self.due_on is None else (self.due_on - today).days


def usual_duties(profile: Profile, tier_code: str, *, own_well: bool) -> tuple[Duty, ...]:
    """List what falls due on a farm under some rules.

    Parameters
    ----------
    profile : Profile
        The rules in force.
    tier_code : str
        The farm's tier; one that these rules do not know brings no licence.
    own_well : bool
        Whether the water comes from the farm's own well.

    Returns
    -------
    tuple of Duty
        Those with a rule first.

    References
    ----------
    The profile (federal: 9 CFR 416.2(g)(1) for the well, 416.4(c) for papers of chemicals); the
    intervals of the others are common practice, named as such, and the farm's to change.
    """
    found = []
    if own_well:
        limit = profile.sanitation.well_test_months
        found.append(
            Duty(
                "water-test",
                _("Have the well water tested"),
                Interval(int(limit.value), "months", _by_rule(limit.citation, limit.status)),
                _SEASON_D,
                advice=_("Laboratories take a week or two. Ask how they want the sample."),
            )
        )
    tier = profile.tiers.get(tier_code)
    if tier is not None and tier.licence is not None:
        licence = tier.licence
        lead_d = 0 if licence.lead_time is None else round(licence.lead_time.si / 86_400)
        found.append(
            Duty(
                "licence",
                _("Renew the licence"),
                Interval(
                    0 if licence.expires_at_year_end else _YEAR,
                    "months",
                    _by_rule(licence.duty.citation, licence.duty.status),
                ),
                max(_FIRST_NOTICE_D, lead_d + _SOON_D),
                on_paper=True,
                advice=licence.duty.text,
                lapses_at_year_end=licence.expires_at_year_end,
            )
        )
    found.append(
        Duty(
            "chemical-papers",
            _("Look through the papers of soaps and sanitizers"),
            Interval(_YEAR, "months", Basis(Origin.HANDBOOK, "9 CFR 416.4(c)", "assumed")),
            _SOON_D,
            advice=_(
                "The rule wants a label or letter at hand for each one, that it is safe for this "
                "use. How often to look through them is up to you."
            ),
        )
    )
    found += [
        Duty(code, title, Interval(count, unit, _practice()), notice_d, on_paper, advice)
        for code, title, count, unit, notice_d, on_paper, advice in _usual()
    ]
    return tuple(found)


def _by_rule(citation: str, status: str) -> Basis:
    return Basis(Origin.HANDBOOK, citation, status)


def _practice() -> Basis:
    return Basis(Origin.HANDBOOK, _("Common practice; ask your local office"), "common practice")


def _usual() -> tuple[tuple[str, str, int, Unit, int, bool, str], ...]:
    return (
        (
            "scale-seal", _("Have the scale tested and sealed"), _YEAR, "months", _SEASON_D, True,
            _("By your state’s weights and measures office, or somebody it has registered."),
        ),
        (
            "thermometer-check", _("Check the thermometers in ice"), 30, "days", 7, False,
            _("And on each processing day before the first bird."),
        ),
        (
            "training", _("Go through the work with everybody"), _YEAR, "months", _SEASON_D, False,
            _("Clean hands, knives, hot water, sick days; who was there goes into the note."),
        ),
        (
            "tax-return", _("Tax return with the farm’s income"), _YEAR, "months", _SEASON_D, False,
            _("The date is your tax adviser’s; type it in."),
        ),
    )  # fmt: skip


def changed(duty: Duty, *, count: int, unit: str, reason: str, notice_d: int | None = None) -> Duty:
    """Return a duty with the farm's own interval.

    Parameters
    ----------
    duty : Duty
        As it was.
    count : int
        Days or months between; 0 for no fixed interval [unit].
    unit : str
        ``"days"`` or ``"months"``.
    reason : str
        Why, in the farm's words; shown as the basis.
    notice_d : int or None
        From so many days before it is called due; None keeps it [d].

    Returns
    -------
    Duty
        The same one, with a typed basis.

    Raises
    ------
    InputError
        If the interval is none, or longer than ten years.

    References
    ----------
    Derivation: the farm's own decision.
    """
    if unit not in UNITS:
        raise InputError("unit", unit, _("Choose days or months."))
    if not 0 <= count <= _MOST[unit]:
        raise InputError("count", count, _("Between 0 and {n}.").format(n=_MOST[unit]))
    kept: Unit = "months" if unit == "months" else "days"
    return Duty(
        duty.code,
        duty.title,
        Interval(count, kept, Basis(Origin.TYPED, reason)),
        duty.notice_d if notice_d is None else notice_d,
        duty.on_paper,
        duty.advice,
    )


def stands(
    duty: Duty,
    today: dt.date,
    *,
    last_on: dt.date | None = None,
    good_until: dt.date | None = None,
    first_on: dt.date | None = None,
    off: bool = False,
) -> Standing:
    """Say how a duty stands.

    Parameters
    ----------
    duty : Duty
        Which.
    today : datetime.date
        The farm's date.
    last_on : datetime.date or None
        When it was last done.
    good_until : datetime.date or None
        What the paper itself says; comes before the interval.
    first_on : datetime.date or None
        When it is due next, where the farm has typed a date since it was last done.
    off : bool
        Whether it is not this farm's.

    Returns
    -------
    Standing
        Its state and dates.

    Notes
    -----
    On its date itself a duty is due, not yet overdue. A paper counts as long as it says, even where
    the interval is shorter or longer.

    References
    ----------
    Derivation: calendar arithmetic.
    """
    if off:
        return Standing(duty, "off", last_on, None)
    if last_on is None:
        due_on = first_on
    else:
        due_on = good_until or duty.again_on(last_on)
        if first_on is not None and first_on > last_on:
            due_on = first_on
    if due_on is None:
        return Standing(duty, "open" if last_on is None else "later", last_on, None)
    if today > due_on:
        return Standing(duty, "overdue", last_on, due_on)
    soon = (due_on - today).days <= duty.notice_d
    return Standing(duty, "due" if soon else "later", last_on, due_on)


def in_order(found: Sequence[Standing]) -> tuple[Standing, ...]:
    """Return duties as a page shows them: overdue, due, never done, later; earliest first.

    Parameters
    ----------
    found : sequence of Standing
        In any order.

    Returns
    -------
    tuple of Standing
        Without those that are not this farm's.

    References
    ----------
    Derivation: a rank by state.
    """
    rank: Mapping[str, int] = {"overdue": 0, "due": 1, "open": 2, "later": 3}
    return tuple(
        sorted(
            (one for one in found if one.state in rank),
            key=lambda one: (rank[one.state], one.due_on or dt.date.max, one.duty.title),
        )
    )
