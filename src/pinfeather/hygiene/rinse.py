"""Limits on what carcasses may be rinsed with."""

from __future__ import annotations

import math
from typing import Final

from pinfeather.errors import InputError
from pinfeather.finding import Finding, Severity
from pinfeather.hygiene.tables import table
from pinfeather.units import to_si
from pinfeather.words import gettext as _

RINSE_CAUTIONS: Final = (
    _("A rinse is not needed to sell a clean bird: clean work and fast chilling are the controls."),
    _("Peracetic acid burns skin, eyes and lungs: gloves, goggles, and moving air."),
    _("Never let it meet bleach. Rinse the tank before changing from one to the other."),
    _("Organic birds have their own list of what may be used; ask your certifier first."),
)
"""Shown wherever a carcass rinse is set up. Status: common practice."""


def judge_peracid_rinse(
    peracetic_frac: float,
    *,
    peroxide_frac: float | None = None,
    hedp_frac: float | None = None,
    where: str = "",
) -> tuple[Finding, ...]:
    """Judge a peracetic acid rinse for carcasses, parts or organs.

    Parameters
    ----------
    peracetic_frac : float
        Peroxyacids as peracetic acid [fraction, 1e-6 = 1 ppm].
    peroxide_frac : float or None
        Hydrogen peroxide [fraction].
    hedp_frac : float or None
        HEDP, the stabiliser [fraction].
    where : str
        Tank or cabinet.

    Returns
    -------
    tuple of Finding
        One for each strength that was given.

    Raises
    ------
    InputError
        If a strength is negative.

    Notes
    -----
    At most 220 ppm peroxyacids, 110 ppm peroxide, 13 ppm HEDP. More only under the supplier's own
    clearance; then the clearance is the limit.

    References
    ----------
    21 CFR 173.370(b)(2).
    """
    row = table("sanitizers")["carcass_rinse"]
    parts = (
        (_("peracetic acid"), "peracetic", peracetic_frac, row["peracetic_acid_ppm"]),
        (_("hydrogen peroxide"), "peroxide", peroxide_frac, row["hydrogen_peroxide_ppm"]),
        (_("HEDP"), "hedp", hedp_frac, row["hedp_ppm"]),
    )
    findings = []
    for name, code, found, limit_ppm in parts:
        if found is None:
            continue
        if not (math.isfinite(found) and found >= 0):
            raise InputError(f"{code}_frac", found, _("A strength cannot be negative."))
        over = found > to_si(limit_ppm, "ppm", "strength")
        findings.append(
            Finding(
                f"rinse.{code}",
                Severity.STOP if over else Severity.NOTE,
                _("{name}: {found:.0f} ppm; at most {limit:g} ppm on carcasses.").format(
                    name=name, found=found * 1e6, limit=limit_ppm
                ),
                reason=_("Do not use it. Dilute, measure again, and hold what was rinsed.")
                if over
                else "",
                where=where,
                measured=found * 1e6,
                limit=limit_ppm,
                unit="ppm",
                citation=row["citation"],
                status=row["status"],
            )
        )
    return tuple(findings)


def judge_chill_chlorine(
    free_frac: float, *, ph: float | None = None, where: str = ""
) -> tuple[Finding, ...]:
    """Judge the free chlorine in chill or wash water.

    Parameters
    ----------
    free_frac : float
        Free available chlorine before use [fraction, 1e-6 = 1 ppm].
    ph : float or None
        pH of the water [pH].
    where : str
        Tank.

    Returns
    -------
    tuple of Finding
        At least one.

    Raises
    ------
    InputError
        If a value is impossible.

    Notes
    -----
    Not above 50 ppm; 20 to 50 ppm and pH 6 to 7 to do anything. **Unverified**.

    References
    ----------
    FSIS Directive 7120.1.
    """
    if not (math.isfinite(free_frac) and free_frac >= 0):
        raise InputError("free_frac", free_frac, _("A strength cannot be negative."))
    if ph is not None and not 0 <= ph <= 14:  # noqa: PLR2004 - the scale of pH
        raise InputError("ph", ph, _("A pH lies between 0 and 14."))
    row = table("sanitizers")["chill_water_chlorine"]
    over = free_frac > to_si(row["max_ppm"], "ppm", "strength")
    under = free_frac < to_si(row["min_ppm"], "ppm", "strength")
    severity = Severity.STOP if over else Severity.CHECK if under else Severity.NOTE
    findings = [
        Finding(
            "rinse.chlorine",
            severity,
            _("{found:.0f} ppm free chlorine; {low:g} to {high:g} ppm in chill water.").format(
                found=free_frac * 1e6, low=row["min_ppm"], high=row["max_ppm"]
            ),
            where=where,
            measured=free_frac * 1e6,
            limit=row["min_ppm"] if under else row["max_ppm"],
            unit="ppm",
            citation=row["citation"],
            status=row["status"],
        )
    ]
    if ph is not None and not row["ph_min"] <= ph <= row["ph_max"]:
        findings.append(
            Finding(
                "rinse.ph",
                Severity.CHECK,
                _("pH {found:.1f}: chlorine works between {low:g} and {high:g}.").format(
                    found=ph, low=row["ph_min"], high=row["ph_max"]
                ),
                where=where,
                measured=ph,
                limit=row["ph_max"] if ph > row["ph_max"] else row["ph_min"],
                unit="pH",
                citation=row["citation"],
                status=row["status"],
            )
        )
    return tuple(findings)
