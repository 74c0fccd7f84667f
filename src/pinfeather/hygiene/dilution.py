"""How much sanitiser to measure out, what an old jug still gives, and what never to do."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

from pinfeather.errors import InputError
from pinfeather.estimate import Basis, Estimate, Origin
from pinfeather.finding import Finding, Severity
from pinfeather.quantity import show
from pinfeather.units import SECONDS_PER_DAY, to_si
from pinfeather.words import gettext as _

YEAR_S: Final = 365.25 * SECONDS_PER_DAY
# Common rule of thumb for bleach kept in a cool room: 10 to 20 % lost a year; the worse figure.
# Status: second hand (repeated in public advice; no primary test read).
YEARLY_LOSS_FRAC: Final = 0.20
# Powell Fabrication & Manufacturing, Sodium Hypochlorite General Information: 3.5 times faster
# for each 10 K warmer. Status: read.
FASTER_PER_10_K: Final = 3.5
# How well a measuring spoon is filled. Status: common practice.
SPOON_ERROR_FRAC: Final = 0.05
SPOON_UNITS: Final = ("mL", "tsp", "tbsp", "floz")

MIXING_CAUTIONS: Final = (
    _(
        "Never mix with acid, vinegar, ammonia or any other cleaner:"
        " the gas that comes off can kill."
    ),
    _("Put the chemical into the water, never the water into the chemical."),
    _("Wear gloves and goggles."),
    _("Open the doors or run the fan: do not breathe the fumes."),
    _(
        "The label on the jug governs. Use only unscented product registered for surfaces that"
        " touch food, and nothing thickened or splash-less."
    ),
    _("Wash and rinse first; sanitizer does not work through dirt."),
    _("Mix fresh each processing day, and again whenever the strip fails."),
    _("Write the name and the strength on every bottle and bucket."),
    _("No quat and no iodine in chill water."),
)
"""Shown on every mixing screen. Status: common practice; the label and local code govern."""


@dataclass(frozen=True, slots=True)
class Dilution:
    """What to measure out, and what the mix will be.

    Parameters
    ----------
    stock_m3 : float
        Stock to measure out, by the strength on the label [m3].
    water_m3 : float
        Water to fill first [m3].
    mixed_frac : Estimate
        Strength expected on the strip [fraction by mass and volume, 1e-6 = 1 ppm].
    aged_stock_m3 : Estimate
        Stock the target would really need if the jug has aged [m3].
    findings : tuple of Finding
        What to look at; may be empty.
    """

    stock_m3: float
    water_m3: float
    mixed_frac: Estimate
    aged_stock_m3: Estimate
    findings: tuple[Finding, ...]

    @property
    def measures(self) -> tuple[str, ...]:
        """The stock in mL, teaspoons, tablespoons and fluid ounces, for people to read."""
        return spoon_measures(self.stock_m3)


def dilute(
    *,
    stock_frac: float,
    target_frac: float,
    volume_m3: float,
    age_s: float | None = None,
    max_frac: float | None = None,
) -> Dilution:
    """Say how much bleach or other stock makes a bucket of the strength wanted.

    The dose goes by the label, so a fresh jug never overshoots; an old jug comes out weak, the
    findings say so, and the strip decides.

    Parameters
    ----------
    stock_frac : float
        Strength on the label [fraction, 0.0825 for 8.25 %].
    target_frac : float
        Strength wanted [fraction, 1e-4 for 100 ppm].
    volume_m3 : float
        Mixed solution wanted [m3].
    age_s : float or None
        Age of the jug since it was made [s]; None where nobody knows.
    max_frac : float or None
        Largest strength allowed without a rinse [fraction].

    Returns
    -------
    Dilution
        What to measure, what the strip should read, and findings.

    Raises
    ------
    InputError
        If a strength is not between 0 and 1, the target is not below the stock, or the volume
        is not positive.

    Notes
    -----
    Percent is taken as grams in 100 mL, as the common dilution rule does. For 8.25 % bleach the
    chlorine a strip sees is up to about 3 % more, from density and from counting chlorine.

    References
    ----------
    Derivation: the chemical in the stock equals the chemical in the mix.

    Examples
    --------
    >>> done = dilute(stock_frac=0.0825, target_frac=200e-6, volume_m3=3.785411784e-3)
    >>> round(done.stock_m3 * 1e6, 2)
    9.18
    """
    _strength("stock_frac", stock_frac)
    _strength("target_frac", target_frac)
    if target_frac >= stock_frac:
        raise InputError(
            "target_frac", target_frac, _("The mix cannot be as strong as what it is mixed from.")
        )
    if not (math.isfinite(volume_m3) and volume_m3 > 0):
        raise InputError("volume_m3", volume_m3, _("Say how much solution you want."))
    if max_frac is not None:
        _strength("max_frac", max_frac)
    stock_m3 = volume_m3 * target_frac / stock_frac
    strength = bleach_strength(label_frac=stock_frac, age_s=age_s)
    left = [strength.low / stock_frac, strength.value / stock_frac, strength.high / stock_frac]
    mixed = Estimate(
        target_frac * left[1], target_frac * left[0], target_frac * left[2], strength.basis
    )
    needed = Estimate(stock_m3 / left[1], stock_m3 / left[2], stock_m3 / left[0], strength.basis)
    findings: list[Finding] = []
    if max_frac is not None:
        findings += _over(target_frac, max_frac=max_frac)
        spoon = tablespoon_per_gallon(stock_frac=stock_frac, max_frac=max_frac)
        findings += [spoon] if spoon is not None else []
    if age_s is None:
        findings.append(
            Finding(
                "sanitizer.age",
                Severity.NOTE,
                _("The age of the jug is not known."),
                reason=_(
                    "Bleach weakens with age and warmth. Read a strip before you use the mix."
                ),
                where="age_s",
            )
        )
    elif mixed.value < target_frac:
        findings.append(
            Finding(
                "sanitizer.old",
                Severity.CHECK,
                _("From a jug this old the mix may read only {low} to {high}.").format(
                    low=show(mixed.low, "ppm", "strength", decimals=0),
                    high=show(mixed.high, "ppm", "strength", decimals=0),
                ),
                reason=_(
                    "Measure this dose, read a strip, and add a little at a time if it is low."
                    " Or open a fresh jug."
                ),
                where="age_s",
                measured=mixed.value * 1e6,
                limit=target_frac * 1e6,
                unit="ppm",
                citation=strength.basis.note,
                status=strength.basis.status,
            )
        )
    return Dilution(stock_m3, volume_m3 - stock_m3, mixed, needed, tuple(findings))


def bleach_strength(*, label_frac: float, age_s: float | None) -> Estimate:
    """Estimate what is left of the strength on a bleach label.

    Parameters
    ----------
    label_frac : float
        Strength on the label [fraction].
    age_s : float or None
        Age since the jug was made [s]; None for unknown, which is taken as up to one year.

    Returns
    -------
    Estimate
        The strength now [fraction]. The high end is the label: makers add a margin. The low end
        is a jug kept 10 K warmer than a cool room.

    Raises
    ------
    InputError
        If the strength is not between 0 and 1 or the age is negative.

    Notes
    -----
    A rule of thumb, good for warning and not for dosing. Sunlight, metal and a much hotter shed
    are worse than the low end.

    References
    ----------
    Rule of thumb of 10 to 20 % a year, second hand; 3.5 times faster per 10 K: Powell
    Fabrication & Manufacturing, Sodium Hypochlorite General Information.
    Derivation: remaining = (1 - yearly loss) ** years.
    """
    _strength("label_frac", label_frac)
    if age_s is not None and not (math.isfinite(age_s) and age_s >= 0):
        raise InputError("age_s", age_s, _("The jug cannot be younger than new."))
    years = 1.0 if age_s is None else age_s / YEAR_S
    kept = 1 - YEARLY_LOSS_FRAC
    basis = Basis(
        Origin.HANDBOOK,
        _(
            "Rule of thumb: bleach in a cool room loses 10 to 20 % a year,"
            " and 3.5 times as fast in a hot one"
        ),
        "second hand",
    )
    value = label_frac if age_s is None else label_frac * kept**years
    return Estimate(value, label_frac * kept ** (FASTER_PER_10_K * years), label_frac, basis)


def tablespoon_per_gallon(*, stock_frac: float, max_frac: float) -> Finding | None:
    """Warn where the old “tablespoon to the gallon” is too strong for the bleach in hand.

    Parameters
    ----------
    stock_frac : float
        Strength on the label [fraction].
    max_frac : float
        Largest strength allowed without a rinse [fraction].

    Returns
    -------
    Finding or None
        None where a tablespoon per gallon stays within the limit.

    Raises
    ------
    InputError
        If a strength is not between 0 and 1.

    Notes
    -----
    The rule of thumb dates from 5.25 % bleach, where it gives 205 ppm. A spoon is no more exact
    than 5 %, so the old rule with the old bleach passes a limit of 200 ppm.

    References
    ----------
    Fraser and Lackey (2004), North Carolina State University: 1 tablespoon per gallon is about
    200 ppm. Derivation: strength x tablespoon / gallon.
    """
    _strength("stock_frac", stock_frac)
    _strength("max_frac", max_frac)
    mixed_ppm = stock_frac * to_si(1, "tbsp", "volume") / to_si(1, "gal", "volume") * 1e6
    if mixed_ppm <= max_frac * 1e6 * (1 + SPOON_ERROR_FRAC):
        return None
    return Finding(
        "sanitizer.tablespoon",
        Severity.CHECK,
        _("A tablespoon per gallon of this bleach gives about {ppm:.0f} ppm: too strong.").format(
            ppm=mixed_ppm
        ),
        reason=_("That rule was made for weaker bleach. Measure the dose shown here instead."),
        where="stock_frac",
        measured=mixed_ppm,
        limit=max_frac * 1e6,
        unit="ppm",
    )


def spoon_measures(volume_m3: float) -> tuple[str, ...]:
    """Write a small volume the ways a kitchen can measure it.

    Parameters
    ----------
    volume_m3 : float
        The volume [m3].

    Returns
    -------
    tuple of str
        In mL, teaspoons, tablespoons and fluid ounces.

    Raises
    ------
    InputError
        If the volume is negative.

    References
    ----------
    NIST Handbook 44 (2023), Appendix C.
    """
    if not (math.isfinite(volume_m3) and volume_m3 >= 0):
        raise InputError("volume_m3", volume_m3, _("A volume cannot be negative."))
    return tuple(show(volume_m3, unit, "volume") for unit in SPOON_UNITS)


def _over(target_frac: float, *, max_frac: float) -> list[Finding]:
    if target_frac <= max_frac:
        return []
    return [
        Finding(
            "sanitizer.strong",
            Severity.STOP,
            _(
                "{target:.0f} ppm is over the limit of {limit:.0f} ppm for use without a rinse."
            ).format(target=target_frac * 1e6, limit=max_frac * 1e6),
            reason=_("Mix it weaker, or rinse with clean water afterwards if the label says so."),
            where="target_frac",
            measured=target_frac * 1e6,
            limit=max_frac * 1e6,
            unit="ppm",
        )
    ]


def _strength(name: str, value: float) -> None:
    if not (math.isfinite(value) and 0 < value < 1):
        raise InputError(
            name, value, _("Write a strength above 0 and below 100 %, such as “8.25 %”.")
        )
