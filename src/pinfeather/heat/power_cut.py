"""When the power is out: how long a shut door holds the cold, and what may be kept afterwards."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from pinfeather.errors import InputError
from pinfeather.heat.guards import not_negative
from pinfeather.heat.tables import load
from pinfeather.units import SECONDS_PER_HOUR
from pinfeather.words import gettext as _

HALF_FRAC: Final = 0.5
"""The published figures know a full freezer and a half-full one."""


@dataclass(frozen=True, slots=True)
class PowerCut:
    """What holds while the power is out, and what to do after.

    Parameters
    ----------
    holds_s : float
        How long the shut door holds the cold [s].
    left_s : float
        Of that, still left; zero when it is used up [s].
    sentences : tuple of str
        What to do now.
    keep : tuple of str
        What may be frozen again when the power is back.
    discard : tuple of str
        What must go.
    source, status : str
        Where this is published, and how it is known.
    """

    holds_s: float
    left_s: float
    sentences: tuple[str, ...]
    keep: tuple[str, ...]
    discard: tuple[str, ...]
    source: str
    status: str


def freezer_holds_s(full_frac: float) -> float:
    """Return how long a shut freezer holds the cold.

    Parameters
    ----------
    full_frac : float
        How full it is, from nought to one [1].

    Returns
    -------
    float
        Published for a full one and a half-full one; a line between, and the half-full figure
        scaled down below half, which is our own caution [s].

    Raises
    ------
    InputError
        If the share is not one.

    References
    ----------
    USDA Food Safety and Inspection Service, Keeping Food Safe During an Emergency.

    Examples
    --------
    >>> freezer_holds_s(1.0) / 3600, freezer_holds_s(0.5) / 3600, freezer_holds_s(0.25) / 3600
    (48.0, 24.0, 12.0)
    """
    if not 0 <= full_frac <= 1:
        raise InputError("full_frac", full_frac, _("Say how full it is, from 0 to 100 percent."))
    table = load("freezer")["power_cut"]
    full, half = (
        float(table[name]) * SECONDS_PER_HOUR
        for name in ("full_freezer_hours", "half_full_freezer_hours")
    )
    if full_frac <= HALF_FRAC:
        return half * full_frac / HALF_FRAC
    return half + (full - half) * (full_frac - HALF_FRAC) / (1 - HALF_FRAC)


def power_cut(*, full_frac: float, gone_s: float = 0.0) -> PowerCut:
    """Return what to do while the power is out, and after.

    Parameters
    ----------
    full_frac : float
        How full the freezer is [1].
    gone_s : float
        How long the power has been out [s].

    Returns
    -------
    PowerCut
        Time left, what to do, what to keep and what to throw out.

    Raises
    ------
    InputError
        If a number cannot be meant.

    Notes
    -----
    A rule of thumb for an unopened door; a thermometer in the freezer decides.

    References
    ----------
    USDA Food Safety and Inspection Service, Keeping Food Safe During an Emergency.
    """
    not_negative("gone_s", gone_s)
    table = load("freezer")["power_cut"]
    holds_s = freezer_holds_s(full_frac)
    return PowerCut(
        holds_s,
        max(0.0, holds_s - gone_s),
        (
            _("Keep every door shut. Each look inside costs cold."),
            _("A shut refrigerator holds for about {n:.0f} hours.").format(
                n=table["refrigerator_hours"]
            ),
            _("Push packages together, so that they keep each other cold."),
            _(
                "Dry ice or block ice buys time. Dry ice burns skin and takes the air of a small"
                " room: gloves, and an open door."
            ),
            _("A generator stays outdoors, away from windows: its fumes kill."),
        ),
        (
            _("Whole birds and parts that still hold ice crystals, hard all through."),
            _("Birds at 40 °F (4 °C) or colder by a thermometer; they lose some quality."),
        ),
        (
            _("Any poultry that was warmer than 40 °F (4 °C) for more than 2 hours."),
            _("Anything that raw juices dripped on."),
            _("What you cannot be sure of. Never taste to find out."),
        ),
        str(table["source"]),
        str(table["status"]),
    )
