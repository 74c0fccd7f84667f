"""Thermometers: correcting a reading, how far to trust it, and what it proves."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import Final

from pinfeather.errors import InputError
from pinfeather.finding import Finding, Severity
from pinfeather.heat.guards import finite, not_negative
from pinfeather.units import KELVIN_PER_FAHRENHEIT_DEGREE
from pinfeather.words import gettext as _

ICE_POINT_DEGC: Final = 0.0
WORST_ACCURACY_K: Final = 2 * KELVIN_PER_FAHRENHEIT_DEGREE
"""Food thermometers must be within 2 degF in the range of use [K]. FDA Food Code 4-203.11, as
adopted in 10 NYCRR 14-4.91; second hand."""

# Right after an ice check half the stated accuracy is taken to be left (reading the scale, the rest
# of the range); it grows back to the whole over a month. Assumed; the one-day step follows the rule
# to check once a day in continual use (NC Department of Agriculture, read).
_LEFT_AFTER_CHECK_FRAC: Final = 0.5
_FRESH_DAYS: Final = 1.0
_STALE_DAYS: Final = 30.0
_ROUNDING_K: Final = 1e-9
_LARGEST_OFFSET_K: Final = 10.0


class Verdict(StrEnum):
    """What a reading says about a limit."""

    YES = "yes"
    """Cold enough, even if the thermometer errs against us."""
    NO = "no"
    """Too warm, even if the thermometer errs in our favour."""
    NOT_PROVEN = "not proven"
    """Too close to call with this thermometer."""


@dataclass(frozen=True, slots=True)
class Instrument:
    """One thermometer and what it shows now.

    Parameters
    ----------
    name : str
        As written on it.
    reading_degC : float
        What it shows [degC].
    accuracy_K : float
        Accuracy its maker states, plus or minus [K].
    ice_reading_degC : float or None
        What it showed in ice slush; None if never checked [degC].
    days_since_check : float or None
        Days since that check [d].
    """

    name: str
    reading_degC: float
    accuracy_K: float
    ice_reading_degC: float | None = None
    days_since_check: float | None = None

    @property
    def corrected_degC(self) -> float:
        """The reading with its ice check taken out [degC]."""
        return corrected_degC(self.reading_degC, ice_reading_degC=self.ice_reading_degC)

    @property
    def uncertainty_K(self) -> float:
        """How far the corrected reading may be off [K]."""
        return uncertainty_K(
            accuracy_K=self.accuracy_K,
            checked=self.ice_reading_degC is not None,
            days_since_check=self.days_since_check,
        )


@dataclass(frozen=True, slots=True)
class Disagreement:
    """Two thermometers in the same water.

    Parameters
    ----------
    differ : bool
        Whether they differ by more than both could be off.
    difference_K : float
        First corrected reading less the second [K].
    allowed_K : float
        What both together could be off [K].
    trust : str or None
        Name of the one to go by; None if there is nothing to choose by.
    why : str
        The reason, in words.
    finding : Finding or None
        To show; None where they agree.
    """

    differ: bool
    difference_K: float
    allowed_K: float
    trust: str | None
    why: str
    finding: Finding | None


def ice_point_offset_K(ice_reading_degC: float) -> float:
    """Return how much too high a thermometer reads in ice slush.

    Parameters
    ----------
    ice_reading_degC : float
        What it shows in crushed ice and clean water, stirred, after 30 seconds [degC].

    Returns
    -------
    float
        To be taken off readings near freezing [K].

    Raises
    ------
    InputError
        If it is off by more than 10 K: that is not slush, or not a thermometer.

    References
    ----------
    NC Department of Agriculture, thermometer calibration guidance: ice point 32 degF.
    """
    offset_K = finite("ice_reading_degC", ice_reading_degC) - ICE_POINT_DEGC
    if abs(offset_K) > _LARGEST_OFFSET_K:
        raise InputError(
            "ice_reading_degC",
            ice_reading_degC,
            _("That far off 32 °F it is broken, or it was not in ice slush. Check again."),
        )
    return offset_K


def corrected_degC(
    reading_degC: float,
    *,
    ice_reading_degC: float | None,
    boil_reading_degC: float | None = None,
    boil_true_degC: float | None = None,
) -> float:
    """Return what the temperature really was, by the thermometer's own checks.

    Parameters
    ----------
    reading_degC : float
        What it shows [degC].
    ice_reading_degC : float or None
        What it showed in ice slush; None if not checked [degC].
    boil_reading_degC : float or None
        What it showed in boiling water [degC].
    boil_true_degC : float or None
        The boiling point there and then [degC].

    Returns
    -------
    float
        Corrected temperature; the reading itself if there is no check [degC].

    Raises
    ------
    InputError
        If a boiling check lacks its other half or the ice check, or makes no sense.

    Notes
    -----
    For cold readings the ice check alone is enough.

    References
    ----------
    Derivation: straight line through the two check points.

    Examples
    --------
    >>> round(corrected_degC(4.5, ice_reading_degC=0.5), 2)
    4.0
    """
    finite("reading_degC", reading_degC)
    if boil_reading_degC is None and boil_true_degC is None:
        if ice_reading_degC is None:
            return reading_degC
        return reading_degC - ice_point_offset_K(ice_reading_degC)
    if ice_reading_degC is None:
        raise InputError(
            "ice_reading_degC", None, _("A boiling check needs an ice check beside it.")
        )
    if boil_reading_degC is None or boil_true_degC is None:
        raise InputError(
            "boil_reading_degC",
            boil_reading_degC,
            _("A boiling check needs both the reading and the true boiling point here."),
        )
    offset_K = ice_point_offset_K(ice_reading_degC)
    if not abs(boil_reading_degC - boil_true_degC) <= _LARGEST_OFFSET_K:
        raise InputError(
            "boil_reading_degC",
            boil_reading_degC,
            _("That far off the boiling point it is broken, or the water was not boiling."),
        )
    span_K = boil_reading_degC - ice_reading_degC
    true_span_K = boil_true_degC - ICE_POINT_DEGC
    return ICE_POINT_DEGC + (reading_degC - offset_K) * true_span_K / span_K


def uncertainty_K(*, accuracy_K: float, checked: bool, days_since_check: float | None) -> float:
    """Return how far a reading may be off, after correcting it.

    Parameters
    ----------
    accuracy_K : float
        Accuracy the maker states, plus or minus [K].
    checked : bool
        Whether it was checked in ice and the reading corrected.
    days_since_check : float or None
        Days since then; None if not known [d].

    Returns
    -------
    float
        Plus or minus: half the stated accuracy on the day of the check, growing back to all of it
        in 30 days [K].

    Raises
    ------
    InputError
        If a number is negative.

    References
    ----------
    Assumed; see the comment in this module.

    Examples
    --------
    >>> uncertainty_K(accuracy_K=1.0, checked=True, days_since_check=0)
    0.5
    """
    not_negative("accuracy_K", accuracy_K)
    if not checked or days_since_check is None:
        return accuracy_K
    days = not_negative("days_since_check", days_since_check)
    grown = (days - _FRESH_DAYS) / (_STALE_DAYS - _FRESH_DAYS)
    share = _LEFT_AFTER_CHECK_FRAC + (1 - _LEFT_AFTER_CHECK_FRAC) * min(1.0, max(0.0, grown))
    return accuracy_K * share


def cold_enough(reading_degC: float, *, limit_degC: float, uncertainty_K: float) -> Verdict:
    """Say whether a reading proves that something is cold enough.

    Parameters
    ----------
    reading_degC : float
        Corrected reading [degC].
    limit_degC : float
        Limit, itself allowed [degC].
    uncertainty_K : float
        How far the reading may be off [K].

    Returns
    -------
    Verdict
        Yes, no, or not proven.

    Raises
    ------
    InputError
        If a number is not one, or the uncertainty negative.

    Notes
    -----
    Differences below a billionth of a degree are rounding and are not counted.

    References
    ----------
    ISO 14253-1 (2017): decide against the side that has to prove.

    Examples
    --------
    >>> cold_enough(4.0, limit_degC=4.444, uncertainty_K=1.1).value
    'not proven'
    """
    finite("reading_degC", reading_degC)
    finite("limit_degC", limit_degC)
    not_negative("uncertainty_K", uncertainty_K)
    if reading_degC + uncertainty_K <= limit_degC + _ROUNDING_K:
        return Verdict.YES
    if reading_degC - uncertainty_K > limit_degC + _ROUNDING_K:
        return Verdict.NO
    return Verdict.NOT_PROVEN


def disagreement(first: Instrument, second: Instrument) -> Disagreement:
    """Compare two thermometers in the same water, and say which to go by.

    Parameters
    ----------
    first : Instrument
        One of them.
    second : Instrument
        The other.

    Returns
    -------
    Disagreement
        Whether they differ by more than both could be off, which to trust and why.

    Raises
    ------
    InputError
        If a reading or an accuracy is not a number.

    Notes
    -----
    Two plus-or-minus limits are added, not combined by squares: they are limits, not spreads.

    References
    ----------
    Derivation: two intervals that do not meet cannot both hold the temperature.
    """
    difference_K = first.corrected_degC - second.corrected_degC
    allowed_K = first.uncertainty_K + second.uncertainty_K
    differ = abs(difference_K) > allowed_K + _ROUNDING_K
    trusted, why = _choose(first, second)
    trust = None if trusted is None else trusted.name
    finding = None
    if differ:
        finding = Finding(
            "thermometer.disagree",
            Severity.CHECK,
            _("{first} and {second} differ by more than both can be off.").format(
                first=first.name, second=second.name
            ),
            " ".join((why, _("Put both in ice slush before you rely on either."))),
            measured=abs(difference_K),
            limit=allowed_K,
            unit="K",
        )
    return Disagreement(differ, difference_K, allowed_K, trust, why, finding)


def _choose(first: Instrument, second: Instrument) -> tuple[Instrument | None, str]:
    """Which of two to go by."""
    fresh = [_is_fresh(one) for one in (first, second)]
    if fresh[0] != fresh[1]:
        good = first if fresh[0] else second
        return good, _("Go by {name}: it was checked in ice today.").format(name=good.name)
    checked = [one.ice_reading_degC is not None for one in (first, second)]
    if checked[0] != checked[1]:
        good = first if checked[0] else second
        return good, _("Go by {name}: it has been checked in ice, the other has not.").format(
            name=good.name
        )
    if first.uncertainty_K != second.uncertainty_K:
        good = first if first.uncertainty_K < second.uncertainty_K else second
        return good, _("Go by {name}: it can be off by less.").format(name=good.name)
    return None, _("Neither is better known than the other: go by the warmer reading.")


def _is_fresh(one: Instrument) -> bool:
    return (
        one.ice_reading_degC is not None
        and one.days_since_check is not None
        and one.days_since_check <= _FRESH_DAYS
    )
