"""The plan's own numbers, each with where it comes from."""

from __future__ import annotations

from collections.abc import Sequence

from pinfeather.day.flow import Flow
from pinfeather.day.hot import ScaldPlan
from pinfeather.day.plan import Number
from pinfeather.estimate import Basis, Estimate, Origin
from pinfeather.heat.carcass import ChillTime
from pinfeather.quantity import show
from pinfeather.units import Dimension
from pinfeather.words import gettext as _


def planning_numbers(
    day: Flow,
    chills: Sequence[Sequence[ChillTime]],
    *,
    scald: ScaldPlan,
    temp_unit: str,
    length_unit: str,
) -> tuple[Number, ...]:
    """List the numbers the plan rests on.

    Parameters
    ----------
    day : Flow
        The line with its times.
    chills : sequence of sequence of ChillTime
        For each lot and bird.
    scald : ScaldPlan
        The scald water.
    temp_unit, length_unit : str
        Units for people.

    Returns
    -------
    tuple of Number
        Station times first, then scald and chill.

    References
    ----------
    In the basis of each.
    """
    found = [
        Number(
            name=f"{station.code}: {phase.name}",
            value=show(phase.time_s.value, "s", "time", decimals=0),
            band=_band(phase.time_s, "s", "time", decimals=0),
            basis=phase.time_s.basis,
        )
        for station in day.stations
        for phase in station.phases
        if station.code != "chill"
    ]
    band = scald.band
    found.append(
        Number(
            name=_("Scald water"),
            value=show(scald.water_degC, temp_unit, "temperature", decimals=0),
            band="–".join(
                show(t, temp_unit, "temperature", decimals=0)
                for t in (band.low_degC, band.high_degC)
            ),
            basis=Basis(Origin.HANDBOOK, band.source, band.status),
        )
    )
    heaviest = max(
        (
            (mass, chill)
            for lot, lot_chills in zip(_masses(day), chills, strict=True)
            for mass, chill in zip(lot, lot_chills, strict=True)
        ),
        key=lambda pair: pair[0],
    )[1]
    found.extend(
        (
            Number(
                name=_("Breast of the heaviest bird"),
                value=show(heaviest.thickness_m.value, length_unit, "length"),
                band=_band(heaviest.thickness_m, length_unit, "length"),
                basis=heaviest.thickness_m.basis,
            ),
            Number(
                name=_("Heat through the skin into the water"),
                value=f"{heaviest.surface_W_per_m2K.value:.0f}\u202fW/m²K",
                band=f"{heaviest.surface_W_per_m2K.low:.0f}–{heaviest.surface_W_per_m2K.high:.0f}",
                basis=heaviest.surface_W_per_m2K.basis,
            ),
        )
    )
    return tuple(found)


def _masses(day: Flow) -> list[list[float]]:
    lots: dict[str, list[float]] = {}
    for bird in day.birds:
        lots.setdefault(bird.lot, []).append(bird.mass_kg)
    return list(lots.values())


def _band(
    estimate: Estimate, unit: str, dimension: Dimension, *, decimals: int | None = None
) -> str:
    if estimate.low == estimate.high:
        return ""
    low, high = (
        show(value, unit, dimension, decimals=decimals) for value in (estimate.low, estimate.high)
    )
    return f"{low.split(chr(0x202F))[0]}–{high}"
