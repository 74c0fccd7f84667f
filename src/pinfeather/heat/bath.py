"""The chill tank over the day: batches going in, ice melting, walls, sun and pump.

Water, ice and birds are one heat balance, stepped minute by minute. Each batch is two breasts, an
average bird that sets the heat and the heaviest bird that sets the time. Heat is never lost: the
ledger of a day closes to rounding.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from typing import Final

import numpy as np
from numpy.typing import NDArray

from pinfeather.errors import InputError
from pinfeather.heat.breast import (
    LIVE_BIRD_DEGC,
    MEAT_J_PER_KG_K,
    MEAT_KG_PER_M3,
    MEAT_W_PER_M_K,
    Bath,
    Build,
    breast_thickness,
    surface_coefficient,
)
from pinfeather.heat.guards import finite, not_negative, positive
from pinfeather.heat.ice import specific_heat
from pinfeather.heat.material import constant_material
from pinfeather.heat.shells import Bodies, centre_degC, cut
from pinfeather.heat.water import (
    COLD_WATER_KG_PER_M3,
    ICE_J_PER_KG_K,
    LATENT_J_PER_KG,
    WATER_J_PER_KG_K,
)
from pinfeather.words import gettext as _

_STEP_S: Final = 60.0
_SHELLS: Final = 12
# Crushed ice of about 3 cm has 0.2 m2/kg; with about 200 W/m2K in stirred and 100 in still water.
# Assumed.
_MELT_W_PER_KG_K: Final[dict[Bath, float]] = {"stirred": 40.0, "still": 20.0}
_OUT_OF_WATER_W_PER_M2K: Final = 1e-9


@dataclass(frozen=True, slots=True)
class Batch:
    """Birds that go into the tank together.

    Parameters
    ----------
    at_s : float
        When they go in, from the start of the day [s].
    birds : int
        How many.
    mass_kg : float
        Average dressed weight [kg].
    build : str
        ``"lean"`` or ``"broad"``.
    heaviest_kg : float or None
        Heaviest bird; None takes 1.3 times the average [kg].
    species : str
        As in :func:`pinfeather.heat.ice.specific_heat`.
    start_degC : float
        Temperature going in [degC].
    out_s : float or None
        When they are taken out; None leaves them in [s].
    """

    at_s: float
    birds: int
    mass_kg: float
    build: Build = "broad"
    heaviest_kg: float | None = None
    species: str = "chicken"
    start_degC: float = LIVE_BIRD_DEGC
    out_s: float | None = None


@dataclass(frozen=True, slots=True)
class Icing:
    """Ice or water put in, or water drained.

    Parameters
    ----------
    at_s : float
        When [s].
    ice_kg : float
        Ice put in [kg].
    ice_degC : float
        Its temperature [degC].
    water_m3 : float
        Fresh water put in [m3].
    water_degC : float
        Its temperature [degC].
    drained_m3 : float
        Water let out first [m3].
    """

    at_s: float
    ice_kg: float = 0.0
    ice_degC: float = 0.0
    water_m3: float = 0.0
    water_degC: float = 12.0
    drained_m3: float = 0.0


@dataclass(frozen=True, slots=True)
class Tank:
    """A chill tank as the day begins.

    Parameters
    ----------
    water_m3 : float
        Water in it [m3].
    water_degC : float
        Its temperature [degC].
    ice_kg : float
        Ice in it [kg].
    wall_W_per_K : float
        Heat through walls and top per degree to the air [W/K].
    air_degC : float
        Air temperature [degC].
    sun_W : float
        Sunshine taken up [W].
    pump_W : float
        Electric power of pumps in it [W].
    bath : str
        ``"still"`` or ``"stirred"``.
    holds_m3 : float or None
        Room in it for water, ice and birds; None where not known [m3].
    """

    water_m3: float
    water_degC: float
    ice_kg: float
    wall_W_per_K: float = 25.0
    air_degC: float = 20.0
    sun_W: float = 0.0
    pump_W: float = 0.0
    bath: Bath = "stirred"
    holds_m3: float | None = None


@dataclass(frozen=True, slots=True)
class Ledger:
    """Where heat came from and went; the sum of the four is what water, ice and inflows took up.

    Parameters
    ----------
    birds_J : float
        Out of the birds [J].
    air_J : float
        Through walls and top; negative on a cold day [J].
    sun_J : float
        From the sun [J].
    pump_J : float
        From pumps [J].
    stored_J : float
        More heat in water and ice at the end than at the start [J].
    inflow_J : float
        Heat that came in with ice and water put in, less that drained; counted from water at 0
        degC, so ice counts negative [J].
    """

    birds_J: float
    air_J: float
    sun_J: float
    pump_J: float
    stored_J: float
    inflow_J: float

    @property
    def error_J(self) -> float:
        """What does not add up [J]."""
        coming = self.birds_J + self.air_J + self.sun_J + self.pump_J + self.inflow_J
        return self.stored_J - coming


@dataclass(frozen=True, slots=True)
class BathDay:
    """A tank's day.

    Parameters
    ----------
    times_s : ndarray, shape (m,)
        Times [s].
    water_degC : ndarray, shape (m,)
        Water [degC].
    ice_kg : ndarray, shape (m,)
        Ice floating [kg].
    water_kg : ndarray, shape (m,)
        Water [kg].
    warmest_degC : ndarray, shape (m, batches)
        Warmest point of each batch's heaviest bird; not a number before it goes in [degC].
    mean_degC : ndarray, shape (m, batches)
        Average bird of each batch, evened out [degC].
    ready_s : tuple
        When each batch's heaviest bird reaches the limit; None if it does not [s].
    ledger : Ledger
        Heat in and out.
    """

    times_s: NDArray[np.float64]
    water_degC: NDArray[np.float64]
    ice_kg: NDArray[np.float64]
    water_kg: NDArray[np.float64]
    warmest_degC: NDArray[np.float64]
    mean_degC: NDArray[np.float64]
    ready_s: tuple[float | None, ...]
    ledger: Ledger


@dataclass(slots=True)
class _State:
    """Water and ice while stepping."""

    water_kg: float
    heat_J: float  # of water and ice, counted from water at 0 degC
    ice_kg: float
    flows: dict[str, float] = field(
        default_factory=lambda: {"air": 0.0, "sun": 0.0, "pump": 0.0, "inflow": 0.0}
    )

    @property
    def water_degC(self) -> float:
        liquid_J = self.heat_J + self.ice_kg * LATENT_J_PER_KG
        return liquid_J / (self.water_kg * WATER_J_PER_KG_K)

    def melt(self, rate_W_per_kg_K: float, dt_s: float) -> None:
        """Let ice and water come closer to each other."""
        warm = self.water_degC
        if warm <= 0.0:
            grown = min(
                -warm * self.water_kg * WATER_J_PER_KG_K / LATENT_J_PER_KG, self.water_kg / 2
            )
            self.ice_kg += grown
            self.water_kg -= grown
            return
        if self.ice_kg <= 0.0:
            return
        pull = rate_W_per_kg_K * self.ice_kg * dt_s
        capacity = self.water_kg * WATER_J_PER_KG_K
        # implicit, so that a long step cannot overshoot
        melted = min(self.ice_kg, pull * warm / (LATENT_J_PER_KG * (1.0 + pull / capacity)))
        self.ice_kg -= melted
        self.water_kg += melted

    def add(self, icing: Icing) -> None:
        """Drain, pour and ice."""
        gone = min(icing.drained_m3 * COLD_WATER_KG_PER_M3, self.water_kg * 0.999)
        before = self.heat_J
        self.heat_J -= gone * WATER_J_PER_KG_K * self.water_degC
        self.water_kg -= gone
        poured = icing.water_m3 * COLD_WATER_KG_PER_M3
        self.heat_J += poured * WATER_J_PER_KG_K * icing.water_degC
        self.water_kg += poured
        # cold ice takes its first warming from the water at once
        self.heat_J += icing.ice_kg * (ICE_J_PER_KG_K * icing.ice_degC - LATENT_J_PER_KG)
        self.ice_kg += icing.ice_kg
        self.flows["inflow"] += self.heat_J - before


def simulate(
    tank: Tank,
    batches: list[Batch] | tuple[Batch, ...],
    *,
    duration_s: float,
    limit_degC: float,
    icings: list[Icing] | tuple[Icing, ...] = (),
    step_s: float = _STEP_S,
) -> BathDay:
    """Return how a chill tank gets through the day.

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
        Ice and water put in on the way.
    step_s : float
        Time step; never more than a minute makes sense [s].

    Returns
    -------
    BathDay
        Water, ice and birds over time, and the heat ledger.

    Raises
    ------
    InputError
        If a number cannot be meant.

    Notes
    -----
    The tank is one well-mixed bath; a still tank with birds packed on each other is worse.

    References
    ----------
    Derivation: heat balance of water and ice, slabs by :mod:`pinfeather.heat.shells`.
    """
    _check(tank, batches, icings)
    positive("duration_s", duration_s)
    finite("limit_degC", limit_degC)
    positive("step_s", step_s)
    count = math.ceil(duration_s / step_s)
    times = np.linspace(0.0, count * step_s, count + 1)
    state = _State(
        tank.water_m3 * COLD_WATER_KG_PER_M3,
        tank.water_m3 * COLD_WATER_KG_PER_M3 * WATER_J_PER_KG_K * tank.water_degC
        - tank.ice_kg * LATENT_J_PER_KG,
        tank.ice_kg,
    )
    before_J = state.heat_J
    bodies, heat = _breasts(batches)
    in_steps = np.array([b.at_s for b in batches])
    out_steps = np.array([math.inf if b.out_s is None else b.out_s for b in batches])
    # heat per batch for each J/kg of its average bird, by the bird's specific heat
    weights = np.array(
        [b.birds * b.mass_kg * specific_heat(b.species).value / MEAT_J_PER_KG_K for b in batches]
    )
    surface = surface_coefficient(tank.bath).value
    rate = _MELT_W_PER_KG_K[tank.bath]
    track = _Track.empty(len(times), len(batches))
    due = sorted(icings, key=lambda icing: icing.at_s)
    for k, time in enumerate(times.tolist()):
        while due and due[0].at_s <= time + 1e-9:
            state.add(due.pop(0))
        state.melt(rate, 0.0)
        track.keep(k, state, bodies, heat, entered=in_steps <= time + 1e-9)
        if k == count:
            break
        inside = (in_steps <= time + 1e-9) & (out_steps > time + 1e-9)
        now = np.where(np.tile(inside, 2), surface, _OUT_OF_WATER_W_PER_M2K)
        water = np.full(2 * len(batches), state.water_degC)
        if len(batches):
            heat, out = bodies.step(heat, now, water, dt_s=step_s)
            given = float(weights @ np.where(inside, out[: len(batches)], 0.0))
        else:
            given = 0.0
        flows = {
            "air": tank.wall_W_per_K * (tank.air_degC - state.water_degC) * step_s,
            "sun": tank.sun_W * step_s,
            "pump": tank.pump_W * step_s,
        }
        for name, joules in flows.items():
            state.flows[name] += joules
            state.heat_J += joules
        state.heat_J += given
        state.melt(rate, step_s)
    # what the birds have lost, by what is left in them: not the sum of what the water was given
    start = np.array([b.start_degC for b in batches]) * MEAT_J_PER_KG_K
    left = np.sum(bodies.mass * heat, axis=0)[: len(batches)]
    ledger = Ledger(
        float(weights @ (start - left)),
        state.flows["air"],
        state.flows["sun"],
        state.flows["pump"],
        state.water_kg * WATER_J_PER_KG_K * state.water_degC
        - state.ice_kg * LATENT_J_PER_KG
        - before_J,
        state.flows["inflow"],
    )
    return BathDay(
        times,
        track.water_degC,
        track.ice_kg,
        track.water_kg,
        track.warmest_degC,
        track.mean_degC,
        tuple(_ready_s(times, track.warmest_degC[:, b], limit_degC) for b in range(len(batches))),
        ledger,
    )


@dataclass(frozen=True, slots=True)
class _Track:
    """What is kept of each step."""

    water_degC: NDArray[np.float64]
    ice_kg: NDArray[np.float64]
    water_kg: NDArray[np.float64]
    warmest_degC: NDArray[np.float64]
    mean_degC: NDArray[np.float64]

    @classmethod
    def empty(cls, times: int, batches: int) -> _Track:
        return cls(
            np.empty(times),
            np.empty(times),
            np.empty(times),
            np.full((times, batches), np.nan),
            np.full((times, batches), np.nan),
        )

    def keep(  # noqa: PLR0917 - one row of everything
        self,
        k: int,
        state: _State,
        bodies: Bodies,
        heat: NDArray[np.float64],
        entered: NDArray[np.bool_],
    ) -> None:
        self.water_degC[k] = state.water_degC
        self.ice_kg[k] = state.ice_kg
        self.water_kg[k] = state.water_kg
        batches = len(entered)
        if not batches:
            return
        temperature = heat / MEAT_J_PER_KG_K
        centre = centre_degC(temperature[0], temperature[1])[batches:]
        mean = np.sum(bodies.mass * temperature, axis=0)[:batches]
        self.warmest_degC[k] = np.where(entered, centre, np.nan)
        self.mean_degC[k] = np.where(entered, mean, np.nan)


def _ready_s(
    times: NDArray[np.float64], warmest: NDArray[np.float64], limit_degC: float
) -> float | None:
    """Return when a curve first comes down to the limit."""
    cold = np.flatnonzero(warmest <= limit_degC)
    if not len(cold):
        return None
    k = int(cold[0])
    if k == 0 or math.isnan(warmest[k - 1]):
        return float(times[k])
    share = (warmest[k - 1] - limit_degC) / (warmest[k - 1] - warmest[k])
    return float(times[k - 1] + share * (times[k] - times[k - 1]))


_HEAVIEST_OVER_AVERAGE: Final = 1.3


def _breasts(batches: list[Batch] | tuple[Batch, ...]) -> tuple[Bodies, NDArray[np.float64]]:
    """Return average breasts of all batches, then heaviest ones, and the heat in them."""
    masses = [(b.mass_kg, b.build) for b in batches] + [
        (b.heaviest_kg or b.mass_kg * _HEAVIEST_OVER_AVERAGE, b.build) for b in batches
    ]
    half = np.array([breast_thickness(m, build=b).value / 2 for m, b in masses])
    material = constant_material(
        density_kg_per_m3=MEAT_KG_PER_M3,
        specific_heat_J_per_kgK=MEAT_J_PER_KG_K,
        conductivity_W_per_mK=MEAT_W_PER_M_K,
    )
    start = np.array([b.start_degC for b in batches] * 2)
    heat = np.broadcast_to(start * MEAT_J_PER_KG_K, (_SHELLS, len(masses))).copy()
    return cut("slab", half, material=material, shells=_SHELLS), heat


def _check(
    tank: Tank,
    batches: list[Batch] | tuple[Batch, ...],
    icings: list[Icing] | tuple[Icing, ...],
) -> None:
    """Refuse what cannot be meant."""
    positive("water_m3", tank.water_m3)
    not_negative("water_degC", tank.water_degC)
    not_negative("ice_kg", tank.ice_kg)
    not_negative("wall_W_per_K", tank.wall_W_per_K)
    finite("air_degC", tank.air_degC)
    not_negative("sun_W", tank.sun_W)
    not_negative("pump_W", tank.pump_W)
    if tank.bath not in _MELT_W_PER_KG_K:
        raise InputError("bath", tank.bath, _("A tank of slush is “still” or “stirred”."))
    for k, batch in enumerate(batches):
        not_negative(f"batches[{k}].at_s", batch.at_s)
        not_negative(f"batches[{k}].birds", batch.birds)
        positive(f"batches[{k}].mass_kg", batch.mass_kg)
        finite(f"batches[{k}].start_degC", batch.start_degC)
        if batch.heaviest_kg is not None and not batch.heaviest_kg >= batch.mass_kg:
            raise InputError(
                f"batches[{k}].heaviest_kg",
                batch.heaviest_kg,
                _("The heaviest bird cannot be lighter than the average."),
            )
    for k, icing in enumerate(icings):
        not_negative(f"icings[{k}].at_s", icing.at_s)
        not_negative(f"icings[{k}].ice_kg", icing.ice_kg)
        not_negative(f"icings[{k}].water_m3", icing.water_m3)
        not_negative(f"icings[{k}].water_degC", icing.water_degC)
        not_negative(f"icings[{k}].drained_m3", icing.drained_m3)
        if icing.ice_degC > 0:
            raise InputError(
                f"icings[{k}].ice_degC", icing.ice_degC, _("Ice is never warmer than 0 °C (32 °F).")
            )
