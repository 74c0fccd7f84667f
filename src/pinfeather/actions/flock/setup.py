"""Pens, and growth curves typed in from a breed's booklet."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Final, cast

from pinfeather import quantity
from pinfeather.errors import InputError, InputFaultsError
from pinfeather.flock.curves import Curve, Species, curve_from_rows, curve_names, reference_curve
from pinfeather.records import models
from pinfeather.records.writing import writing
from pinfeather.words import gettext as _
from pinfeather.words import gettext_noop

PEN_KINDS: Final[Mapping[str, str]] = {
    "brooder": gettext_noop("Brooder"),
    "house": gettext_noop("House"),
    "pasture": gettext_noop("Pen on grass"),
}
_MOST_M2: Final = 1e6
_MOST_DAYS: Final = 60
_ROW: Final = re.compile(r"(\d{1,3})\s*(?:d|days?)?\s*[:;,\t ]\s*(.+)")
_OWN: Final = "own:"
_USUAL: Final = {
    ("chicken", "broad"): "nrc_1994",
    ("chicken", "lean"): "slow",
    ("turkey", "broad"): "turkey",
    ("turkey", "lean"): "turkey",
    ("duck", "broad"): "duck",
    ("duck", "lean"): "duck",
}
"""Curve taken where none was chosen; our choice."""


@dataclass(frozen=True, slots=True)
class PenView:
    """Where birds live."""

    name: str
    kind: str
    area: str
    move_d: int

    @property
    def area_m2(self) -> float | None:
        """Floor [m2], where it is known."""
        return quantity.parse(self.area, "area").si if self.area else None


def pens() -> tuple[PenView, ...]:
    """Return the pens in use."""
    rows = models.Pen.objects.filter(active=True)
    return tuple(PenView(r.name, r.kind, r.area, r.move_d) for r in rows)


def save_pen(typed: Mapping[str, Any]) -> None:
    """Add a pen, or change it.

    Raises
    ------
    InputFaultsError
        With every fault.
    """
    faults = []
    name, kind = str(typed.get("name", "")).strip()[:40], str(typed.get("kind", ""))
    area, move = str(typed.get("area", "")).strip(), str(typed.get("move_d", "") or "0").strip()
    if not name:
        faults.append(InputError("name", name, _("Write what you call it.")))
    if kind not in PEN_KINDS:
        faults.append(InputError("kind", kind, _("Choose one from the list.")))
    if area:
        try:
            found = quantity.parse(area, "area", name="area")
            if not 0 < found.si <= _MOST_M2:
                faults.append(
                    InputError("area", area, _("{value} cannot be right.").format(value=area))
                )
        except InputError as fault:
            faults.append(fault)
    if not move.isdecimal() or int(move) > _MOST_DAYS:
        faults.append(InputError("move_d", move, _("A whole number of days; 0 if it stays.")))
    if faults:
        raise InputFaultsError(faults)
    with writing():
        models.Pen.objects.update_or_create(
            name=name,
            defaults={"kind": kind, "area": area, "move_d": int(move), "active": True},
        )


def curve_choices() -> tuple[tuple[str, str], ...]:
    """Return the growth curves there are, the farm's own first: name and title."""
    own = tuple((_OWN + row.title, row.title) for row in models.BreedCurve.objects.all())
    return own + tuple((name, reference_curve(name).title) for name in curve_names())


def packaged_curves() -> tuple[Curve, ...]:
    """Return the growth tables that come with the program."""
    return tuple(reference_curve(name) for name in curve_names())


def own_curves() -> tuple[Curve, ...]:
    """Return the curves typed in on this farm."""
    return tuple(_own(row) for row in models.BreedCurve.objects.all())


def curve_of(species: str, build: str, chosen: str) -> Curve | None:
    """Return the curve of a lot: the one chosen, or the usual one; None for a kind without."""
    if chosen.startswith(_OWN):
        row = models.BreedCurve.objects.filter(title=chosen.removeprefix(_OWN)).first()
        if row is not None:
            return _own(row)
    name = chosen if chosen in curve_names() else _USUAL.get((species, build), "")
    return reference_curve(name) if name else None


def save_curve(typed: Mapping[str, Any]) -> None:
    """Keep a breed's booklet: a row for each age, such as ``14: 0.9 lb``.

    Raises
    ------
    InputFaultsError
        With every fault.
    """
    faults: list[InputError] = []
    title = str(typed.get("title", "")).strip()[:70]
    species, source = str(typed.get("species", "")), str(typed.get("source", "")).strip()[:120]
    if not title:
        faults.append(InputError("title", title, _("Write the breed.")))
    if species not in {"chicken", "turkey", "duck"}:
        faults.append(InputError("species", species, _("Choose one from the list.")))
    rows = _rows("rows", typed, faults)
    female = _rows("female_rows", typed, faults)
    if not faults:
        try:
            curve_from_rows(title, rows, species=cast("Species", species), female_rows=female)
        except InputError as fault:
            faults.append(InputError(fault.name.partition("[")[0], fault.value, fault.problem))
    if faults:
        raise InputFaultsError(faults)
    with writing():
        models.BreedCurve.objects.update_or_create(
            title=title,
            defaults={
                "species": species,
                "rows": [list(row) for row in rows],
                "female_rows": [list(row) for row in female],
                "source": source,
            },
        )


def _rows(
    name: str, typed: Mapping[str, Any], faults: list[InputError]
) -> list[tuple[float, float]]:
    found = []
    for line in str(typed.get(name, "")).splitlines():
        if not line.strip():
            continue
        match = _ROW.fullmatch(line.strip())
        if match is None:
            sentence = _("“{line}” is not a row. Write age in days and weight, as 14: 0.9 lb.")
            faults.append(InputError(name, line, sentence.format(line=line.strip())))
            continue
        try:
            found.append((float(match[1]), quantity.parse(match[2], "mass", name=name).si))
        except InputError as fault:
            faults.append(fault)
    return found


def _own(row: models.BreedCurve) -> Curve:
    return curve_from_rows(
        row.title,
        [(a, w) for a, w in row.rows],
        species=cast("Species", row.species),
        female_rows=[(a, w) for a, w in row.female_rows],
        source=row.source or row.title,
    )
