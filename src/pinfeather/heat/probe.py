"""What one probe left in a bird says: bath temperature, cooling rate, and lag."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from pinfeather.errors import InputError
from pinfeather.finding import Finding, Severity
from pinfeather.words import gettext as _

_FEWEST: Final = 5
_SETTLED: Final = 0.8
_POOR_FIT_K: Final = 1.0


@dataclass(frozen=True, slots=True)
class Identified:
    """The cooling line found in a series of readings.

    Parameters
    ----------
    bath_degC : float
        Temperature it is heading for [degC].
    f_s : float
        Time for the difference to fall to a tenth [s].
    j : float
        Lag: where the line starts, as a multiple of the first difference [1].
    scatter_K : float
        How far readings lie from the line, root mean square [K].
    used : int
        Readings used.
    findings : tuple of Finding
        What to know before leaning on it.
    """

    bath_degC: float
    f_s: float
    j: float
    scatter_K: float
    used: int
    findings: tuple[Finding, ...]

    def time_to_s(self, limit_degC: float, *, start_degC: float) -> float | None:
        """Return when, from the start, the line reaches a limit.

        Parameters
        ----------
        limit_degC : float
            Temperature to reach [degC].
        start_degC : float
            First temperature of the bird [degC].

        Returns
        -------
        float or None
            Time; None if it never does [s].

        References
        ----------
        Derivation: t = f log10(j (start - bath) / (limit - bath)).
        """
        if limit_degC <= self.bath_degC:
            return None
        first = self.j * (start_degC - self.bath_degC)
        return max(0.0, self.f_s * math.log10(first / (limit_degC - self.bath_degC)))


def identify(
    times_s: NDArray[np.float64],
    degC: NDArray[np.float64],
    *,
    bath_degC: float | None = None,
) -> Identified:
    """Find bath temperature, cooling rate and lag from a probe's readings.

    Parameters
    ----------
    times_s : ndarray, shape (n,)
        Times since the bird went in, increasing [s].
    degC : ndarray, shape (n,)
        Readings of a probe that stays in place [degC].
    bath_degC : float or None
        Bath temperature where it is known; None finds it [degC].

    Returns
    -------
    Identified
        The cooling line.

    Raises
    ------
    InputError
        If there are fewer than five settled readings, or they do not fall.

    Notes
    -----
    Only readings after a fifth of the fall are used, where one exponential is left. Found from a
    short piece of the curve, the bath temperature is vague; give it where it is known.

    References
    ----------
    Ball (1923), National Research Council Bulletin 37, for f and j; nonlinear least squares.
    """
    from scipy.optimize import least_squares  # slow to load

    times, values = np.asarray(times_s, dtype=np.float64), np.asarray(degC, dtype=np.float64)
    if times.shape != values.shape or times.ndim != 1 or not np.all(np.diff(times) > 0):
        raise InputError(
            "times_s", times.shape, _("There must be one increasing time per reading.")
        )
    if not np.all(np.isfinite(values)):
        raise InputError("degC", values.shape, _("There is a gap or a text among these numbers."))
    if len(times) < _FEWEST or values[-1] >= values[0]:
        raise InputError("degC", len(times), _("The readings have to fall, five of them or more."))
    start = float(values[0])
    end = float(values.min()) - 0.5 if bath_degC is None else bath_degC
    settled = values <= end + _SETTLED * (start - end)
    if bath_degC is not None:
        settled &= values > bath_degC
    times, values = times[settled], values[settled]
    if len(times) < _FEWEST:
        raise InputError("degC", len(times), _("The readings have to fall, five of them or more."))
    fall = math.log(max(values[0] - end, 1e-3) / max(values[-1] - end, 1e-3))
    rate = max(fall, 0.05) / float(times[-1] - times[0])

    def misses(x: NDArray[np.float64]) -> NDArray[np.float64]:
        bath = x[2] if bath_degC is None else bath_degC
        return np.asarray(bath + np.exp(x[1] - np.exp(x[0]) * times) - values)

    first = [math.log(rate), math.log(max(values[0] - end, 1e-3)) + rate * float(times[0])]
    if bath_degC is None:
        first.append(end)
    fit = least_squares(misses, first, x_scale="jac")
    bath = float(fit.x[2]) if bath_degC is None else bath_degC
    scatter = float(np.sqrt(np.mean(fit.fun**2)))
    findings: list[Finding] = []
    if scatter > _POOR_FIT_K:
        findings.append(
            Finding(
                "probe.poor_fit",
                Severity.CHECK,
                _("The readings are not one cooling line: the probe was moved, or ice added."),
                measured=scatter,
                limit=_POOR_FIT_K,
                unit="K",
            )
        )
    f_s = math.log(10) / math.exp(float(fit.x[0]))
    if bath_degC is None and float(times[-1] - times[0]) < f_s / 2:
        findings.append(
            Finding(
                "probe.short",
                Severity.CHECK,
                _("Too little of the curve to tell the bath temperature: measure the water."),
                measured=float(times[-1] - times[0]),
                limit=f_s / 2,
                unit="s",
            )
        )
    lag = math.exp(float(fit.x[1])) / (start - bath) if start > bath else math.nan
    return Identified(bath, f_s, lag, scatter, len(times), tuple(findings))
