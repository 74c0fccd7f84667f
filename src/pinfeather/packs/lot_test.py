"""Whether a lot of packages holds what its labels say."""

from __future__ import annotations

import math
import statistics
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Final

from pinfeather.errors import InputError
from pinfeather.finding import Finding, Severity
from pinfeather.packs.weigh_tables import (
    Category,
    sample_plan,
    strictest_variation,
    tables,
)
from pinfeather.units import to_si
from pinfeather.words import gettext as _

_CONFIDENCE: Final = 0.975  # one-sided share behind the sample correction factor


@dataclass(frozen=True, slots=True)
class LotVerdict:
    """The result of a net weight test.

    Parameters
    ----------
    passes : bool
        Whether the lot may be sold as labelled.
    mean_lb : float
        Mean error, net less label [lb].
    spread_lb : float
        Sample standard deviation of the errors [lb].
    limit_lb : float
        How far below zero the mean may lie [lb].
    short : tuple of int
        Positions of packages short by more than the maximum.
    findings : tuple of Finding
        In words.
    """

    passes: bool
    mean_lb: float
    spread_lb: float
    limit_lb: float
    short: tuple[int, ...]
    findings: tuple[Finding, ...]


def correction_factor(sample: int) -> float:
    """Return how many standard deviations the mean may be short.

    Parameters
    ----------
    sample : int
        Packages weighed, at least two.

    Returns
    -------
    float
        Student's t at 97.5 % over the square root of the sample [1].

    Raises
    ------
    InputError
        If fewer than two.

    Notes
    -----
    The handbook's printed factors were not read; they are said to round to these.

    References
    ----------
    Derivation: t(0.975, n - 1) / sqrt(n); NIST Handbook 133, Table 2-1 for its use.
    """
    if sample < 2:  # noqa: PLR2004 - a spread needs two
        raise InputError("sample", sample, _("A spread needs at least two packages."))
    from scipy import stats

    return float(stats.t.ppf(_CONFIDENCE, sample - 1)) / math.sqrt(sample)


def mean_tare(tares: Sequence[Decimal]) -> Decimal:
    """Return the tare of a kind of package from unused, dry packaging.

    Parameters
    ----------
    tares : sequence of Decimal
        Weights of single sets of packaging, shape (2,) or (5,) [lb].

    Returns
    -------
    Decimal
        Tare to use [lb].

    Raises
    ------
    InputError
        If there are not two, or the two differ and there are not five.

    References
    ----------
    NIST Handbook 133 (2026), chapter 2: weigh two; if they differ, three more and the mean of all.
    """
    first = int(tables()["tare"]["first"])
    every = first + int(tables()["tare"]["more"])
    if len(tares) not in (first, every) or any(t < 0 for t in tares):
        raise InputError(
            "tares",
            tuple(tares),
            _("Weigh {first} sets of packaging, or {every} if they differ.").format(
                first=first, every=every
            ),
        )
    if len(set(tares[:first])) == 1:
        return tares[0]
    if len(tares) < every:
        raise InputError(
            "tares",
            tuple(tares),
            _("The first {first} differ: weigh {more} more.").format(
                first=first, more=every - first
            ),
        )
    return sum(tares, Decimal(0)) / len(tares)


def moisture_allowance_lb(label_lb: Decimal, *, wet_tare: bool, coldest_degC: float) -> Decimal:
    """Return how much lost moisture an official may grant a package.

    Parameters
    ----------
    label_lb : Decimal
        Weight on the label [lb].
    wet_tare : bool
        Whether free liquid is counted as tare.
    coldest_degC : float
        Coldest the product has been [degC].

    Returns
    -------
    Decimal
        Allowance; zero with dry tare or frozen product [lb].

    References
    ----------
    NIST Handbook 133 (2026), chapter 2: fresh poultry above 26 F, wet tare.
    """
    rule = tables()["moisture"]
    fresh = coldest_degC > to_si(float(rule["above_F"]), "F", "temperature")
    share: Decimal = rule["allowance_frac"]
    return share * label_lb if wet_tare and fresh else Decimal(0)


def judge_lot(
    nets: Sequence[Decimal],
    labels: Sequence[Decimal],
    *,
    lot: int,
    category: Category = "A",
) -> LotVerdict:
    """Judge a sample of packages.

    Parameters
    ----------
    nets : sequence of Decimal
        Net weights found, shape (n,) [lb].
    labels : sequence of Decimal
        Weights on their labels, shape (n,) [lb].
    lot : int
        Packages in the whole lot.
    category : str
        ``"A"``; ``"B"`` only where products under federal inspection are packed.

    Returns
    -------
    LotVerdict
        Pass or fail with the reasons.

    Raises
    ------
    InputError
        If the lists differ in length, or the sample is smaller than the plan asks for.

    Notes
    -----
    A mean of exactly zero passes and a mean exactly at the limit fails; the handbook is silent on
    both. A lot of one package has no spread: it is judged by its own shortage alone. A package is
    "short" by the smaller of the two tables' maximum variations.

    References
    ----------
    NIST Handbook 133 (2026), chapter 2.
    """
    plan = sample_plan(lot, category)
    if len(nets) != len(labels):
        raise InputError("labels", len(labels), _("Give one label weight for each package."))
    if len(nets) < plan.sample:
        raise InputError(
            "nets",
            len(nets),
            _("A lot of {lot} needs {sample} packages weighed.").format(
                lot=lot, sample=plan.sample
            ),
        )
    exact = [net - label for net, label in zip(nets, labels, strict=True)]
    mean = sum(exact, Decimal(0)) / len(exact)
    spread = statistics.stdev(exact) if len(exact) > 1 else Decimal(0)
    limit = 0.0
    if category == "A" and len(exact) > 1:
        limit = correction_factor(len(exact)) * float(spread)
    short = tuple(
        i
        for i, (error, label) in enumerate(zip(exact, labels, strict=True))
        if -error > strictest_variation(label).mav_lb
    )
    mean_fails = mean < 0 and len(exact) > 1 and -float(mean) >= limit
    findings = _lot_findings(
        mean=float(mean),
        limit=limit,
        mean_fails=mean_fails,
        short=len(short),
        allowed=plan.over_mav_allowed,
    )
    return LotVerdict(
        passes=not findings,
        mean_lb=float(mean),
        spread_lb=float(spread),
        limit_lb=limit,
        short=short,
        findings=findings,
    )


def _lot_findings(
    *, mean: float, limit: float, mean_fails: bool, short: int, allowed: int
) -> tuple[Finding, ...]:
    rule, found = tables()["decision"], []
    if mean_fails:
        found.append(
            Finding(
                code="lot.mean_short",
                severity=Severity.STOP,
                sentence=_("The packages are short by {short:.4f} lb on average.").format(
                    short=-mean
                ),
                reason=_("Check tare and scale, then weigh and label the whole lot again."),
                where="lot",
                measured=mean,
                limit=-limit,
                unit="lb",
                citation=rule["citation"],
                status=rule["status"],
            )
        )
    if short > allowed:
        found.append(
            Finding(
                code="lot.package_short",
                severity=Severity.STOP,
                sentence=_("{short} packages are short by more than the most allowed.").format(
                    short=short
                ),
                reason=_("Take them out, weigh and label them again."),
                where="lot",
                measured=float(short),
                limit=float(allowed),
                unit="packages",
                citation=rule["citation"],
                status=rule["status"],
            )
        )
    return tuple(found)
