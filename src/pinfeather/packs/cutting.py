"""Birds cut into parts: what came off, against what is expected."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from pinfeather.errors import InputError
from pinfeather.estimate import Estimate
from pinfeather.finding import Finding, Severity
from pinfeather.packs.yields import handbook_shares
from pinfeather.words import gettext as _

CUTTING_LOSS: Final = "cutting loss"
_SLACK_FRAC: Final = 0.02
"""How far outside the published range a share may lie before anybody is asked; a bird differs."""
_OVER_FRAC: Final = 0.01
"""Parts may outweigh the carcass by this much: two weighings, each rounded to the scale."""
_PERCENT: Final = 100.0


@dataclass(frozen=True, slots=True)
class PartYield:
    """One part of a cutting.

    Parameters
    ----------
    part : str
        Which.
    mass_kg : float
        What was packed of it [kg].
    share_frac : float
        Share of the carcasses [fraction].
    expected : Estimate
        Expected share [fraction].
    """

    part: str
    mass_kg: float
    share_frac: float
    expected: Estimate


@dataclass(frozen=True, slots=True)
class CuttingYield:
    """A cutting, weighed up.

    Parameters
    ----------
    parts : tuple of PartYield
        In the order of the table.
    unpacked_kg : float
        Carcass weight that no package holds yet; negative if the parts weigh more [kg].
    findings : tuple of Finding
        Shares that are off.
    """

    parts: tuple[PartYield, ...]
    unpacked_kg: float
    findings: tuple[Finding, ...]


def cutting_yield(
    carcass_kg: float,
    packed_kg: Mapping[tuple[str, ...], float],
    *,
    shares: Mapping[str, Estimate] | None = None,
    finished: bool = True,
) -> CuttingYield:
    """Compare the parts packed from some carcasses with the table of expected shares.

    Parameters
    ----------
    carcass_kg : float
        Weight of the carcasses that were cut, without giblets [kg].
    packed_kg : mapping of tuple of str to float
        By the rows of the table a product is made of (legs are thighs and drumsticks) [kg].
    shares : mapping of str to Estimate or None
        Expected shares; None takes the published ones [fraction].
    finished : bool
        Whether everything is packed; shares are judged only then.

    Returns
    -------
    CuttingYield
        Share by part, what is left over, and what is off.

    Raises
    ------
    InputError
        If the carcasses weigh nothing or a part less than nothing.

    Notes
    -----
    A share is off when it lies more than 2 points outside the expected range. Published shares
    are for fast-growing chickens.

    References
    ----------
    Derivation: part over carcass; :func:`pinfeather.packs.yields.handbook_shares`.
    """
    if not (math.isfinite(carcass_kg) and carcass_kg > 0):
        raise InputError("carcass_kg", carcass_kg, _("A carcass weight must be more than zero."))
    if any(not (math.isfinite(mass) and mass >= 0) for mass in packed_kg.values()):
        raise InputError("packed_kg", dict(packed_kg), _("A part weighs nothing or more."))
    table = handbook_shares() if shares is None else shares
    rows = []
    for cut, mass in packed_kg.items():
        if not cut or any(part not in table for part in cut):
            continue
        each = [table[part] for part in cut]
        expected = Estimate(
            math.fsum(e.value for e in each),
            math.fsum(e.low for e in each),
            math.fsum(e.high for e in each),
            each[0].basis,
        )
        rows.append(PartYield(_name(cut), mass, mass / carcass_kg, expected))
    left_kg = carcass_kg - math.fsum(packed_kg.values())
    findings = [_off(row) for row in rows if finished and _is_off(row)]
    if left_kg < -_OVER_FRAC * carcass_kg:
        findings.insert(0, _over(-left_kg, carcass_kg))
    return CuttingYield(tuple(rows), left_kg, tuple(findings))


def _name(cut: tuple[str, ...]) -> str:
    return " and ".join(cut)


def _is_off(row: PartYield) -> bool:
    low, high = row.expected.low - _SLACK_FRAC, row.expected.high + _SLACK_FRAC
    return not low <= row.share_frac <= high


def _off(row: PartYield) -> Finding:
    low, high = row.expected.low * _PERCENT, row.expected.high * _PERCENT
    few = row.share_frac < row.expected.low
    return Finding(
        code="yield.off",
        severity=Severity.CHECK,
        sentence=_(
            "{part}: {share:.1f} % of the carcass; {low:.0f} to {high:.0f} % is usual."
        ).format(part=row.part.capitalize(), share=row.share_frac * _PERCENT, low=low, high=high),
        reason=(
            _("Is a package missing, or did meat go elsewhere?")
            if few
            else _("Is a package from another cutting among them?")
        ),
        where=row.part,
        measured=row.share_frac * _PERCENT,
        limit=low if few else high,
        unit="%",
        citation=row.expected.basis.note,
        status=row.expected.basis.status,
    )


def _over(over_kg: float, carcass_kg: float) -> Finding:
    return Finding(
        code="yield.over",
        severity=Severity.STOP,
        sentence=_("The parts weigh more than the carcasses they were cut from."),
        reason=_("Weigh again, or take the package of another cutting out."),
        where="cutting",
        measured=carcass_kg + over_kg,
        limit=carcass_kg,
        unit="kg",
    )
