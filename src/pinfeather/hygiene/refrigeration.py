"""The refrigeration index: one number for how well a chiller did its work."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from pinfeather.errors import InputError
from pinfeather.finding import Finding, Severity
from pinfeather.hygiene.curve import Curve, accumulate
from pinfeather.hygiene.growth_models import GrowthModel, ecoli_model
from pinfeather.hygiene.rates import Generations, Log10, generations_to_log10
from pinfeather.hygiene.tables import table
from pinfeather.hygiene.time_rules import reached_at
from pinfeather.words import gettext as _


@dataclass(frozen=True, slots=True)
class RefrigerationIndex:
    """The index of one curve.

    Parameters
    ----------
    value : Log10
        The index, lag taken off where the meat started warm [log10 units].
    without_lag : Log10
        Growth of E. coli with no lag [log10 units].
    finished : bool
        Whether the curve got down to 7 degC for good; if not, the index is not yet whole.
    status : str
        How the coefficients behind it are known.
    """

    value: Log10
    without_lag: Log10
    finished: bool
    status: str


def refrigeration_index(curve: Curve, *, model: GrowthModel | None = None) -> RefrigerationIndex:
    """Work out the refrigeration index of a curve.

    Parameters
    ----------
    curve : Curve
        Cleaned readings at the site that matters most, from the start of chilling.
    model : GrowthModel or None
        The E. coli model of the meat; None takes a typical carcass.

    Returns
    -------
    RefrigerationIndex
        Unverified, since the coefficients are.

    Notes
    -----
    Growth is added up until the curve is at or below 7 degC for good. Where the meat starts above
    7 degC five doublings of lag are taken off, never below zero. Made for red meat; for poultry a
    yardstick of the chilling, not a count.

    References
    ----------
    Ross and others (2003), International Journal of Food Microbiology 82:33-43; published
    explanatory notes on the refrigeration index (Australia).
    """
    row = table("growth")["refrigeration_index"]
    model = ecoli_model() if model is None else model
    stop_s = reached_at(curve, row["stop_degC"])
    so_far = accumulate(curve, lambda temp_degC: model.rate(temp_degC).per_s)
    total = float(so_far[-1])
    if stop_s is not None:
        end_s = float(curve.t_s[0]) + stop_s
        last = max(int(np.searchsorted(curve.t_s, end_s, side="right")) - 1, 0)
        head = Curve(
            np.append(curve.t_s[: last + 1], end_s),
            np.append(curve.temp_degC[: last + 1], np.interp(end_s, curve.t_s, curve.temp_degC)),
            np.append(curve.gap[:last], False),
            (),
        )
        total = float(accumulate(head, lambda temp_degC: model.rate(temp_degC).per_s)[-1])
    starts_warm = bool(curve.temp_degC[0] > row["stop_degC"])
    lag = generations_to_log10(Generations(row["lag_generations"])) if starts_warm else 0.0
    return RefrigerationIndex(
        Log10(max(total - lag, 0.0)), Log10(total), stop_s is not None, model.status
    )


def judge_indices(values: Sequence[Log10], *, where: str = "") -> tuple[Finding, ...]:
    """Judge the refrigeration indices of many loads together.

    Parameters
    ----------
    values : sequence of Log10
        One index per load [log10 units].
    where : str
        The chiller.

    Returns
    -------
    tuple of Finding
        One for the mean, one for the share, one for the largest.

    Raises
    ------
    InputError
        If there are none.

    Notes
    -----
    Mean at most 1.5, at least 80 % of them at most 2.0, none above 2.5: **unverified**.

    References
    ----------
    Export Control (Meat and Meat Products) Orders 2005 (Australia), section 11.
    """
    if not values:
        raise InputError("values", values, _("Give at least one index."))
    row = table("growth")["refrigeration_index"]
    found = np.asarray(values, dtype=np.float64)
    share_frac = float((found <= row["share_max"]).mean())
    mean, largest = float(found.mean()), float(found.max())
    judged = (
        (
            "refrigeration.mean",
            mean,
            row["mean_max"],
            "log10",
            mean <= row["mean_max"],
            _("The mean index is {found:.2f}; at most {limit:g}."),
        ),
        (
            "refrigeration.share",
            share_frac * 100,
            row["share_frac"] * 100,
            "%",
            share_frac >= row["share_frac"],
            _("{found:.0f} % of the indices are at most 2.0; at least {limit:g} %."),
        ),
        (
            "refrigeration.largest",
            largest,
            row["single_max"],
            "log10",
            largest <= row["single_max"],
            _("The largest index is {found:.2f}; at most {limit:g}."),
        ),
    )
    return tuple(
        Finding(
            code,
            Severity.NOTE if good else Severity.CHECK,
            sentence.format(found=number, limit=limit),
            where=where,
            measured=number,
            limit=limit,
            unit=unit,
            citation=row["citation"],
            status=row["status"],
        )
        for code, number, limit, unit, good, sentence in judged
    )
