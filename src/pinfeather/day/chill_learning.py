"""The farm's own chill numbers: how thick its breasts are and how its tanks cool them.

Learned from the probe readings of closed days whose bird was weighed and whose water was read.
"""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from pinfeather.day.chill_proof import Batch
from pinfeather.day.instruments import Trusted
from pinfeather.day.request import DayRequest
from pinfeather.errors import InputError
from pinfeather.estimate import Basis, Estimate, Origin
from pinfeather.heat.breast import (
    LIVE_BIRD_DEGC,
    Bath,
    Build,
    breast_thickness,
    surface_coefficient,
)
from pinfeather.heat.learning import Learned, Probed, learn
from pinfeather.quantity import parse
from pinfeather.words import gettext as _
from pinfeather.words import ngettext

FEWEST_BIRDS: Final = 3
"""Fewer birds do not change a plan: one tip beside the keel would move it too far. Assumed."""
POOR_FIT_K: Final = 2.0
"""Readings that lie further from the fitted line than this do not change a plan [K]. Assumed."""

Group = tuple[Build, Bath]


@dataclass(frozen=True, slots=True)
class ProbedBird:
    """One weighed bird with its readings on one day.

    Parameters
    ----------
    date : date
        The day.
    tank : str
        Where it lay.
    group : tuple of str
        Its build and how its tank was kept.
    probed : Probed
        Weight, water and readings.
    """

    date: dt.date
    tank: str
    group: Group
    probed: Probed


@dataclass(frozen=True, slots=True)
class OwnNumbers:
    """What was learned about birds of one build in tanks of one kind.

    Parameters
    ----------
    group : tuple of str
        Build and bath.
    learned : Learned
        The fit, its basis naming the days.
    days : int
        Days it rests on.
    birds : tuple of ProbedBird
        What it was learned from.
    prior_thickness_m : Estimate
        The handbook's breast of a 1 kg bird [m].
    prior_surface_W_per_m2K : Estimate
        The handbook's surface coefficient [W/m2K].
    surface_narrower_frac : float
        How much narrower the band of the surface coefficient became, as a share of it [1].
    usable : bool
        Whether plans use it: enough birds, and readings that fit.
    """

    group: Group
    learned: Learned
    days: int
    birds: tuple[ProbedBird, ...]
    prior_thickness_m: Estimate
    prior_surface_W_per_m2K: Estimate
    surface_narrower_frac: float
    usable: bool


@dataclass(frozen=True, slots=True)
class ChillNumbers:
    """The farm's own numbers for every kind of bird and tank it has learned about.

    Parameters
    ----------
    groups : mapping
        By build and bath.
    """

    groups: Mapping[Group, OwnNumbers]

    def estimates(
        self, mass_kg: float, *, build: Build, bath: Bath
    ) -> tuple[Estimate, Estimate] | None:
        """Return thickness and surface coefficient to plan with.

        Parameters
        ----------
        mass_kg : float
            Dressed weight [kg].
        build : str
            ``"lean"`` or ``"broad"``.
        bath : str
            ``"still"`` or ``"stirred"``.

        Returns
        -------
        tuple of Estimate or None
            Thickness [m] and surface coefficient [W/m2K]; None where the handbook has to do.

        References
        ----------
        :meth:`pinfeather.heat.learning.Learned.thickness_m`.
        """
        own = self.groups.get((build, bath))
        if own is None or not own.usable:
            return None
        return own.learned.thickness_m(mass_kg), own.learned.surface_W_per_m2K


def probed_birds(
    request: DayRequest, batches: Sequence[Batch], readings: Sequence[Trusted]
) -> tuple[ProbedBird, ...]:
    """Pick the birds of a day that can be learned from.

    Parameters
    ----------
    request : DayRequest
        Lots and tanks.
    batches : sequence of Batch
        The chill batches.
    readings : sequence of Trusted
        Corrected readings.

    Returns
    -------
    tuple of ProbedBird
        Birds with a weight, in a tank whose water was read while they lay in it.

    Notes
    -----
    Readings of one weight in one tank are taken to be of one bird. A probed bird is taken to have
    gone in with the last of its batch, as the reading form asks for. Birds colder than their
    water, and tanks with birds of both builds, are left out.

    References
    ----------
    Derivation: bookkeeping.
    """
    tanks = {tank.name: tank for tank in request.equipment.tanks}
    found = []
    for batch in batches:
        builds = {lot.build for lot in request.lots if not batch.lots or lot.code in batch.lots}
        if len(builds) != 1 or batch.tank not in tanks:
            continue
        bath: Bath = "stirred" if tanks[batch.tank].stirred else "still"
        grouped: dict[float, list[Trusted]] = {}  # by weight to a tenth of a gram
        for one in readings:
            mass_kg = _mass_kg(one)
            in_it = one.reading.what == "bird" and one.reading.place == batch.tank
            if in_it and one.reading.at >= batch.last_in and mass_kg is not None:
                grouped.setdefault(round(mass_kg, 4), []).append(one)
        for mine in grouped.values():
            bird = _probed(
                _mass_kg(mine[0]) or 0.0, sorted(mine, key=_at), batch=batch, readings=readings
            )
            if bird is not None:
                found.append(
                    ProbedBird(request.date, batch.tank, (builds.copy().pop(), bath), bird)
                )
    return tuple(found)


def _at(one: Trusted) -> dt.datetime:
    return one.reading.at


def _mass_kg(one: Trusted) -> float | None:
    """Return a probed bird's weight: said on its own, or alone in the note."""
    if one.reading.mass_kg is not None:
        return one.reading.mass_kg
    try:
        mass_kg = parse(one.reading.note, "mass").si
    except InputError:
        return None
    return mass_kg if mass_kg > 0 else None


def _probed(
    mass_kg: float, mine: Sequence[Trusted], *, batch: Batch, readings: Sequence[Trusted]
) -> Probed | None:
    water = [
        one.corrected_degC
        for one in readings
        if one.reading.what == "bath"
        and one.reading.place == batch.tank
        and batch.last_in <= one.reading.at <= mine[-1].reading.at
    ]
    if not water:
        return None
    bath_degC = sum(water) / len(water)
    values = np.array([one.corrected_degC for one in mine])
    if not (bath_degC < LIVE_BIRD_DEGC and np.all(values > bath_degC)):
        return None
    times = np.array([(one.reading.at - batch.last_in).total_seconds() for one in mine])
    return Probed(mass_kg, bath_degC, times, values)


def own_numbers(birds: Sequence[ProbedBird]) -> ChillNumbers:
    """Learn the farm's own chill numbers from its probed birds.

    Parameters
    ----------
    birds : sequence of ProbedBird
        Of all the days to learn from.

    Returns
    -------
    ChillNumbers
        One set for each build and kind of tank that was probed.

    References
    ----------
    :func:`pinfeather.heat.learning.learn`.
    """
    grouped: dict[Group, list[ProbedBird]] = {}
    for bird in birds:
        grouped.setdefault(bird.group, []).append(bird)
    return ChillNumbers({group: _own(group, mine) for group, mine in grouped.items()})


def _own(group: Group, mine: Sequence[ProbedBird]) -> OwnNumbers:
    build, bath = group
    found = learn([one.probed for one in mine], build=build, bath=bath)
    days = len({one.date for one in mine})
    basis = Basis(
        Origin.OWN,
        _("your last {days}, {birds}, {readings}").format(
            days=ngettext("{n} day", "{n} days", days).format(n=days),
            birds=ngettext("{n} probed bird", "{n} probed birds", found.birds).format(
                n=found.birds
            ),
            readings=ngettext("{n} reading", "{n} readings", found.readings).format(
                n=found.readings
            ),
        ),
        "measured",
    )
    prior = surface_coefficient(bath)
    learned = replace(
        found,
        thickness_of_1_kg_m=replace(found.thickness_of_1_kg_m, basis=basis),
        surface_W_per_m2K=replace(found.surface_W_per_m2K, basis=basis),
    )
    return OwnNumbers(
        group=group,
        learned=learned,
        days=days,
        birds=tuple(mine),
        prior_thickness_m=breast_thickness(1.0, build=build),
        prior_surface_W_per_m2K=prior,
        surface_narrower_frac=1.0 - _width(learned.surface_W_per_m2K) / _width(prior),
        usable=found.birds >= FEWEST_BIRDS and found.scatter_K <= POOR_FIT_K,
    )


def _width(estimate: Estimate) -> float:
    """Return how wide a band is, as the logarithm of its ends' ratio."""
    return math.log(estimate.high / estimate.low)
