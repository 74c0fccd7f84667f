"""Cooking: how long at a temperature makes a bird safe, for the customer's card and for checks."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Final, Literal, TypeAlias

import numpy as np

from pinfeather.errors import InputError, OutOfRangeError
from pinfeather.finding import Finding, Severity
from pinfeather.hygiene.curve import Curve, accumulate, time_between
from pinfeather.hygiene.rates import FloatArray, Log10
from pinfeather.hygiene.tables import table
from pinfeather.units import SECONDS_PER_HOUR, SECONDS_PER_MINUTE, to_si
from pinfeather.words import gettext as _

Bird: TypeAlias = Literal["chicken", "turkey", "duck", "goose"]

COOKING_CARD: Final = (
    _(
        "Cook to 165 °F (74 °C) in the thickest part of the breast,"
        " the inner thigh and the stuffing."
    ),
    _("Measure with a thermometer, clear of the bone. Colour and clear juice prove nothing."),
    _("If your thermometer may be a degree off, cook one degree more."),
    _("Keep it cold until you cook it: 40 °F (4 °C) or below, thawed in the refrigerator."),
    _("Do not rinse the bird. Wash hands, knife and board after touching it raw."),
)
"""For the card in the bag. Status: common practice."""


@dataclass(frozen=True, slots=True)
class Kill:
    """What a cooking curve killed.

    Parameters
    ----------
    log10 : Log10
        Tenfolds of Salmonella killed by time and temperature [log10 units].
    instant : bool
        Whether 165 degF was reached, which is enough at once.
    findings : tuple of Finding
        Whether it is enough, and whether warming up took too long.
    """

    log10: Log10
    instant: bool
    findings: tuple[Finding, ...]


def dwell_s(temp_degC: float, *, bird: Bird, fat_frac: float) -> float:
    """Return the time at a temperature that kills 7 tenfolds of Salmonella.

    Parameters
    ----------
    temp_degC : float
        Temperature of the coldest part [degC].
    bird : str
        ``"chicken"``, ``"turkey"``, ``"duck"`` or ``"goose"``; the last two take the longer of
        the first two.
    fat_frac : float
        Fat in the meat [fraction].

    Returns
    -------
    float
        The time; infinite below the table, zero from 165 degF [s].

    Raises
    ------
    InputError
        If the temperature is not a number.
    OutOfRangeError
        If no column that was read covers that bird at that fat.

    Notes
    -----
    Between rows the logarithm of the time is straight; a single z does not fit the table. From
    the last row up to 165 degF the last row's time is kept, on the safe side. Chicken to 12 % fat,
    turkey, duck and goose to 1 % only: the other columns were not read. 165 degF always does.

    References
    ----------
    FSIS Cooking Guideline for Meat and Poultry Products (Revised Appendix A), December 2021,
    Tables 3 and 4, second hand; the longer-of-two rule and 165 degF read.
    """
    if not math.isfinite(temp_degC):
        raise InputError("temp_degC", temp_degC, _("That is not a temperature."))
    if temp_degC >= to_si(table("lethality")["instant_F"], "F", "temperature"):
        return 0.0
    return max(
        float(_dwell(column, np.asarray(temp_degC))) for column in _columns(bird, fat_frac=fat_frac)
    )


def cook(curve: Curve, *, bird: Bird, fat_frac: float) -> Kill:
    """Add up the kill along a cooking curve.

    Parameters
    ----------
    curve : Curve
        Cleaned readings of the coldest part. A gap counts as the colder of its two ends.
    bird : str
        As for :func:`dwell_s`.
    fat_frac : float
        Fat in the meat [fraction].

    Returns
    -------
    Kill
        The kill and findings.

    Raises
    ------
    OutOfRangeError
        If no column that was read covers that bird at that fat.

    References
    ----------
    FSIS Cooking Guideline (Revised Appendix A), December 2021. Derivation: sum of 7 dt / dwell.
    """
    source = table("lethality")
    columns = _columns(bird, fat_frac=fat_frac)

    def kill_per_s(temp_degC: FloatArray) -> FloatArray:
        longest = np.max([_dwell(column, temp_degC) for column in columns], axis=0)
        return np.asarray(source["log10"] / longest, dtype=np.float64)

    instant_degC = to_si(source["instant_F"], "F", "temperature")
    instant = bool((curve.temp_degC >= instant_degC).any())
    so_far = accumulate(_colder_gaps(curve), kill_per_s)
    killed = Log10(float(so_far[-1]))
    enough = instant or killed >= source["log10"] or math.isclose(killed, source["log10"])
    findings = [
        Finding(
            "cook.enough" if enough else "cook.short",
            Severity.NOTE if enough else Severity.STOP,
            _("165 °F was reached: that is enough.")
            if instant
            else _("{found:.1f} of 7 log killed.").format(found=killed),
            reason="" if enough else _("Cook it on, to 165 °F in the thickest part."),
            measured=killed,
            limit=source["log10"],
            unit="log10",
            citation=source["citation"],
            status=source["status"],
        )
    ]
    come_up_h = (
        time_between(
            curve,
            above_degC=to_si(source["come_up_from_F"], "F", "temperature"),
            below_degC=to_si(source["come_up_to_F"], "F", "temperature"),
        )
        / SECONDS_PER_HOUR
    )
    if come_up_h > source["come_up_max_h"]:
        findings.append(
            Finding(
                "cook.slow",
                Severity.STOP,
                _("{found:.1f} h between 50 and 130 °F; at most {limit:g} h.").format(
                    found=come_up_h, limit=source["come_up_max_h"]
                ),
                reason=_("Bacteria can leave poisons behind that cooking does not destroy."),
                measured=come_up_h,
                limit=source["come_up_max_h"],
                unit="h",
                citation=source["citation"],
                status=source["come_up_status"],
            )
        )
    return Kill(killed, instant, (*curve.findings, *findings))


def set_limit_degC(limit_degC: float, *, accuracy_K: float, side: Literal["hot", "cold"]) -> float:
    """Move a limit to the safe side by what the thermometer may be off.

    Parameters
    ----------
    limit_degC : float
        The limit that must really be met [degC].
    accuracy_K : float
        What the thermometer may be off, plus or minus [K].
    side : str
        ``"hot"`` for at least, ``"cold"`` for at most.

    Returns
    -------
    float
        The limit to act on [degC].

    Raises
    ------
    InputError
        If the accuracy is negative.

    References
    ----------
    FSIS Cooking Guideline (Revised Appendix A), December 2021: 166 degF for 165 with plus or
    minus 1.
    """
    if not accuracy_K >= 0:
        raise InputError("accuracy_K", accuracy_K, _("An accuracy cannot be negative."))
    return limit_degC + accuracy_K if side == "hot" else limit_degC - accuracy_K


@dataclass(frozen=True, slots=True)
class HeatResistance:
    """Straight-line fit of the tenfold time against temperature.

    Parameters
    ----------
    z_K : float
        Warming that makes the kill ten times faster [K].
    d_ref_s : float
        Time for one tenfold at the reference [s].
    ref_degC : float
        The reference [degC].
    """

    z_K: float
    d_ref_s: float
    ref_degC: float


def fit_heat_resistance(
    temp_degC: Sequence[float], d_s: Sequence[float], *, ref_degC: float
) -> HeatResistance:
    """Fit how fast heat kills, from measured tenfold times.

    Parameters
    ----------
    temp_degC : sequence of float
        Temperatures, at least two different [degC].
    d_s : sequence of float
        Time for one tenfold at each [s].
    ref_degC : float
        Where to give the fitted time; outside the data it is an extrapolation [degC].

    Returns
    -------
    HeatResistance
        Slope and fitted time.

    Raises
    ------
    InputError
        If the lengths differ, a time is not positive, or all temperatures are equal.

    References
    ----------
    Derivation: least squares of log10 D on temperature.
    """
    temps, times = np.asarray(temp_degC, dtype=float), np.asarray(d_s, dtype=float)
    if temps.shape != times.shape or temps.ndim != 1 or np.unique(temps).size < 2:  # noqa: PLR2004
        raise InputError("temp_degC", temp_degC, _("A line needs two different temperatures."))
    if not (times > 0).all():
        raise InputError("d_s", d_s, _("A time must be above zero."))
    slope, level = np.polyfit(temps - ref_degC, np.log10(times), 1)
    return HeatResistance(float(-1 / slope), float(10**level), ref_degC)


def _columns(bird: Bird, *, fat_frac: float) -> list[dict[str, Any]]:
    birds = ("chicken", "turkey") if bird in {"duck", "goose"} else (bird,)
    chosen = []
    for one in birds:
        fitting = [
            column
            for column in table("lethality")["columns"]
            if column["bird"] == one and 0 <= fat_frac <= column["fat_max_frac"]
        ]
        if not fitting:
            raise OutOfRangeError(
                "fat_frac",
                fat_frac,
                _("No holding time is known here for that much fat. Cook to 165 °F."),
            )
        chosen.append(min(fitting, key=lambda column: float(column["fat_max_frac"])))
    return chosen


def _dwell(column: dict[str, Any], temp_degC: FloatArray) -> FloatArray:
    """Time for the whole kill; infinite below the table, the last row's above it."""
    rows = column["rows"]
    at_degC = [to_si(row["at_F"], "F", "temperature") for row in rows]
    times_s = [row["s"] if "s" in row else row["min"] * SECONDS_PER_MINUTE for row in rows]
    held = 10 ** np.interp(temp_degC, at_degC, np.log10(times_s))
    return np.asarray(np.where(temp_degC < at_degC[0], np.inf, held), dtype=np.float64)


def _colder_gaps(curve: Curve) -> Curve:
    """Replace each gap by a hold at the colder end, so that unknown time earns no kill."""
    if not curve.gap.any():
        return curve
    time, temp = [curve.t_s[:1]], [curve.temp_degC[:1]]
    for i in range(curve.gap.size):
        if curve.gap[i]:
            cold = min(float(curve.temp_degC[i]), float(curve.temp_degC[i + 1]))
            time.append(curve.t_s[[i, i + 1]])
            temp.append(np.asarray([cold, cold]))
        time.append(curve.t_s[[i + 1]])
        temp.append(curve.temp_degC[[i + 1]])
    t_s = np.concatenate(time)
    return Curve(t_s, np.concatenate(temp), np.zeros(t_s.size - 1, dtype=bool), ())
