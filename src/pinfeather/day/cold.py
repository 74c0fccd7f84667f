"""The cold side of a plan: which bird in which tank, when it is cold, and how much ice."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final, Literal

import numpy as np
from numpy.typing import NDArray

from pinfeather.day.chill_learning import ChillNumbers
from pinfeather.day.request import DayRequest, LotRequest, TankRequest
from pinfeather.finding import Finding, Severity
from pinfeather.heat.carcass import LIVE_BIRD_DEGC, ChillTime, chill_time
from pinfeather.heat.ice import ice_need, tank_gains_W
from pinfeather.quantity import show
from pinfeather.rules.chill import ChillLimit, chill_limit
from pinfeather.rules.model import Profile
from pinfeather.words import gettext as _
from pinfeather.words import ngettext

SLUSH_DEGC: Final = 1.0
"""Tank water while ice floats in it [degC]; a little above melting ice. Assumed."""
_BIRDS_SHARE: Final = 1 / 3
"""Share of a tank for birds; the rest is water and ice. Assumed: a third of each."""
_FILL_SHARE: Final = 1 / 3
_RESERVE: Final = 0.15
"""Ice kept back for stirring in where the water warms. Assumed."""
_COLD_MEAN_DEGC: Final = 2.0
"""Mean of a carcass whose warmest point is at 40 degF; computed independently, transverse section
of a 1.8 kg bird, 2.2 degC, rounded down to the safe side."""
_KNOTS: Final = 9
"""Masses at which a large lot's chill times are computed; between them they are interpolated."""
_DENSITY_KG_PER_M3: Final = 1000.0
_FRIDGE_KG_PER_M3: Final = 125.0
"""Birds a refrigerator holds. About 35 birds in a household one: Berlow (2013), p. 11, read;
4 lb a bird and 18 ft3 inside are assumed."""
_FREEZER_KG_PER_M3_DAY: Final = 3 * 0.45359237 / 0.028316846592
"""New food a freezer takes in a day. 2 to 3 lb for each cubic foot: University of Minnesota
Extension, freezing guidance; read."""


@dataclass(frozen=True, slots=True)
class SizeClass:
    """Birds of one lot and one weight class.

    Parameters
    ----------
    label : str
        Lot and class in words.
    birds : int
        How many.
    lightest_kg, heaviest_kg : float
        Range of dressed mass [kg].
    chill : ChillTime
        For the heaviest of them.
    limit : ChillLimit
        What the profile asks.
    """

    label: str
    lot: str
    birds: int
    lightest_kg: float
    heaviest_kg: float
    chill: ChillTime
    limit: ChillLimit


@dataclass(frozen=True, slots=True)
class TankPlan:
    """What one tank takes.

    Parameters
    ----------
    name : str
        The tank.
    birds : int
        How many birds.
    birds_kg, capacity_kg : float
        Their dressed mass, and what the tank takes at once [kg].
    ice_kg, ice_birds_kg, ice_water_kg, ice_walls_kg, ice_reserve_kg : float
        Ice, and what it goes into [kg].
    """

    name: str
    birds: int
    birds_kg: float
    capacity_kg: float
    ice_kg: float
    ice_birds_kg: float
    ice_water_kg: float
    ice_walls_kg: float
    ice_reserve_kg: float


def bird_chill_times(
    lot: LotRequest, *, stirred: bool, profile: Profile, chill_numbers: ChillNumbers | None = None
) -> list[ChillTime]:
    """Compute when each bird of a lot is cold, counted from entering the tank.

    Parameters
    ----------
    lot : LotRequest
        The birds.
    stirred : bool
        Whether the tanks are stirred.
    profile : Profile
        Gives the temperature to reach.
    chill_numbers : ChillNumbers or None
        The farm's own thickness and surface coefficient; None takes the handbook's.

    Returns
    -------
    list of ChillTime
        One a bird, in the lot's order.

    References
    ----------
    :func:`pinfeather.heat.carcass.chill_time`.
    """
    bath: Literal["stirred", "still"] = "stirred" if stirred else "still"

    def exact(mass_kg: float) -> ChillTime:
        own = None
        if chill_numbers is not None:
            own = chill_numbers.estimates(mass_kg, build=lot.build, bath=bath)
        return chill_time(
            mass_kg,
            build=lot.build,
            bath=bath,
            bath_degC=SLUSH_DEGC,
            limit_degC=profile.chill.target.si,
            thickness_m=None if own is None else own[0],
            surface_W_per_m2K=None if own is None else own[1],
        )

    masses_kg = sorted({round(mass_kg, 3) for mass_kg in lot.masses_kg})
    if len(masses_kg) <= _KNOTS:
        known = {mass_kg: exact(mass_kg) for mass_kg in masses_kg}
        return [known[round(mass_kg, 3)] for mass_kg in lot.masses_kg]
    knots_kg = np.linspace(masses_kg[0], masses_kg[-1], _KNOTS)
    knots = [exact(float(mass_kg)) for mass_kg in knots_kg]
    return [_between(mass_kg, knots_kg, knots) for mass_kg in lot.masses_kg]


def _between(
    mass_kg: float, knots_kg: NDArray[np.float64], knots: Sequence[ChillTime]
) -> ChillTime:
    """Read a bird's time off the knots on either side; smooth in mass to a few seconds."""
    nearest = knots[int(np.argmin(np.abs(knots_kg - mass_kg)))]

    def value(name: Literal["time_s", "low_s", "high_s"]) -> float | None:
        times = [getattr(knot, name) for knot in knots]
        if any(time is None for time in times):
            found: float | None = getattr(nearest, name)
            return found
        return float(np.interp(mass_kg, knots_kg, times))

    return replace(nearest, time_s=value("time_s"), low_s=value("low_s"), high_s=value("high_s"))


def size_classes(
    lots: Sequence[LotRequest], times: Sequence[Sequence[ChillTime]], *, profile: Profile
) -> tuple[SizeClass, ...]:
    """Group the birds by lot and by the profile's weight classes.

    Parameters
    ----------
    lots : sequence of LotRequest
        The birds.
    times : sequence of sequence of ChillTime
        From :func:`bird_chill_times`, for each lot.
    profile : Profile
        The rules in force.

    Returns
    -------
    tuple of SizeClass
        Lightest class first within each lot.

    References
    ----------
    Derivation: grouping.
    """
    found = []
    for lot, chills in zip(lots, times, strict=True):
        groups: dict[str, list[tuple[float, ChillTime]]] = {}
        for mass_kg, chill in sorted(
            zip(lot.masses_kg, chills, strict=True), key=lambda pair: pair[0]
        ):
            groups.setdefault(chill_limit(profile, mass_kg).class_label, []).append(
                (mass_kg, chill)
            )
        for label, birds in groups.items():
            heaviest_kg, chill = birds[-1]
            found.append(
                SizeClass(
                    label=label,
                    lot=lot.code,
                    birds=len(birds),
                    lightest_kg=birds[0][0],
                    heaviest_kg=heaviest_kg,
                    chill=chill,
                    limit=chill_limit(profile, heaviest_kg),
                )
            )
    return tuple(found)


def share_out(masses_kg: Sequence[float], tanks: Sequence[TankRequest]) -> list[int]:
    """Fill the tanks one after another; what is over goes into the last.

    Parameters
    ----------
    masses_kg : sequence of float
        In the order the birds reach the tanks [kg].
    tanks : sequence of TankRequest
        In the order they are filled.

    Returns
    -------
    list of int
        Index of the tank for each bird.

    References
    ----------
    Derivation: first fit, in order, by mass.
    """
    tank, load_kg, places = 0, 0.0, []
    for mass_kg in masses_kg:
        while load_kg + mass_kg > capacity_kg(tanks[tank]) and tank < len(tanks) - 1:
            tank, load_kg = tank + 1, 0.0
        load_kg += mass_kg
        places.append(tank)
    return places


def capacity_kg(tank: TankRequest) -> float:
    """Return the mass of birds a tank takes at once.

    Parameters
    ----------
    tank : TankRequest
        The tank.

    Returns
    -------
    float
        A third of its volume as birds [kg].

    References
    ----------
    Assumed: a third birds, a third water, a third ice.
    """
    return tank.volume_m3 * _BIRDS_SHARE * _DENSITY_KG_PER_M3


def tank_plans(
    request: DayRequest,
    *,
    species: Sequence[str],
    masses_kg: Sequence[float],
    places: Sequence[int],
    stay_s: float,
) -> tuple[TankPlan, ...]:
    """Work out the ice for each tank.

    Parameters
    ----------
    request : DayRequest
        Tanks, tap water, air.
    species : sequence of str
        Of each bird, in the order they reach the tanks.
    masses_kg : sequence of float
        Of each bird [kg].
    places : sequence of int
        From :func:`share_out`.
    stay_s : float
        From filling the tanks until the last bird is out [s].

    Returns
    -------
    tuple of TankPlan
        Tanks that take birds.

    References
    ----------
    :func:`pinfeather.heat.ice.ice_need`.
    """
    plans = []
    for index, tank in enumerate(request.equipment.tanks):
        birds = [i for i, place in enumerate(places) if place == index]
        if not birds:
            continue
        birds_kg = sum(masses_kg[i] for i in birds)
        gains = tank_gains_W(
            volume_m3=tank.volume_m3, insulated=tank.insulated, air_degC=request.air_degC
        )
        kind = Counter(species[i] for i in birds).most_common(1)[0][0]
        need = ice_need(
            birds_kg=birds_kg,
            species=kind,
            start_degC=LIVE_BIRD_DEGC,
            end_degC=_COLD_MEAN_DEGC,
            fill_m3=tank.volume_m3 * _FILL_SHARE,
            fill_degC=request.equipment.tap_degC,
            gains_W=gains.value,
            duration_s=stay_s,
            reserve_frac=_RESERVE,
            water_end_degC=SLUSH_DEGC,
        )
        plans.append(
            TankPlan(
                name=tank.name,
                birds=len(birds),
                birds_kg=birds_kg,
                capacity_kg=capacity_kg(tank),
                ice_kg=need.total_kg,
                ice_birds_kg=need.birds_kg,
                ice_water_kg=need.water_kg,
                ice_walls_kg=need.gains_kg,
                ice_reserve_kg=need.reserve_kg,
            )
        )
    return tuple(plans)


def store_room_kg(request: DayRequest) -> float:
    """Return the mass of new birds refrigerator and freezer take in a day.

    Parameters
    ----------
    request : DayRequest
        With their inside volumes.

    Returns
    -------
    float
        Both together [kg].

    References
    ----------
    Berlow (2013), The Mobile Poultry Slaughterhouse, p. 11; University of Minnesota Extension,
    freezing guidance, 2 to 3 lb a cubic foot a day.
    """
    return (
        request.equipment.refrigerator_m3 * _FRIDGE_KG_PER_M3
        + request.equipment.freezer_m3 * _FREEZER_KG_PER_M3_DAY
    )


def cold_findings(
    request: DayRequest, tanks: Sequence[TankPlan], *, mass_unit: str = "lb"
) -> tuple[Finding, ...]:
    """Say where tanks, ice or cold rooms do not hold the day.

    Parameters
    ----------
    request : DayRequest
        What there is.
    tanks : sequence of TankPlan
        What is needed.
    mass_unit : str
        Unit for the sentences.

    Returns
    -------
    tuple of Finding
        Empty where all holds.

    References
    ----------
    The comments beside each capacity in this module.
    """
    findings = [
        Finding(
            code="tank.full",
            severity=Severity.CHECK,
            sentence=_("“{tank}” is too small for the birds it gets.").format(tank=tank.name),
            reason=_(
                "{birds} of birds against {room}, a third of the tank. Add a tank, or take "
                "the first birds out as soon as they are proved cold."
            ).format(
                birds=show(tank.birds_kg, mass_unit, "mass"),
                room=show(tank.capacity_kg, mass_unit, "mass"),
            ),
            where="equipment.tanks",
            measured=tank.birds_kg,
            limit=tank.capacity_kg,
            unit="kg",
            status="assumed",
        )
        for tank in tanks
        if tank.birds_kg > tank.capacity_kg * 1.001
    ]
    need_kg = sum(tank.ice_kg for tank in tanks)
    have_kg = request.equipment.ice_kg
    if need_kg > have_kg:
        findings.append(
            Finding(
                code="ice.short",
                severity=Severity.STOP if have_kg < 0.6 * need_kg else Severity.CHECK,
                sentence=_("Ice is short by {short}.").format(
                    short=show(need_kg - have_kg, mass_unit, "mass")
                ),
                reason=_(
                    "{need} needed, {have} on hand. Buy or make more, fill with colder water, or "
                    "insulate the tank. Water above the limit never cools a bird to it."
                ).format(
                    need=show(need_kg, mass_unit, "mass"), have=show(have_kg, mass_unit, "mass")
                ),
                where="equipment.ice",
                measured=have_kg,
                limit=need_kg,
                unit="kg",
            )
        )
    birds_kg = sum(tank.birds_kg for tank in tanks)
    room_kg = store_room_kg(request)
    if birds_kg > room_kg:
        findings.append(
            Finding(
                code="store.full",
                severity=Severity.CHECK,
                sentence=_("Refrigerator and freezer take about {room} of new birds a day.").format(
                    room=show(room_kg, mass_unit, "mass")
                ),
                reason=_(
                    "The day brings {birds}. Have birds picked up from the tank, keep some in ice, "
                    "or borrow room."
                ).format(birds=show(birds_kg, mass_unit, "mass")),
                where="equipment.refrigerator",
                measured=birds_kg,
                limit=room_kg,
                unit="kg",
                citation=_(
                    "Refrigerator: Berlow (2013), p. 11. Freezer: University of Minnesota "
                    "Extension, 2 to 3 lb a cubic foot a day"
                ),
                status="read",
            )
        )
    return tuple(findings)


def late_cold_findings(
    classes: Sequence[SizeClass],
    *,
    cold_s: Sequence[float],
    high_s: Sequence[float | None],
    cut_s: Sequence[float],
) -> tuple[Finding, ...]:
    """Say which weight classes may not be cold in the time allowed.

    Parameters
    ----------
    classes : sequence of SizeClass
        The classes.
    cold_s : sequence of float
        When the slowest bird of each is expected cold [s].
    high_s : sequence of float or None
        The same at the slow end of the band; None where it never gets there [s].
    cut_s : sequence of float
        When that bird was cut [s].

    Returns
    -------
    tuple of Finding
        Empty where every class has time to spare.

    References
    ----------
    The limit's own citation. A modelled time plans; only a probe proves.
    """
    findings = []
    for one, cold, high, cut in zip(classes, cold_s, high_s, cut_s, strict=True):
        due_s = cut + one.limit.within_s
        if cold <= due_s and high is not None and high <= due_s:
            continue
        sure = cold > due_s
        findings.append(
            Finding(
                code="chill.plan_late",
                severity=Severity.STOP if sure else Severity.CHECK,
                sentence=(
                    _("{birds} of lot {lot} ({label}) are not cold in the {hours:g} h allowed.")
                    if sure
                    else _(
                        "{birds} of lot {lot} ({label}) may not be cold in the {hours:g} h allowed."
                    )
                ).format(
                    birds=ngettext("{n} bird", "{n} birds", one.birds).format(n=one.birds),
                    lot=one.lot,
                    label=one.label,
                    hours=one.limit.hours,
                ),
                reason=_(
                    "Stir the tank, open every cavity to the water, cut the birds up, or put the "
                    "heaviest in first. Probe before the time is over."
                ),
                where=f"lot {one.lot}",
                measured=(cold - cut) / 3600,
                limit=one.limit.hours,
                unit="h",
                citation=one.limit.citation,
                status=one.limit.status,
            )
        )
    return tuple(findings)
