"""A first planned day from three answers; everything else is assumed, and shown as assumed."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Final

from pinfeather.actions.day import days
from pinfeather.actions.farm import PersonView, people, save_person
from pinfeather.actions.flock.lots import SPECIES
from pinfeather.day.request import BIRDS_MAX, PEOPLE_STATIONS
from pinfeather.errors import InputError, InputFaultsError
from pinfeather.records.writing import writing
from pinfeather.units import KG_PER_LB
from pinfeather.words import gettext as _

USUAL_LB: Final[Mapping[str, tuple[str, str]]] = {
    "chicken": ("4.5", "0.5"),
    "turkey": ("14", "1.5"),
    "duck": ("5", "0.5"),
    "goose": ("9", "1"),
}
"""Dressed mean and spread by kind [lb]; common practice, from memory, unverified."""
_DIRTY: Final = PEOPLE_STATIONS[:4]
_CLEAN: Final = PEOPLE_STATIONS[4:]
_LONGEST_NAME: Final = 40
_MOST_PEOPLE: Final = 12
_SATURDAY: Final = 5


@dataclass(frozen=True, slots=True)
class Assumed:
    """One thing a first plan takes for granted."""

    words: str
    value: str
    basis: str


def first_date(today: dt.date) -> dt.date:
    """Return the day offered: the Saturday that is at least two days away."""
    soonest = today + dt.timedelta(days=2)
    return soonest + dt.timedelta(days=(_SATURDAY - soonest.weekday()) % 7)


def usual(species: str, *, metric: bool) -> tuple[str, str]:
    """Return the usual dressed mean and its spread, with their unit."""
    mean, spread = USUAL_LB.get(species, USUAL_LB["chicken"])
    if metric:
        return f"{float(mean) * KG_PER_LB:.1f} kg", f"{float(spread) * KG_PER_LB:.2f} kg"
    return f"{mean} lb", f"{spread} lb"


def assumed(today: dt.date, *, metric: bool) -> tuple[Assumed, ...]:
    """Return what a first plan takes for granted, and on what that rests."""
    draft = days.draft(first_date(today))
    kit = draft["equipment"]
    tank = kit["tanks"][0]
    basis = _("usual in a small shop: common practice, unverified")
    weights = ", ".join(f"{_(kind)} {usual(kind, metric=metric)[0]}" for kind in SPECIES)
    rows = (
        (_("Mean dressed weight"), weights),
        (_("First bird at"), str(draft["start"])),
        (_("Killing cones"), str(kit["cones"])),
        (_("Birds in the picker at once"), str(kit["drum_birds"])),
        (_("Places at the drawing table"), str(kit["draw_places"])),
        (
            _("Chill tank"),
            _("{volume}, {walls} walls").format(volume=tank["volume"], walls=_(tank["walls"])),
        ),
        (_("Ice on hand"), str(kit["ice"])),
        (_("Tap water"), str(kit["tap"])),
    )
    return tuple(Assumed(words, value, basis) for words, value in rows)


def names_in(text: str) -> list[str]:
    """Read names with commas, “and” or line ends between; each once."""
    parts = re.split(r"[,;\n]|\band\b|&", text)
    plain = (" ".join("".join(c for c in part if c.isprintable()).split()) for part in parts)
    return list(dict.fromkeys(name for name in plain if name))


def stations_of(index: int, of: int) -> tuple[str, ...]:
    """Return where somebody stands at first.

    One alone does all; of several the first half stand on the dirty side, up to the picker, and
    the others on the clean side.
    """
    if of == 1:
        return PEOPLE_STATIONS
    return _DIRTY if index < of // 2 else _CLEAN


def plan_first_day(typed: Mapping[str, str], *, metric: bool) -> int:
    """Write the people down and plan the day; return the day's number.

    Raises
    ------
    InputFaultsError
        With every fault, each under its field's name.
    StoreError
        If the store cannot be written.
    """
    date, count, names = _checked(typed)
    species = typed["species"]
    mapping: dict[str, Any] = days.draft(date)
    lot = mapping["lots"][0]
    if not (lot.get("code") and lot.get("species") == species):
        mean, spread = usual(species, metric=metric)
        lot = {"code": "A1", "species": species, "build": "broad", "mean": mean, "spread": spread}
    mapping["lots"] = [{**lot, "count": count}]
    known = {one.name: one for one in people()}
    crew = mapping["people"] = _crew(names, known)
    with writing():
        for one in crew:
            if one["name"] not in known:
                save_person(str(one["name"]), list(one["stations"]))
        return days.save_plan(mapping)


def _crew(names: list[str], known: Mapping[str, PersonView]) -> list[dict[str, Any]]:
    """Stand everybody somewhere, so that no station is left alone."""
    crew: list[dict[str, Any]] = []
    for index, name in enumerate(names):
        stands = known[name].stations if name in known else stations_of(index, len(names))
        crew.append(
            {"name": name, "from": "08:30", "to": "17:00", "stations": list(stands), "pace": "1"}
        )
    covered = {code for one in crew for code in one["stations"]}
    crew[0]["stations"] += [code for code in PEOPLE_STATIONS if code not in covered]
    return crew


def _checked(typed: Mapping[str, str]) -> tuple[dt.date, str, list[str]]:
    """Return day, birds and names, or raise every fault."""
    faults = []
    date = dt.date.min
    try:
        date = dt.date.fromisoformat(typed.get("date", ""))
    except ValueError:
        faults.append(InputError("date", typed.get("date"), _("Give the day.")))
    if typed.get("species", "") not in SPECIES:
        faults.append(InputError("species", "", _("Choose one from the list.")))
    count = typed.get("count", "").strip()
    if not re.fullmatch(r"[0-9]{1,5}", count) or not 1 <= int(count) <= BIRDS_MAX:
        sentence = _("A whole number from {low} to {high}.").format(low=1, high=BIRDS_MAX)
        faults.append(InputError("count", count, sentence))
    names = names_in(typed.get("names", ""))
    if not names:
        faults.append(InputError("names", "", _("Write at least one name; yours will do.")))
    elif len(names) > _MOST_PEOPLE or any(len(name) > _LONGEST_NAME for name in names):
        sentence = _("Write short names, with commas between, twelve at most.")
        faults.append(InputError("names", "", sentence))
    if faults:
        raise InputFaultsError(faults)
    return date, count, names
