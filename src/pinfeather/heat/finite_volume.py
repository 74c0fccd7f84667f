"""Heat in many bodies at once, through water or air that changes, freezing included.

All bodies are stepped together. Bath and surface coefficient are taken at the middle of each step.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

import numpy as np

from pinfeather.errors import InputError
from pinfeather.heat.conduction import Shape
from pinfeather.heat.guards import positive
from pinfeather.heat.material import Array, Material
from pinfeather.heat.shells import EXPONENT, Bodies, Slopes, centre_degC, cut
from pinfeather.words import gettext as _

_STEP_FO: Final[dict[Shape, float]] = {"slab": 0.02, "cylinder": 0.01, "sphere": 0.006}
_FINE_FROM_STEPS: Final = 8  # the first step after a sudden start is split this many ways
_MARGIN_FRAC: Final = 0.02
_MARGIN_K: Final = 0.05
_MOST_SPLITS: Final = 12


@dataclass(frozen=True, slots=True)
class Field:
    """How the bodies got on.

    Parameters
    ----------
    times_s : ndarray, shape (m,)
        Times asked for [s].
    centre_degC : ndarray, shape (m, n)
        Temperature in the centre of each body [degC].
    mean_degC : ndarray, shape (m, n)
        Temperature each would come to on its own, evened out [degC].
    surface_degC : ndarray, shape (m, n)
        Temperature of the surface [degC].
    heat_J_per_kg : ndarray, shape (m, n)
        Heat in each body [J/kg].
    out_J_per_kg : ndarray, shape (m, n)
        Heat that has gone out through its surface since the start, added up step by step [J/kg].
    shells_degC : ndarray, shape (m, shells, n)
        Temperature of each shell, innermost first [degC].
    """

    times_s: Array
    centre_degC: Array
    mean_degC: Array
    surface_degC: Array
    heat_J_per_kg: Array
    out_J_per_kg: Array
    shells_degC: Array


def _per_body(name: str, given: Array, bodies: int) -> Array:
    """Return one finite number per body."""
    if given.shape not in {(1,), (bodies,)} or not np.all(np.isfinite(given)):
        raise InputError(name, given.shape, _("This must be one number, or one per body."))
    return np.broadcast_to(given, (bodies,)).copy()


def _spread(name: str, value: Array | float, *, steps: int, bodies: int) -> Array:
    """Return a (m, n) array from a number, one per time, one per body, or both."""
    given = np.asarray(value, dtype=np.float64)
    if given.ndim == 1 and given.shape[0] == steps and steps != bodies:
        given = given[:, None]
    elif given.ndim == 1 and given.shape[0] == steps == bodies > 1:
        raise InputError(
            name,
            given.shape,
            _("As many times as bodies: give this with shape (times, 1) or (1, bodies)."),
        )
    try:
        whole = np.broadcast_to(given, (steps, bodies))
    except ValueError:
        raise InputError(
            name, given.shape, _("This must be one number, one per time, or one per body.")
        ) from None
    if not np.all(np.isfinite(whole)):
        raise InputError(name, given.shape, _("There is a gap or a text among these numbers."))
    return whole


def solve(
    times_s: Array,
    *,
    shape: Shape,
    half_thickness_m: Array | float,
    surface_W_per_m2K: Array | float,
    bath_degC: Array | float,
    start_degC: Array | float,
    material: Material,
    shells: int = 20,
    largest_step_s: float | None = None,
) -> Field:
    """Return the temperatures in many bodies over time.

    Parameters
    ----------
    times_s : ndarray, shape (m,)
        Times to report, increasing; the first is the start [s].
    shape : str
        ``"slab"`` (cooled on both faces), ``"cylinder"`` or ``"sphere"``.
    half_thickness_m : ndarray, shape (n,), or float
        Half thickness or radius of each body [m].
    surface_W_per_m2K : ndarray, shape (m, n), (m,), (n,), or float
        Surface coefficient, straight lines between times [W/m2K].
    bath_degC : ndarray, shape (m, n), (m,), (n,), or float
        Water or air temperature, straight lines between times [degC].
    start_degC : ndarray, shape (n,), or float
        Temperature of each body at the start [degC].
    material : Material
        What all of them are made of.
    shells : int
        Shells per body.
    largest_step_s : float or None
        Longest time step; None takes a fiftieth of the thinnest slab's time scale, less for rods
        and balls [s].

    Returns
    -------
    Field
        Temperatures and heat at each of the times.

    Raises
    ------
    InputError
        If times do not increase, shapes do not fit, or a number cannot be meant.

    Notes
    -----
    With 20 shells and the default step the centre is within 0.2 % of the temperature span. Heat is
    conserved to rounding.

    References
    ----------
    Hundsdorfer and Verwer (2003), Numerical Solution of Time-Dependent
    Advection-Diffusion-Reaction Equations, section III.1.4, scheme ROS2.
    """
    times = np.asarray(times_s, dtype=np.float64)
    if times.ndim != 1 or len(times) < 1 or not np.all(np.diff(times) > 0):
        raise InputError("times_s", times_s, _("Times must increase."))
    if shape not in EXPONENT:
        raise InputError("shape", shape, _("A body here is a slab, a cylinder or a sphere."))
    if shells < 3:  # noqa: PLR2004 - a centre, a middle and a surface
        raise InputError("shells", shells, _("Cut the body into at least three shells."))
    half = np.atleast_1d(np.asarray(half_thickness_m, dtype=np.float64))
    start = np.atleast_1d(np.asarray(start_degC, dtype=np.float64))
    bodies = max(
        len(half), len(start), *(_bodies_in(v, len(times)) for v in (surface_W_per_m2K, bath_degC))
    )
    half = _per_body("half_thickness_m", half, bodies)
    start = _per_body("start_degC", start, bodies)
    surface = _spread("surface_W_per_m2K", surface_W_per_m2K, steps=len(times), bodies=bodies)
    bath = _spread("bath_degC", bath_degC, steps=len(times), bodies=bodies)
    if not np.all(half > 0):
        raise InputError("half_thickness_m", half_thickness_m, _("Thickness must be above zero."))
    if not np.all(surface > 0):
        raise InputError(
            "surface_W_per_m2K", surface_W_per_m2K, _("The surface must be cooled a little.")
        )
    body = cut(shape, half, material=material, shells=shells)
    heat = np.broadcast_to(material.heat_J_per_kg(start), (shells, bodies)).copy()
    largest = _default_step(shape, material, half) if largest_step_s is None else largest_step_s
    positive("largest_step_s", largest)
    return _march(body, heat, times, surface=surface, bath=bath, largest_s=largest)


def _bodies_in(value: Array | float, steps: int) -> int:
    """Return how many bodies an argument speaks of."""
    given = np.asarray(value)
    if given.ndim == 2:  # noqa: PLR2004 - (times, bodies)
        return int(given.shape[1])
    if given.ndim == 1 and given.shape[0] != steps:
        return int(given.shape[0])
    return 1


def _default_step(shape: Shape, material: Material, half: Array) -> float:
    """Return a small part of the thinnest body's time scale."""
    slopes = np.diff(material.temperature_degC) / material.step_J_per_kg
    fastest = float(np.max(slopes[len(slopes) // 2 :] * material.conductivity_W_per_mK[-1]))
    return _STEP_FO[shape] * float(np.min(half)) ** 2 * material.density_kg_per_m3 / fastest


def _bounds(material: Material, shells_degC: Array, bath: Array) -> tuple[Array, Array]:
    """Return the heats between which every shell must stay, with a small margin."""
    lowest = np.minimum(shells_degC.min(axis=0), bath.min(axis=0))
    highest = np.maximum(shells_degC.max(axis=0), bath.max(axis=0))
    margin = _MARGIN_FRAC * (highest - lowest) + _MARGIN_K
    return material.heat_J_per_kg(lowest - margin), material.heat_J_per_kg(highest + margin)


def _careful(
    body: Bodies,
    heat: Array,
    outside: tuple[Array, Array],
    *,
    dt_s: float,
    bounds: tuple[Array, Array],
    splits: int = _MOST_SPLITS,
) -> tuple[Array, Array]:
    """Step, and in halves where a shell would leave its bounds.

    Temperature follows heat with a sharp bend where freezing begins; a long step across the bend
    can swing. No shell can get warmer or colder than everything around it has been, so a swing
    shows, and shorter steps do not swing.
    """
    after, left = body.step(heat, *outside, dt_s=dt_s)
    inside = np.all(after >= bounds[0]) and np.all(after <= bounds[1])
    if inside or splits == 0:
        return after, left
    middle, first = _careful(body, heat, outside, dt_s=dt_s / 2, bounds=bounds, splits=splits - 1)
    after, second = _careful(body, middle, outside, dt_s=dt_s / 2, bounds=bounds, splits=splits - 1)
    return after, first + second


def _march(
    body: Bodies, heat: Array, times: Array, *, surface: Array, bath: Array, largest_s: float
) -> Field:
    """Step all bodies through all times."""
    shells, bodies = heat.shape
    frames = np.empty((len(times), shells, bodies))
    mean_heat = np.empty((len(times), bodies))
    out = np.zeros((len(times), bodies))
    surfaces = np.empty((len(times), bodies))

    def keep(k: int) -> None:
        temperature, _slope, conductivity = body.material.at(heat)
        frames[k] = temperature
        mean_heat[k] = np.sum(body.mass * heat, axis=0)
        inside = conductivity[-1] / body.half_shell
        surfaces[k] = (inside * temperature[-1] + surface[k] * bath[k]) / (inside + surface[k])

    keep(0)
    for k in range(1, len(times)):
        span = times[k] - times[k - 1]
        count = max(1, math.ceil(span / largest_s - 1e-9))
        parts = np.full(count, 1.0 / count)
        if k == 1:
            parts = np.concatenate(
                (np.full(_FINE_FROM_STEPS, parts[0] / _FINE_FROM_STEPS), parts[1:])
            )
        middles = np.cumsum(parts) - parts / 2.0
        leaving = np.zeros(bodies)
        steady = body.material.constant and bool(np.all(surface[k] == surface[k - 1]))
        known: Slopes | None = None
        length = 0.0
        bounds = _bounds(body.material, frames[k - 1], bath[k - 1 : k + 1])
        for part, middle in zip(parts.tolist(), middles.tolist(), strict=True):
            now_surface = surface[k - 1] + middle * (surface[k] - surface[k - 1])
            now_bath = bath[k - 1] + middle * (bath[k] - bath[k - 1])
            if not steady or part * span != length:
                known, length = None, part * span
            if body.material.constant:
                heat, left, known = body.step_with(
                    heat, now_surface, now_bath, dt_s=length, known=known
                )
            else:
                heat, left = _careful(
                    body, heat, (now_surface, now_bath), dt_s=length, bounds=bounds
                )
            leaving += left
        out[k] = out[k - 1] + leaving
        keep(k)
    centre = centre_degC(frames[:, 0], frames[:, 1])
    mean = body.material.at(mean_heat)[0]
    return Field(times, centre, mean, surfaces, mean_heat, out, frames)
