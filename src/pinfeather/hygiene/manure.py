"""How long raw manure must lie before what grows there is harvested."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from pinfeather.hygiene.tables import table


@dataclass(frozen=True, slots=True)
class ManureWait:
    """When a crop may be harvested.

    Parameters
    ----------
    days : int
        Days that must pass [d].
    harvest_on : date
        First day of harvest.
    citation, status : str
        Where the number stands, and how it is known.
    """

    days: int
    harvest_on: dt.date
    citation: str
    status: str

    def enough(self, passed_d: int) -> bool:
        """Whether so many days are enough."""
        return passed_d >= self.days


def manure_wait(spread_on: dt.date, *, touches_soil: bool) -> ManureWait:
    """Return how long to wait after raw poultry manure.

    Parameters
    ----------
    spread_on : date
        Day it was worked into the ground.
    touches_soil : bool
        Whether the part that is eaten touches the soil or its splash.

    Returns
    -------
    ManureWait
        Days and first day of harvest.

    References
    ----------
    7 CFR 205.203(c)(1), 2015 edition.
    """
    row = table("manure")
    days = int(row["soil_contact_d" if touches_soil else "no_soil_contact_d"])
    return ManureWait(days, spread_on + dt.timedelta(days=days), row["citation"], row["status"])
