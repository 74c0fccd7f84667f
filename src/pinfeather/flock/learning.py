"""What the farm's own finished lots say, drawn to what is usual while they are few."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Final

from pinfeather.errors import InputError
from pinfeather.estimate import Basis, Estimate, Origin
from pinfeather.flock.dressing import Dressing
from pinfeather.flock.guards import heads, inside
from pinfeather.flock.losses import CLUSTERING
from pinfeather.words import gettext as _
from pinfeather.words import ngettext

_Z90: Final = 1.2815515655446004  # 10th and 90th percentile
RATIO_SD: Final = 0.12
"""How farms differ from a table before anything is known. Assumed."""
LOT_SD: Final = 0.06
"""How lots of one farm differ from each other. Assumed."""
_DRESSING_LOT_SD: Final = 0.015
_PRIOR_LOTS_BIRDS: Final = 100.0
"""The usual losses count as so many birds of the farm's own. Assumed."""


def learn_ratio(ratios: Sequence[float]) -> Estimate:
    """Return how the farm's next lot will grow compared with its table.

    Parameters
    ----------
    ratios : sequence of float
        Growth ratio of each finished lot, shape (n,) [1].

    Returns
    -------
    Estimate
        Of the farm's usual ratio, 10th and 90th percentile [1].

    Raises
    ------
    InputError
        If a ratio is not above zero.

    References
    ----------
    Gelman et al. 2013, Bayesian Data Analysis, section 2.5 (normal mean with known spread), on
    logarithms.
    """
    if any(not r > 0 for r in ratios):
        raise InputError("ratios", tuple(ratios), _("A growth ratio is above zero."))
    sure = 1 / RATIO_SD**2 + len(ratios) / LOT_SD**2
    mean = math.fsum(math.log(r) for r in ratios) / LOT_SD**2 / sure
    sd = math.sqrt(1 / sure)
    low, value, high = (math.exp(mean + z * sd) for z in (-_Z90, 0.0, _Z90))
    return Estimate(value, low, high, _basis(len(ratios), _("the table as it stands")))


def learn_survival(lots: Sequence[tuple[int, int]], *, usual: float) -> Estimate:
    """Return the share of birds that lives to slaughter on this farm.

    Parameters
    ----------
    lots : sequence of (int, int)
        Birds that arrived alive and birds brought to slaughter, by lot.
    usual : float
        Share that usually lives to that age [1].

    Returns
    -------
    Estimate
        10th and 90th percentile [1].

    Raises
    ------
    InputError
        If more birds were slaughtered than arrived.

    Notes
    -----
    Deaths come together, so a lot of a thousand counts for little more than one of two hundred.

    References
    ----------
    Gelman et al. 2013, Bayesian Data Analysis, section 2.4 (beta prior), counts deflated by
    1 + (n - 1) x correlation (Kish 1965, Survey Sampling, section 5.4).
    """
    from scipy.stats import beta

    inside("usual", usual)
    alive, dead = usual * _PRIOR_LOTS_BIRDS, (1 - usual) * _PRIOR_LOTS_BIRDS
    for i, (came, left) in enumerate(lots):
        if not 0 <= left <= heads(f"lots[{i}]", came, least=1):
            raise InputError(f"lots[{i}]", left, _("More birds left than came."))
        worth = 1 / (1 + (came - 1) * CLUSTERING)
        alive += left * worth
        dead += (came - left) * worth
    mean = alive / (alive + dead)
    low, high = (float(beta.ppf(q, alive, dead)) for q in (0.1, 0.9))
    note = _("usual losses")
    return Estimate(mean, min(low, mean), max(high, mean), _basis(len(lots), note))


def learn_dressing(shares: Sequence[float], *, published: Dressing) -> Dressing:
    """Return the dressing share to plan with after the farm's own lots.

    Parameters
    ----------
    shares : sequence of float
        Dressed over live weight of each finished lot over what the published share gives at its
        weight, shape (n,) [1].
    published : Dressing
        What was known before.

    Returns
    -------
    Dressing
        The published curve, moved.

    Raises
    ------
    InputError
        If a share is not above zero.

    References
    ----------
    As :func:`learn_ratio`.
    """
    if any(not s > 0 for s in shares):
        raise InputError("shares", tuple(shares), _("A dressing share is above zero."))
    sure = 1 / published.unsure_frac**2 + len(shares) / _DRESSING_LOT_SD**2
    mean = math.fsum(math.log(s) for s in shares) / _DRESSING_LOT_SD**2 / sure
    moved = tuple(min(s * math.exp(mean), 1.0) for s in published.share)
    return Dressing(
        published.live_kg,
        moved,
        math.sqrt(1 / sure),
        _basis(len(shares), published.basis.note) if shares else published.basis,
    )


def _basis(lots: int, without: str) -> Basis:
    if not lots:
        return Basis(Origin.HANDBOOK, without, "assumed")
    note = ngettext("your last lot", "your last {n} lots", lots).format(n=lots)
    return Basis(Origin.OWN, note, "measured")
