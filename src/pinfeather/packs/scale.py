"""Whether a scale is good enough, and right today."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from pinfeather.errors import InputError
from pinfeather.finding import Finding, Severity
from pinfeather.packs.weigh_tables import Class, strictest_variation, tables, tolerance_lb
from pinfeather.words import gettext as _


def largest_division_lb(label_lb: Decimal) -> Decimal:
    """Return the coarsest scale that can check packages of this weight.

    Parameters
    ----------
    label_lb : Decimal
        Weight on the label [lb].

    Returns
    -------
    Decimal
        Largest step of 1, 2 or 5 times a power of ten [lb].

    Raises
    ------
    InputError
        If the weight is not more than zero.

    References
    ----------
    NIST Handbook 133 (2026), chapter 2: division at most a sixth of the maximum variation.
    """
    most = strictest_variation(label_lb).mav_lb / Decimal(tables()["scale"]["mav_over_division"])
    power = Decimal(10) ** most.adjusted()
    return max(
        step * power for step in (Decimal(1), Decimal(2), Decimal(5)) if step * power <= most
    )


def scale_findings(
    *, capacity_lb: Decimal, division: Decimal, label_lb: Decimal
) -> tuple[Finding, ...]:
    """Say whether a scale can check packages of this weight.

    Parameters
    ----------
    capacity_lb : Decimal
        Most it weighs [lb].
    division : Decimal
        Its smallest step [lb].
    label_lb : Decimal
        Weight on the packages [lb].

    Returns
    -------
    tuple of Finding
        Empty when it can.

    Raises
    ------
    InputError
        If a number is not positive.

    Notes
    -----
    For a scale without a class mark, by class III.

    References
    ----------
    NIST Handbook 133 (2026), chapter 2.
    """
    if not (capacity_lb > 0 and division > 0):
        raise InputError("division", division, _("Give the scale's capacity and division."))
    rule = tables()["scale"]
    found: list[tuple[str, str, float, float]] = []
    coarsest = largest_division_lb(label_lb)
    if division > coarsest:
        sentence = _("A step of {division} lb is too coarse here: at most {most} lb.").format(
            division=division, most=f"{coarsest:f}"
        )
        found.append(("scale.coarse", sentence, float(division), float(coarsest)))
    fine = division <= rule["fine_up_to_lb"]
    least, most = rule["fine_divisions"] if fine else rule["coarse_divisions"]
    steps = capacity_lb / division
    if not least <= steps <= most:
        sentence = _("The scale has {steps:.0f} steps; {least} to {most} are wanted.").format(
            steps=steps, least=least, most=most
        )
        found.append(("scale.divisions", sentence, float(steps), float(least)))
    return tuple(
        Finding(
            code=code,
            severity=Severity.STOP,
            sentence=sentence,
            reason=_("Use a scale made for it."),
            where="scale",
            measured=measured,
            limit=limit,
            unit="lb" if code == "scale.coarse" else "divisions",
            citation=rule["citation"],
            status=rule["status"],
        )
        for code, sentence, measured, limit in found
    )


def daily_check(
    reading_lb: Decimal,
    test_lb: Decimal,
    *,
    division: Decimal,
    scale_class: Class = "III",
) -> tuple[Finding, ...]:
    """Judge the scale by a test weight, before the day's first package.

    Parameters
    ----------
    reading_lb : Decimal
        What the scale shows [lb].
    test_lb : Decimal
        What the weight is [lb].
    division : Decimal
        Smallest step of the scale [lb].
    scale_class : str
        ``"II"`` or ``"III"``.

    Returns
    -------
    tuple of Finding
        Empty when the scale may be used.

    Raises
    ------
    InputError
        If a number is not positive.

    Notes
    -----
    Also after each move and whenever the scale behaves oddly. A scale that checks packages must
    meet the acceptance tolerance.

    References
    ----------
    NIST Handbook 133 (2026), chapter 2; NIST Handbook 44.
    """
    allowed = tolerance_lb(test_lb, division, scale_class=scale_class)
    error = reading_lb - test_lb
    if abs(error) <= allowed:
        return ()
    source = tables()["tolerance"][scale_class]
    return (
        Finding(
            code="scale.off",
            severity=Severity.STOP,
            sentence=_("The scale is off by {error} lb; {allowed} lb is allowed.").format(
                error=abs(error), allowed=f"{allowed:f}"
            ),
            reason=_("Do not sell by this scale until a registered service has tested it."),
            where="scale",
            measured=float(error),
            limit=float(allowed),
            unit="lb",
            citation=source["citation"],
            status=source["acceptance_status"],
        ),
    )


@dataclass(frozen=True, slots=True)
class CheckLoads:
    """Weights to put on the scale.

    Parameters
    ----------
    loads_lb : tuple of Decimal
        For the increasing load test, smallest first [lb].
    shift_lb : Decimal
        For the test near the corners [lb].
    """

    loads_lb: tuple[Decimal, ...]
    shift_lb: Decimal


def check_loads(gross_lb: Decimal) -> CheckLoads:
    """Say which weights to check the scale with.

    Parameters
    ----------
    gross_lb : Decimal
        Heaviest package with its packaging [lb].

    Returns
    -------
    CheckLoads
        Even steps up to a tenth over that weight, and a third of the last for the corners.

    Raises
    ------
    InputError
        If the weight is not positive.

    References
    ----------
    NIST Handbook 133 (2026), chapter 2.
    """
    if not gross_lb > 0:
        raise InputError("gross_lb", gross_lb, _("A package weighs more than nothing."))
    rule = tables()["scale"]
    top, count = gross_lb * rule["loads_over_gross"], int(rule["least_loads"])
    return CheckLoads(
        tuple(top * (i + 1) / count for i in range(count)), top / int(rule["shift_share"])
    )
