"""Control chart of single values, such as the warmest bird at the end of each chill."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from scipy import stats

from pinfeather.errors import InputError
from pinfeather.finding import Finding, Severity
from pinfeather.words import gettext as _

# Control chart constants of the range of two, as tabulated: ASTM Manual on Presentation of Data
# and Control Chart Analysis, table of factors. Status: unverified; the exact d2 is 2 / sqrt(pi).
D2_OF_TWO: Final = 1.128
D4_OF_TWO: Final = 3.267
ONE_SIDE: Final = 8
TREND: Final = 6
LEAST: Final = 2
WELL_FOUNDED: Final = 20  # common practice: fewer values make shaky limits


@dataclass(frozen=True, slots=True)
class Chart:
    """Centre and limits of an individuals and moving-range chart.

    Parameters
    ----------
    centre : float
        Mean [unit of the values].
    sigma : float
        Spread from one value to the next [same].
    upper, lower : float
        Limits of single values [same].
    range_centre, range_upper : float
        Mean and upper limit of the moving range [same].
    count : int
        How many values it rests on.
    """

    centre: float
    sigma: float
    upper: float
    lower: float
    range_centre: float
    range_upper: float
    count: int


@dataclass(frozen=True, slots=True)
class Capability:
    """How well a process keeps under a limit.

    Parameters
    ----------
    cpu : float
        Distance to the limit in units of three sigmas; below 1 it will fail now and then.
    share_over_frac : float
        Share expected over the limit if the values are normal [fraction].
    """

    cpu: float
    share_over_frac: float


def individuals_chart(values: Sequence[float]) -> Chart:
    """Work out the centre and the limits from single values in the order they came.

    Parameters
    ----------
    values : sequence of float
        One value per batch, at least two, all in one unit [any unit].

    Returns
    -------
    Chart
        In the unit of the values.

    Raises
    ------
    InputError
        If there are fewer than two values or one is not a number.

    References
    ----------
    NIST/SEMATECH e-Handbook of Statistical Methods, section 6.3.2.2.
    """
    found = _numbers(values)
    ranges = np.abs(np.diff(found))
    centre, spread = float(found.mean()), float(ranges.mean())
    sigma = spread / D2_OF_TWO
    return Chart(
        centre,
        sigma,
        centre + 3 * sigma,
        centre - 3 * sigma,
        spread,
        spread * D4_OF_TWO,
        found.size,
    )


def judge_chart(values: Sequence[float], chart: Chart, *, where: str = "") -> tuple[Finding, ...]:
    """Look for signs that something changed.

    Parameters
    ----------
    values : sequence of float
        Values in the order they came [unit of the chart].
    chart : Chart
        Limits, from these or earlier values.
    where : str
        The tank or chiller.

    Returns
    -------
    tuple of Finding
        In the order of the values; ``where`` is followed by the place in the series, from 1.
        Empty where nothing stands out.

    Raises
    ------
    InputError
        If there are fewer than two values or one is not a number.

    Notes
    -----
    Signs: a value outside the limits; a jump above the range limit; two of three beyond two
    sigmas on one side; eight in a row on one side; six in a row rising or falling.

    References
    ----------
    NIST/SEMATECH e-Handbook of Statistical Methods, section 6.3.2; run rules after Western
    Electric (1956) and Nelson (1984).
    """
    found = _numbers(values)
    signs: list[tuple[int, str, str]] = []
    away = found - chart.centre
    side = np.sign(away)
    two_sigma = 2 * chart.sigma
    for i in range(found.size):
        if not chart.lower <= found[i] <= chart.upper:
            signs.append((i, "chart.outside", _("This value is outside the limits.")))
        if i >= 1 and abs(found[i] - found[i - 1]) > chart.range_upper:
            signs.append((i, "chart.jump", _("The jump from the value before is too large.")))
        last = away[max(i - 2, 0) : i + 1]
        beyond = max(int((last > two_sigma).sum()), int((last < -two_sigma).sum()))
        if chart.sigma > 0 and abs(away[i]) > two_sigma and beyond >= 2:  # noqa: PLR2004 - the rule
            signs.append((i, "chart.near_limit", _("Two of three are close to a limit.")))
        run = side[max(i - ONE_SIDE + 1, 0) : i + 1]
        if run.size == ONE_SIDE and abs(run.sum()) == ONE_SIDE:
            signs.append((i, "chart.one_side", _("Eight in a row are on one side of the mean.")))
        steps = np.sign(np.diff(found[max(i - TREND + 1, 0) : i + 1]))
        if steps.size == TREND - 1 and abs(steps.sum()) == TREND - 1:
            signs.append((i, "chart.trend", _("Six in a row rise, or fall.")))
    return tuple(
        Finding(
            code,
            Severity.CHECK,
            sentence,
            reason=_("Something changed: more birds, warmer water, less ice, another thermometer?"),
            where=f"{where}[{i + 1}]",
            measured=float(found[i]),
            limit=chart.upper if found[i] >= chart.centre else chart.lower,
            status="common practice",
        )
        for i, code, sentence in signs
    )


def capability(chart: Chart, *, upper_limit: float, where: str = "") -> tuple[Capability, Finding]:
    """Say how well the process keeps under a limit.

    Parameters
    ----------
    chart : Chart
        Centre and spread.
    upper_limit : float
        The limit [unit of the chart].
    where : str
        The tank or chiller.

    Returns
    -------
    tuple of Capability and Finding
        The numbers, and what they mean in words.

    Raises
    ------
    InputError
        If the values never varied, which no real series does.

    References
    ----------
    NIST/SEMATECH e-Handbook of Statistical Methods, section 6.1.6.
    """
    if not chart.sigma > 0:
        raise InputError(
            "chart", chart, _("All values are equal: was the thermometer read each time?")
        )
    cpu = (upper_limit - chart.centre) / (3 * chart.sigma)
    over = float(stats.norm.sf(3 * cpu))
    if cpu >= 1:
        severity, sentence = Severity.NOTE, _("The process keeps under the limit.")
        reason = ""
    else:
        severity, sentence = Severity.CHECK, _("The process will go over the limit now and then.")
        reason = _("Start colder, use more ice, or put fewer or smaller birds in a tank.")
    if chart.count < WELL_FOUNDED:
        reason = f"{reason} " + _(
            "Only {count} values so far; treat this as a first guess."
        ).format(count=chart.count)
    return Capability(cpu, over), Finding(
        "chart.capability",
        severity,
        sentence,
        reason=reason.strip(),
        where=where,
        measured=cpu,
        limit=1.0,
        status="common practice",
    )


def _numbers(values: Sequence[float]) -> np.ndarray[tuple[int], np.dtype[np.float64]]:
    found = np.asarray(values, dtype=np.float64)
    if found.ndim != 1 or found.size < LEAST or not np.isfinite(found).all():
        raise InputError("values", values, _("A chart needs at least two numbers."))
    return found
