"""The plan's own numbers, each with where it comes from."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from pinfeather.day.flow import Flow
from pinfeather.day.hot import ScaldPlan
from pinfeather.day.plan import Number
from pinfeather.estimate import Basis, Estimate, Origin
from pinfeather.heat.carcass import ChillTime
from pinfeather.line.curves import allowance_frac
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
    ready: tuple[Estimate, Estimate] | None = None,
    quicker: Mapping[str, Estimate] | None = None,
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
    ready : tuple of Estimate or None
        Setting up and cleaning up by the people there [s].
    quicker : mapping or None
        How much quicker beginners are taken to be, by name [1].

    Returns
    -------
    tuple of Number
        Station times first, then the people, scald and chill.

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
    found.extend(_ready_numbers(day, ready))
    found.extend(_people_numbers(day, quicker or {}))
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


def _ready_numbers(day: Flow, ready: tuple[Estimate, Estimate] | None) -> list[Number]:
    """List what setting up and cleaning take, station by station and by the people there."""
    kinds = (_("set up"), _("clean up"))
    found = [
        Number(
            name=f"{station.code}: {kind}",
            value=show(time_s.value, "min", "time", decimals=0),
            band=_band(time_s, "min", "time", decimals=0),
            basis=time_s.basis,
        )
        for station in day.stations
        for kind, time_s in zip(kinds, (station.set_up_s, station.clean_up_s), strict=True)
        if time_s.value > 0
    ]
    for name, time_s in zip((_("Setting up"), _("Cleaning up")), ready or (), strict=False):
        found.append(
            Number(
                name=name,
                value=show(time_s.value, "min", "time", decimals=0),
                band=_band(time_s, "min", "time", decimals=0),
                basis=time_s.basis,
            )
        )
    return found


def _people_numbers(day: Flow, quicker: Mapping[str, Estimate]) -> list[Number]:
    """List everybody's rest allowance, and who is taken to be quicker than so far."""
    table = round(100 * allowance_frac("standing", "bending"))
    found = [
        Number(
            name=_("{name}: rest allowance").format(name=person.name),
            value=f"{100 * person.allowance_frac:.3g}\u202f%",
            band="",
            basis=Basis(
                Origin.TYPED,
                _(
                    "given for this plan; {n} % for standing and bending work by the International "
                    "Labour Office’s table, which was not made for this work"
                ).format(n=table),
                "assumed",
            )
            if person.allowance_frac
            else Basis(
                Origin.HANDBOOK,
                _(
                    "none: breaks are planned and timings of whole days hold their rests; the "
                    "International Labour Office’s table has {n} % for standing and bending work"
                ).format(n=table),
                "assumed",
            ),
        )
        for person in day.people
    ]
    found.extend(
        Number(
            name=_("{name}: quicker than so far by").format(name=name),
            value=f"{100 * (speed.value - 1):.0f}\u202f%",
            band=f"{100 * (speed.low - 1):.0f}–{100 * (speed.high - 1):.0f}\u202f%",
            basis=speed.basis,
        )
        for name, speed in quicker.items()
    )
    return found


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
