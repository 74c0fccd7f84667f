"""How many birds to probe, and what that can and cannot prove; exact."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from scipy import stats

from pinfeather.errors import InputError
from pinfeather.words import gettext as _
from pinfeather.words import ngettext

CONFIDENCE: Final = 0.95
# How many of each batch to probe: no published minimum was found. Own recommendation.
LEAST_PROBED: Final = 5
PROBED_SHARE_FRAC: Final = 0.10
HEAVIEST: Final = 3


@dataclass(frozen=True, slots=True)
class ProbePlan:
    """Which birds of a batch to probe.

    Parameters
    ----------
    count : int
        How many.
    always : tuple of int
        Places in the batch, from 0, that are always probed: the heaviest, the first, the last.
    at_random : int
        How many more, picked at random from the rest.
    most_missed : int
        If all probed at random were cold, up to this many warm birds could still be in the batch.
    sentence : str
        What that proves, in words.
    """

    count: int
    always: tuple[int, ...]
    at_random: int
    most_missed: int
    sentence: str


@dataclass(frozen=True, slots=True)
class Interval:
    """Lowest and highest share that a count is consistent with.

    Parameters
    ----------
    low_frac, high_frac : float
        Ends [fraction].
    """

    low_frac: float
    high_frac: float


def miss_chance(*, lot: int, warm: int, probed: int) -> float:
    """Return the chance that birds probed at random all come from the good ones.

    Parameters
    ----------
    lot : int
        Birds in the batch.
    warm : int
        Warm ones among them.
    probed : int
        Birds probed.

    Returns
    -------
    float
        Chance of missing every warm one [fraction].

    Raises
    ------
    InputError
        If the numbers do not fit together.

    References
    ----------
    Hypergeometric distribution, zero class: C(N - d, n) / C(N, n), in whole numbers.

    Examples
    --------
    >>> round(miss_chance(lot=40, warm=4, probed=5), 4)
    0.5729
    """
    _lot(lot)
    for name, value in (("warm", warm), ("probed", probed)):
        if not 0 <= value <= lot:
            raise InputError(
                name, value, _("That is more birds than there are, or fewer than none.")
            )
    return math.comb(lot - warm, probed) / math.comb(lot, probed)


def probes_needed(*, warm: int, lot: int, confidence: float = CONFIDENCE) -> int:
    """Say how many birds to probe to catch at least one warm one.

    Parameters
    ----------
    warm : int
        Warm birds that must not slip through.
    lot : int
        Birds in the batch.
    confidence : float
        Chance of catching one [fraction].

    Returns
    -------
    int
        Birds to probe at random.

    Raises
    ------
    InputError
        If there are more warm ones than birds, or none, or the confidence is not inside 0 to 1.

    References
    ----------
    Hypergeometric distribution: the smallest n with P(0) at most 1 - confidence.
    """
    _confidence(confidence)
    _lot(lot)
    if not 1 <= warm <= lot:
        raise InputError("warm", warm, _("Say how many warm birds must not slip through."))
    low, high = 1, lot - warm + 1
    while low < high:
        middle = (low + high) // 2
        if miss_chance(lot=lot, warm=warm, probed=middle) <= 1 - confidence:
            high = middle
        else:
            low = middle + 1
    return low


def probes_needed_large(*, share_frac: float, confidence: float = CONFIDENCE) -> int:
    """Say how many to check where birds come without end, as over a season.

    Parameters
    ----------
    share_frac : float
        Share of bad ones that must not slip through [fraction].
    confidence : float
        Chance of catching one [fraction].

    Returns
    -------
    int
        Birds to check at random.

    Raises
    ------
    InputError
        If a share is not inside 0 to 1.

    References
    ----------
    Binomial distribution: ceil(ln(1 - C) / ln(1 - p)).

    Examples
    --------
    >>> probes_needed_large(share_frac=0.05)
    59
    """
    _confidence(confidence)
    if not 0 < share_frac < 1:
        raise InputError("share_frac", share_frac, _("A share lies between 0 and 1."))
    return math.ceil(math.log1p(-confidence) / math.log1p(-share_frac))


def most_missed(*, lot: int, probed: int, confidence: float = CONFIDENCE) -> int:
    """Say how many warm birds could still hide when every probed one was cold.

    Parameters
    ----------
    lot : int
        Birds in the batch.
    probed : int
        Probed at random, all cold.
    confidence : float
        How sure to be [fraction].

    Returns
    -------
    int
        The largest number not ruled out; 0 only when all were probed.

    Raises
    ------
    InputError
        If more were probed than there are.

    References
    ----------
    Hypergeometric distribution, exact one-sided upper limit.
    """
    _confidence(confidence)
    _lot(lot)
    if not 0 <= probed <= lot:
        raise InputError("probed", probed, _("More birds were probed than there are."))
    low, high = 0, lot - probed
    while low < high:
        middle = (low + high + 1) // 2
        if miss_chance(lot=lot, warm=middle, probed=probed) > 1 - confidence:
            low = middle
        else:
            high = middle - 1
    return low


def probe_plan(weights_kg: Sequence[float], *, confidence: float = CONFIDENCE) -> ProbePlan:
    """Say which birds of a batch to probe.

    Parameters
    ----------
    weights_kg : sequence of float
        Weight of each bird in the order it went into the tank [kg].
    confidence : float
        For what the random ones prove [fraction].

    Returns
    -------
    ProbePlan
        At least five or one in ten, always with the three heaviest, the first and the last.

    Raises
    ------
    InputError
        If there are no birds or a weight is not positive.

    Notes
    -----
    The heavy, the first and the last are the ones most likely to be warm, so the plan is a check
    of the worst, not a random check. What it proves is counted from the random ones alone.

    References
    ----------
    Own recommendation; no published minimum was found.
    """
    lot = len(weights_kg)
    _lot(lot)
    if not all(math.isfinite(w) and w > 0 for w in weights_kg):
        raise InputError("weights_kg", weights_kg, _("Each bird needs a weight above zero."))
    heaviest = sorted(range(lot), key=lambda i: (-weights_kg[i], i))[:HEAVIEST]
    always = tuple(sorted({*heaviest, 0, lot - 1}))
    count = min(lot, max(LEAST_PROBED, math.ceil(PROBED_SHARE_FRAC * lot), len(always)))
    at_random = count - len(always)
    rest = lot - len(always)
    missed = most_missed(lot=rest, probed=at_random, confidence=confidence) if rest else 0
    sentence = ngettext(
        "Probe {count} of {lot}. Even if all are cold, {missed} of the others could be warm.",
        "Probe {count} of {lot}. Even if all are cold, up to {missed} of the others could be warm.",
        missed,
    ).format(count=count, lot=lot, missed=missed)
    sentence += " " + _("That is why the heaviest, the first and the last are always among them.")
    if missed == 0:
        sentence = _("Probe all {lot}: then nothing is left to chance.").format(lot=lot)
    return ProbePlan(count, always, at_random, missed, sentence)


def share_interval(
    *, found: int, of: int, confidence: float = CONFIDENCE, exact: bool = True
) -> Interval:
    """Give the range of true shares that a count is consistent with.

    Parameters
    ----------
    found : int
        How many had it.
    of : int
        How many were looked at.
    confidence : float
        How sure to be, both sides together [fraction].
    exact : bool
        True for the exact interval, False for Wilson's narrower one.

    Returns
    -------
    Interval
        Both ends.

    Raises
    ------
    InputError
        If more were found than looked at.

    References
    ----------
    Clopper and Pearson (1934), Biometrika 26:404-413; Wilson (1927), Journal of the American
    Statistical Association 22:209-212.
    """
    _confidence(confidence)
    if not 0 <= found <= of or of < 1:
        raise InputError("found", found, _("More were found than were looked at."))
    result = stats.binomtest(found, of).proportion_ci(
        confidence_level=confidence, method="exact" if exact else "wilson"
    )
    return Interval(float(result.low), float(result.high))


def _lot(lot: int) -> None:
    if lot < 1:
        raise InputError("lot", lot, _("There are no birds in the batch."))


def _confidence(confidence: float) -> None:
    if not 0 < confidence < 1:
        raise InputError("confidence", confidence, _("Confidence lies between 0 and 1."))
