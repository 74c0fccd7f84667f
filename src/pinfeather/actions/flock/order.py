"""A new lot: how many chicks to order, when they hatch, and the lot with its order in one go."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Final, cast

from pinfeather import clock, quantity
from pinfeather.actions.farm import LotView, farm
from pinfeather.actions.flock import lots as flock_lots
from pinfeather.actions.flock.books import add_event, books
from pinfeather.actions.flock.events import Frame, payload
from pinfeather.actions.flock.learning import finished, numbers_for
from pinfeather.actions.flock.view import USUAL_AGE_D
from pinfeather.errors import InputError, InputFaultsError
from pinfeather.estimate import Estimate
from pinfeather.flock.curves import Species
from pinfeather.flock.order import LotDates, OrderSize, lot_dates, order_size
from pinfeather.records.writing import writing
from pinfeather.words import gettext as _

_WEEKDAYS: Final = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")
_MOST: Final = 5000
_LONGEST_D: Final = 250


@dataclass(frozen=True, slots=True)
class Advice:
    """How many chicks, and when."""

    size: OrderSize
    alive: Estimate
    dates: tuple[LotDates, ...]


def row_of(typed: Mapping[str, Any]) -> LotView:
    """Return a lot that is only typed yet."""
    return LotView(
        id=0,
        code=str(typed.get("code", "")),
        species=str(typed.get("species", "chicken")),
        build=str(typed.get("build", "broad")),
        hatched=None,
        head=0,
        note="",
        sex=str(typed.get("sex", "straight run")),
        curve=str(typed.get("curve", "")),
        setting=str(typed.get("setting", "usual")),
    )


def usual_age_d(species: str, build: str) -> int:
    """Return the age at processing to think of first [d]."""
    return USUAL_AGE_D.get((species, build), 84)


def own_alive(typed: Mapping[str, Any], age_d: int) -> Estimate:
    """Return the share that lives on this farm, for the kind of lot typed."""
    return numbers_for(row_of(typed), finished(books()), age_d=age_d).alive


def advice(typed: Mapping[str, Any]) -> Advice:
    """Say how many chicks to order and when they hatch.

    Raises
    ------
    InputFaultsError
        With every fault.
    """
    faults: list[InputError] = []

    def whole(name: str, least: int, most: int, empty: int | None = None) -> int:  # noqa: PLR0917 - a small reader
        raw = str(typed.get(name, "")).strip()
        if not raw and empty is not None:
            return empty
        if not raw.isdecimal() or not least <= int(raw) <= most:
            sentence = _("A whole number from {low} to {high}.").format(low=least, high=most)
            faults.append(InputError(name, raw, sentence))
            return least
        return int(raw)

    def share(name: str, empty: float) -> float:
        raw = str(typed.get(name, "")).strip()
        if not raw:
            return empty
        try:
            return quantity.parse(raw, "strength", name=name).si
        except InputError:
            faults.append(InputError(name, raw, _("Write a share, such as 90 %.")))
            return empty

    wanted = whole("wanted", 1, _MOST)
    species = str(typed.get("species", "chicken"))
    age = whole("age", 14, _LONGEST_D, usual_age_d(species, str(typed.get("build", "broad"))))
    alive = own_alive(typed, age)
    chance, event = share("chance", 0.90), share("event", 0.0)
    lot_of = whole("lot_of", 1, 1000, 1)
    lives = share("alive", alive.value)
    if faults:
        raise InputFaultsError(faults)
    try:
        size = order_size(wanted, alive_share=lives, chance=chance, event=event, lot_of=lot_of)
    except InputError as fault:
        names = {"alive_share": "alive", "lot_of": "lot_of"}
        name = names.get(fault.name, fault.name)
        raise InputFaultsError([InputError(name, fault.value, fault.problem)]) from fault
    return Advice(size, alive, _dates(typed, species, age))


def _dates(typed: Mapping[str, Any], species: str, age: int) -> tuple[LotDates, ...]:
    raw = str(typed.get("plan_on", "")).strip()
    if not raw or species not in {"chicken", "turkey", "duck"}:
        return ()
    try:
        on = dt.date.fromisoformat(raw)
    except ValueError as error:
        problem = _("Give a date, such as 2026-06-17.")
        raise InputFaultsError([InputError("plan_on", raw, problem)]) from error
    days = []
    for word in str(typed.get("hatch_days", "")).replace(",", " ").split():
        if word.lower()[:3] not in _WEEKDAYS:
            fault = InputError("hatch_days", word, _("Write days like Mon, Wed."))
            raise InputFaultsError([fault])
        days.append(_WEEKDAYS.index(word.lower()[:3]))
    return lot_dates(on, age, hatch_weekdays=days or range(7), species=cast("Species", species))


def start(typed: Mapping[str, Any], *, who: str, client_id: str = "") -> str:
    """Add a lot, with its order where one was written; return its code.

    Raises
    ------
    InputFaultsError
        With every fault of both.
    """
    faults: list[InputError] = []
    try:
        flock_lots.checked(typed, new=True)
    except InputFaultsError as error:
        faults += error.faults
    today = clock.today(farm().zone)
    wants_order = bool(str(typed.get("ordered", "")).strip())
    order = {**typed, "on": today.isoformat(), "note": ""}
    order["hatch_on"] = order.get("hatched", "")
    if wants_order:
        try:
            payload("ordered", order, Frame(str(typed.get("code", "")), None, today))
        except InputFaultsError as error:
            renamed = {"hatch_on": "hatched"}
            faults += [
                InputError(renamed.get(f.name, f.name), f.value, f.problem) for f in error.faults
            ]
    if faults:
        raise InputFaultsError(faults)
    with writing():
        code = flock_lots.save_lot(typed, new=True)
        if wants_order:
            add_event(code, "ordered", order, who=who, client_id=client_id)
    return code
