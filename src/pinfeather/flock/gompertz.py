"""Growth functions fitted to weights by age, and a cautious fit for when no table suits."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final, Literal

import numpy as np
from numpy.typing import NDArray

from pinfeather.errors import InputError
from pinfeather.words import gettext as _

Floats = NDArray[np.float64]
Form = Literal["gompertz", "logistic"]
Errors = Literal["relative", "absolute"]

_PRIOR_MEAN: Final = (math.log(4.402), math.log(0.04091), math.log(36.70))
"""Of ln A [kg], ln k [1/d] and ln ti [d] over meat chickens; independent computation on nine
growth tables of 1984 to 2015."""
_PRIOR_COVARIANCE: Final = (
    (0.03418, 0.00687, -0.00332),
    (0.00687, 0.01112, -0.00910),
    (-0.00332, -0.00910, 0.00934),
)
"""Same computation."""
_HATCH_KG: Final = 0.045
_HATCH_SD: Final = 0.12
_SHAPE_SD: Final = 0.03
"""How far a true mean strays from any Gompertz curve; same computation."""
_RUNAWAY: Final = 10.0
"""A mature weight this many times the heaviest weight seen is no finding about the bird."""
_UNSURE: Final = 0.5
"""A relative standard error of the mature weight above which it is not known."""
_FEWEST: Final = 4


@dataclass(frozen=True, slots=True)
class Fit:
    """A growth function fitted to weights.

    Parameters
    ----------
    form : str
        ``"gompertz"`` or ``"logistic"``.
    mature_kg : float
        The weight it tends to [kg].
    rate_per_d : float
        Its rate [1/d].
    inflection_d : float
        Age of the greatest gain [d].
    sse : float
        Sum of squared residuals, of kilograms or of logarithms.
    rse : float
        Residual standard error, of kilograms or of logarithms.
    worst_frac : float
        Largest relative distance from a weight [1].
    identified : bool
        Whether the weights say anything about the mature weight.
    """

    form: Form
    mature_kg: float
    rate_per_d: float
    inflection_d: float
    sse: float
    rse: float
    worst_frac: float
    identified: bool


@dataclass(frozen=True, slots=True)
class PriorFit:
    """A Gompertz curve from a few weighings and what is known of chickens.

    Parameters
    ----------
    mature_kg : float
        The weight it tends to [kg].
    rate_per_d : float
        Its rate [1/d].
    inflection_d : float
        Age of the greatest gain [d].
    covariance : tuple of tuple of float
        Of the three logarithms, shape (3, 3) [1].
    """

    mature_kg: float
    rate_per_d: float
    inflection_d: float
    covariance: tuple[tuple[float, ...], ...]


def growth_kg(
    form: Form, age_d: float | Floats, *, mature_kg: float, rate_per_d: float, inflection_d: float
) -> Floats:
    """Return the weight a growth function gives at an age.

    Parameters
    ----------
    form : str
        ``"gompertz"`` or ``"logistic"``.
    age_d : float or ndarray
        Ages [d].
    mature_kg : float
        The weight it tends to [kg].
    rate_per_d : float
        Its rate [1/d].
    inflection_d : float
        Age of the greatest gain [d].

    Returns
    -------
    ndarray
        Weights [kg].

    References
    ----------
    Gompertz: W = A exp(-exp(-k (t - ti))), W(ti) = A/e. Logistic: W = A / (1 + exp(-k (t - ti))).
    """
    found: Floats = mature_kg * _unit(
        form,
        np.asarray(age_d, dtype=float),
        log_rate=math.log(rate_per_d),
        inflection_d=inflection_d,
    )
    return found


def greatest_gain_kg_per_d(*, mature_kg: float, rate_per_d: float) -> float:
    """Return the most a Gompertz bird gains in a day.

    Parameters
    ----------
    mature_kg : float
        The weight it tends to [kg].
    rate_per_d : float
        Its rate [1/d].

    Returns
    -------
    float
        At the weight ``mature_kg / e`` [kg/d].

    References
    ----------
    Derivation: dW/dt = k W ln(A/W) at W = A/e.
    """
    return mature_kg * rate_per_d / math.e


def fit_growth(
    ages_d: Sequence[float] | Floats,
    weights_kg: Sequence[float] | Floats,
    counts: Sequence[float] | None = None,
    *,
    form: Form = "gompertz",
    errors: Errors = "relative",
) -> Fit:
    """Fit a growth function to weights by age.

    Parameters
    ----------
    ages_d : sequence of float
        Ages, shape (n,) [d].
    weights_kg : sequence of float
        Single or mean weights, shape (n,) [kg].
    counts : sequence of float or None
        Birds behind each mean, shape (n,); None counts each once [1].
    form : str
        ``"gompertz"`` or ``"logistic"``.
    errors : str
        ``"relative"`` compares logarithms, which suits birds; ``"absolute"`` compares kilograms.

    Returns
    -------
    Fit
        Look at ``identified`` before believing the mature weight.

    Raises
    ------
    InputError
        If there are fewer than four weights, or one is not above zero.

    Notes
    -----
    Three parameters from weights before about 35 days of age say little about what comes later
    (mean errors of 19 % at 42 to 63 days from three weighings to 28 days, independent
    computation). Use a table and the ratio method instead.

    References
    ----------
    Golub and Pereyra 1973, SIAM Journal on Numerical Analysis 10:413-432 (the mature weight is
    solved for inside the search); Seber and Wild 1989, Nonlinear Regression, chapter 7.
    """
    from scipy.optimize import least_squares

    t, w, n = _checked(ages_d, weights_kg, counts)

    def scale(unit: Floats) -> float:
        if errors == "relative":
            return float(np.exp(np.average(np.log(w) - np.log(unit), weights=n)))
        return float((n * w * unit).sum() / (n * unit**2).sum())

    def residuals(x: Floats) -> Floats:
        unit = _unit(form, t, log_rate=float(x[0]), inflection_d=float(x[1]))
        model = scale(unit) * unit
        rest = np.log(w) - np.log(model) if errors == "relative" else w - model
        found: Floats = np.sqrt(n) * rest
        return found

    span = float(t.max() - t.min())
    starts = [
        (math.log(rate / span), float(t.min()) + at * span)
        for rate in (1.0, 2.5, 6.0)
        for at in (0.2, 0.6, 1.2)
    ]
    tries = [
        least_squares(
            residuals,
            start,
            x_scale=(0.3, span / 5),
            bounds=((-12.0, -5 * span), (3.0, 40 * span)),
            xtol=1e-13,
            ftol=1e-14,
            gtol=1e-14,
            max_nfev=400,
        )
        for start in starts
    ]
    best = min(tries, key=lambda one: float(one.cost))
    log_rate, inflection = float(best.x[0]), float(best.x[1])
    unit = _unit(form, t, log_rate=log_rate, inflection_d=inflection)
    mature = scale(unit)
    model = mature * unit
    sse = 2 * float(best.cost)
    rse = math.sqrt(sse / (len(t) - 3))
    sure = (
        mature < _RUNAWAY * float(w.max())
        and _mature_error(form, errors, data=(t, n), at=(mature, log_rate, inflection, rse))
        < _UNSURE
    )
    worst = float(np.max(np.abs(model / w - 1)))
    return Fit(form, mature, math.exp(log_rate), inflection, sse, rse, worst, sure)


def fit_with_prior(
    ages_d: Sequence[float],
    means_kg: Sequence[float],
    *,
    counts: Sequence[int],
    cv: float,
) -> PriorFit:
    """Fit a Gompertz curve to a few weighings, held near what chickens do.

    Parameters
    ----------
    ages_d : sequence of float
        Ages at the weighings, shape (n,) [d].
    means_kg : sequence of float
        Mean weights, shape (n,) [kg].
    counts : sequence of int
        Birds weighed each time, shape (n,).
    cv : float
        Spread between birds as a share of the mean [1].

    Returns
    -------
    PriorFit
        With no weighings, the prior itself.

    Raises
    ------
    InputError
        If lengths differ or a number is not above zero.

    Notes
    -----
    For meat chickens. Used only where no table fits the birds: mean errors of 4.7 % against
    0.9 % for the ratio method on the same tables (independent computation).

    References
    ----------
    Gelman et al. 2013, Bayesian Data Analysis, section 4.1 (normal approximation at the mode).
    """
    from scipy.optimize import least_squares

    if not len(ages_d) == len(means_kg) == len(counts):
        raise InputError("counts", tuple(counts), _("Give an age, a mean and a number each time."))
    if min([*means_kg, *counts, cv, 1.0]) <= 0:
        raise InputError("means_kg", tuple(means_kg), _("Weights and counts are above zero."))
    t = np.array([0.0, *ages_d])
    w = np.log(np.array([_HATCH_KG, *means_kg]))
    sd = np.array([_HATCH_SD, *(math.sqrt(_SHAPE_SD**2 + cv**2 / n) for n in counts)])
    centre = np.array(_PRIOR_MEAN)
    white = np.linalg.inv(np.linalg.cholesky(np.array(_PRIOR_COVARIANCE)))

    def residuals(x: Floats) -> Floats:
        model = x[0] - np.exp(-np.exp(x[1]) * (t - np.exp(x[2])))
        found: Floats = np.concatenate([(w - model) / sd, white @ (x - centre)])
        return found

    found = least_squares(residuals, centre, xtol=1e-12, ftol=1e-12)
    jac = np.asarray(found.jac, dtype=float)
    covariance = np.linalg.inv(jac.T @ jac)
    a, k, ti = np.exp(found.x)
    return PriorFit(
        float(a), float(k), float(ti), tuple(tuple(float(v) for v in row) for row in covariance)
    )


def prior_weight(fit: PriorFit, age_d: float | Floats) -> tuple[Floats, Floats]:
    """Return the mean weight a cautious fit gives, and how unsure it is.

    Parameters
    ----------
    fit : PriorFit
        From :func:`fit_with_prior`.
    age_d : float or ndarray
        Ages [d].

    Returns
    -------
    mean_kg : ndarray
        Weights [kg].
    sd_frac : ndarray
        Standard deviation of that mean, as a share of it [1].

    References
    ----------
    Derivation: first-order propagation of the covariance of ln A, ln k and ln ti, and the
    distance of true means from any Gompertz curve.
    """
    t = np.asarray(age_d, dtype=float)
    k, ti = fit.rate_per_d, fit.inflection_d
    bend = np.exp(-k * (t - ti))
    mean: Floats = fit.mature_kg * np.exp(-bend)
    slope = np.stack([np.ones_like(t), bend * k * (t - ti), -bend * k * ti])
    variance = np.einsum("i...,ij,j...->...", slope, np.array(fit.covariance), slope)
    sd: Floats = np.sqrt(variance + _SHAPE_SD**2)
    return mean, sd


def _unit(form: Form, t: Floats, *, log_rate: float, inflection_d: float) -> Floats:
    power = np.clip(-math.exp(log_rate) * (t - inflection_d), -600.0, 6.0)
    grown = (
        np.exp(-np.exp(power)) if form == "gompertz" else 1 / (1 + np.exp(np.minimum(power, 600)))
    )
    found: Floats = grown
    return found


def _mature_error(
    form: Form, errors: Errors, *, data: tuple[Floats, Floats], at: tuple[float, ...]
) -> float:
    """Relative standard error of the mature weight."""
    (t, n), (mature, log_rate, inflection, rse) = data, at
    x = np.array([math.log(mature), log_rate, inflection])
    step = np.array([1e-5, 1e-5, 1e-4])

    def model(y: Floats) -> Floats:
        grown = math.exp(float(y[0])) * _unit(
            form, t, log_rate=float(y[1]), inflection_d=float(y[2])
        )
        found: Floats = np.log(grown) if errors == "relative" else grown
        return found

    jac = np.stack([(model(x + step * e) - model(x - step * e)) / (2 * s)
                    for e, s in zip(np.eye(3), step, strict=True)], axis=1)  # fmt: skip
    information = jac.T @ (n[:, None] * jac)
    if np.linalg.cond(information) > 1e14:  # noqa: PLR2004 - singular in double precision
        return math.inf
    return rse * math.sqrt(float(np.linalg.inv(information)[0, 0]))


def _checked(
    ages_d: Sequence[float] | Floats,
    weights_kg: Sequence[float] | Floats,
    counts: Sequence[float] | None,
) -> tuple[Floats, Floats, Floats]:
    t, w = np.asarray(ages_d, dtype=float), np.asarray(weights_kg, dtype=float)
    n = np.ones_like(t) if counts is None else np.asarray(counts, dtype=float)
    if not len(t) == len(w) == len(n):
        raise InputError("weights_kg", len(w), _("Give one weight for each age."))
    if len(t) < _FEWEST:
        raise InputError("ages_d", len(t), _("A growth curve needs four weights or more."))
    if not (np.all(np.isfinite(t)) and np.all(np.isfinite(w)) and np.all(w > 0) and np.all(n > 0)):
        raise InputError("weights_kg", tuple(w), _("Weights are numbers above zero."))
    return t, w, n
