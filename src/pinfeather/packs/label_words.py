"""Words on a label that age, weight or cold must bear out."""

from __future__ import annotations

import datetime as dt
import re
from typing import Final

from pinfeather.finding import Finding, Severity
from pinfeather.packs.classes import Sex, class_names
from pinfeather.packs.words import temperature_word
from pinfeather.rules.model import Profile
from pinfeather.units import KG_PER_LB
from pinfeather.words import gettext as _

_ANY_MASS_LB: Final = (1.0, 3.0, 8.0, 16.0)
"""Weights that between them reach every class [lb]."""
_FRESH: Final = re.compile(r"\bfresh\b", re.IGNORECASE)
_FROZEN: Final = re.compile(r"\bfrozen\b", re.IGNORECASE)
_FREEZER_WORDS: Final = re.compile(r"\b(?:fresh frozen|frozen fresh|quick frozen)\b", re.IGNORECASE)


def class_choices(
    species: str, *, age_days: float | None, mass_kg: float | None = None, sex: Sex | None = None
) -> tuple[str, ...]:
    """Return the class names a bird may carry, as far as its age and weight are known.

    Parameters
    ----------
    species : str
        Kind of bird.
    age_days : float or None
        Age at slaughter; None where the hatch day is not on record [d].
    mass_kg : float or None
        Ready-to-cook weight; None before weighing, which leaves every weight open [kg].
    sex : str or None
        ``"male"``, ``"female"``, ``"neutered"``; None takes classes of either sex.

    Returns
    -------
    tuple of str
        Names, the first the most usual; empty where the age is not known. Classes that are
        judged by hand stand only where no other fits.

    References
    ----------
    9 CFR 381.170(a); :func:`pinfeather.packs.classes.class_names`.

    Examples
    --------
    >>> class_choices("chicken", age_days=56, mass_kg=2.0)
    ('broiler', 'fryer')
    """
    if age_days is None or age_days <= 0:
        return ()
    masses_kg = [m * KG_PER_LB for m in _ANY_MASS_LB] if mass_kg is None else [mass_kg]
    sure: dict[str, None] = {}
    felt: dict[str, None] = {}
    sexes: tuple[Sex, ...] = ("female", "male") if sex is None else (sex,)
    for each_kg in masses_kg:
        for each in sexes:
            for one in class_names(species, age_days=age_days, mass_kg=each_kg, sex=each):
                (felt if one.by_feel else sure).update(dict.fromkeys((one.name, *one.also)))
    return tuple(sure or felt)


def class_findings(
    name: str, species: str, *, age_days: float | None, mass_kg: float
) -> tuple[Finding, ...]:
    """Judge a class name by the bird's age and weight.

    Parameters
    ----------
    name : str
        Class on the label; empty for none.
    species : str
        Kind of bird.
    age_days : float or None
        Age at slaughter; None where it is not on record [d].
    mass_kg : float
        Ready-to-cook weight [kg].

    Returns
    -------
    tuple of Finding
        A stop where the class does not fit, a check where the age is not on record.

    References
    ----------
    9 CFR 381.170(a), as amended by 81 FR 21706 (2016).
    """
    if not name:
        return ()
    citation = "9 CFR 381.170(a), as amended by 81 FR 21706 (2016)"
    if age_days is None:
        return (
            Finding(
                "label.class_age",
                Severity.CHECK,
                _("“{name}” is a matter of age, and this lot has no hatch day.").format(name=name),
                _("Write the hatch day down for the lot."),
                "product_name",
                citation=citation,
                status="read",
            ),
        )
    fitting = class_choices(species, age_days=age_days, mass_kg=mass_kg)
    if name in fitting:
        return ()
    allowed = ", ".join(fitting) or _("none of the table")
    return (
        Finding(
            "label.class",
            Severity.STOP,
            _("A bird of {age:.0f} days and {mass:.2f} lb is no “{name}”.").format(
                age=age_days, mass=mass_kg / KG_PER_LB, name=name
            ),
            _("It may be called: {allowed}.").format(allowed=allowed),
            "product_name",
            citation=citation,
            status="read",
        ),
    )


def cold_word_findings(
    profile: Profile, text: str, *, coldest_degC: float | None, frozen: bool
) -> tuple[Finding, ...]:
    """Judge “fresh” and “frozen” by the coldest the bird has been.

    Parameters
    ----------
    profile : Profile
        The rules in force.
    text : str
        All words of the label but the safe handling block.
    coldest_degC : float or None
        Coldest reading; None where there is none [degC].
    frozen : bool
        Whether the handling statement already says that it is frozen.

    Returns
    -------
    tuple of Finding
        Words that may not stand, and one that must.

    References
    ----------
    9 CFR 381.129(b)(3) and (6); 381.66(f)(1) for “fresh frozen”.
    """
    says_fresh = bool(_FRESH.search(_FREEZER_WORDS.sub("", text)))
    if coldest_degC is None:
        if not says_fresh:
            return ()
        limit = profile.freezing.fresh_above
        return (
            Finding(
                "label.fresh_unproved",
                Severity.CHECK,
                _("“Fresh” is a matter of the coldest reading, and there is none."),
                _("Probe a bird: never colder than {limit}.").format(limit=limit),
                "label",
                citation=limit.citation,
                status=limit.status,
            ),
        )
    found = temperature_word(profile, coldest_degC)
    if says_fresh and found.word != "fresh":
        return (
            Finding(
                "label.not_fresh",
                Severity.STOP,
                _("It has been colder than {limit} and may not be called fresh.").format(
                    limit=profile.freezing.fresh_above
                ),
                _("Take the word off the label."),
                "label",
                measured=coldest_degC,
                limit=profile.freezing.fresh_above.si,
                unit="degC",
                citation=found.limit.citation,
                status=found.limit.status,
            ),
        )
    if found.word == "frozen" and not frozen and not _FROZEN.search(text):
        return (
            Finding(
                "label.frozen_missing",
                Severity.STOP,
                _("It has been at {limit} or colder and must be called frozen.").format(
                    limit=found.limit
                ),
                _("Print “Keep Frozen”, or “previously frozen” if it was thawed."),
                "label",
                measured=coldest_degC,
                limit=found.limit.si,
                unit="degC",
                citation=found.limit.citation,
                status=found.limit.status,
            ),
        )
    return ()


def age_days(hatched: dt.date | None, slaughtered_on: dt.date) -> float | None:
    """Return a lot's age on the day of slaughter.

    Parameters
    ----------
    hatched : datetime.date or None
        Hatch day; None where it is not on record.
    slaughtered_on : datetime.date
        Day of slaughter.

    Returns
    -------
    float or None
        Age; None where it is not known [d].

    References
    ----------
    Derivation: difference of dates.
    """
    if hatched is None or hatched >= slaughtered_on:
        return None
    return float((slaughtered_on - hatched).days)
