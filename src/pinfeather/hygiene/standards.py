"""Pathogen standards for inspected plants, as a yardstick for a farm that tests."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from pinfeather.errors import InputError
from pinfeather.finding import Finding, Severity
from pinfeather.hygiene.tables import table
from pinfeather.words import gettext as _


@dataclass(frozen=True, slots=True)
class Standard:
    """One published standard: at most so many positives in so many samples.

    Parameters
    ----------
    year : int
        Year it took effect; the numbers changed, so keep the year with them.
    product, organism : str
        What is sampled, and for what.
    samples, accept : int
        Samples in a set, and the most that may be positive.
    citation, status : str
        Source.
    """

    year: int
    product: str
    organism: str
    samples: int
    accept: int
    citation: str
    status: str

    @property
    def share_frac(self) -> float:
        """The most positives as a share."""
        return self.accept / self.samples


def standards() -> tuple[Standard, ...]:
    """List the published standards.

    Returns
    -------
    tuple of Standard
        For inspected plants; none binds an exempt farm.

    References
    ----------
    Each carries its own.
    """
    return tuple(Standard(**row) for row in table("standards")["standards"])


def judge_positives(
    standard: Standard, *, positives: int, samples: int | None = None, where: str = ""
) -> Finding:
    """Hold a set of test results against a standard.

    Parameters
    ----------
    standard : Standard
        Which one.
    positives : int
        Positive samples.
    samples : int or None
        Samples taken; None for a whole set.
    where : str
        Which set.

    Returns
    -------
    Finding
        A note within the standard, a check above it: it does not bind an exempt farm. A short set
        that is not yet above says nothing.

    Raises
    ------
    InputError
        If there are more positives than samples, or more samples than a set.

    References
    ----------
    The standard's own.
    """
    taken = standard.samples if samples is None else samples
    if not 0 <= positives <= taken <= standard.samples:
        raise InputError(
            "positives", positives, _("More positives than samples, or a set too large.")
        )
    over = positives > standard.accept
    if over:
        sentence = _("{found} of {taken} positive for {organism}: over the standard of {accept}.")
    elif taken < standard.samples:
        sentence = _("{found} of {taken} positive so far; a set is {samples}.")
    else:
        sentence = _("{found} of {taken} positive for {organism}: within the standard of {accept}.")
    return Finding(
        "pathogen.over" if over else "pathogen.within",
        Severity.CHECK if over else Severity.NOTE,
        sentence.format(
            found=positives,
            taken=taken,
            organism=standard.organism,
            accept=standard.accept,
            samples=standard.samples,
        ),
        where=where,
        measured=positives,
        limit=standard.accept,
        unit="samples",
        citation=standard.citation,
        status=standard.status,
    )


def pass_chance(*, samples: int, accept: int, share_frac: float) -> float:
    """Return the chance that a flock with a given true share passes a set.

    Parameters
    ----------
    samples : int
        Samples in the set.
    accept : int
        The most that may be positive.
    share_frac : float
        True share of positive birds [fraction].

    Returns
    -------
    float
        Chance to pass [fraction].

    Raises
    ------
    InputError
        If a number is out of place.

    References
    ----------
    Binomial distribution.
    """
    from scipy import stats  # slow to load

    if not (0 <= accept <= samples and samples >= 1):
        raise InputError("accept", accept, _("More may be positive than there are samples."))
    if not 0 <= share_frac <= 1:
        raise InputError("share_frac", share_frac, _("A share lies between 0 and 1."))
    return float(stats.binom.cdf(accept, samples, share_frac))


def framework_in_force(today: dt.date) -> bool:
    """Say whether the Salmonella framework for raw poultry is law.

    Parameters
    ----------
    today : date
        The day asked about.

    Returns
    -------
    bool
        Always false so far: proposed 7 August 2024, withdrawn 25 April 2025. After the
        withdrawal, and before, it was never a final rule.

    References
    ----------
    89 FR 64678 (proposal); 90 FR 17344, document 2025-07187 (withdrawal).
    """
    row = table("standards")["framework"]
    final: dt.date | None = row.get("final")
    return final is not None and final <= today
