"""A logger's curve: cleaning it, and adding up anything that depends on its temperature."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Final

import numpy as np
import numpy.typing as npt

from pinfeather.errors import InputError
from pinfeather.finding import Finding, Severity
from pinfeather.hygiene.rates import FloatArray
from pinfeather.units import SECONDS_PER_HOUR
from pinfeather.words import gettext as _
from pinfeather.words import ngettext

# A logger read every 5 minutes loses six readings before this counts as a gap. Own choice.
MAX_GAP_S: Final = 1800.0
# Sub-steps of Simpson's rule; at these sizes its error on a chill curve is below 1e-6 log.
MAX_STEP_S: Final = 120.0
MAX_STEP_K: Final = 1.0
_GAP_POINTS: Final = 41


@dataclass(frozen=True, slots=True, eq=False)
class Curve:
    """A cleaned temperature curve.

    Parameters
    ----------
    t_s : ndarray, shape (n,)
        Time of each reading, not decreasing; equal times are a step [s].
    temp_degC : ndarray, shape (n,)
        Readings [degC].
    gap : ndarray of bool, shape (n - 1,)
        Which intervals are gaps, where nothing is known between the readings.
    findings : tuple of Finding
        Gaps and faults found.
    """

    t_s: FloatArray
    temp_degC: FloatArray
    gap: npt.NDArray[np.bool_]
    findings: tuple[Finding, ...]

    @property
    def length_s(self) -> float:
        """From the first reading to the last."""
        return float(self.t_s[-1] - self.t_s[0])


def read_curve(
    t_s: npt.ArrayLike, temp_degC: npt.ArrayLike, *, max_gap_s: float = MAX_GAP_S
) -> Curve:
    """Clean a logger's readings and find its gaps.

    Parameters
    ----------
    t_s : array_like, shape (n,)
        Time of each reading from any start, not decreasing [s].
    temp_degC : array_like, shape (n,)
        Readings; not-a-number marks a reading that failed [degC].
    max_gap_s : float
        A longer time between readings counts as a gap [s].

    Returns
    -------
    Curve
        Failed readings left out, the interval across them marked as a gap.

    Raises
    ------
    InputError
        If the two lengths differ, time runs backwards, or fewer than two readings are left.

    References
    ----------
    Derivation: bookkeeping.
    """
    time = np.asarray(t_s, dtype=np.float64)
    temp = np.asarray(temp_degC, dtype=np.float64)
    if time.ndim != 1 or time.shape != temp.shape:
        raise InputError("t_s", time.shape, _("Each reading needs one time and one temperature."))
    if not np.isfinite(time).all() or np.isinf(temp).any():
        raise InputError("t_s", None, _("A time is missing, or a temperature is endless."))
    if (np.diff(time) < 0).any():
        raise InputError("t_s", None, _("The readings are not in order of time."))
    if not max_gap_s > 0:
        raise InputError("max_gap_s", max_gap_s, _("A gap must be longer than nothing."))
    good = np.isfinite(temp)
    kept = np.flatnonzero(good)
    if kept.size < 2:  # noqa: PLR2004 - a curve has two ends
        raise InputError("temp_degC", int(kept.size), _("A curve needs at least two readings."))
    time, temp = time[kept], temp[kept]
    gap = (np.diff(time) > max_gap_s) | (np.diff(kept) > 1)
    return Curve(time, temp, gap, tuple(_troubles(time, gap, int(good.size - kept.size))))


def accumulate(curve: Curve, rate_per_s: Callable[[FloatArray], FloatArray]) -> FloatArray:
    """Add up a temperature-dependent rate along a curve.

    Parameters
    ----------
    curve : Curve
        Cleaned readings.
    rate_per_s : callable
        From temperatures [degC] to rates [1/s], elementwise, not negative.

    Returns
    -------
    ndarray, shape (n,)
        Sum from the first reading to each reading; starts at 0.

    Notes
    -----
    The temperature runs in a straight line between readings and the rate is integrated along it;
    averaging the temperature first would understate growth, whose rate bends upwards. Across a
    gap the temperature between the two readings that makes the rate largest is held: the safe
    side, as long as nothing outside the two happened.

    References
    ----------
    Derivation: composite Simpson's rule, sub-steps of at most 120 s and 1 K.
    """
    width_s = np.diff(curve.t_s)
    rise_K = np.diff(curve.temp_degC)
    needed = np.maximum(width_s / MAX_STEP_S, np.abs(rise_K) / MAX_STEP_K)
    needed[curve.gap | (width_s == 0)] = 1.0
    left, half_K, step_s = curve.temp_degC[:-1], rise_K / 2, width_s
    first = None
    if (needed > 1).any():  # the usual logger needs one step to a reading
        steps = np.maximum(np.ceil(needed), 1).astype(np.intp)
        first = np.cumsum(steps) - steps
        place = np.arange(int(steps.sum())) - np.repeat(first, steps)
        step_K = np.repeat(rise_K / steps, steps)
        left = np.repeat(left, steps) + place * step_K
        half_K, step_s = step_K / 2, np.repeat(width_s / steps, steps)
    ends = rate_per_s(np.append(left, curve.temp_degC[-1]))
    middle = rate_per_s(left + half_K)
    parts = step_s / 6 * (ends[:-1] + 4 * middle + ends[1:])
    if first is not None:
        parts = np.add.reduceat(parts, first)
    if curve.gap.any():
        parts[curve.gap] = width_s[curve.gap] * _largest(curve, rate_per_s)
    total = np.empty(curve.t_s.size)
    total[0] = 0.0
    np.cumsum(parts, out=total[1:])
    return total


def time_between(curve: Curve, *, above_degC: float, below_degC: float = np.inf) -> float:
    """Add up the time a curve spends above one temperature and below another.

    Parameters
    ----------
    curve : Curve
        Cleaned readings.
    above_degC : float
        Counts above this [degC].
    below_degC : float
        Counts below this [degC].

    Returns
    -------
    float
        The time; a gap counts whole if it could have been inside [s].

    References
    ----------
    Derivation: straight line between readings, crossings exact.
    """
    start, end = curve.temp_degC[:-1], curve.temp_degC[1:]
    low, high = np.minimum(start, end), np.maximum(start, end)
    touched = np.flatnonzero((high > above_degC) & (low < below_degC))
    low, high, gap = low[touched], high[touched], curve.gap[touched]
    inside_K = np.minimum(high, below_degC) - np.maximum(low, above_degC)
    whole = gap | (low == high)
    share = np.where(whole, 1.0, inside_K / np.where(whole, 1.0, high - low))
    return float(np.sum(np.diff(curve.t_s)[touched] * share))


def _largest(curve: Curve, rate_per_s: Callable[[FloatArray], FloatArray]) -> FloatArray:
    """Largest rate at any temperature between the two ends of each gap."""
    start, end = curve.temp_degC[:-1][curve.gap], curve.temp_degC[1:][curve.gap]
    best = rate_per_s(start)
    for share in np.linspace(0, 1, _GAP_POINTS)[1:]:
        best = np.maximum(best, rate_per_s(start + share * (end - start)))
    return best


def _troubles(time: FloatArray, gap: npt.NDArray[np.bool_], failed: int) -> list[Finding]:
    findings: list[Finding] = []
    if failed:
        findings.append(
            Finding(
                "curve.fault",
                Severity.CHECK,
                ngettext(
                    "{count} reading of the logger failed and was left out.",
                    "{count} readings of the logger failed and were left out.",
                    failed,
                ).format(count=failed),
            )
        )
    if gap.any():
        widths_h = np.diff(time)[gap] / SECONDS_PER_HOUR
        findings.append(
            Finding(
                "curve.gap",
                Severity.CHECK,
                ngettext(
                    "The curve has {count} gap, {hours:.1f} h in all.",
                    "The curve has {count} gaps, {hours:.1f} h in all.",
                    int(gap.sum()),
                ).format(count=int(gap.sum()), hours=float(widths_h.sum())),
                reason=_(
                    "Across a gap the worst temperature between its two ends is assumed. Nobody"
                    " knows what happened in between: say what you know in the record."
                ),
                measured=float(widths_h.sum()),
                unit="h",
            )
        )
    return findings
