"""Many bodies cut into shells, and one step of heat through all of them.

What a shell holds is its heat, so freezing needs no special case: temperature and conductivity
follow from heat by a table. What leaves one shell enters the next, so heat is neither made nor
lost.

The step is the two-stage Rosenbrock method of Verwer (order 2 for any approximate slope, and
damped at any step size).
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

import numpy as np

from pinfeather.heat.conduction import Shape
from pinfeather.heat.material import Array, Material

_GAMMA: Final = 1.0 - 1.0 / math.sqrt(2.0)
EXPONENT: Final[dict[Shape, int]] = {"slab": 1, "cylinder": 2, "sphere": 3}
"""Power of the radius that a body's volume grows with."""


def _shells(shape: Shape, count: int) -> tuple[Array, Array]:
    """Return volumes of the shells (adding up to 1) and outer areas, for half thickness 1."""
    power = EXPONENT[shape]
    faces = np.linspace(0.0, 1.0, count + 1)
    return np.diff(faces**power), power * faces[1:] ** (power - 1)


@dataclass(frozen=True, slots=True)
class _Factors:
    """Tridiagonal matrices, one per column, factored."""

    share: Array
    pivot: Array
    upper: Array

    @classmethod
    def of(cls, diagonal: Array, lower: Array, upper: Array) -> _Factors:
        """Factor them."""
        share, pivot = np.empty_like(lower), np.empty_like(diagonal)
        pivot[0] = 1.0 / diagonal[0]
        for i in range(1, len(diagonal)):
            share[i - 1] = lower[i - 1] * pivot[i - 1]
            pivot[i] = 1.0 / (diagonal[i] - share[i - 1] * upper[i - 1])
        return cls(share, pivot, upper * pivot[:-1])

    def solve(self, right: Array) -> Array:
        """Solve; ``right`` is overwritten."""
        count = len(right)
        spare = np.empty_like(right[0])
        for i in range(1, count):
            np.multiply(self.share[i - 1], right[i - 1], out=spare)
            np.subtract(right[i], spare, out=right[i])
        np.multiply(right, self.pivot, out=right)
        for i in range(count - 2, -1, -1):
            np.multiply(self.upper[i], right[i + 1], out=spare)
            np.subtract(right[i], spare, out=right[i])
        return right


@dataclass(frozen=True, slots=True)
class Slopes:
    """The linear part of a step."""

    inner: Array
    outer: Array
    scaled: Array
    factors: _Factors


@dataclass(frozen=True, slots=True)
class Bodies:
    """Many bodies cut into shells, ready to be stepped; made by :func:`cut`.

    Parameters
    ----------
    material : Material
        What they are made of.
    mass : ndarray, shape (shells, n)
        Share of each shell in its body [1].
    areas : ndarray, shape (shells, n)
        Outer area of each shell over the body's mass and the shell's thickness [m/kg].
    half_shell : ndarray, shape (n,)
        Half a shell's thickness [m].
    """

    material: Material
    mass: Array
    areas: Array
    half_shell: Array

    def _conductances(self, conductivity: Array, surface: Array) -> tuple[Array, Array]:
        """Return W/K per kg between shells and from the last shell to the bath."""
        between = 2.0 * conductivity[:-1] * conductivity[1:]
        between /= conductivity[:-1] + conductivity[1:]
        outside = 1.0 / (1.0 / surface + self.half_shell / conductivity[-1])
        # areas carry 1/thickness for the inner faces; undo it for the outer one
        return between * self.areas[:-1], outside * self.areas[-1] * (2.0 * self.half_shell)

    def _gains(
        self, temperature: Array, conductances: tuple[Array, Array], bath: Array
    ) -> tuple[Array, Array]:
        """Return W per kg into each shell, and W per kg out of the surface."""
        inner, outer = conductances
        across = inner * (temperature[1:] - temperature[:-1])
        leaving = outer * (temperature[-1] - bath)
        gain = np.empty_like(temperature)
        gain[:-1] = across
        gain[-1] = -leaving
        gain[1:] -= across
        return gain, leaving

    def step(self, heat: Array, surface: Array, bath: Array, *, dt_s: float) -> tuple[Array, Array]:
        """Return the heat in the shells after one step, and what left through the surface.

        Parameters
        ----------
        heat : ndarray, shape (shells, n)
            Heat in each shell [J/kg].
        surface : ndarray, shape (n,)
            Surface coefficient over the step [W/m2K].
        bath : ndarray, shape (n,)
            Water or air temperature over the step [degC].
        dt_s : float
            Step [s].

        Returns
        -------
        tuple of ndarray
            Heat after the step, same shape, and heat out per body, shape (n,) [J/kg].

        References
        ----------
        Hundsdorfer and Verwer (2003), section III.1.4, scheme ROS2.
        """
        return self.step_with(heat, surface, bath, dt_s=dt_s)[:2]

    def _slopes(self, slope: Array, conductances: tuple[Array, Array], dt_s: float) -> Slopes:
        """Return the linear part of a step."""
        inner, outer = conductances
        scaled = _GAMMA * dt_s * slope
        diagonal = self.mass.copy()
        diagonal[:-1] += inner * scaled[:-1]
        diagonal[1:] += inner * scaled[1:]
        diagonal[-1] += outer * scaled[-1]
        factors = _Factors.of(diagonal, -inner * scaled[:-1], -inner * scaled[1:])
        return Slopes(inner, outer, scaled, factors)

    def step_with(
        self,
        heat: Array,
        surface: Array,
        bath: Array,
        *,
        dt_s: float,
        known: Slopes | None = None,
    ) -> tuple[Array, Array, Slopes]:
        """Step, with the linear part of an earlier step where nothing in it has changed.

        Parameters
        ----------
        heat, surface, bath, dt_s
            As for :meth:`step`.
        known : Slopes or None
            From an earlier step of the same length, with the same surface and constant material.

        Returns
        -------
        tuple
            Heat after the step, heat out per body [J/kg], and the linear part for the next one.

        References
        ----------
        As :meth:`step`.
        """
        even = self.material.constant
        if known is None:
            temperature, slope, conductivity = self.material.at(heat)
            known = self._slopes(slope, self._conductances(conductivity, surface), dt_s)
        else:
            temperature = self.material.temperature(heat)
        pair = (known.inner, known.outer)
        edge = known.outer * known.scaled[-1]
        gain, leaving = self._gains(temperature, pair, bath)
        first = known.factors.solve(gain)
        first_out = leaving + edge * first[-1]
        if even:
            temperature = self.material.temperature(heat + dt_s * first)
        else:
            temperature, _slope, conductivity = self.material.at(heat + dt_s * first)
            pair = self._conductances(conductivity, surface)
        gain, leaving = self._gains(temperature, pair, bath)
        gain -= 2.0 * self.mass * first
        second = known.factors.solve(gain)
        second_out = leaving - 2.0 * first_out + edge * second[-1]
        # the doubled first stage brings its own surface term with it
        return (
            heat + dt_s * (1.5 * first + 0.5 * second),
            dt_s * (1.5 * first_out + 0.5 * second_out),
            known,
        )


def cut(shape: Shape, half_thickness_m: Array, *, material: Material, shells: int = 20) -> Bodies:
    """Cut bodies into shells of equal thickness.

    Parameters
    ----------
    shape : str
        ``"slab"``, ``"cylinder"`` or ``"sphere"``.
    half_thickness_m : ndarray, shape (n,)
        Half thickness or radius of each [m].
    material : Material
        What they are made of.
    shells : int
        Shells per body.

    Returns
    -------
    Bodies
        Ready to be stepped.

    References
    ----------
    Derivation: volumes and areas of the shells.
    """
    volumes, areas = _shells(shape, shells)
    thickness = half_thickness_m / shells
    return Bodies(
        material,
        volumes[:, None] * np.ones_like(half_thickness_m),
        areas[:, None] / (half_thickness_m * thickness * material.density_kg_per_m3),
        thickness / 2.0,
    )


def centre_degC(first_degC: Array, second_degC: Array) -> Array:
    """Return the temperature in the very centre from those of the two innermost shells.

    Parameters
    ----------
    first_degC : ndarray
        Innermost shell, any shape [degC].
    second_degC : ndarray
        The next one, same shape [degC].

    Returns
    -------
    ndarray
        Centre [degC].

    References
    ----------
    Derivation: parabola through both with its top in the centre.
    """
    return first_degC + (first_degC - second_degC) / 8.0
