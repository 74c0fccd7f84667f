"""A hazard analysis along the line of a small shop: what can hurt an eater, and what stops it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final, Literal

from pinfeather.hygiene.sanitary_strength import Mix, working_strength
from pinfeather.hygiene.tables import table
from pinfeather.rules.model import Profile
from pinfeather.words import gettext as _

Kind = Literal["biological", "chemical", "physical"]
CLEANING: Final = "cleaning"
"""The step after the last station."""


@dataclass(frozen=True, slots=True)
class Hazard:
    """One line of the analysis.

    Parameters
    ----------
    station : str
        Code of the station, or :data:`CLEANING`.
    kind : str
        ``"biological"``, ``"chemical"`` or ``"physical"``.
    hazard : str
        What could happen.
    likely : bool
        Whether it is reasonably likely without the control.
    why : str
        Why it is, or is not.
    control : str
        What controls it; empty where there is nothing to control.
    limit : str
        The number it is held to; empty where there is none.
    citation, status : str
        Source of the limit, or of the line where it has none.
    """

    station: str
    kind: Kind
    hazard: str
    likely: bool
    why: str
    control: str
    limit: str
    citation: str
    status: str


def hazard_analysis(profile: Profile, stations: Sequence[str], mix: Mix) -> tuple[Hazard, ...]:
    """Go through a shop's stations and name their hazards.

    Parameters
    ----------
    profile : Profile
        The rules in force.
    stations : sequence of str
        Codes of the stations the shop has, in the order of the line.
    mix : Mix
        The sanitiser.

    Returns
    -------
    tuple of Hazard
        Station by station, then cleaning.

    Raises
    ------
    InputFaultsError
        If the sanitiser does not fit the rules.

    Notes
    -----
    A summary for a small exempt shop, who is not asked for a full plan. Which hazard is likely is a
    judgement that the farm looks at again when its birds, tools or people change.

    References
    ----------
    FSIS, A Generic HACCP Model for Poultry Slaughter, **unverified**; limits from the profile,
    each with its own citation.
    """
    general = table("hazards")["general"]
    rows = table("hazards")["rows"]
    found = []
    for station in (*stations, CLEANING):
        for row in rows:
            if row["station"] != station:
                continue
            limit, citation, status = _limit(profile, mix, row["limit"])
            found.append(
                Hazard(
                    station=station,
                    kind=row["kind"],
                    hazard=_(row["hazard"]),
                    likely=row["likely"],
                    why=_(row["why"]),
                    control=_(row["control"]) if row["control"] else "",
                    limit=limit,
                    citation=citation or general["citation"],
                    status=status or general["status"],
                )
            )
    return tuple(found)


def _limit(profile: Profile, mix: Mix, name: str) -> tuple[str, str, str]:
    """Return a limit in words, with where it stands and how that is known."""
    chill, bath = profile.chill, table("sanitizers")
    hold, first = chill.hold, chill.bands[0].within
    rinse, chlorine = bath["carcass_rinse"], bath["chill_water_chlorine"]
    most = working_strength(profile, mix, "dipped").chemical.most
    bands = "; ".join(f"{band.label}: {band.within}" for band in chill.bands)
    known = {
        "none": ("", "", ""),
        "withdrawal": (_("Every waiting time over"), _("The medicine’s label"), "read"),
        "manure": (_("No manure to be seen on any bird"), "9 CFR 381.65(f)", "read"),
        "chill": (
            _("{target} within: {bands}").format(target=chill.target, bands=bands),
            first.citation,
            first.status,
        ),
        "hold": (_("At most {limit}").format(limit=hold), hold.citation, hold.status),
        "rinse": (
            _("Peracetic acid at most {n:g} ppm").format(n=rinse["peracetic_acid_ppm"]),
            rinse["citation"],
            rinse["status"],
        ),
        "chill chlorine": (
            _("Free chlorine at most {n:g} ppm").format(n=chlorine["max_ppm"]),
            chlorine["citation"],
            chlorine["status"],
        ),
        "sanitiser": (
            _("At most {limit} without a rinse").format(limit=most),
            most.citation,
            most.status,
        ),
    }
    return known[name]
