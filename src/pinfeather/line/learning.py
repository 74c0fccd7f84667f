"""What the farm's own taps say about its times: prior, data, and what to plan with next."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from pinfeather.errors import InputError
from pinfeather.estimate import Basis, Estimate, Origin
from pinfeather.line.sampling import Z90
from pinfeather.words import gettext as _
from pinfeather.words import ngettext

Floats = NDArray[np.float64]

DAY_SPREAD: Final = 0.10
"""How much a station's mean moves from day to day, as a share; assumed."""
PACE_SPREAD: Final = 0.20
"""How much people differ in pace before anything is known of them; assumed."""
RATE_PRIOR: Final = (0.90, 0.06)
"""Learning rate for hand work before anything is known, and its spread; assumed."""
FEWEST: Final = 5
"""Fewest gaps between taps that say anything."""
_TUKEY: Final = 4.685  # 95 % efficiency at the normal distribution; Maronna et al. 2006


@dataclass(frozen=True, slots=True)
class Robust:
    """The middle of times on a logarithmic scale, odd ones left out.

    Parameters
    ----------
    log_mean, log_sd : float
        Of the natural logarithms of times in seconds.
    used : float
        How many times it rests on, partly used ones by their share.
    left_out : int
        Times left out altogether: lunch, doubled taps, long runs of missed taps.
    """

    log_mean: float
    log_sd: float
    used: float
    left_out: int


@dataclass(frozen=True, slots=True)
class Learned:
    """A time before and after the farm's own days.

    Parameters
    ----------
    prior : Estimate
        The handbook's, or what was known before [s].
    data : Estimate or None
        What the taps alone say; None where there are too few [s].
    posterior : Estimate
        What to plan with [s].
    cv : float
        Spread of single times; not-a-number without data [1].
    used : float
        Times it rests on.
    left_out : int
        Times left out as odd.
    """

    prior: Estimate
    data: Estimate | None
    posterior: Estimate
    cv: float
    used: float
    left_out: int


def service_times_s(
    taps_s: Sequence[float] | Floats,
    *,
    came_s: Sequence[float] | Floats | None = None,
    servers: int = 1,
) -> Floats:
    """Return how long each bird took, from the taps at the end of its work.

    Parameters
    ----------
    taps_s : sequence of float
        When each bird was done, in order [s].
    came_s : sequence of float or None
        When each bird had come, in order, such as the taps of the station before; None takes
        it that a bird always waits [s].
    servers : int
        People or places at work on one bird each.

    Returns
    -------
    ndarray
        From the second bird (or that after all places were filled) on [s].

    Raises
    ------
    InputError
        If there are fewer birds that came than were done, or no places.

    Notes
    -----
    With several places the gap between two of a place's birds is taken, which is right where
    birds do not overtake much and on average otherwise.

    References
    ----------
    Derivation: work starts when the bird has come and the place is free.
    """
    taps = np.sort(np.asarray(taps_s, dtype=float))
    if servers < 1:
        raise InputError("servers", servers, _("At least one place is needed."))
    if came_s is not None and len(came_s) < len(taps):
        raise InputError("came_s", len(came_s), _("More birds were done than came."))
    begin = taps[:-servers] if len(taps) > servers else taps[:0]
    if came_s is not None:
        came = np.sort(np.asarray(came_s, dtype=float))[servers : len(taps)]
        begin = np.maximum(begin, came)
    spent: Floats = np.maximum(taps[servers:] - begin, 0.0)
    return spent


def robust_log(times_s: Sequence[float] | Floats) -> Robust | None:
    """Return the middle and spread of times, untouched by lunch and missed or doubled taps.

    Parameters
    ----------
    times_s : sequence of float
        Times or gaps [s].

    Returns
    -------
    Robust or None
        None where fewer than five are above a second.

    References
    ----------
    Maronna, Martin and Yohai 2006, Robust Statistics, chapter 2: bisquare M-estimate of
    location with the normalised median absolute deviation as scale.
    """
    times = np.asarray(times_s, dtype=float)
    logs = np.log(times[times >= 1.0])
    if len(logs) < FEWEST:
        return None
    middle = float(np.median(logs))
    spread = max(float(np.median(np.abs(logs - middle))) * 1.4826, 0.02)
    weight = np.ones_like(logs)
    for _step in range(50):
        weight = np.clip(1 - ((logs - middle) / (_TUKEY * spread)) ** 2, 0, None) ** 2
        new = float(np.average(logs, weights=weight))
        if abs(new - middle) < 1e-10:  # noqa: PLR2004 - settled
            break
        middle = new
    inside = np.abs(logs - middle) < _TUKEY * spread
    used = float(weight.sum() ** 2 / (weight**2).sum())
    return Robust(middle, spread, used, len(times) - int(inside.sum()))


def learn_time(
    prior: Estimate, days: Sequence[Sequence[float] | Floats], *, day_spread: float = DAY_SPREAD
) -> Learned:
    """Join what was known of a time with the farm's own days.

    Parameters
    ----------
    prior : Estimate
        The handbook's, low and high as the 10th and 90th percentile [s].
    days : sequence of sequence of float
        Times of single birds, day by day, from :func:`service_times_s` [s].
    day_spread : float
        How much the mean moves from day to day, as a share [1].

    Returns
    -------
    Learned
        Few taps leave the handbook's number almost as it is; many replace it.

    Raises
    ------
    InputError
        If the prior is not above zero.

    Notes
    -----
    On a logarithmic scale, prior and days are weighed by how sure they are. No number of birds
    on one day makes that day count for more than its own spread from day to day allows.

    References
    ----------
    Gelman et al. 2013, Bayesian Data Analysis, section 2.5 (normal mean with known spread).
    """
    if prior.low <= 0:
        raise InputError("prior", prior.low, _("A time to learn from must be above zero."))
    mean = math.log(prior.value)
    spread = max((math.log(prior.high) - math.log(prior.low)) / (2 * Z90), 0.01)
    found = [one for one in (robust_log(day) for day in days) if one is not None]
    left_out = sum(one.left_out for one in found)
    if not found:
        return Learned(prior, None, prior, math.nan, 0.0, left_out)
    used = sum(one.used for one in found)
    log_sd = math.sqrt(sum(one.log_sd**2 * one.used for one in found) / used)
    # the mean of a lognormal time lies above its middle
    centres = np.array([one.log_mean + log_sd**2 / 2 for one in found])
    variances = np.array([day_spread**2 + log_sd**2 / one.used for one in found])
    data_mean = float(np.average(centres, weights=1 / variances))
    data_sd = math.sqrt(1 / float((1 / variances).sum()))
    sure = 1 / spread**2 + 1 / data_sd**2
    post_mean = (mean / spread**2 + data_mean / data_sd**2) / sure
    birds = ngettext("{n} bird", "{n} birds", round(used)).format(n=round(used))
    count = ngettext("your last day", "your last {n} days", len(found)).format(n=len(found))
    own = Basis(Origin.OWN, _("{days}, {birds}").format(days=count, birds=birds), "measured")
    data = _estimate(data_mean, data_sd, own)
    posterior = _estimate(post_mean, math.sqrt(1 / sure), own)
    return Learned(prior, data, posterior, math.sqrt(math.expm1(log_sd**2)), used, left_out)


def _estimate(log_mean: float, log_sd: float, basis: Basis) -> Estimate:
    low, value, high = (math.exp(log_mean + z * log_sd) for z in (-Z90, 0.0, Z90))
    return Estimate(value, low, high, basis)


def learn_paces(
    times_s: Mapping[str, Sequence[float] | Floats], *, spread: float = PACE_SPREAD
) -> dict[str, Estimate]:
    """Return how fast each person works compared with all, from their times at one station.

    Parameters
    ----------
    times_s : mapping of str to sequence of float
        Each person's times of single birds at the same station [s].
    spread : float
        How much people differ before anything is known, as a share [1].

    Returns
    -------
    dict of str to Estimate
        Pace, 1 as all together; people with too few times are drawn to 1 entirely [1].

    References
    ----------
    James and Stein 1961, Proceedings of the Fourth Berkeley Symposium, 361-379 (shrinkage);
    here with a known spread, as in :func:`learn_time`.
    """
    found = {name: robust_log(times) for name, times in times_s.items()}
    known = [one for one in found.values() if one is not None]
    if not known:
        level = 0.0
    else:
        level = sum(one.log_mean * one.used for one in known) / sum(one.used for one in known)
    paces = {}
    for name, one in found.items():
        if one is None:
            basis = Basis(Origin.HANDBOOK, _("taken as everybody’s"), "assumed")
            paces[name] = _estimate(0.0, spread, basis)
            continue
        noise = one.log_sd**2 / one.used
        sure = 1 / spread**2 + 1 / noise
        pace = (level - one.log_mean) / noise / sure
        note = ngettext("{n} bird", "{n} birds", round(one.used)).format(n=round(one.used))
        basis = Basis(Origin.OWN, note, "measured")
        paces[name] = _estimate(pace, math.sqrt(1 / sure), basis)
    return paces


@dataclass(frozen=True, slots=True)
class LearnedRate:
    """A learning rate before and after somebody's own birds.

    Parameters
    ----------
    prior : Estimate
        What is assumed for hand work [1].
    data : Estimate or None
        What the times alone say; above 1 is getting slower. None where there are too few [1].
    posterior : Estimate
        Both joined; at most 1 [1].
    """

    prior: Estimate
    data: Estimate | None
    posterior: Estimate


def learn_rate(
    times_s: Sequence[float] | Floats,
    *,
    first_unit: int = 1,
    prior: tuple[float, float] = RATE_PRIOR,
) -> Estimate:
    """Return how fast somebody learns, from the times of birds in the order they were done.

    Parameters
    ----------
    times_s : sequence of float
        Times of single birds in order; odd ones may be among them [s].
    first_unit : int
        Which bird of their life the first one was.
    prior : tuple of float
        Learning rate before anything is known, and its spread [1].

    Returns
    -------
    Estimate
        The learning rate: time with twice the practice over time before; at most 1 [1].

    Raises
    ------
    InputError
        If the first unit is below 1.

    References
    ----------
    As :func:`learned_rate`.
    """
    if first_unit < 1:
        raise InputError("first_unit", first_unit, _("The first bird is number one."))
    units = np.arange(first_unit, first_unit + len(times_s))
    return learned_rate(times_s, units=units, prior=prior).posterior


def learned_rate(
    times_s: Sequence[float] | Floats,
    *,
    units: Sequence[float] | Floats | NDArray[np.int64],
    prior: tuple[float, float] = RATE_PRIOR,
) -> LearnedRate:
    """Return a learning rate as assumed, as the times say, and both joined.

    Parameters
    ----------
    times_s : sequence of float
        Times of single birds; odd ones may be among them [s].
    units : sequence of float
        Which bird of the person's life each was, from 1 [birds].
    prior : tuple of float
        Learning rate before anything is known, and its spread [1].

    Returns
    -------
    LearnedRate
        Time with twice the practice over time before [1].

    Raises
    ------
    InputError
        If times and units are not one to one, or a unit is below 1.

    References
    ----------
    Sen 1968, Journal of the American Statistical Association 63, 1379-1389 (median of slopes)
    on logarithms; joined with the prior as in :func:`learn_time`.
    """
    times, numbers = np.asarray(times_s, dtype=float), np.asarray(units, dtype=float)
    if times.shape != numbers.shape or (numbers < 1).any():
        raise InputError("units", len(numbers), _("The first bird is number one."))
    rate, spread = prior
    centre, width = math.log2(rate), spread / rate / math.log(2)
    assumed = Basis(Origin.HANDBOOK, _("assumed for hand work"), "assumed")
    before = _rate(centre, width, assumed, most=1.0)
    level = robust_log(times)
    if level is None:
        return LearnedRate(before, None, before)
    done, logs = np.log2(numbers), np.log2(np.maximum(times, 1.0))
    near = np.abs(logs * math.log(2) - level.log_mean) < _TUKEY * max(level.log_sd, 0.2)
    done, logs = done[near], logs[near]
    a, b = np.triu_indices(len(done), k=1)
    slope = float(np.median((logs[b] - logs[a]) / (done[b] - done[a])))
    rest = logs - slope * done
    scatter = max(float(np.median(np.abs(rest - np.median(rest)))) * 1.4826, 0.02)
    # the median of slopes is about as sure as least squares
    noise = scatter**2 / max(float(((done - done.mean()) ** 2).sum()), 1e-9)
    sure = 1 / width**2 + 1 / noise
    note = ngettext("{n} bird", "{n} birds", len(done)).format(n=len(done))
    own = Basis(Origin.OWN, note, "measured")
    data = _rate(slope, math.sqrt(noise), own, most=math.inf)
    joined = (centre / width**2 + slope / noise) / sure
    return LearnedRate(before, data, _rate(joined, math.sqrt(1 / sure), own, most=1.0))


def _rate(centre: float, width: float, basis: Basis, *, most: float) -> Estimate:
    # no further than 32-fold either way: a few odd times say nothing
    low, value, high = (
        min(2.0 ** min(max(centre + z * width, -5.0), 5.0), most) for z in (-Z90, 0.0, Z90)
    )
    return Estimate(value, low, high, basis)
