"""How each chill batch stands at this moment, when it should be cold, and what to do now.

A time worked out here plans the next probe. It never proves anything; only a reading does.
"""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Sequence
from dataclasses import dataclass
from enum import IntEnum
from typing import Final

import numpy as np

from pinfeather.day.chill_proof import ChillVerdict, Proof
from pinfeather.day.cold import SLUSH_DEGC, capacity_kg
from pinfeather.day.cold_expected import Expected, From, Known, Shop, expected, planned
from pinfeather.day.due import WARM_TANK_DEGC
from pinfeather.day.instruments import Trusted
from pinfeather.day.logged import Logged, went_in_early
from pinfeather.day.request import LotRequest, TankRequest
from pinfeather.estimate import Estimate
from pinfeather.finding import Finding
from pinfeather.heat.breast import Bath
from pinfeather.heat.carcass import chill_curve, chill_time
from pinfeather.heat.ice import ice_for_heat_kg, specific_heat, tank_gains_W
from pinfeather.heat.thermometer import Verdict, cold_enough
from pinfeather.heat.water import COLD_WATER_KG_PER_M3, WATER_J_PER_KG_K
from pinfeather.quantity import show
from pinfeather.units import KG_PER_LB
from pinfeather.words import gettext as _

__all__ = ["BatchNow", "Expected", "From", "Risk", "Shop", "cold_now"]

_MOST_POINTS: Final = 60
_BEFORE_DUE: Final = dt.timedelta(minutes=30)
_TELLING_SHARE: Final = 0.4
"""Share of the quickest bird's time after which a reading tells its rate. Assumed."""
_AGAIN: Final = dt.timedelta(minutes=15)
_LONGEST_S: Final = 3 * 3600.0
_WET_SHARE: Final = 2 / 3
"""Share of a tank that is water once its ice has melted; a third is birds. Assumed."""
_COLD_MEAN_DEGC: Final = 2.0
"""As :mod:`pinfeather.day.cold`."""
_BAG_KG: Final = {"lb": 5 * KG_PER_LB, "kg": 2.0}


class Risk(IntEnum):
    """How badly a batch needs somebody; the higher number comes first."""

    PROVED = 0
    FINE = 1
    WATER = 2
    """Its water is too warm."""
    LATE = 3
    """At the slow end of the band it is cold too late."""
    NEVER = 4
    """Its water never gets it there."""
    OVER = 5
    """The time is over, or the proof came too late."""


@dataclass(frozen=True, slots=True)
class BatchNow:
    """One batch at this moment.

    Parameters
    ----------
    verdict : ChillVerdict
        What is proved.
    lot : LotRequest
        The lot with its largest bird.
    mass_kg : float
        That bird's dressed mass [kg].
    bath : str
        ``"still"`` or ``"stirred"``.
    bath_degC : float
        Water that was reckoned with [degC].
    water : Trusted or None
        The reading of it; None where it is assumed.
    thickness_m : Estimate
        Breast reckoned with [m].
    surface_W_per_m2K : Estimate
        Surface coefficient reckoned with [W/m2K].
    expected : Expected
        When it should be cold.
    risk : Risk
        How badly it needs somebody.
    act : str
        Code of what to do: ``"proved"``, ``"hold"``, ``"ice"``, ``"split"``, ``"hurry"``,
        ``"probe"``, ``"wait"``.
    sentence : str
        The same in one sentence.
    reason : str
        Why.
    findings : tuple of Finding
        What to know before leaning on the time.
    """

    verdict: ChillVerdict
    lot: LotRequest
    mass_kg: float
    bath: Bath
    bath_degC: float
    water: Trusted | None
    thickness_m: Estimate
    surface_W_per_m2K: Estimate
    expected: Expected
    risk: Risk
    act: str
    sentence: str
    reason: str
    findings: tuple[Finding, ...]


def cold_now(
    shop: Shop, verdicts: Sequence[ChillVerdict], *, now: dt.datetime
) -> tuple[BatchNow, ...]:
    """Say how each batch stands and what to do now, the batches at risk first.

    Parameters
    ----------
    shop : Shop
        The day.
    verdicts : sequence of ChillVerdict
        From :func:`pinfeather.day.chill_proof.chill_verdict`.
    now : datetime
        Aware.

    Returns
    -------
    tuple of BatchNow
        One for each verdict.

    Notes
    -----
    The bird's own readings go before the plan: a series, then two readings of one bird, then one
    reading with the plan's rate. The water is taken as last read, and as slush where nobody read
    it or ice went in since.

    References
    ----------
    :func:`pinfeather.heat.carcass.chill_time`, :func:`pinfeather.heat.readings.two_reading_time`,
    :func:`pinfeather.heat.probe.identify`.
    """
    found = [_batch_now(shop, verdict, now=now) for verdict in verdicts]
    return tuple(sorted(found, key=lambda one: (-one.risk, one.verdict.batch.due)))


def _batch_now(shop: Shop, verdict: ChillVerdict, *, now: dt.datetime) -> BatchNow:
    batch = verdict.batch
    lots = [lot for lot in shop.request.lots if lot.code in batch.lots] or shop.request.lots
    lot = max(lots, key=lambda one: max(one.masses_kg))
    tank = next((t for t in shop.request.equipment.tanks if t.name == batch.tank), None)
    bath: Bath = "stirred" if tank is not None and tank.stirred else "still"
    known = _known(shop, verdict, lot, bath=bath, now=now)
    cold = verdict.proof in {Proof.PROVED, Proof.LATE}  # then the plan is shown beside the proof
    when = planned(known) if cold else expected(known)
    state = _State(shop, verdict, lot, tank, bath, known, when, now)
    act, sentence, reason = state.act()
    return BatchNow(
        verdict=verdict,
        lot=lot,
        mass_kg=known.mass_kg,
        bath=bath,
        bath_degC=known.bath_degC,
        water=known.water,
        thickness_m=known.plan.thickness_m,
        surface_W_per_m2K=known.plan.surface_W_per_m2K,
        expected=state.expected,
        risk=state.risk,
        act=act,
        sentence=sentence,
        reason=reason,
        findings=known.plan.findings,
    )


def _known(
    shop: Shop, verdict: ChillVerdict, lot: LotRequest, *, bath: Bath, now: dt.datetime
) -> Known:
    """Gather the readings of a batch, its water, and what the plan expects in that water."""
    batch, mass_kg = verdict.batch, max(lot.masses_kg)
    water = _water(shop, batch.tank, now=now)
    bath_degC = SLUSH_DEGC if water is None else water.corrected_degC
    own = None if shop.own is None else shop.own.estimates(mass_kg, build=lot.build, bath=bath)
    plan = chill_time(
        mass_kg,
        build=lot.build,
        bath=bath,
        bath_degC=bath_degC,
        limit_degC=batch.limit.target.si,
        thickness_m=None if own is None else own[0],
        surface_W_per_m2K=None if own is None else own[1],
    )
    last_birds = [c for c in shop.logged if not went_in_early(c, last_in=batch.last_in)]
    birds = sorted(
        (
            one
            for one in (*shop.readings, *_points(last_birds))
            if one.reading.what == "bird"
            and one.reading.place == batch.tank
            and batch.last_in <= one.reading.at <= now
        ),
        key=lambda one: one.reading.at,
    )
    return Known(
        shop, batch.last_in, batch.limit.target.si, mass_kg, bath_degC, water, plan, tuple(birds)
    )


def _points(curves: Sequence[Logged]) -> list[Trusted]:
    """Return enough readings of each curve to see its course."""
    return [
        curve.point(int(k))
        for curve in curves
        for k in np.unique(np.linspace(0, len(curve.times_s) - 1, _MOST_POINTS).astype(int))
    ]


def _water(shop: Shop, tank: str, *, now: dt.datetime) -> Trusted | None:
    """Return the newest reading of a tank's water, unless ice went in since."""
    mine = [
        one
        for one in (*shop.readings, *_points(shop.logged))
        if one.reading.what == "bath" and one.reading.place == tank and one.reading.at <= now
    ]
    newest = max(mine, key=lambda one: one.reading.at, default=None)
    if newest is None:
        return None
    iced = any(
        d.task == "ice_more" and d.place == tank and d.at > newest.reading.at
        for d in shop.done.done
    )
    return None if iced else newest


@dataclass(frozen=True, slots=True)
class _State:
    """One batch with what is expected of it: how bad it is, and what to do."""

    shop: Shop
    verdict: ChillVerdict
    lot: LotRequest
    tank: TankRequest | None
    bath: Bath
    known: Known
    expected: Expected
    now: dt.datetime

    @property
    def warm_water(self) -> bool:
        water = self.known.water
        return water is not None and water.corrected_degC > WARM_TANK_DEGC

    @property
    def risk(self) -> Risk:
        expected = self.expected
        proof, due = self.verdict.proof, self.verdict.batch.due
        if proof is Proof.PROVED:
            return Risk.PROVED
        if proof in {Proof.LATE, Proof.WARM}:
            return Risk.OVER
        if expected.value is None:
            return Risk.NEVER
        if expected.high is None or expected.high > due:
            return Risk.LATE
        return Risk.WATER if self.warm_water else Risk.FINE

    def act(self) -> tuple[str, str, str]:
        """Return the code, the sentence and the reason of what to do now."""
        risk = self.risk
        if risk is Risk.PROVED:
            return "proved", _("It is proved: pack it, or keep it in ice."), ""
        if risk is Risk.OVER:
            return self._over()
        if self._too_many_kg() > 0 and (self.warm_water or risk >= Risk.LATE):
            return self._split()
        if self.warm_water:
            return self._ice()
        if risk is Risk.LATE:
            return self._hurry()
        return self._probe()

    def _hurry(self) -> tuple[str, str, str]:
        """Do what speeds chilling up, and probe as soon as a reading tells something."""
        last_in, high = self.verdict.batch.last_in, self.expected.high
        at = last_in + dt.timedelta(seconds=_TELLING_SHARE * (self.known.plan.low_s or 0.0))
        if self.known.birds:
            at = max(at, self.known.birds[-1].reading.at + _BEFORE_DUE)
        at = min(at, self.verdict.batch.due)
        return (
            "hurry",
            _("Open every cavity to the water, {stir}, and probe the largest bird {when}.").format(
                stir=_("keep it stirred") if self.bath == "stirred" else _("stir the tank"),
                when=_("now")
                if self.now >= at
                else _("at {time}").format(time=self.shop.clock(at)),
            ),
            (
                _("A slow bird may never get there; {due} is the time allowed.")
                if high is None
                else _("A slow bird is cold at {time}; {due} is the time allowed.")
            ).format(
                time="" if high is None else self.shop.clock(high),
                due=self.shop.clock(self.verdict.batch.due),
            ),
        )

    def _over(self) -> tuple[str, str, str]:
        due = self.shop.clock(self.verdict.batch.due)
        if self.verdict.proof is Proof.LATE:
            return (
                "hold",
                _("Hold these birds apart and decide what to do with them."),
                _("They are cold now, but the proof came after {due}.").format(due=due),
            )
        if self.verdict.by is None:
            return (
                "hold",
                _("Probe the largest bird now, hold the batch, and decide what to do with it."),
                _("The time allowed was over at {due} and no bird was probed.").format(due=due),
            )
        return (
            "hold",
            _("Hold these birds apart, keep chilling, probe again, and decide."),
            _("The time allowed was over at {due}.").format(due=due),
        )

    def _in_tank(self) -> int:
        batch = self.verdict.batch
        packed = sum(p.birds for p in self.shop.done.packages if p.tank == batch.tank)
        return max(0, batch.birds - packed)

    def _mean_kg(self) -> float:
        return sum(self.lot.masses_kg) / len(self.lot.masses_kg)

    def _too_many_kg(self) -> float:
        if self.tank is None:
            return 0.0
        return self._in_tank() * self._mean_kg() - 1.001 * capacity_kg(self.tank)

    def _split(self) -> tuple[str, str, str]:
        batch, tank = self.verdict.batch, self.tank
        birds = min(self._in_tank() - 1, math.ceil(self._too_many_kg() / self._mean_kg()))
        return (
            "split",
            _(
                "Split the tank now: move {n} birds into fresh ice water, and add ice to both."
            ).format(n=max(1, birds)),
            _("{birds} of birds are in {tank}; a third of it, {room}, is what it cools.").format(
                birds=self.shop.mass(self._in_tank() * self._mean_kg()),
                tank=batch.tank,
                room=self.shop.mass(0.0 if tank is None else capacity_kg(tank)),
            ),
        )

    def _ice(self) -> tuple[str, str, str]:
        water = self.known.water
        read = "" if water is None else self.shop.temp(water.corrected_degC)
        at = "" if water is None else self.shop.clock(water.reading.at)
        return (
            "ice",
            _("Add {ice} of ice now: the water is at {temp}.").format(
                ice=show(self._ice_kg(), self.shop.mass_unit, "mass", decimals=0), temp=read
            ),
            _("Read at {time}; above {warm} chilling slows down, above {limit} it stops.").format(
                time=at,
                warm=self.shop.temp(WARM_TANK_DEGC),
                limit=str(self.verdict.batch.limit.target),
            ),
        )

    def _ice_kg(self) -> float:
        """Return the ice that brings the tank back to slush until its birds are cold [kg]."""
        species = self.lot.species
        until = self.expected.high or self.verdict.batch.due
        left_s = min(_LONGEST_S, max(0.0, (until - self.now).total_seconds()))
        heat_J = (
            self._in_tank()
            * self._mean_kg()
            * specific_heat(species).value
            * max(0.0, self._centre_degC() - _COLD_MEAN_DEGC)
        )
        if self.tank is not None:
            water_kg = self.tank.volume_m3 * _WET_SHARE * COLD_WATER_KG_PER_M3
            heat_J += water_kg * WATER_J_PER_KG_K * max(0.0, self.known.bath_degC - SLUSH_DEGC)
            heat_J += left_s * (
                tank_gains_W(
                    volume_m3=self.tank.volume_m3,
                    insulated=self.tank.insulated,
                    air_degC=self.shop.request.air_degC,
                ).value
            )
        bag_kg = _BAG_KG["kg" if self.shop.mass_unit == "kg" else "lb"]
        return bag_kg * max(
            1, math.ceil(ice_for_heat_kg(heat_J, water_end_degC=SLUSH_DEGC) / bag_kg)
        )

    def _centre_degC(self) -> float:
        """Return how warm the middle of a breast is now, the most the whole bird can be [degC]."""
        if self.known.birds:
            return self.known.birds[-1].corrected_degC
        since_s = max(0.0, (self.now - self.verdict.batch.last_in).total_seconds())
        curve = chill_curve(
            np.array([since_s]),
            self.known.mass_kg,
            build=self.lot.build,
            bath=self.bath,
            bath_degC=SLUSH_DEGC,
            thickness_m=self.known.plan.thickness_m,
            surface_W_per_m2K=self.known.plan.surface_W_per_m2K,
        )
        return float(curve.centre_degC[0])

    def _probe(self) -> tuple[str, str, str]:
        clock, due = self.shop.clock, self.verdict.batch.due
        at = due - _BEFORE_DUE
        if self.expected.value is not None:
            at = min(self.expected.value, at)
        if self.known.birds:
            last = self.known.birds[-1]
            close = cold_enough(
                last.corrected_degC,
                limit_degC=self.known.limit_degC,
                uncertainty_K=last.uncertainty_K,
            )
            at = max(at, min(last.reading.at + _AGAIN, due))
            if close is Verdict.NOT_PROVEN and self.now < at:
                return (
                    "wait",
                    _("Too close to call: probe the largest bird again at {time}.").format(
                        time=clock(at)
                    ),
                    _("“{name}” may be off by {spread}.").format(
                        name=last.reading.instrument,
                        spread=show(
                            last.uncertainty_K, self.shop.temp_unit, "temperature difference"
                        ),
                    ),
                )
        if self.now >= at:
            return (
                "probe",
                _("Probe the largest bird now."),
                _("It should be cold; it must be proved by {due}.").format(due=clock(due)),
            )
        return (
            "wait",
            _("Leave it in ice; probe the largest bird at {time}.").format(time=clock(at)),
            _("It must be proved by {due}.").format(due=clock(due)),
        )
