"""The farm's cleaning plan as it stands: what the rules and the shop give, in the farm's words."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Final, cast

from pinfeather import clock, quantity
from pinfeather.actions.farm import farm, people
from pinfeather.actions.sanitary.entries import Line, lines, write
from pinfeather.day.request import STATIONS
from pinfeather.errors import InputFaultsError, RecordNotFoundError
from pinfeather.finding import Finding, Severity
from pinfeather.hygiene.hazards import Hazard, hazard_analysis
from pinfeather.hygiene.sanitary_plan import (
    Shop,
    Step,
    When,
    adjusted,
    interval_words,
    written_plan,
)
from pinfeather.hygiene.sanitary_strength import Mix, working_strength
from pinfeather.records import models
from pinfeather.rules.model import Profile
from pinfeather.rules.profile import load
from pinfeather.rules.sanitiser import Surface
from pinfeather.words import gettext as _
from pinfeather.words import gettext_noop

_FIRST: Final[Mapping[str, str]] = {
    "chemical": "chlorine",
    "product": "8.25 %",
    "target": "100 ppm",
    "volume": "5 gal",
    "room": "",
}
SURFACES: Final[Mapping[Surface, str]] = {
    "dipped": gettext_noop("Sanitiser for dipping and wiping"),
    "fixed": gettext_noop("Sanitiser for spraying fixed equipment"),
}


@dataclass(frozen=True, slots=True)
class SetUp:
    """The sanitiser and the room, as written."""

    chemical: str
    product: str
    target: str
    volume: str
    room: str
    own: bool
    """Whether the farm wrote it; else it is taken from the last planned day."""

    @property
    def mix(self) -> Mix:
        """The same in numbers."""
        return Mix(
            self.chemical,
            quantity.parse(self.product, "strength").si if self.product else None,
            quantity.parse(self.target, "strength").si,
            quantity.parse(self.volume, "volume").si,
            self.volume,
        )


@dataclass(frozen=True, slots=True)
class Interval:
    """How often surfaces are cleaned in a room of some temperature."""

    room: str
    every: str
    citation: str
    status: str


@dataclass(frozen=True, slots=True)
class PlanView:
    """Everything the plan's page and documents need."""

    profile: Profile
    setup: SetUp
    shop: Shop
    steps: tuple[Step, ...]
    intervals: tuple[Interval, ...]
    findings: tuple[Finding, ...]
    changed: tuple[Line, ...]
    """Every line that made it what it is, the newest first."""

    @property
    def active(self) -> tuple[Step, ...]:
        """Steps that this shop does."""
        return tuple(step for step in self.steps if not step.left_out)

    @property
    def chemical(self) -> str:
        """The sanitiser's name."""
        return self.profile.sanitation.sanitisers[self.shop.mix.chemical].name

    @property
    def strengths(self) -> tuple[tuple[str, str], ...]:
        """What is mixed for each sort of surface, with dose and contact time."""
        return tuple(
            (_(words), working_strength(self.profile, self.shop.mix, surface).text)
            for surface, words in SURFACES.items()
        )

    @property
    def hazards(self) -> tuple[Hazard, ...]:
        """The hazard analysis."""
        return hazard_analysis(self.profile, self.shop.stations, self.shop.mix)


def plan() -> PlanView:
    """Return the plan as it stands today."""
    home = farm()
    profile = load(home.profile)
    written = [one for one in lines(acts=("setup", "step", "added")) if not one.struck]
    setup = _set_up(written)
    findings: tuple[Finding, ...] = ()
    mix = setup.mix
    try:
        for surface in SURFACES:
            working_strength(profile, mix, surface)
    except InputFaultsError as error:
        first = SetUp(**_FIRST, own=False)
        mix = first.mix
        findings = tuple(
            Finding(
                "sanitary.setup",
                Severity.CHECK,
                fault.problem,
                _("The plan shows bleach until the sanitiser is put right."),
                where="setup",
            )
            for fault in error.faults
        )
    shop = Shop(
        STATIONS,
        "town" if home.water_source == "town" else "well",
        mix,
        {one.name: one.stations for one in people()},
        quantity.parse(setup.room, "temperature").si if setup.room else None,
    )
    changes: dict[str, dict[str, str]] = {}
    added = []
    for one in written:
        if one.act == "step":
            said = {
                "what": one.text("what"),
                "how": one.text("how"),
                "who": one.text("who_does"),
                "often": one.text("often"),
                "left_out": one.text("left_out"),
            }
            changes[one.text("step")] = said
        elif one.act == "added":
            added.append(_added(one))
    bands = profile.sanitation.cleaning
    return PlanView(
        profile,
        setup,
        shop,
        adjusted(written_plan(profile, shop), changes, added),
        tuple(
            Interval(
                interval_words(band, below), str(band.every), band.every.citation, band.every.status
            )
            for below, band in zip((None, *bands), bands, strict=False)
        ),
        findings,
        tuple(reversed(written)),
    )


def step(code: str) -> Step:
    """Return one step of the plan.

    Raises
    ------
    RecordNotFoundError
        If there is none.
    """
    for one in plan().steps:
        if one.code == code:
            return one
    raise RecordNotFoundError(_("There is no such step in the cleaning plan."))


def change_setup(typed: Mapping[str, Any], *, who: str, now: dt.datetime | None = None) -> None:
    """Write which sanitiser is used, how it is mixed, and how warm the room is.

    Raises
    ------
    InputFaultsError
        With every fault, among them strengths that the rules in force do not allow.
    """
    now = now or clock.now()
    profile = load(farm().profile)
    faults = []
    try:
        trial = SetUp(**{name: str(typed.get(name, "")).strip() for name in _FIRST}, own=True).mix
        working_strength(profile, trial, "dipped")
    except InputFaultsError as error:
        faults = list(error.faults)
    except ValueError:
        pass  # the strict reading below names the field
    if faults:
        raise InputFaultsError(faults)
    write("setup", typed, on=_today(now), who=who, now=now)


def change_step(
    code: str,
    typed: Mapping[str, Any],
    *,
    who: str,
    client_id: str = "",
    now: dt.datetime | None = None,
) -> None:
    """Put a step into the farm's own words, leave it out with a reason, or take it in again.

    Words that are those of the plan already are not kept, so that they follow the rules.

    Raises
    ------
    InputFaultsError
        With every fault.
    RecordNotFoundError
        If there is no such step.
    """
    now = now or clock.now()
    step(code)
    kept = {"step": code, "leave": typed.get("leave", ""), "left_out": ""}
    if typed.get("leave"):
        kept["left_out"] = str(typed.get("left_out", ""))
    given = {one.code: one for one in written_plan(load(farm().profile), plan().shop)}.get(code)
    for name, field in (("what", "what"), ("how", "how"), ("who_does", "who"), ("often", "often")):
        words = str(typed.get(name, "")).replace("\r\n", "\n").strip()
        kept[name] = "" if given is not None and words == getattr(given, field) else words
    write("step", kept, on=_today(now), who=who, client_id=client_id, now=now)


def add_step(
    typed: Mapping[str, Any], *, who: str, client_id: str = "", now: dt.datetime | None = None
) -> None:
    """Add a step of the farm's own.

    Raises
    ------
    InputFaultsError
        With every fault.
    """
    now = now or clock.now()
    number = 1 + sum(1 for one in lines(acts=("added",)) if one.act == "added")
    write(
        "added",
        {**typed, "step": f"own {number}"},
        on=_today(now),
        who=who,
        client_id=client_id,
        now=now,
    )


def _today(now: dt.datetime) -> dt.date:
    return now.astimezone(clock.zone(farm().zone)).date()


def _added(one: Line) -> Step:
    return Step(
        code=one.text("step"),
        when=cast("When", one.text("when")),
        what=one.text("what"),
        how=one.text("how"),
        who=one.text("who_does") or _("Everybody at their own place"),
        often=one.text("often"),
        own=True,
    )


def _set_up(written: list[Line]) -> SetUp:
    mine = [one for one in written if one.act == "setup"]
    if mine:
        return SetUp(**{name: mine[-1].text(name) for name in _FIRST}, own=True)
    newest = models.Day.objects.order_by("-date", "-pk").only("request").first()
    asked = (newest.request.get("sanitiser") or {}) if newest is not None else {}
    first = SetUp(
        chemical=_FIRST["chemical"],
        product=str(asked.get("bleach") or _FIRST["product"]),
        target=str(asked.get("target") or _FIRST["target"]),
        volume=str(asked.get("volume") or _FIRST["volume"]),
        room="",
        own=False,
    )
    try:
        first.mix  # noqa: B018 - a day's form is read as strictly, but by other code
    except ValueError:
        return SetUp(**_FIRST, own=False)
    return first
