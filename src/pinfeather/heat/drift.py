"""A thermometer over its history of ice checks: whether it drifts, and whether it jumped."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from pinfeather.errors import InputError
from pinfeather.finding import Finding, Severity
from pinfeather.heat.guards import not_negative
from pinfeather.heat.thermometer import WORST_ACCURACY_K, ice_point_offset_K
from pinfeather.words import gettext as _

_FEWEST_FOR_DRIFT: Final = 3
_JUMP_K: Final = 1.0
_ROUNDING_K: Final = 1e-9


@dataclass(frozen=True, slots=True)
class IceCheck:
    """One ice check.

    Parameters
    ----------
    day : float
        When, counted in days [d].
    reading_degC : float
        What it showed in ice slush [degC].
    """

    day: float
    reading_degC: float


@dataclass(frozen=True, slots=True)
class Drift:
    """What a thermometer's ice checks say together.

    Parameters
    ----------
    offset_K : float or None
        Offset at its last check; None if never checked [K].
    per_day_K : float or None
        Drift; None with fewer than three checks [K/d].
    good_for_days : float or None
        Days after the last check until it is off by the allowed error at this drift; None if it
        never is, or the drift is not known [d].
    findings : tuple of Finding
        What to do about it.
    """

    offset_K: float | None
    per_day_K: float | None
    good_for_days: float | None
    findings: tuple[Finding, ...]

    def offset_on_K(self, days_since_check: float) -> float:
        """Return the offset to expect some days after the last check.

        Parameters
        ----------
        days_since_check : float
            Days since the last check [d].

        Returns
        -------
        float
            Offset; 0 if it was never checked [K].

        Raises
        ------
        InputError
            If the days are negative.

        References
        ----------
        Derivation: straight line from the last check.
        """
        not_negative("days_since_check", days_since_check)
        return (self.offset_K or 0.0) + (self.per_day_K or 0.0) * days_since_check


def drift(
    checks: list[IceCheck] | tuple[IceCheck, ...], *, allowed_K: float = WORST_ACCURACY_K
) -> Drift:
    """Return what a thermometer's history of ice checks says.

    Parameters
    ----------
    checks : sequence of IceCheck
        In any order.
    allowed_K : float
        Largest offset allowed [K].

    Returns
    -------
    Drift
        Offset, drift and findings.

    Raises
    ------
    InputError
        If a check is not one, or two are at the same time.

    Notes
    -----
    Drift is the middle of the slopes between all pairs of checks, which one bad check does not
    upset.

    References
    ----------
    Sen (1968), Journal of the American Statistical Association 63, 1379. Allowed error: FDA Food
    Code 4-203.11.
    """
    not_negative("allowed_K", allowed_K)
    if not checks:
        never = Finding(
            "thermometer.never_checked",
            Severity.CHECK,
            _("This thermometer has never been checked in ice."),
            _("Crushed ice and a little clean water, stirred; stem two inches in, 30 seconds."),
        )
        return Drift(None, None, None, (never,))
    rows = sorted(checks, key=lambda check: check.day)
    days = np.array([row.day for row in rows])
    if np.any(np.diff(days) <= 0):
        raise InputError("checks", days.tolist(), _("Two checks are at the same time."))
    offsets = np.array([ice_point_offset_K(row.reading_degC) for row in rows])
    findings: list[Finding] = []
    last = float(offsets[-1])
    if abs(last) > allowed_K + _ROUNDING_K:
        findings.append(
            Finding(
                "thermometer.off",
                Severity.STOP,
                _("It is off by more than a food thermometer may be."),
                _("Adjust it if it can be adjusted, and check again; otherwise replace it."),
                measured=abs(last),
                limit=allowed_K,
                unit="K",
                citation="FDA Food Code 4-203.11",
                status="second hand",
            )
        )
    if len(rows) > 1 and abs(offsets[-1] - offsets[-2]) > _JUMP_K:
        findings.append(
            Finding(
                "thermometer.jumped",
                Severity.CHECK,
                _("It jumped since the check before: readings in between are in doubt."),
                _("Look at what was judged with it since then. Was it dropped?"),
                measured=abs(float(offsets[-1] - offsets[-2])),
                limit=_JUMP_K,
                unit="K",
            )
        )
    if len(rows) < _FEWEST_FOR_DRIFT:
        return Drift(last, None, None, tuple(findings))
    first, second = np.triu_indices(len(rows), k=1)
    slope = float(np.median((offsets[second] - offsets[first]) / (days[second] - days[first])))
    good_for = None
    if slope != 0:
        edge = allowed_K if slope > 0 else -allowed_K
        good_for = max(0.0, (edge - last) / slope)
    return Drift(last, slope, good_for, tuple(findings))
