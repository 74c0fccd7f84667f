"""How much longer a bird needs, from probe readings of the bird itself."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

from pinfeather.errors import InputError
from pinfeather.finding import Finding, Severity
from pinfeather.heat.breast import LIVE_BIRD_DEGC
from pinfeather.heat.guards import finite, positive
from pinfeather.words import gettext as _

_SETTLED: Final = 0.8
"""Share of the first difference below which the centre cools along its line (Fo > 0.2)."""


@dataclass(frozen=True, slots=True)
class TwoReadings:
    """What two probe readings of one bird say about the rest of its way.

    Parameters
    ----------
    f_s : float
        Time for the difference to the bath to fall to a tenth [s].
    remaining_s : float or None
        Time after the second reading; None if it never gets there [s].
    findings : tuple of Finding
        What to know before leaning on the number.
    """

    f_s: float
    remaining_s: float | None
    findings: tuple[Finding, ...] = ()


def two_reading_time(
    first_degC: float,
    second_degC: float,
    *,
    apart_s: float,
    bath_degC: float,
    limit_degC: float,
    start_degC: float = LIVE_BIRD_DEGC,
) -> TwoReadings:
    """Return how much longer a bird needs, from two probe readings at the same place in it.

    Parameters
    ----------
    first_degC : float
        Earlier reading [degC].
    second_degC : float
        Later reading [degC].
    apart_s : float
        Time between them [s].
    bath_degC : float
        Water temperature, steady over that time [degC].
    limit_degC : float
        Temperature to reach [degC].
    start_degC : float
        Temperature when the bird went in; tells whether the first reading came too early [degC].

    Returns
    -------
    TwoReadings
        Its own cooling rate, and the time still needed.

    Raises
    ------
    InputError
        If the second reading is not below the first, or either is not above the water.

    Notes
    -----
    Needs no geometry. Good once less than 80 % of the first difference is left.

    References
    ----------
    Derivation: two points on the line t = f log10(j / ratio).

    Examples
    --------
    >>> found = two_reading_time(20.0, 12.0, apart_s=1200.0, bath_degC=1.0, limit_degC=4.4)
    >>> round(found.remaining_s / 60)
    43
    """
    positive("apart_s", apart_s)
    for name, value in (("first_degC", first_degC), ("bath_degC", bath_degC)):
        finite(name, value)
    finite("limit_degC", limit_degC)
    if second_degC <= bath_degC or not math.isfinite(second_degC):
        raise InputError(
            "second_degC", second_degC, _("The bird cannot be colder than its water. Probe again.")
        )
    if first_degC <= second_degC:
        raise InputError(
            "second_degC", second_degC, _("The second reading is not below the first. Probe again.")
        )
    f_s = apart_s / math.log10((first_degC - bath_degC) / (second_degC - bath_degC))
    findings: list[Finding] = []
    if first_degC - bath_degC > _SETTLED * (start_degC - bath_degC):
        findings.append(
            Finding(
                "chill.read_too_early",
                Severity.CHECK,
                _("The first reading was taken too early to count on."),
                _("Wait until the breast has lost a fifth of its warmth, then read twice."),
            )
        )
    if second_degC <= limit_degC:
        return TwoReadings(f_s, 0.0, tuple(findings))
    if bath_degC >= limit_degC:
        findings.append(never_cold(bath_degC, limit_degC))
        return TwoReadings(f_s, None, tuple(findings))
    remaining_s = f_s * math.log10((second_degC - bath_degC) / (limit_degC - bath_degC))
    return TwoReadings(f_s, remaining_s, tuple(findings))


def never_cold(bath_degC: float, limit_degC: float) -> Finding:
    """Return the finding that a bath cannot do it.

    Parameters
    ----------
    bath_degC : float
        Water or air [degC].
    limit_degC : float
        Temperature to reach [degC].

    Returns
    -------
    Finding
        To stop for.

    References
    ----------
    Derivation: heat flows only to what is colder.
    """
    return Finding(
        "chill.never",
        Severity.STOP,
        _("The bath is not colder than the limit, so the birds never get there."),
        _("Add ice, or drain some water and add ice."),
        measured=bath_degC,
        limit=limit_degC,
        unit="C",
    )
