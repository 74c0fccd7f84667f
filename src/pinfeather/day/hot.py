"""The hot side of a plan: when to light the burner, how hot, and how much propane."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from pinfeather.day.request import DayRequest
from pinfeather.finding import Finding, Severity
from pinfeather.heat.boiling import boiling_degC
from pinfeather.heat.scald import ScaldBand, scald_band
from pinfeather.heat.scalder import holding, warm_up
from pinfeather.quantity import show
from pinfeather.units import SECONDS_PER_HOUR
from pinfeather.words import gettext as _

_RESERVE: Final = 0.25
"""Propane kept back for wind, a second kettle and a cold morning. Assumed."""
_EARLY_S: Final = 600.0
"""The water should be hot this long before the first bird [s]. Assumed."""


@dataclass(frozen=True, slots=True)
class ScaldPlan:
    """Scald water over the day.

    Parameters
    ----------
    water_degC : float
        Temperature to hold [degC].
    band : ScaldBand
        The published band it was taken from, or compared with.
    light_before_s : float or None
        How long before the first bird to light the burner; None if it never gets hot [s].
    warm_up_s, low_s, high_s : float or None
        Warm-up time and its band [s].
    heat_J : float
        Heat the water takes up [J].
    propane_warm_kg, propane_hold_kg, propane_kg : float
        Warm-up, holding, and all with reserve [kg].
    boiling_degC : float
        Where water boils at this altitude [degC].
    findings : tuple of Finding
        What to look at.
    """

    water_degC: float
    band: ScaldBand
    light_before_s: float | None
    warm_up_s: float | None
    low_s: float | None
    high_s: float | None
    heat_J: float
    propane_warm_kg: float
    propane_hold_kg: float
    propane_kg: float
    boiling_degC: float
    findings: tuple[Finding, ...]


def scald_plan(request: DayRequest, *, line_s: float, temp_unit: str = "F") -> ScaldPlan:
    """Plan the scald water.

    Parameters
    ----------
    request : DayRequest
        Scalder, burner, tap water, air.
    line_s : float
        How long birds go through it [s].
    temp_unit : str
        Unit for the sentences.

    Returns
    -------
    ScaldPlan
        Times, propane and findings.

    References
    ----------
    :mod:`pinfeather.heat.scalder`, :mod:`pinfeather.heat.scald`.
    """
    kit = request.equipment
    main = max(request.lots, key=lambda lot: lot.count)
    band = scald_band(main.species)
    water_degC = kit.scald_degC or (band.low_degC + band.high_degC) / 2
    findings = []
    if not band.low_degC - 1e-6 <= water_degC <= band.high_degC + 1e-6:
        findings.append(
            Finding(
                code="scald.outside_band",
                severity=Severity.CHECK,
                sentence=_("{water} is outside the published band {low} to {high}.").format(
                    water=show(water_degC, temp_unit, "temperature", decimals=0),
                    low=show(band.low_degC, temp_unit, "temperature", decimals=0),
                    high=show(band.high_degC, temp_unit, "temperature", decimals=0),
                ),
                reason=_(
                    "Short hand dips in hotter water are common practice. Go by the feather-pull "
                    "test: a tail feather comes out easily, the skin does not slip."
                ),
                where="equipment.scald",
                measured=water_degC,
                limit=band.high_degC,
                unit="degC",
                citation=band.source,
                status=band.status,
            )
        )
    boils_degC = boiling_degC(altitude_m=request.altitude_m)
    if water_degC >= boils_degC:
        findings.append(
            Finding(
                code="scald.boils",
                severity=Severity.STOP,
                sentence=_("Water boils at {boils} at this altitude: never {water}.").format(
                    boils=show(boils_degC, temp_unit, "temperature", decimals=0),
                    water=show(water_degC, temp_unit, "temperature", decimals=0),
                ),
                reason=_(
                    "The water would boil and not get hotter. Plan a cooler scald, or correct the "
                    "altitude. Boiling water and steam burn at once."
                ),
                where="equipment.scald",
                measured=water_degC,
                limit=boils_degC,
                unit="degC",
            )
        )
    warm = warm_up(
        volume_m3=kit.scalder_m3,
        from_degC=kit.tap_degC,
        to_degC=max(water_degC, kit.tap_degC),
        burner_W=kit.burner_W,
        air_degC=request.air_degC,
    )
    if warm.time_s is None or warm.propane_kg is None:
        findings.append(
            Finding(
                code="scald.never_hot",
                severity=Severity.STOP,
                sentence=_("This burner cannot bring the scalder to {water}.").format(
                    water=show(water_degC, temp_unit, "temperature", decimals=0)
                ),
                reason=_("Use a stronger burner, less water, a lid, or hot tap water."),
                where="equipment.burner",
            )
        )
    hours = line_s / SECONDS_PER_HOUR
    mean_kg = sum(sum(lot.masses_kg) for lot in request.lots) / request.birds
    held = holding(
        volume_m3=kit.scalder_m3,
        water_degC=water_degC,
        birds_per_h=request.birds / hours if hours else 0.0,
        air_degC=request.air_degC,
        mass_kg=mean_kg,
    )
    if held.power_W > kit.burner_W:
        findings.append(
            Finding(
                code="scald.falls",
                severity=Severity.CHECK,
                sentence=_("At this pace the scald water will cool faster than it is heated."),
                reason=_("Cover the scalder between birds, or slow down for it."),
                where="equipment.burner",
                measured=held.power_W,
                limit=kit.burner_W,
                unit="W",
            )
        )
    warm_kg = warm.propane_kg or 0.0
    hold_kg = held.propane_kg_per_h * hours
    slow_s = warm.high_s if warm.high_s is not None else warm.time_s
    return ScaldPlan(
        water_degC=water_degC,
        band=band,
        light_before_s=None if slow_s is None else slow_s + _EARLY_S,
        warm_up_s=warm.time_s,
        low_s=warm.low_s,
        high_s=warm.high_s,
        heat_J=warm.heat_J,
        propane_warm_kg=warm_kg,
        propane_hold_kg=hold_kg,
        propane_kg=(warm_kg + hold_kg) * (1 + _RESERVE),
        boiling_degC=boils_degC,
        findings=tuple(findings),
    )
