"""The card that tells a customer how to thaw a bird safely."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from pinfeather.errors import OutOfRangeError
from pinfeather.heat.guards import positive
from pinfeather.heat.tables import load
from pinfeather.units import KG_PER_LB, SECONDS_PER_DAY, SECONDS_PER_HOUR, SECONDS_PER_MINUTE
from pinfeather.words import gettext as _

_HEAVIEST_KG: Final = 20.0


@dataclass(frozen=True, slots=True)
class ThawCard:
    """Thawing times and what to heed.

    Parameters
    ----------
    refrigerator_low_s : float
        Refrigerator, at the short end [s].
    refrigerator_high_s : float
        Refrigerator, at the long end [s].
    water_s : float
        Cold water, bag closed, changed every half hour [s].
    sentences : tuple of str
        What the card says.
    source : str
        Where the times are published.
    status : str
        How the source is known.
    """

    refrigerator_low_s: float
    refrigerator_high_s: float
    water_s: float
    sentences: tuple[str, ...]
    source: str
    status: str


def thaw_card(mass_kg: float) -> ThawCard:
    """Return how long to thaw a whole bird, and the cautions to print with it.

    Parameters
    ----------
    mass_kg : float
        Weight [kg].

    Returns
    -------
    ThawCard
        Times and sentences.

    Raises
    ------
    InputError
        If the weight is not above zero.
    OutOfRangeError
        If it is above 20 kg.

    Notes
    -----
    Published times, not a model: in cold water the model of a ball is three times too slow. Birds
    from 4 to 24 lb take the table's row; others 24 hours for every 4 to 5 lb.

    References
    ----------
    USDA Food Safety and Inspection Service, Turkey Basics: Safe Thawing.

    Examples
    --------
    >>> thaw_card(20 * 0.45359237).water_s / 3600
    10.0
    """
    pounds = positive("mass_kg", mass_kg) / KG_PER_LB
    if mass_kg > _HEAVIEST_KG:
        raise OutOfRangeError("mass_kg", mass_kg, _("No bird dresses out that heavy."))
    table = load("freezer")["thaw"]
    low = pounds / table["refrigerator_high_lb_per_day"]
    high = pounds / table["refrigerator_low_lb_per_day"]
    for row in table["rows"]:
        if row["low_lb"] - 1e-9 <= pounds <= row["high_lb"] + 1e-9:
            low, high = row["low_days"], row["high_days"]
            break
    water_s = pounds * table["water_minutes_per_lb"] * SECONDS_PER_MINUTE
    sentences = (
        _("In the refrigerator, at 40 °F (4 °C) or colder, on a tray: {days}.").format(
            days=_days(low, high)
        ),
        _("Then keep it cold and cook it within 2 days."),
        _(
            "In a hurry: in its closed bag in cold water, changed every 30 minutes: about "
            "{hours:.0f} hours. Cook it at once."
        ).format(hours=max(1.0, water_s / SECONDS_PER_HOUR)),
        _("Never thaw it on the counter. Do not rinse raw poultry."),
        _("Cook until the thickest part, clear of bone, reads 165 °F (74 °C)."),
    )
    return ThawCard(
        low * SECONDS_PER_DAY,
        high * SECONDS_PER_DAY,
        water_s,
        sentences,
        str(table["source"]),
        str(table["status"]),
    )


def _days(low: float, high: float) -> str:
    """Return a span of days in words."""
    if high <= 1:
        return _("about a day")
    return _("{low:.0f} to {high:.0f} days").format(low=max(1.0, low), high=max(2.0, high))
