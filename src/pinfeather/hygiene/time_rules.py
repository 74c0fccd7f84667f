"""Fixed rules of time and temperature, judged on a logger's curve beside the growth figure."""

from __future__ import annotations

import numpy as np

from pinfeather.errors import InputError
from pinfeather.finding import Finding, Severity
from pinfeather.hygiene.curve import Curve, time_between
from pinfeather.hygiene.tables import Limit, table
from pinfeather.quantity import show
from pinfeather.units import SECONDS_PER_HOUR, to_si
from pinfeather.words import gettext as _


def reached_at(curve: Curve, limit_degC: float) -> float | None:
    """Find when a curve got down to a limit for good.

    Parameters
    ----------
    curve : Curve
        Cleaned readings.
    limit_degC : float
        The limit; a reading equal to it has reached it [degC].

    Returns
    -------
    float or None
        Time after the first reading, on the straight line between readings; across a gap the
        later end [s]. None where the last reading is still above.

    References
    ----------
    Derivation: last crossing.
    """
    warm = np.flatnonzero(curve.temp_degC > limit_degC)
    if warm.size == 0:
        return 0.0
    last = int(warm[-1])
    if last == curve.t_s.size - 1:
        return None
    begin_s, end_s = float(curve.t_s[last]), float(curve.t_s[last + 1])
    share = 1.0
    if not curve.gap[last]:
        above, below = float(curve.temp_degC[last]), float(curve.temp_degC[last + 1])
        share = (above - limit_degC) / (above - below)
    return begin_s + share * (end_s - begin_s) - float(curve.t_s[0])


def judge_reached(curve: Curve, limit: Limit, *, within_s: float, where: str = "") -> Finding:
    """Judge whether a curve got down to a limit, for good, in the time allowed.

    Parameters
    ----------
    curve : Curve
        Cleaned readings; the first one starts the clock.
    limit : Limit
        Temperature to reach, as published.
    within_s : float
        Time allowed [s].
    where : str
        The batch.

    Returns
    -------
    Finding
        Always one.

    Raises
    ------
    InputError
        If the time is not positive, or the limit is not a temperature.

    References
    ----------
    The limit's own.
    """
    if not within_s > 0:
        raise InputError("within_s", within_s, _("Say how long the chilling may take."))
    if limit.dimension != "temperature":
        raise InputError("limit", limit, _("The limit must be a temperature."))
    taken_s = reached_at(curve, limit.si)
    allowed_h = within_s / SECONDS_PER_HOUR
    if taken_s is None:
        severity, code = Severity.STOP, "curve.never"
        sentence = _("Still at {last} at the last reading; {limit} was not reached.").format(
            last=show(float(curve.temp_degC[-1]), "F", "temperature", decimals=1), limit=limit.text
        )
    else:
        late = taken_s > within_s
        severity, code = (Severity.STOP, "curve.late") if late else (Severity.NOTE, "curve.in_time")
        sentence = _("{limit} was reached after {taken:.1f} h of {allowed:.1f} h allowed.").format(
            limit=limit.text, taken=taken_s / SECONDS_PER_HOUR, allowed=allowed_h
        )
    return Finding(
        code,
        severity,
        sentence,
        where=where,
        measured=None if taken_s is None else taken_s / SECONDS_PER_HOUR,
        limit=allowed_h,
        unit="h",
        citation=limit.citation,
        status=limit.status,
    )


def judge_cumulative(curve: Curve, *, where: str = "") -> Finding:
    """Judge the hours a curve adds up to in the warm bands.

    Parameters
    ----------
    curve : Curve
        Cleaned readings.
    where : str
        The batch.

    Returns
    -------
    Finding
        Always one.

    Notes
    -----
    If ever above 70 F: at most 2 h between 50 F and 135 F in all, or at most 4 h with at most
    2 h of it above 70 F. Never above 70 F: at most 5 h (unverified). Written for food eaten raw;
    here it is a screen.

    References
    ----------
    FDA Fish and Fishery Products Hazards and Controls Guidance, Appendix 4.
    """
    row = table("time_rules")["cumulative"]
    top_degC = to_si(row["to_F"], "F", "temperature")
    warm_degC = to_si(row["warm_F"], "F", "temperature")
    all_h = (
        time_between(
            curve, above_degC=to_si(row["from_F"], "F", "temperature"), below_degC=top_degC
        )
        / SECONDS_PER_HOUR
    )
    warm_h = time_between(curve, above_degC=warm_degC, below_degC=top_degC) / SECONDS_PER_HOUR
    status = row["status"]
    if not (curve.temp_degC > warm_degC).any():
        limit_h, status = row["never_warm_h"], row["never_warm_status"]
    elif warm_h <= row["short_warm_limit_h"]:
        limit_h = row["short_warm_h"]
    else:
        limit_h = row["any_warm_h"]
    good = all_h <= limit_h
    return Finding(
        "time.cumulative",
        Severity.NOTE if good else Severity.STOP,
        _(
            "{found:.1f} h above 50 °F, {warm:.1f} h of them above 70 °F; at most {limit:g} h."
        ).format(found=all_h, warm=warm_h, limit=limit_h),
        where=where,
        measured=all_h,
        limit=limit_h,
        unit="h",
        citation=row["citation"],
        status=status,
    )


def judge_time_alone(curve: Curve, *, where: str = "") -> Finding:
    """Judge meat held out of the cold by the clock alone.

    Parameters
    ----------
    curve : Curve
        Cleaned readings from the moment it left the cold.
    where : str
        What and where.

    Returns
    -------
    Finding
        Always one: in time, or discard.

    Notes
    -----
    Starts at 41 F or below; discard after 4 h, or 6 h if it never passed 70 F. A retail rule,
    not one for slaughter.

    References
    ----------
    FDA Food Code 3-501.19.
    """
    row = table("time_rules")["time_alone"]
    start_degC = to_si(row["start_F"], "F", "temperature")
    cool = not (curve.temp_degC > to_si(row["ever_F"], "F", "temperature")).any()
    limit_h = row["cool_h"] if cool else row["warm_h"]
    found_h = curve.length_s / SECONDS_PER_HOUR
    if float(curve.temp_degC[0]) > start_degC:
        sentence = _(
            "It left the cold above {limit:g} °F, so the clock alone may not be used."
        ).format(limit=row["start_F"])
        good = False
    else:
        good = found_h <= limit_h
        sentence = _("{found:.1f} h out of the cold; discard at {limit:g} h.").format(
            found=found_h, limit=limit_h
        )
    return Finding(
        "time.alone",
        Severity.NOTE if good else Severity.STOP,
        sentence,
        where=where,
        measured=found_h,
        limit=limit_h,
        unit="h",
        citation=row["citation"],
        status=row["status"],
    )


def judge_danger_zone(curve: Curve, *, air_degC: float | None = None, where: str = "") -> Finding:
    """Judge the time between 40 and 140 °F, as the advice to customers does.

    Parameters
    ----------
    curve : Curve
        Cleaned readings of finished, already chilled meat.
    air_degC : float or None
        Warmest air around it [degC].
    where : str
        What and where.

    Returns
    -------
    Finding
        Always one.

    Notes
    -----
    Two hours, one if the air is above 90 F. Meant for pick-up and the way home, not for a warm
    carcass on its way down.

    References
    ----------
    FDA consumer advice on the danger zone, second hand.
    """
    row = table("time_rules")["danger_zone"]
    found_h = (
        time_between(
            curve,
            above_degC=to_si(row["from_F"], "F", "temperature"),
            below_degC=to_si(row["to_F"], "F", "temperature"),
        )
        / SECONDS_PER_HOUR
    )
    hot = air_degC is not None and air_degC > to_si(row["hot_air_F"], "F", "temperature")
    limit_h = row["hot_air_h"] if hot else row["most_h"]
    return Finding(
        "time.danger_zone",
        Severity.NOTE if found_h <= limit_h else Severity.STOP,
        _("{found:.1f} h between 40 and 140 °F; at most {limit:g} h.").format(
            found=found_h, limit=limit_h
        ),
        where=where,
        measured=found_h,
        limit=limit_h,
        unit="h",
        citation=row["citation"],
        status=row["status"],
    )
