"""How much bacteria can have grown along a logger's curve, with and without a lag."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

import numpy as np
import numpy.typing as npt

from pinfeather.errors import InputError, OutOfRangeError
from pinfeather.finding import Finding, Severity
from pinfeather.hygiene.curve import Curve, accumulate, time_between
from pinfeather.hygiene.growth_models import GrowthModel
from pinfeather.hygiene.rates import FloatArray, Ln, LnRate, Log10, ln_to_log10, log10_to_ln
from pinfeather.hygiene.tables import table
from pinfeather.quantity import show
from pinfeather.units import SECONDS_PER_HOUR
from pinfeather.words import gettext as _

# The farm's own screen; no published standard. Status: disputable.
REVIEW_LOG10: Final = Log10(1.0)
HOLD_LOG10: Final = Log10(1.5)


@dataclass(frozen=True, slots=True, eq=False)
class Growth:
    """Growth along a curve.

    Parameters
    ----------
    model : GrowthModel
        Which bacterium and formula.
    without_lag : Log10
        Growth if it started at the first reading: the safe figure [log10 units].
    with_lag : Log10 or None
        Growth after working off the lag; None where no lag is known [log10 units].
    t_s : ndarray, shape (n,)
        Times of the readings [s].
    so_far_log10 : ndarray, shape (n,)
        Growth without lag up to each reading [log10 units].
    findings : tuple of Finding
        Gaps, faults, and time outside the range of the model's data.
    """

    model: GrowthModel
    without_lag: Log10
    with_lag: Log10 | None
    t_s: FloatArray
    so_far_log10: FloatArray
    findings: tuple[Finding, ...]


def grow(
    model: GrowthModel,
    curve: Curve,
    *,
    h0: float | None = None,
    start: Log10 | None = None,
    most: Log10 | None = None,
) -> Growth:
    """Estimate growth along a curve.

    Parameters
    ----------
    model : GrowthModel
        Which bacterium and formula.
    curve : Curve
        Cleaned readings; see :func:`pinfeather.hygiene.curve.read_curve`.
    h0 : float or None
        Work before growth starts, rate x lag [ln units]; None takes the model's own.
    start, most : Log10 or None
        Count at the start and the most the meat can carry [log10 per gram]; only together, and
        only the figure with lag uses them.

    Returns
    -------
    Growth
        Both figures, the course, and findings.

    Raises
    ------
    InputError
        If ``h0`` is negative, or only one of ``start`` and ``most`` is given.

    Notes
    -----
    Not a count: what could have grown, if any were there. Readings deep in the breast overstate
    growth on the skin, which cools first. Outside the range of the model's data the findings say
    for how long; between the growth limit and that range the formula is carried on, beyond the
    growth limits the rate is zero.

    References
    ----------
    Baranyi J, Roberts TA (1994), International Journal of Food Microbiology 23:277-294, dynamic
    form. Derivation of the closed form: ln q grows by M, the integral of the rate, so the
    adjusted time is ln((1 + q) / (1 + q0)) whatever the temperature did.
    """
    if (start is None) != (most is None):
        raise InputError("start", start, _("Give the start and the most together."))
    so_far = accumulate(curve, lambda temp_degC: model.rate(temp_degC).per_s)
    total = Log10(float(so_far[-1]))
    work = model.h0 if h0 is None else h0
    with_lag = None
    if work is not None:
        gained = after_lag(log10_to_ln(total), h0=work)
        with_lag = ln_to_log10(gained)
        if start is not None and most is not None:
            with_lag = crowded(with_lag, start=start, most=most)
    return Growth(
        model,
        total,
        with_lag,
        curve.t_s,
        so_far,
        (*curve.findings, *_range_findings(model, curve)),
    )


def after_lag(possible: Ln, *, h0: float) -> Ln:
    """Take the lag off an amount of growth.

    Parameters
    ----------
    possible : Ln
        Growth there would be without a lag [ln units].
    h0 : float
        Work before growth starts, rate x lag [ln units].

    Returns
    -------
    Ln
        Growth left [ln units].

    Raises
    ------
    InputError
        If either is negative.

    References
    ----------
    Baranyi and Roberts (1994), equations for q and A with q0 = 1 / (exp(h0) - 1).
    """
    if not (possible >= 0 and h0 >= 0):
        raise InputError("h0", h0, _("Growth and lag cannot be negative."))
    # ln(exp(M - h0) + 1 - exp(-h0)), safe for large M and for h0 = 0
    rest = -math.expm1(-h0)
    if rest == 0:
        return possible
    return Ln(max(float(np.logaddexp(possible - h0, math.log(rest))), 0.0))


def crowded(amount: Log10, *, start: Log10, most: Log10) -> Log10:
    """Slow growth down as the meat fills up.

    Parameters
    ----------
    amount : Log10
        Growth with room to spare [log10 units].
    start : Log10
        Count at the start [log10 per gram].
    most : Log10
        The most the meat can carry [log10 per gram].

    Returns
    -------
    Log10
        Growth allowed [log10 units].

    Raises
    ------
    InputError
        If the start is not below the most.

    References
    ----------
    Baranyi and Roberts (1994), logistic term with m = 1.
    """
    if not start < most:
        raise InputError("most", most, _("The most must be above the start."))
    a = amount * math.log(10)
    room = (most - start) * math.log(10)
    # a - ln(1 + (exp(a) - 1) exp(-room)), written so that exp(a) never overflows
    filled = float(np.logaddexp(math.log(-math.expm1(-room)), a - room))
    return ln_to_log10(Ln(a - filled))


def baranyi(
    t_s: npt.ArrayLike, *, rate: LnRate, h0: float, start: Log10, most: Log10
) -> FloatArray:
    """Evaluate the growth curve at one steady temperature.

    Parameters
    ----------
    t_s : array_like
        Times from the start [s].
    rate : LnRate
        Steady growth rate.
    h0 : float
        Work before growth starts, rate x lag [ln units].
    start, most : Log10
        Count at the start and the most the meat can carry [log10 per gram].

    Returns
    -------
    ndarray
        Counts at those times [log10 per gram].

    Raises
    ------
    InputError
        If a time or ``h0`` is negative, or the start is not below the most.

    References
    ----------
    Baranyi and Roberts (1994), International Journal of Food Microbiology 23:277-294.
    """
    times = np.atleast_1d(np.asarray(t_s, dtype=np.float64))
    per_s = float(rate.per_s)
    grown = [
        crowded(ln_to_log10(after_lag(Ln(per_s * float(t)), h0=h0)), start=start, most=most)
        for t in times
    ]
    return np.asarray(grown, dtype=np.float64) + start


def lag_s(source: str, temp_degC: float) -> float:
    """Return a published lag before Salmonella starts to grow.

    Parameters
    ----------
    source : str
        ``"oscar_2002"`` or ``"oscar_2005"``.
    temp_degC : float
        Temperature [degC].

    Returns
    -------
    float
        The lag [s].

    Raises
    ------
    InputError
        If there is no such source.
    OutOfRangeError
        If the temperature is outside the source's data.

    References
    ----------
    Oscar (2002), International Journal of Food Microbiology 76:177-190; Oscar (2005) as used in
    Korean Journal for Food Science of Animal Resources 38(5):1043, Table 1.
    """
    rows = table("growth")["lags"]
    if source not in rows:
        raise InputError("source", source, _("There is no lag formula of that name."))
    row = rows[source]
    low, high = row["fitted_degC"]
    if not low <= temp_degC <= high:
        raise OutOfRangeError(
            "temp_degC",
            temp_degC,
            _("That lag was measured between {low} and {high} only.").format(
                low=show(low, "F", "temperature", decimals=0),
                high=show(high, "F", "temperature", decimals=0),
            ),
        )
    root = row["slope"] * (temp_degC - row["zero_degC"])
    return float(SECONDS_PER_HOUR / root**2)


def judge_growth(
    growth: Growth, *, review: Log10 = REVIEW_LOG10, hold: Log10 = HOLD_LOG10, where: str = ""
) -> Finding:
    """Sort a curve into fine, look again, or hold the birds.

    Parameters
    ----------
    growth : Growth
        From :func:`grow`; the figure without lag is judged.
    review, hold : Log10
        Above these, look again and hold [log10 units].
    where : str
        The batch.

    Returns
    -------
    Finding
        Always one.

    Raises
    ------
    InputError
        If the two limits are out of order.

    Notes
    -----
    A screen of the farm's own, beside the fixed time and temperature rules and never instead of
    them.

    References
    ----------
    No published standard; disputable.
    """
    if not 0 <= review <= hold:
        raise InputError("review", review, _("The first limit must not be above the second."))
    amount = growth.without_lag
    severity, code = Severity.NOTE, "growth.small"
    reason = ""
    limit = review
    if amount > hold:
        severity, code, limit = Severity.STOP, "growth.hold", hold
        reason = _("Hold these birds, decide what becomes of them, and write down why.")
    elif amount > review:
        severity, code = Severity.CHECK, "growth.review"
        reason = _("Look at the curve: what slowed the chilling?")
    return Finding(
        code,
        severity,
        _("Up to {amount:.1f} log of {name} could have grown.").format(
            amount=amount, name=growth.model.name
        ),
        reason=reason,
        where=where,
        measured=amount,
        limit=limit,
        unit="log10",
        citation=growth.model.citation,
        status="disputable" if growth.model.status == "second hand" else growth.model.status,
    )


def _range_findings(model: GrowthModel, curve: Curve) -> list[Finding]:
    low, high = model.fitted_degC
    findings: list[Finding] = []
    above_s = time_between(curve, above_degC=high)
    below_s = time_between(curve, above_degC=model.min_degC, below_degC=low)
    if above_s > 0:
        findings.append(
            Finding(
                "growth.above_range",
                Severity.CHECK,
                _("{hours:.1f} h were warmer than the {limit} the {name} data reach.").format(
                    hours=above_s / SECONDS_PER_HOUR,
                    limit=show(high, "F", "temperature", decimals=0),
                    name=model.name,
                ),
                reason=_("The growth given for that time is a guess."),
                measured=above_s / SECONDS_PER_HOUR,
                unit="h",
                citation=model.citation,
                status=model.status,
            )
        )
    if below_s > 0:
        findings.append(
            Finding(
                "growth.below_range",
                Severity.NOTE,
                _("{hours:.1f} h were colder than the {limit} where the {name} data begin.").format(
                    hours=below_s / SECONDS_PER_HOUR,
                    limit=show(low, "F", "temperature", decimals=0),
                    name=model.name,
                ),
                reason=_("The formula is carried on down to where growth stops; it adds little."),
                measured=below_s / SECONDS_PER_HOUR,
                unit="h",
                citation=model.citation,
                status=model.status,
            )
        )
    return findings
