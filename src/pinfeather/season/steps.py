"""The natural step of each limit: what a family could do about it, one at a time."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Final, Literal

from pinfeather.season.asked import Brooder, SeasonRequest
from pinfeather.units import Dimension, from_si, to_si
from pinfeather.words import gettext as _
from pinfeather.words import ngettext

MassUnit = Literal["lb", "kg"]

_POUNDS: Final = {"lb": (100.0, 1000.0, 20.0), "kg": (50.0, 500.0, 10.0)}
_FLOOR: Final = {"lb": (200.0, "ft2"), "kg": (20.0, "m2")}
CREW_S: Final = to_si(10, "h", "time")
CHICKS: Final = 50
BIRDS: Final = 100
_ROUND: Final = 1e-3
"""So little more than a whole step is rounding of the solver."""


@dataclass(frozen=True, slots=True)
class Step:
    """One step more of a limit.

    Parameters
    ----------
    code : str
        Of the limit.
    amount : float
        How much, in SI [unit].
    words : str
        The step in words.
    """

    code: str
    amount: float
    words: str


def steps(mass_unit: MassUnit) -> dict[str, Step]:
    """Return the natural step of each limit.

    Parameters
    ----------
    mass_unit : str
        ``"lb"`` or ``"kg"``: what the farm weighs in.

    Returns
    -------
    dict of str to Step
        By code of the limit.

    References
    ----------
    Chosen: what one weekend, one helper or one second-hand freezer adds.
    """
    some, much, little = _POUNDS[mass_unit]
    floor, floor_unit = _FLOOR[mass_unit]

    def mass(code: str, amount: float, words: str) -> Step:
        return Step(
            code, to_si(amount, mass_unit, "mass"), words.format(mass=f"{amount:g} {mass_unit}")
        )

    area = f"{floor:g} {'square feet' if floor_unit == 'ft2' else 'square metres'}"
    found = (
        Step("day", 1.0, _("one more processing day")),
        Step("crew", CREW_S, _("10 more crew hours, where they help most")),
        Step("birds", 20.0, _("20 more birds on each day")),
        Step("brooder", float(CHICKS), _("a brooder for 50 more chicks")),
        Step("pens", to_si(floor, floor_unit, "area"), _("{area} more pens").format(area=area)),
        mass("feed", much, _("a feed store for {mass} more")),
        mass("chill", some, _("room to chill {mass} more on each day")),
        mass("refrigerator", some, _("{mass} more refrigerator")),
        mass("freezer", some, _("{mass} more freezer")),
        Step("cap", float(BIRDS), _("100 more birds under the yearly cap")),
        mass("stock", little, _("{mass} more sold each week")),
    )
    return {step.code: step for step in found}


def widened(request: SeasonRequest, step: Step, *, line: str = "") -> SeasonRequest:
    """Return a season with one step more of a limit.

    Parameters
    ----------
    request : SeasonRequest
        As asked.
    step : Step
        Which; days and crew hours are added in the model instead.
    line : str
        Name of the shop's line, for ``"stock"``.

    Returns
    -------
    SeasonRequest
        Otherwise the same.

    References
    ----------
    Derivation: addition.
    """
    more = step.amount
    changed: dict[str, object] = {}
    if step.code == "birds":
        changed["days"] = tuple(
            replace(d, most_birds=None if d.most_birds is None else d.most_birds + round(more))
            for d in request.days
        )
    elif step.code == "brooder":
        turn = min((b.turn_round_d for b in request.brooders), default=7)
        added = Brooder(_("one more brooder"), None, round(more), turn)
        changed["brooders"] = (*request.brooders, added)
    elif step.code == "pens":
        changed["pens_m2"] = request.pens_m2 + more
    elif step.code == "feed":
        changed["feed"] = replace(request.feed, store_kg=request.feed.store_kg + more)
    elif step.code == "cap" and request.cap.most is not None:
        changed["cap"] = replace(request.cap, most=request.cap.most + round(more))
    elif step.code == "stock":
        changed["stock"] = tuple(
            replace(s, most_kg_per_week=s.most_kg_per_week + more) if s.name == line else s
            for s in request.stock
        )
    elif step.code in {"chill", "refrigerator", "freezer"}:
        name = f"{step.code}_kg"
        changed["cold"] = replace(request.cold, **{name: getattr(request.cold, name) + more})
    return replace(request, **changed)  # type: ignore[arg-type]


def in_words(code: str, amount: float, mass_unit: MassUnit) -> str:
    """Say an amount of a limit in the units people use.

    Parameters
    ----------
    code : str
        Of the limit.
    amount : float
        In SI [unit].
    mass_unit : str
        ``"lb"`` or ``"kg"``.

    Returns
    -------
    str
        Rounded up to what can be done.

    References
    ----------
    Derivation: conversion.
    """
    shown = {"crew": "h", "pens": "ft2" if mass_unit == "lb" else "m2"}
    dimension: dict[str, Dimension] = {"crew": "time", "pens": "area"}
    if code in shown:
        n = math.ceil(from_si(amount, shown[code], dimension[code]) - _ROUND)
    elif code in {"feed", "chill", "refrigerator", "freezer", "mass"}:
        n = math.ceil(from_si(amount, mass_unit, "mass") - _ROUND)
        return f"{n:,} {mass_unit}"
    else:
        n = math.ceil(amount - _ROUND)
    if code == "crew":
        words = ngettext("{n} hour", "{n} hours", n)
    elif code == "pens" and mass_unit == "lb":
        words = ngettext("{n} square foot", "{n} square feet", n)
    elif code == "pens":
        words = ngettext("{n} square metre", "{n} square metres", n)
    elif code == "brooder":
        words = ngettext("{n} chick", "{n} chicks", n)
    else:
        words = ngettext("{n} bird", "{n} birds", n)
    return words.format(n=f"{n:,}")
