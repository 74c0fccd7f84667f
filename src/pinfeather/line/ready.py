"""Setting up and cleaning up: the stations' own times, shared among the people there."""

from __future__ import annotations

from collections.abc import Sequence

from pinfeather.errors import InputError
from pinfeather.estimate import Basis, Estimate, Origin
from pinfeather.line.stations import Station
from pinfeather.words import gettext as _


def set_up_time_s(stations: Sequence[Station], *, people: int) -> Estimate:
    """Return how long the people there need to set the line up.

    Parameters
    ----------
    stations : sequence of Station
        The line.
    people : int
        How many set up together.

    Returns
    -------
    Estimate
        Zero where no station has a time of its own [s].

    Raises
    ------
    InputError
        If nobody is there.

    Notes
    -----
    All work over all people, and never less than the longest station: each is one person's.

    References
    ----------
    Graham 1969, SIAM Journal on Applied Mathematics 17, 416-429: the lower bound for jobs shared
    among equal hands. Small jobs come near it.
    """
    return _shared_s([station.set_up_s for station in stations], people)


def clean_up_time_s(stations: Sequence[Station], *, people: int) -> Estimate:
    """Return how long the people there need to clean the line up.

    Parameters
    ----------
    stations : sequence of Station
        The line.
    people : int
        How many clean together.

    Returns
    -------
    Estimate
        Zero where no station has a time of its own [s].

    Raises
    ------
    InputError
        If nobody is there.

    References
    ----------
    As :func:`set_up_time_s`.
    """
    return _shared_s([station.clean_up_s for station in stations], people)


def _shared_s(times_s: Sequence[Estimate], people: int) -> Estimate:
    if people < 1:
        raise InputError("people", people, _("Somebody must be there."))
    low, value, high = (
        max(sum(ends) / people, max(ends, default=0.0))
        for ends in (
            [one.low for one in times_s],
            [one.value for one in times_s],
            [one.high for one in times_s],
        )
    )
    basis = Basis(Origin.COMPUTED, _("the stations' own times, shared among {n}").format(n=people))
    return Estimate(value, low, high, basis)
