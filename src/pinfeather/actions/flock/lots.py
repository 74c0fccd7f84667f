"""What is said about a lot itself: kind, sex, breed, curve, outlet, the day in mind."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Iterable, Mapping
from typing import Any, Final

from pinfeather.actions.farm import LotView
from pinfeather.actions.flock.setup import curve_choices
from pinfeather.errors import InputError, InputFaultsError, RecordNotFoundError
from pinfeather.records import models
from pinfeather.records.writing import writing
from pinfeather.words import gettext as _

SPECIES: Final = ("chicken", "turkey", "duck", "goose")
SEXES: Final[Mapping[str, float]] = {"straight run": 0.5, "males": 1.0, "females": 0.0}
"""Share of males by what the hatchery sold."""
RESERVED: Final = frozenset({"new", "numbers", "pens", "curves"})
"""Codes that stand for pages about all lots."""
_CODE: Final = re.compile(r"[A-Za-z0-9][A-Za-z0-9 ._-]{0,19}")


class _Typed:
    """Reads the form and gathers what is wrong."""

    def __init__(self, typed: Mapping[str, Any]) -> None:
        self.typed = typed
        self.faults: list[InputError] = []

    def text(self, name: str, longest: int, choices: Iterable[str] = ()) -> str:
        value = str(self.typed.get(name, "")).strip()[:longest]
        if choices and value not in choices:
            self.faults.append(InputError(name, value, _("Choose one from the list.")))
        return value

    def date(self, name: str) -> dt.date | None:
        raw = str(self.typed.get(name, "")).strip()
        try:
            return dt.date.fromisoformat(raw) if raw else None
        except ValueError:
            self.faults.append(InputError(name, raw, _("Give a date, such as 2026-06-17.")))
            return None


def checked(typed: Mapping[str, Any], *, new: bool) -> tuple[str, dict[str, Any]]:
    """Return the code and the values of a lot's form.

    Raises
    ------
    InputFaultsError
        With every fault.
    """
    form = _Typed(typed)
    code = form.text("code", 20)
    if not _CODE.fullmatch(code) or code.lower() in RESERVED:
        sentence = _("Give the lot a short code of letters and digits, as B3.")
        form.faults.append(InputError("code", code, sentence))
    elif new and models.Lot.objects.filter(code=code, withdrawn=False).exists():
        sentence = _("There is a lot with this code already.")
        form.faults.append(InputError("code", code, sentence))
    values: dict[str, Any] = {
        "species": form.text("species", 20, SPECIES),
        "build": form.text("build", 10, ("broad", "lean")),
        "sex": form.text("sex", 12, SEXES),
        "curve": form.text("curve", 80, ("", *(name for name, _title in curve_choices()))),
        "setting": form.text("setting", 10, ("usual", "pasture")),
        "breed": form.text("breed", 60),
        "outlet": form.text("outlet", 80),
        "note": form.text("note", 200),
        "hatched": form.date("hatched"),
        "plan_on": form.date("plan_on"),
    }
    if values["hatched"] and values["plan_on"] and values["plan_on"] <= values["hatched"]:
        sentence = _("This is before the birds hatch.")
        form.faults.append(InputError("plan_on", values["plan_on"], sentence))
    if form.faults:
        raise InputFaultsError(form.faults)
    return code, values


def save_lot(typed: Mapping[str, Any], *, new: bool) -> str:
    """Add a lot, or change what is said about it; return its code.

    Raises
    ------
    InputFaultsError
        With every fault.
    RecordNotFoundError
        If a lot to be changed is not there.
    """
    code, values = checked(typed, new=new)
    with writing():
        if not new and not models.Lot.objects.filter(code=code).exists():
            raise RecordNotFoundError(_("There is no lot called “{code}”.").format(code=code))
        models.Lot.objects.update_or_create(code=code, defaults={**values, "withdrawn": False})
    return code


def as_typed(row: LotView) -> dict[str, str]:
    """Return a lot as its form shows it."""
    words = ("code", "species", "build", "sex", "curve", "setting", "breed", "outlet", "note")
    found = {name: str(getattr(row, name)) for name in words}
    for name, day in (("hatched", row.hatched), ("plan_on", row.plan_on)):
        found[name] = day.isoformat() if day else ""
    return found
