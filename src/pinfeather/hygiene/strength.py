"""Is the solution strong enough, not too strong, warm enough and of the right pH."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Any, Final, Literal

from pinfeather.errors import InputError
from pinfeather.finding import Finding, Severity, by_severity
from pinfeather.hygiene.tables import Limit, table
from pinfeather.quantity import show
from pinfeather.units import from_si, to_si
from pinfeather.words import gettext as _

Chemical = Literal["chlorine", "iodine", "quat"]
Profile = Literal["food_code_current", "cfr_381_10_e"]
PH_TOP: Final = 14.0


@dataclass(frozen=True, slots=True)
class Conditions:
    """What else was measured on a solution; None for what nobody measured.

    Parameters
    ----------
    temp_degC : float or None
        Temperature of the solution [degC].
    ph : float or None
        Its pH.
    contact_s : float or None
        How long surfaces stay wet with it [s].
    hardness_frac : float or None
        Hardness of the water [fraction, 1e-6 = 1 ppm].
    """

    temp_degC: float | None = None
    ph: float | None = None
    contact_s: float | None = None
    hardness_frac: float | None = None


def judge_strip(
    reading_frac: float,
    *,
    min_frac: float,
    max_frac: float,
    where: str = "",
    citation: str = "",
    status: str = "",
) -> Finding:
    """Judge a strip reading against the smallest and the largest strength allowed.

    Parameters
    ----------
    reading_frac : float
        The strip [fraction, 1e-4 for 100 ppm].
    min_frac : float
        Smallest strength that works [fraction].
    max_frac : float
        Largest strength without a rinse [fraction].
    where : str
        Bucket or station.
    citation : str
        Source of the limits.
    status : str
        How that source is known.

    Returns
    -------
    Finding
        A note where the reading is in range (limits included), otherwise a stop.

    Raises
    ------
    InputError
        If the reading is negative or the limits are out of order.

    References
    ----------
    Derivation: comparison.
    """
    if not (math.isfinite(reading_frac) and reading_frac >= 0):
        raise InputError("reading_frac", reading_frac, _("Write what the strip shows, in ppm."))
    if not 0 <= min_frac <= max_frac:
        raise InputError(
            "min_frac", (min_frac, max_frac), _("The smallest strength is above the largest.")
        )
    reading = show(reading_frac, "ppm", "strength")
    if reading_frac < min_frac:
        code, severity, limit_frac = "sanitizer.weak", Severity.STOP, min_frac
        sentence = _("The strip reads {reading}: too weak, at least {limit} is needed.")
        reason = _(
            "Mix again, read again, and sanitize again what was done since the last good strip."
        )
    elif reading_frac > max_frac:
        code, severity, limit_frac = "sanitizer.strong", Severity.STOP, max_frac
        sentence = _("The strip reads {reading}: too strong, at most {limit} is allowed.")
        reason = _("Add water and read again; rinse what was wetted, if the label allows a rinse.")
    else:
        code, severity, limit_frac = "sanitizer.good", Severity.NOTE, min_frac
        sentence = _("The strip reads {reading}: in range.")
        reason = ""
    return Finding(
        code,
        severity,
        sentence.format(reading=reading, limit=show(limit_frac, "ppm", "strength")),
        reason=reason,
        where=where,
        measured=reading_frac * 1e6,
        limit=limit_frac * 1e6,
        unit="ppm",
        citation=citation,
        status=status,
    )


def judge_solution(
    chemical: Chemical,
    reading_frac: float,
    *,
    conditions: Conditions,
    profile: Profile = "food_code_current",
    label_min_frac: float | None = None,
    max_frac: float | None = None,
    where: str = "",
) -> tuple[Finding, ...]:
    """Judge a solution by strip, temperature, pH, contact time and hardness together.

    Parameters
    ----------
    chemical : str
        ``"chlorine"``, ``"iodine"`` or ``"quat"``.
    reading_frac : float
        The strip [fraction].
    conditions : Conditions
        What else was measured.
    profile : str
        Which published table to hold it to.
    label_min_frac : float or None
        Smallest strength on the product's label [fraction]; quat has no other.
    max_frac : float or None
        Largest strength without a rinse [fraction]; by default the general ceiling.
    where : str
        Bucket or station.

    Returns
    -------
    tuple of Finding
        Worst first; always one for the strip. What was not measured is a note, not a pass.

    Raises
    ------
    InputError
        If the table has no such chemical, a measurement is impossible, or quat has no label
        strength.

    Notes
    -----
    The bands are by strength: weak chlorine needs warmer water. Where the pH was not measured,
    the stricter column is used.

    References
    ----------
    FDA Food Code 4-501.114; 9 CFR 381.10(e)(3)(i)(E); ceilings 40 CFR 180.940.
    """
    source = table("sanitizers")["profiles"][profile]
    rows: list[dict[str, Any]] = source.get(chemical, [])
    if not rows:
        raise InputError("chemical", chemical, _("That table says nothing about this sanitizer."))
    if chemical == "quat" and label_min_frac is None:
        raise InputError(
            "label_min_frac", None, _("Write the strength from the label; quats differ.")
        )
    _check(conditions)
    table_min_frac = min(to_si(row["from_ppm"], "ppm", "strength") for row in rows)
    strip = judge_strip(
        reading_frac,
        min_frac=max(table_min_frac, label_min_frac or 0.0),
        max_frac=ceiling(chemical).si if max_frac is None else max_frac,
        where=where,
        citation=source["citation"],
        status=source["status"],
    )
    if reading_frac < table_min_frac:
        return (strip,)
    row = [r for r in rows if to_si(r["from_ppm"], "ppm", "strength") <= reading_frac][-1]
    others = _temperature(row, conditions) + _contact(row, conditions) + _hardness(row, conditions)
    return by_severity([strip, *_from(source, where, others)])


def judge_hot_water(
    temp_degC: float,
    *,
    contact_s: float,
    profile: Profile = "food_code_current",
    where: str = "",
) -> tuple[Finding, ...]:
    """Judge sanitising by hot water.

    Parameters
    ----------
    temp_degC : float
        Temperature of the water [degC].
    contact_s : float
        How long the tool stays under [s].
    profile : str
        Which published table to hold it to.
    where : str
        Sink or station.

    Returns
    -------
    tuple of Finding
        Empty where hot and long enough.

    Raises
    ------
    InputError
        If a value is not a number.

    References
    ----------
    FDA Food Code 4-501.111 to .114 (171 F, 30 s); 9 CFR 381.10(e)(3)(i)(E)(1) (170 F, 30 s).
    """
    conditions = Conditions(temp_degC=temp_degC, contact_s=contact_s)
    _check(conditions)
    source = table("sanitizers")["profiles"][profile]
    row = {
        "temperatures": [{"min_F": source["hot_water"]["min_F"]}],
        "contact_s": source["hot_water"]["contact_s"],
    }
    findings = _temperature(row, conditions) + _contact(row, conditions)
    return by_severity(_from(source, where, findings))


def ceiling(chemical: str, *, source: str = "any", surface: str = "food processing") -> Limit:
    """Return the largest strength allowed on food surfaces without a rinse.

    Parameters
    ----------
    chemical : str
        Such as ``"chlorine"`` or ``"peracetic acid"``.
    source : str
        What it is made from: ``"hypochlorite"`` or ``"isocyanurate"`` for chlorine.
    surface : str
        ``"food processing"`` or ``"public eating place"``.

    Returns
    -------
    Limit
        In ppm, with its source. Where several entries fit, ``"any"`` source means the largest.

    Raises
    ------
    InputError
        If no entry fits.

    References
    ----------
    40 CFR 180.940 (2015 edition); the label may ask for less.
    """
    fitting = [
        row
        for row in table("sanitizers")["ceilings"]
        if row["chemical"] == chemical
        and row["surface"] in {"any", surface}
        and ("any" in {source, row["source"]} or row["source"] == source)
    ]
    if not fitting:
        raise InputError(
            "chemical", chemical, _("No published ceiling for this sanitizer here; use its label.")
        )
    row = max(fitting, key=lambda r: float(r["max_ppm"]))
    return Limit(row["max_ppm"], "ppm", "strength", row["citation"], row["status"])


def _from(source: dict[str, Any], where: str, findings: list[Finding]) -> list[Finding]:
    """Write on each finding where it is and which source it was held to."""
    return [
        replace(f, where=where, citation=source["citation"], status=source["status"])
        for f in findings
    ]


def _temperature(row: dict[str, Any], found: Conditions) -> list[Finding]:
    findings: list[Finding] = []
    columns = row["temperatures"]
    ph_top = max(column.get("ph_max", PH_TOP) for column in columns)
    if found.ph is None and ph_top < PH_TOP:
        findings.append(
            Finding(
                "sanitizer.ph_missing",
                Severity.NOTE,
                _("The pH was not measured; the stricter temperature is used."),
            )
        )
    if found.ph is not None and found.ph > ph_top:
        findings.append(
            Finding(
                "sanitizer.ph",
                Severity.STOP,
                _("pH {ph:.1f} is above {limit:.1f}: it will not sanitize.").format(
                    ph=found.ph, limit=ph_top
                ),
                measured=found.ph,
                limit=ph_top,
                unit="pH",
            )
        )
    fitting = [c for c in columns if found.ph is None or found.ph <= c.get("ph_max", PH_TOP)]
    min_F = max((c["min_F"] for c in columns), default=0.0)
    if fitting:
        needed = [c["min_F"] for c in fitting]
        min_F = max(needed) if found.ph is None else min(needed)
    if found.temp_degC is None:
        findings.append(
            Finding(
                "sanitizer.temperature_missing",
                Severity.NOTE,
                _(
                    "The solution's temperature was not measured; it must be at least {limit:g} °F."
                ).format(limit=min_F),
            )
        )
    elif found.temp_degC < to_si(min_F, "F", "temperature"):
        findings.append(
            Finding(
                "sanitizer.cold",
                Severity.STOP,
                _(
                    "The solution is at {temp}: it must be at least {limit:g} °F at this strength."
                ).format(temp=show(found.temp_degC, "F", "temperature", decimals=1), limit=min_F),
                reason=_("Use warmer water, or mix it stronger within the limit."),
                measured=from_si(found.temp_degC, "F", "temperature"),
                limit=min_F,
                unit="F",
            )
        )
    return findings


def _contact(row: dict[str, Any], found: Conditions) -> list[Finding]:
    needed_s = float(row["contact_s"])
    if found.contact_s is None or found.contact_s >= needed_s:
        return []
    return [
        Finding(
            "sanitizer.short",
            Severity.STOP,
            _("Wet for {found:.0f} s: it takes at least {limit:.0f} s.").format(
                found=found.contact_s, limit=needed_s
            ),
            measured=found.contact_s,
            limit=needed_s,
            unit="s",
        )
    ]


def _hardness(row: dict[str, Any], found: Conditions) -> list[Finding]:
    limit_ppm = row.get("hardness_max_ppm")
    if limit_ppm is None or found.hardness_frac is None:
        return []
    if found.hardness_frac <= to_si(limit_ppm, "ppm", "strength"):
        return []
    return [
        Finding(
            "sanitizer.hard_water",
            Severity.STOP,
            _(
                "The water is too hard for this sanitizer: {found:.0f} ppm, at most {limit:g}."
            ).format(found=found.hardness_frac * 1e6, limit=limit_ppm),
            measured=found.hardness_frac * 1e6,
            limit=limit_ppm,
            unit="ppm",
        )
    ]


def _check(found: Conditions) -> None:
    for name, value in (
        ("temp_degC", found.temp_degC),
        ("ph", found.ph),
        ("contact_s", found.contact_s),
        ("hardness_frac", found.hardness_frac),
    ):
        if value is not None and not math.isfinite(value):
            raise InputError(name, value, _("That is not a number."))
    if found.ph is not None and not 0 <= found.ph <= PH_TOP:
        raise InputError("ph", found.ph, _("A pH lies between 0 and 14."))
    for name, value in (("contact_s", found.contact_s), ("hardness_frac", found.hardness_frac)):
        if value is not None and value < 0:
            raise InputError(name, value, _("That cannot be negative."))
