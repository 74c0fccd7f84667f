"""Whether a sanitiser is strong enough and not too strong, and how long it may serve."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final, Literal, NamedTuple

from pinfeather.errors import InputError
from pinfeather.finding import Finding, Severity
from pinfeather.rules.limit import Limit
from pinfeather.rules.model import Profile, Sanitiser, StrengthBand, Yardstick
from pinfeather.units import from_si, to_si
from pinfeather.words import gettext as _

Surface = Literal["dipped", "fixed"]
Place = Literal["food processing", "public eating"]
How = Literal["strip", "dose"]
_PH_TOP: Final = 14.0


@dataclass(frozen=True, slots=True)
class _Found:
    """What was measured on a solution; None for what was not."""

    temperature_degC: float | None
    pH: float | None
    contact_s: float | None
    hardness: float | None


class RenewInterval(NamedTuple):
    """How often surfaces are cleaned and sanitised.

    Parameters
    ----------
    interval_s : float
        Longest time between cleanings [s].
    citation, status : str
        Source.
    """

    interval_s: float
    citation: str
    status: str


def renew_interval_s(profile: Profile, room_degC: float) -> RenewInterval:
    """Say how often surfaces are cleaned in a room of this temperature.

    Parameters
    ----------
    profile : Profile
        The rules in force.
    room_degC : float
        Room temperature, as logged [degC].

    Returns
    -------
    RenewInterval
        Time and source.

    Raises
    ------
    InputError
        If the temperature is not a number.

    Notes
    -----
    Valid only if the room temperature is logged. Also clean between kinds of birds, before a
    thermometer is used and after any contamination.

    References
    ----------
    FDA Food Code 4-602.11, as cited in the profile: retail law, a yardstick for a farm plant.
    """
    if not math.isfinite(room_degC):
        raise InputError("room_degC", room_degC, _("Give the room temperature."))
    for band in profile.sanitation.cleaning:
        if band.up_to is None or room_degC <= band.up_to.si:
            return RenewInterval(band.every.si, band.every.citation, band.every.status)
    raise InputError("room_degC", room_degC, _("These rules have no interval for so warm a room."))


def strength_verdict(  # noqa: PLR0913 - one keyword for each thing that can be measured
    profile: Profile,
    chemical: str,
    ppm: float,
    *,
    surface: Surface = "dipped",
    temperature_degC: float | None = None,
    pH: float | None = None,
    place: Place = "food processing",
    yardstick: str | None = None,
    how: How = "strip",
    contact_s: float | None = None,
    hardness_ppm: float | None = None,
) -> tuple[Finding, ...]:
    """Judge the strength of a sanitiser, and whether it is warm, sour and left on long enough.

    Parameters
    ----------
    profile : Profile
        The rules in force.
    chemical : str
        ``"chlorine"``, ``"chlorine_tablets"``, ``"iodine"``, ``"quat"``, ``"peracetic"`` or
        ``"chlorine_dioxide"``.
    ppm : float
        Strength read on the strip, or computed [ppm].
    surface : str
        ``"dipped"``, or ``"fixed"`` for large equipment that is rinsed, sprayed or swabbed.
    temperature_degC : float or None
        Of the solution; None if not measured [degC].
    pH : float or None
        Of the solution; None if not measured [pH].
    place : str
        ``"food processing"`` or ``"public eating"``.
    yardstick : str or None
        Published table of least strength to judge by alone; None for the profile's own as a stop
        and the others as a check.
    how : str
        ``"strip"`` for a reading; ``"dose"`` for a computed strength, which is warned about, not
        refused, when it passes the strongest by less than a strip can show.
    contact_s : float or None
        How long surfaces stay wet with it; None if not timed, and then not judged [s].
    hardness_ppm : float or None
        Hardness of the water; None if not known, and then not judged [ppm].

    Returns
    -------
    tuple of Finding
        One note when it is right; otherwise what is wrong with it.

    Raises
    ------
    InputError
        If the chemical is unknown or a number is not one.

    Notes
    -----
    A row of a table fits where all of its conditions are met; any row that the strength reaches
    will do. The product's label comes before every number here.

    References
    ----------
    9 CFR 381.10(e)(3)(i)(E); 40 CFR 180.940; 21 CFR 178.1010; FDA Food Code 4-501.114; each
    number in the profile carries its own.
    """
    found = profile.sanitation.sanitisers.get(chemical)
    if found is None:
        raise InputError(
            "chemical",
            chemical,
            _("“{chemical}” is not a sanitiser these rules know. Known: {known}.").format(
                chemical=chemical, known=", ".join(profile.sanitation.sanitisers)
            ),
        )
    if not (math.isfinite(ppm) and ppm >= 0):
        raise InputError("ppm", ppm, _("A strength is zero or more."))
    measured = _measured(temperature_degC, pH, contact_s=contact_s, hardness_ppm=hardness_ppm)
    strength = to_si(ppm, "ppm", "strength")
    findings = _too_strong(profile, found, strength, place=place, how=how)
    own = yardstick or profile.sanitation.yardstick
    if yardstick is not None and yardstick not in found.yardsticks:
        raise InputError(
            "yardstick",
            yardstick,
            _("There is no “{yardstick}” table for {chemical}. Known: {known}.").format(
                yardstick=yardstick, chemical=found.name, known=", ".join(found.yardsticks)
            ),
        )
    for code, table in found.yardsticks.items():
        if yardstick is not None and code != yardstick:
            continue
        severity = Severity.STOP if code == own else Severity.CHECK
        findings += _too_weak(
            found,
            table,
            strength,
            surface=surface,
            measured=measured,
            severity=severity,
        )
    if not any(f.severity > Severity.NOTE for f in findings):
        findings += (
            Finding(
                code="sanitiser.right",
                severity=Severity.NOTE,
                sentence=_("{ppm:g} ppm of {chemical} is strong enough and not too strong.").format(
                    ppm=ppm, chemical=found.name
                ),
                where=chemical,
                measured=ppm,
                limit=found.most.value,
                unit="ppm",
                citation=found.most.citation,
                status=found.most.status,
            ),
        )
    return findings


def hot_water_verdict(
    profile: Profile, *, temperature_degC: float, contact_s: float | None = None
) -> tuple[Finding, ...]:
    """Judge sanitising in hot water instead of a chemical.

    Parameters
    ----------
    profile : Profile
        The rules in force.
    temperature_degC : float
        Of the water [degC].
    contact_s : float or None
        How long the tool stays under; None if not timed [s].

    Returns
    -------
    tuple of Finding
        One note where it is hot and long enough; otherwise what is wrong.

    Raises
    ------
    InputError
        If a number is not one.

    References
    ----------
    9 CFR 381.10(e)(3)(i)(E)(1): 170 degF, 30 s, as cited in the profile.
    """
    if not math.isfinite(temperature_degC):
        raise InputError("temperature_degC", temperature_degC, _("That is not a number."))
    _measured(contact_s=contact_s)
    hot, least = profile.sanitation.hot_water, profile.sanitation.hot_water_contact
    judged = (
        (
            temperature_degC < hot.si,
            "sanitiser.cold",
            Severity.STOP,
            _("The water is too cold to sanitise: at least {limit}.").format(limit=hot),
            hot,
            from_si(temperature_degC, hot.unit, "temperature"),
        ),
        (
            contact_s is not None and contact_s < least.si,
            "sanitiser.short",
            Severity.STOP,
            _("Too short: keep it under for at least {limit}.").format(limit=least),
            least,
            None if contact_s is None else from_si(contact_s, least.unit, "time"),
        ),
        (
            contact_s is None,
            "sanitiser.measure",
            Severity.CHECK,
            _("Time it: it must stay under for at least {limit}.").format(limit=least),
            least,
            None,
        ),
        (
            temperature_degC >= hot.si and contact_s is not None and contact_s >= least.si,
            "sanitiser.right",
            Severity.NOTE,
            _("Hot enough and long enough."),
            hot,
            from_si(temperature_degC, hot.unit, "temperature"),
        ),
    )
    return tuple(
        Finding(
            code=code,
            severity=severity,
            sentence=sentence,
            where="hot_water",
            measured=measured,
            limit=limit.value,
            unit=limit.unit,
            citation=limit.citation,
            status=limit.status,
        )
        for wrong, code, severity, sentence, limit, measured in judged
        if wrong
    )


def _measured(
    temperature_degC: float | None = None,
    pH: float | None = None,
    *,
    contact_s: float | None,
    hardness_ppm: float | None = None,
) -> _Found:
    """Refuse readings that cannot be."""
    for name, value in (("contact_s", contact_s), ("hardness_ppm", hardness_ppm)):
        if value is not None and not (math.isfinite(value) and value >= 0):
            raise InputError(name, value, _("That cannot be negative."))
    if temperature_degC is not None and not math.isfinite(temperature_degC):
        raise InputError("temperature_degC", temperature_degC, _("That is not a number."))
    if pH is not None and not 0 <= pH <= _PH_TOP:
        raise InputError("pH", pH, _("A pH lies between 0 and 14."))
    hardness = None if hardness_ppm is None else to_si(hardness_ppm, "ppm", "strength")
    return _Found(temperature_degC, pH, contact_s, hardness)


def _ppm(strength: float) -> float:
    return round(from_si(strength, "ppm", "strength"), 6)


def _too_strong(
    profile: Profile, found: Sanitiser, strength: float, *, place: Place, how: How
) -> tuple[Finding, ...]:
    most = found.most
    if place == "public eating" and found.most_public_eating is not None:
        most = found.most_public_eating
    if strength > most.si:
        near = strength <= most.si * (1 + profile.sanitation.dose_tolerance.si)
        return (
            _finding(
                "sanitiser.strong",
                Severity.CHECK if near and how == "dose" else Severity.STOP,
                _("{ppm:g} ppm of {chemical} is over {most}, the most without rinsing.").format(
                    ppm=_ppm(strength), chemical=found.name, most=most
                ),
                reason=_("Add water and test again, or rinse everything with drinking water."),
                found=found,
                strength=strength,
                limit=most,
            ),
        )
    ask = found.ask_label_above
    if ask is not None and strength > ask.si:
        return (
            _finding(
                "sanitiser.ask_label",
                Severity.CHECK,
                _("{ppm:g} ppm of {chemical} is right only if the product's label says so.").format(
                    ppm=_ppm(strength), chemical=found.name
                ),
                reason=_("Several products are limited to {limit}.").format(limit=ask),
                found=found,
                strength=strength,
                limit=ask,
            ),
        )
    return ()


def _too_weak(
    found: Sanitiser,
    table: Yardstick,
    strength: float,
    *,
    surface: Surface,
    measured: _Found,
    severity: Severity,
) -> tuple[Finding, ...]:
    factor = table.fixed_factor.si if surface == "fixed" and table.fixed_factor else 1.0
    reached = [band for band in table.bands if strength >= band.strength.si * factor]
    if not reached:
        least = min((band.strength for band in table.bands), key=lambda limit: limit.si)
        return (
            _finding(
                "sanitiser.weak",
                severity,
                _("{ppm:g} ppm of {chemical} is too weak: at least {least:g} ppm.").format(
                    ppm=_ppm(strength),
                    chemical=found.name,
                    least=least.value * factor,
                ),
                reason=_("Mix fresh and test again.")
                if factor == 1
                else _("Fixed equipment needs {factor:g} times the dip strength.").format(
                    factor=factor
                ),
                found=found,
                strength=strength,
                limit=least,
                times=factor,
            ),
        )
    candidates = [_misses(band, measured) for band in reached]
    if any(not missed for missed in candidates):
        return ()
    # Nothing fits: report the row nearest to fitting. The fewest misses come first, then one that
    # warmer water alone would put right, then the strongest row reached.
    pairs = reversed(list(zip(reached, candidates, strict=True)))
    band, missed = min(pairs, key=lambda pair: (len(pair[1]), pair[1][-1][0] == "sanitiser.ph"))
    return tuple(
        _finding(
            code,
            Severity.CHECK if code == "sanitiser.measure" else severity,
            sentence,
            reason=_("At {strength}.").format(strength=band.strength),
            found=found,
            strength=strength,
            limit=limit,
            measured=reading,
        )
        for code, sentence, limit, reading in missed
    )


def _misses(band: StrengthBand, found: _Found) -> list[tuple[str, str, Limit, float | None]]:
    """Return the conditions of a row that are not met; the pH last."""
    missed: list[tuple[str, str, Limit, float | None]] = []
    least, hardest = band.contact, band.max_hardness
    if least is not None and found.contact_s is not None and found.contact_s < least.si:
        missed.append(
            (
                "sanitiser.short",
                _("Wet with it for {found:g} s: leave it on at least {limit}.").format(
                    found=found.contact_s, limit=least
                ),
                least,
                from_si(found.contact_s, least.unit, "time"),
            )
        )
    if hardest is not None and found.hardness is not None and found.hardness > hardest.si:
        missed.append(
            (
                "sanitiser.hard_water",
                _("The water is too hard for it: {found:g} ppm, at most {limit}.").format(
                    found=_ppm(found.hardness), limit=hardest
                ),
                hardest,
                _ppm(found.hardness),
            )
        )
    warm, acid = band.min_temperature, band.max_pH
    if warm is not None and found.temperature_degC is None:
        missed.append(
            (
                "sanitiser.measure",
                _("Measure the solution: it must be at least {limit}.").format(limit=warm),
                warm,
                None,
            )
        )
    elif (
        warm is not None and found.temperature_degC is not None and found.temperature_degC < warm.si
    ):
        missed.append(
            (
                "sanitiser.cold",
                _("The solution is too cold: at least {limit}.").format(limit=warm),
                warm,
                from_si(found.temperature_degC, warm.unit, "temperature"),
            )
        )
    if acid is not None and found.pH is None:
        missed.append(
            (
                "sanitiser.measure",
                _("Measure the solution: its pH must be at most {limit:g}.").format(
                    limit=acid.value
                ),
                acid,
                None,
            )
        )
    elif acid is not None and found.pH is not None and found.pH > acid.si:
        missed.append(
            (
                "sanitiser.ph",
                _("The pH is too high: at most {limit:g}.").format(limit=acid.value),
                acid,
                found.pH,
            )
        )
    return missed


def _finding(
    code: str,
    severity: Severity,
    sentence: str,
    *,
    reason: str,
    found: Sanitiser,
    strength: float,
    limit: Limit,
    times: float = 1.0,
    measured: float | None = None,
) -> Finding:
    if measured is None and code in {"sanitiser.weak", "sanitiser.strong", "sanitiser.ask_label"}:
        measured = _ppm(strength)
    return Finding(
        code=code,
        severity=severity,
        sentence=sentence,
        reason=reason,
        where=found.code,
        measured=measured,
        limit=limit.value * times,
        unit=limit.unit,
        citation=limit.citation,
        status=limit.status,
    )
