"""The class names a bird of some age and weight may carry."""

from __future__ import annotations

import functools
import math
import tomllib
from dataclasses import dataclass
from importlib import resources
from typing import Any, Final, Literal

from pinfeather.errors import InputError
from pinfeather.units import to_si
from pinfeather.words import gettext as _

Text = Literal["current", "until_2017"]
Sex = Literal["male", "female", "neutered"]

_DAYS_PER_WEEK: Final = 7
_DAYS_PER_MONTH: Final = 365.25 / 12  # a month of a rule that gives no days
_MICROGRAM_DECIMALS: Final = 9


@dataclass(frozen=True, slots=True)
class BirdClass:
    """A class name.

    Parameters
    ----------
    name : str
        The name.
    also : tuple of str
        Other names for the same class.
    by_feel : str
        What else must be true of the bird, to be judged by hand; may be empty.
    citation, status : str
        Source.
    """

    name: str
    also: tuple[str, ...]
    by_feel: str
    citation: str
    status: str


@functools.cache
def _tables() -> dict[str, Any]:
    text = resources.files("pinfeather.packs").joinpath("classes.toml").read_text("utf-8")
    return tomllib.loads(text)


def class_names(
    kind: str,
    *,
    age_days: float,
    mass_kg: float,
    sex: Sex | None = None,
    text: Text = "current",
) -> tuple[BirdClass, ...]:
    """List the class names a ready-to-cook bird may carry.

    Parameters
    ----------
    kind : str
        ``"chicken"``, ``"turkey"``, ``"duck"``, ``"goose"`` or ``"guinea"``.
    age_days : float
        Age at slaughter [d].
    mass_kg : float
        Ready-to-cook weight [kg].
    sex : str or None
        ``"male"``, ``"female"`` or ``"neutered"``; None leaves out names that need it.
    text : str
        ``"current"``, or ``"until_2017"`` for the older text.

    Returns
    -------
    tuple of BirdClass
        In the order of the rule; some need a look at the bird as well.

    Raises
    ------
    InputError
        If the kind is unknown or a number is not positive.

    Notes
    -----
    The kind must stand with the class or part name on the label.

    References
    ----------
    9 CFR 381.170(a); 81 FR 21706 (13 April 2016).

    Examples
    --------
    >>> [c.name for c in class_names("chicken", age_days=49, mass_kg=1.8)]
    ['broiler']
    """
    rows = [row for row in _tables()["classes"] if row["kind"] == kind]
    if not rows:
        known = sorted({row["kind"] for row in _tables()["classes"]})
        raise InputError(
            "kind",
            kind,
            _("There are no class names for “{kind}”. Known: {known}.").format(
                kind=kind, known=", ".join(known)
            ),
        )
    for name, value in (("age_days", age_days), ("mass_kg", mass_kg)):
        if not (math.isfinite(value) and value > 0):
            raise InputError(name, value, _("Give a number above zero."))
    source = _tables()["source"][text]
    return tuple(
        BirdClass(
            name=row["name"],
            also=tuple(row.get("also", ())),
            by_feel=row.get("by_feel", ""),
            citation=source["citation"],
            status=source["status"],
        )
        for row in rows
        if text in row["texts"]
        and row.get("sex") in (None, sex)
        and _age_fits(row, age_days)
        and _weight_fits(row, mass_kg)
    )


def _age_fits(row: dict[str, Any], age_days: float) -> bool:
    below: float = min(
        row.get("below_weeks", math.inf) * _DAYS_PER_WEEK,
        row.get("below_months", math.inf) * _DAYS_PER_MONTH,
    )
    over: float = row.get("over_months", -1) * _DAYS_PER_MONTH
    least: float = row.get("from_weeks", 0) * _DAYS_PER_WEEK
    return over < age_days < below and age_days >= least


def _weight_fits(row: dict[str, Any], mass_kg: float) -> bool:
    mass = round(mass_kg, _MICROGRAM_DECIMALS)
    low = round(to_si(row.get("at_least_lb", 0.0), "lb", "mass"), _MICROGRAM_DECIMALS)
    if "at_most_lb" not in row:
        return mass >= low
    return low <= mass <= round(to_si(row["at_most_lb"], "lb", "mass"), _MICROGRAM_DECIMALS)
