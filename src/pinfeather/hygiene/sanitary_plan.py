"""A written cleaning plan for a small shop: what is done before, during and after the work."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Final, Literal

from pinfeather.hygiene.sanitary_strength import Mix, working_strength
from pinfeather.hygiene.tables import table
from pinfeather.rules.model import CleaningBand, Profile
from pinfeather.rules.sanitiser import renew_interval_s
from pinfeather.units import SECONDS_PER_HOUR
from pinfeather.words import gettext as _
from pinfeather.words import gettext_noop

When = Literal["before", "during", "after"]
Water = Literal["well", "town"]
WHENS: Final[Mapping[When, str]] = {
    "before": gettext_noop("Before the first bird"),
    "during": gettext_noop("While working"),
    "after": gettext_noop("After the last bird"),
}

CAUTIONS: Final[Mapping[str, str]] = {
    "chemicals": gettext_noop(
        "Never let chlorine meet acid, vinegar, ammonia or another cleaner: the gas can kill."
        " Doors open or fan on, gloves and goggles. The product’s label comes first."
    ),
    "power": gettext_noop(
        "Pull the plug, or lock the switch, before a hand goes into the picker or any machine with"
        " power. No water into a motor or a socket."
    ),
    "hot water": gettext_noop(
        "Hot water scalds: burner off, lift nothing full, boots and gloves on, children away."
    ),
}
"""Shown where the person is. Status: common practice; label, state and local code come first."""


@dataclass(frozen=True, slots=True)
class Shop:
    """What a plan is made for.

    Parameters
    ----------
    stations : tuple of str
        Codes of the stations the shop has.
    water : str
        ``"well"`` or ``"town"``.
    mix : Mix
        The sanitiser.
    people : mapping of str to tuple of str
        From each name to the stations that person works at.
    room_degC : float or None
        What the room usually is while working; None where nobody knows [degC].
    """

    stations: tuple[str, ...]
    water: Water
    mix: Mix
    people: Mapping[str, tuple[str, ...]]
    room_degC: float | None = None


@dataclass(frozen=True, slots=True)
class Step:
    """One step of the plan.

    Parameters
    ----------
    code : str
        Short name that stays when the words change.
    when : str
        ``"before"``, ``"during"`` or ``"after"``.
    what, how, who, often : str
        In words.
    surface : str
        ``"dipped"`` or ``"fixed"`` where sanitiser is used; else empty.
    strength : str
        Sanitiser, dose, contact time and band of the strip; empty where none is used.
    caution : str
        How somebody can get hurt here; empty where nobody can more than elsewhere.
    citation, status : str
        The duty it serves, and how that is known.
    own : bool
        Whether the farm wrote or changed it.
    left_out : str
        Why the farm does not do it; empty where it does.
    """

    code: str
    when: When
    what: str
    how: str
    who: str
    often: str
    surface: str = ""
    strength: str = ""
    caution: str = ""
    citation: str = ""
    status: str = ""
    own: bool = False
    left_out: str = ""


def written_plan(profile: Profile, shop: Shop) -> tuple[Step, ...]:
    """Write the steps for a shop.

    Parameters
    ----------
    profile : Profile
        The rules in force.
    shop : Shop
        Its stations, water, sanitiser and people.

    Returns
    -------
    tuple of Step
        Before, during, after, each in the order of the work.

    Raises
    ------
    InputFaultsError
        If the sanitiser's chemical or strength does not fit the rules.

    Notes
    -----
    A start to be put into the farm's own words. How steps are divided is common practice.

    References
    ----------
    9 CFR 416.11 to 416.16: written, daily, before and during the work, with who and how often.
    """
    strengths = {
        surface: working_strength(profile, shop.mix, surface).text
        for surface in ("dipped", "fixed")
    }
    steps = []
    for row in table("sanitary_steps")["steps"]:
        stations = row.get("stations", [])
        if stations and not set(stations) & set(shop.stations):
            continue
        how = _(row["how"])
        if row["code"] == "water" and shop.water == "well":
            how = " ".join(
                (
                    how,
                    _("The well’s last test is no older than {months}.").format(
                        months=profile.sanitation.well_test_months
                    ),
                )
            )
        elif row["code"] == "water":
            how = " ".join((how, _("The water supplier’s report is at hand.")))
        steps.append(
            Step(
                code=row["code"],
                when=row["when"],
                what=_(row["what"]),
                how=how,
                who=who_does(shop.people, row.get("who", [])),
                often=_often(profile, shop) if row["often"] == "interval" else _(row["often"]),
                surface=row.get("surface", ""),
                strength=strengths.get(row.get("surface", ""), ""),
                caution=_(CAUTIONS[row["caution"]]) if "caution" in row else "",
                citation=row["citation"],
                status=row["status"],
            )
        )
    return tuple(steps)


def who_does(people: Mapping[str, tuple[str, ...]], stations: Sequence[str]) -> str:
    """Name who does a step.

    Parameters
    ----------
    people : mapping of str to tuple of str
        From each name to the stations that person works at.
    stations : sequence of str
        Stations whose people do it; empty for everybody.

    Returns
    -------
    str
        Names with commas, or everybody.

    References
    ----------
    Derivation: whoever works at one of the stations.
    """
    if not stations:
        return _("Everybody at their own place") if len(people) > 1 else ", ".join(people)
    names = [name for name, own in people.items() if set(own) & set(stations)]
    return ", ".join(names) or _("Whoever works there")


def adjusted(
    steps: Sequence[Step], changes: Mapping[str, Mapping[str, str]], added: Sequence[Step] = ()
) -> tuple[Step, ...]:
    """Put the farm's own words into a plan.

    Parameters
    ----------
    steps : sequence of Step
        As written for the shop.
    changes : mapping of str to mapping of str to str
        From a step's code to what of ``what``, ``how``, ``who``, ``often`` and ``left_out`` the
        farm says otherwise; an empty word leaves it as it is.
    added : sequence of Step
        Steps the farm has besides.

    Returns
    -------
    tuple of Step
        Before, during, after; the farm's own at the end of each.

    References
    ----------
    9 CFR 416.14: the plan is kept up to date with the facility, the tools and the people.
    """
    found = []
    for step in (*steps, *added):
        said = changes.get(step.code, {})
        found.append(
            replace(
                step,
                what=said.get("what") or step.what,
                how=said.get("how") or step.how,
                who=said.get("who") or step.who,
                often=said.get("often") or step.often,
                left_out=said.get("left_out") or step.left_out,
                own=step.own or any(said.get(name) for name in ("what", "how", "who", "often")),
            )
        )
    order = list(WHENS)
    return tuple(sorted(found, key=lambda step: order.index(step.when)))


def interval_words(band: CleaningBand, below: CleaningBand | None) -> str:
    """Say which room one row of the cleaning table is for.

    Parameters
    ----------
    band : CleaningBand
        The row.
    below : CleaningBand or None
        The next colder row; None for the coldest.

    Returns
    -------
    str
        Such as “above 41 °F, up to 45 °F”.

    References
    ----------
    FDA Food Code 4-602.11, as cited in the profile.
    """
    if band.up_to is None:
        return _("above {low}").format(low=below.up_to) if below else _("any room")
    if below is None:
        return _("up to {high}").format(high=band.up_to)
    return _("above {low}, up to {high}").format(low=below.up_to, high=band.up_to)


def _often(profile: Profile, shop: Shop) -> str:
    if shop.room_degC is None:
        shortest_s = min(band.every.si for band in profile.sanitation.cleaning)
        return _("At least every {n:g} h; longer only in a cold room whose warmth is read").format(
            n=shortest_s / SECONDS_PER_HOUR
        )
    every = renew_interval_s(profile, shop.room_degC)
    return _("At least every {n:g} h, by the room’s warmth as read").format(
        n=every.interval_s / SECONDS_PER_HOUR
    )
