"""When to put more ice in, how much, and when the tank is simply too small."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final, Literal

import numpy as np
from numpy.typing import NDArray

from pinfeather.errors import InputError
from pinfeather.finding import Finding, Severity
from pinfeather.heat.bath import Batch, BathDay, Icing, Tank, simulate
from pinfeather.heat.breast import (
    LIVE_BIRD_DEGC,
    MEAT_M2_PER_S,
    MEAT_W_PER_M_K,
    Build,
    breast_thickness,
    surface_coefficient,
)
from pinfeather.heat.conduction import centre_ratio, mean_ratio
from pinfeather.heat.guards import finite, fraction, not_negative, positive
from pinfeather.heat.ice import ice_for_heat_kg, specific_heat
from pinfeather.heat.water import WATER_J_PER_KG_K
from pinfeather.units import KG_PER_LB, SECONDS_PER_DAY
from pinfeather.words import gettext as _

_KEEP_BELOW_DEGC: Final = 2.0
"""Re-ice above this: at 3 degC chilling takes a third longer, at 4 degC most of twice. Independent
computation."""
_BIRD_KG_PER_M3: Final = 700.0  # a carcass with its cavity; unverified
_ICE_KG_PER_M3: Final = 917.0
_LARGEST_TOP_UPS: Final = 40
_SCARCE_FRAC: Final = 0.05  # less ice than this share of the water no longer keeps it cold


@dataclass(frozen=True, slots=True)
class Advice:
    """One thing to do.

    Parameters
    ----------
    kind : str
        ``"add ice"``, ``"split"``, ``"stir"``.
    at_s : float
        By when [s].
    ice_kg : float
        Ice to put in; 0 for other advice [kg].
    sentence : str
        In words.
    """

    kind: Literal["add ice", "split", "stir"]
    at_s: float
    ice_kg: float
    sentence: str


@dataclass(frozen=True, slots=True)
class Advised:
    """A day with and without the advice taken.

    Parameters
    ----------
    advice : tuple of Advice
        What to do, in order; empty if the plan is good.
    before : BathDay
        As planned.
    after : BathDay
        With the ice added as advised.
    """

    advice: tuple[Advice, ...]
    before: BathDay
    after: BathDay


def advise(
    tank: Tank,
    batches: list[Batch] | tuple[Batch, ...],
    *,
    duration_s: float,
    limit_degC: float,
    icings: list[Icing] | tuple[Icing, ...] = (),
    top_up_kg: float = 10 * KG_PER_LB,
    step_s: float = 60.0,
) -> Advised:
    """Return when to put ice in so that the water stays cold, and whether the tank is too full.

    Parameters
    ----------
    tank : Tank
        As the day begins.
    batches : sequence of Batch
        Birds going in.
    duration_s : float
        How long to look ahead [s].
    limit_degC : float
        Temperature the birds have to reach [degC].
    icings : sequence of Icing
        Ice and water already planned.
    top_up_kg : float
        Advise ice in multiples of this, a bag [kg].
    step_s : float
        Time step [s].

    Returns
    -------
    Advised
        Advice, and the day before and after it.

    Raises
    ------
    InputError
        If a number cannot be meant.

    Notes
    -----
    Ice is advised for the moment the water would first pass 2 degC (36 degF), in the least number
    of bags that keeps it below to the end or to the next advice.

    References
    ----------
    Derivation: repeated simulation of the tank.
    """
    positive("top_up_kg", top_up_kg)
    before = simulate(
        tank, batches, duration_s=duration_s, limit_degC=limit_degC, icings=icings, step_s=step_s
    )
    advice: list[Advice] = list(_room(tank, batches, icings))
    given = list(icings)
    day = before
    first_s = _settled_s(tank, day)
    for _round in range(_LARGEST_TOP_UPS):
        at_s = _too_warm_s(day, first_s)
        if at_s is None:
            break
        bags = _bags(day, at_s, top_up_kg)
        given.append(Icing(at_s, ice_kg=bags * top_up_kg))
        advice.append(
            Advice(
                "add ice",
                at_s,
                bags * top_up_kg,
                _("Put in {ice_lb:.0f} lb of ice by {minutes:.0f} minutes from the start.").format(
                    ice_lb=bags * top_up_kg / KG_PER_LB, minutes=at_s / 60
                ),
            )
        )
        day = simulate(
            tank, batches, duration_s=duration_s, limit_degC=limit_degC, icings=given, step_s=step_s
        )
        first_s = at_s + _MIXING_S
    icy = day.ice_kg > top_up_kg / 2
    if bool(np.any(icy & (day.water_degC > limit_degC) & (day.times_s > first_s))):
        at_s = float(day.times_s[np.argmax(icy & (day.water_degC > limit_degC))])
        advice.append(
            Advice(
                "stir",
                at_s,
                0.0,
                _(
                    "There is ice enough, but the water warms faster than it melts: stir the tank, "
                    "or put fewer birds in at a time."
                ),
            )
        )
    return Advised(tuple(sorted(advice, key=lambda one: one.at_s)), before, day)


_MIXING_S: Final = 600.0


def _settled_s(tank: Tank, day: BathDay) -> float:
    """Return when the first ice has cooled the fill water, or given up."""
    if tank.water_degC <= _KEEP_BELOW_DEGC:
        return 0.0
    cold = np.flatnonzero((day.water_degC <= _KEEP_BELOW_DEGC) | (day.ice_kg <= 0))
    return float(day.times_s[cold[0]]) if len(cold) else 0.0


def _too_warm_s(day: BathDay, from_s: float) -> float | None:
    """Return when the water is first too warm for want of ice."""
    scarce = day.ice_kg < day.water_kg * _SCARCE_FRAC
    still_wanted = day.times_s <= max(
        (math.inf if ready is None else ready for ready in day.ready_s), default=math.inf
    )
    warm = np.flatnonzero(
        (day.water_degC > _KEEP_BELOW_DEGC) & scarce & still_wanted & (day.times_s >= from_s)
    )
    return float(day.times_s[warm[0]]) if len(warm) else None


def _bags(day: BathDay, at_s: float, bag_kg: float) -> int:
    """Return how many bags the heat still to come will melt, at least one."""
    k = int(np.searchsorted(day.times_s, at_s))
    excess_J = float(
        np.max(day.water_kg[k:] * (day.water_degC[k:] - _KEEP_BELOW_DEGC) * WATER_J_PER_KG_K)
    )
    return max(1, round(ice_for_heat_kg(max(0.0, excess_J), water_end_degC=1.0) / bag_kg + 0.5))


def _room(
    tank: Tank, batches: list[Batch] | tuple[Batch, ...], icings: list[Icing] | tuple[Icing, ...]
) -> tuple[Advice, ...]:
    """Return advice to split where birds, water and ice do not fit."""
    if tank.holds_m3 is None:
        return ()
    moments = sorted({b.at_s for b in batches})
    for moment in moments:
        birds_kg = sum(
            b.birds * b.mass_kg
            for b in batches
            if b.at_s <= moment and (b.out_s is None or b.out_s > moment)
        )
        poured_m3 = sum(i.water_m3 - i.drained_m3 for i in icings if i.at_s <= moment)
        ice_kg = tank.ice_kg + sum(i.ice_kg for i in icings if i.at_s <= moment)
        full = birds_kg / _BIRD_KG_PER_M3 + tank.water_m3 + poured_m3 + ice_kg / _ICE_KG_PER_M3
        if full > tank.holds_m3:
            return (
                Advice(
                    "split",
                    moment,
                    0.0,
                    _("Birds, water and ice do not fit: use a second tank for this batch."),
                ),
            )
    return ()


@dataclass(frozen=True, slots=True)
class PreChill:
    """Birds under running tap water before the ice.

    Parameters
    ----------
    mean_degC : float
        Average bird after it [degC].
    centre_degC : float
        Warmest point after it [degC].
    heat_J_per_kg : float
        Heat it has given to the tap water [J/kg].
    ice_saved_frac : float
        Ice saved per weight of bird [1].
    """

    mean_degC: float
    centre_degC: float
    heat_J_per_kg: float
    ice_saved_frac: float


def tap_pre_chill(
    mass_kg: float,
    *,
    build: Build,
    tap_degC: float,
    time_s: float,
    species: str = "chicken",
    start_degC: float = LIVE_BIRD_DEGC,
) -> PreChill:
    """Return what a stay in running tap water does before the birds go into ice.

    Parameters
    ----------
    mass_kg : float
        Dressed weight [kg].
    build : str
        ``"lean"`` or ``"broad"``.
    tap_degC : float
        Tap water [degC].
    time_s : float
        How long [s].
    species : str
        As in :func:`pinfeather.heat.ice.specific_heat`.
    start_degC : float
        Temperature going in [degC].

    Returns
    -------
    PreChill
        Temperatures after it and the ice saved.

    Raises
    ------
    InputError
        If a number cannot be meant.

    Notes
    -----
    Flowing water counts as stirred. The time limit runs on: pre-chilling does not stop the clock.

    References
    ----------
    Carslaw and Jaeger (1959), section 3.11.
    """
    finite("tap_degC", tap_degC)
    not_negative("time_s", time_s)
    half = breast_thickness(mass_kg, build=build).value / 2
    biot = surface_coefficient("stirred").value * half / MEAT_W_PER_M_K
    fourier = np.array([MEAT_M2_PER_S * time_s / half**2])
    mean = tap_degC + (start_degC - tap_degC) * float(mean_ratio("slab", fourier, biot=biot)[0])
    centre = tap_degC + (start_degC - tap_degC) * float(centre_ratio("slab", fourier, biot=biot)[0])
    heat = specific_heat(species).value * max(0.0, start_degC - mean)
    return PreChill(mean, centre, heat, ice_for_heat_kg(heat, water_end_degC=1.0))


@dataclass(frozen=True, slots=True)
class IceStock:
    """Ice in the bin over a day.

    Parameters
    ----------
    times_s : ndarray, shape (n,)
        Just after each draw [s].
    stock_kg : ndarray, shape (n,)
        Ice left; never below zero [kg].
    made_kg : float
        Ice the maker made, of what fitted the bin [kg].
    short_kg : float
        Ice wanted that was not there [kg].
    findings : tuple of Finding
        Where it ran out.
    """

    times_s: NDArray[np.float64]
    stock_kg: NDArray[np.float64]
    made_kg: float
    short_kg: float
    findings: tuple[Finding, ...]


def ice_stock(
    *,
    start_kg: float,
    bin_kg: float,
    rated_kg_per_day: float,
    draws: list[tuple[float, float]],
    summer_frac: float = 0.75,
) -> IceStock:
    """Return whether the ice maker and its bin last through the day.

    Parameters
    ----------
    start_kg : float
        Ice in the bin at the start [kg].
    bin_kg : float
        What the bin holds [kg].
    rated_kg_per_day : float
        Ice maker's rating [kg/d].
    draws : list of (float, float)
        When ice is taken and how much [s], [kg].
    summer_frac : float
        Share of the rating it makes; 0.7 to 0.8 in a hot room with warm water [1].

    Returns
    -------
    IceStock
        Stock after each draw, and what was short.

    Raises
    ------
    InputError
        If a number cannot be meant.

    Notes
    -----
    Ratings are for 70 degF air and 50 degF water. One maker of the 750 lb class falls by 17 % from
    an 80 to a 100 degF room.

    References
    ----------
    Ice machine sizing notes of the trade; second hand.
    """
    not_negative("start_kg", start_kg)
    not_negative("rated_kg_per_day", rated_kg_per_day)
    fraction("summer_frac", summer_frac)
    if start_kg > positive("bin_kg", bin_kg):
        raise InputError("start_kg", start_kg, _("The bin does not hold that much."))
    rate = rated_kg_per_day * summer_frac / SECONDS_PER_DAY
    stock, before_s, made, short = start_kg, 0.0, 0.0, 0.0
    times, stocks, findings = [], [], []
    for k, (at_s, wanted_kg) in enumerate(sorted(draws)):
        not_negative(f"draws[{k}]", min(at_s, wanted_kg))
        grown = min(bin_kg, stock + rate * (at_s - before_s)) - stock
        made += grown
        stock += grown
        taken = min(stock, wanted_kg)
        if taken < wanted_kg:
            missing = wanted_kg - taken
            short += missing
            findings.append(
                Finding(
                    "ice.short",
                    Severity.CHECK,
                    _("The bin runs out: {lb:.0f} lb of ice are missing.").format(
                        lb=missing / KG_PER_LB
                    ),
                    _("Buy bags the day before, or make ice ahead in a freezer."),
                    measured=taken,
                    limit=wanted_kg,
                    unit="kg",
                )
            )
        stock -= taken
        before_s = at_s
        times.append(at_s)
        stocks.append(stock)
    return IceStock(np.array(times), np.array(stocks), made, short, tuple(findings))
