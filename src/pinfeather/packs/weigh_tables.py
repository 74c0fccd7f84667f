"""Tables of the net weight test: variations allowed, sample sizes, scale tolerances."""

from __future__ import annotations

import functools
import tomllib
from dataclasses import dataclass
from decimal import Decimal
from importlib import resources
from typing import Any, Final, Literal

from pinfeather.errors import InputError
from pinfeather.words import gettext as _

Category = Literal["A", "B"]
Class = Literal["II", "III"]
Column = Literal["acceptance", "maintenance"]
_OZ_PER_LB: Final = 16


@dataclass(frozen=True, slots=True)
class Variation:
    """The most one package may be short.

    Parameters
    ----------
    mav_lb : Decimal
        Maximum allowable variation [lb].
    table : str
        ``"2-5"`` or ``"2-9"``.
    citation, status : str
        Source.
    """

    mav_lb: Decimal
    table: str
    citation: str
    status: str


@dataclass(frozen=True, slots=True)
class SamplePlan:
    """How many packages to weigh.

    Parameters
    ----------
    sample : int
        Packages in the sample.
    over_mav_allowed : int
        How many may be short by more than the maximum.
    citation, status : str
        Source.
    """

    sample: int
    over_mav_allowed: int
    citation: str
    status: str


@functools.cache
def tables() -> dict[str, Any]:
    """Return the packaged tables.

    Returns
    -------
    dict
        As in the file, numbers as ``Decimal``.

    References
    ----------
    NIST Handbook 133 and Handbook 44, as cited inside.
    """
    text = resources.files("pinfeather.packs").joinpath("lot_test.toml").read_text("utf-8")
    return tomllib.loads(text, parse_float=Decimal)


def variation_2_5(label_lb: Decimal) -> Variation:
    """Return the most a package may be short by the general table.

    Parameters
    ----------
    label_lb : Decimal
        Weight on the label [lb].

    Returns
    -------
    Variation
        With its source.

    Raises
    ------
    InputError
        If the weight is not more than zero.

    Notes
    -----
    Rows that chapter 2 itself confirms are "read", all others "unverified".

    References
    ----------
    NIST Handbook 133, Table 2-5.
    """
    return _variation("2-5", label_lb, label_lb)


def variation_2_9(label_lb: Decimal) -> Variation:
    """Return the most a package may be short by the meat and poultry table.

    Parameters
    ----------
    label_lb : Decimal
        Weight on the label [lb].

    Returns
    -------
    Variation
        With its source.

    Raises
    ------
    InputError
        If the weight is not more than zero.

    Notes
    -----
    The row from 3 lb to 10 lb is "read", all others "unverified".

    References
    ----------
    NIST Handbook 133, Table 2-9.
    """
    return _variation("2-9", label_lb, label_lb * _OZ_PER_LB)


def strictest_variation(label_lb: Decimal) -> Variation:
    """Return the smaller of the two tables' variations.

    Parameters
    ----------
    label_lb : Decimal
        Weight on the label [lb].

    Returns
    -------
    Variation
        The smaller one.

    Raises
    ------
    InputError
        If the weight is not more than zero.

    Notes
    -----
    Which table an official takes for an exempt bird could not be settled, so the program acts on
    the smaller.

    References
    ----------
    NIST Handbook 133, Tables 2-5 and 2-9.
    """
    return min(variation_2_9(label_lb), variation_2_5(label_lb), key=lambda v: v.mav_lb)


def _variation(table: str, label_lb: Decimal, size: Decimal) -> Variation:
    if not label_lb.is_finite() or label_lb <= 0:
        raise InputError("label_lb", label_lb, _("A label weight is more than zero."))
    data = tables()[f"mav_{table.replace('-', '_')}"]
    row = _row(data["rows"], size)
    read = any(_row(data["rows"], Decimal(point)) is row for point in data["read_at"])
    mav = row["mav"] if "mav" in row else row["share"] * label_lb
    return Variation(mav, table, data["citation"], "read" if read else data["status"])


def _row(rows: list[dict[str, Any]], size: Decimal) -> dict[str, Any]:
    """Return the row a size falls in: up to and including ``to``, or strictly under ``below``."""
    for row in rows:
        if ("below" in row and size < row["below"]) or ("to" in row and size <= row["to"]):
            return row
    return rows[-1]


def sample_plan(lot: int, category: Category) -> SamplePlan:
    """Say how many packages of a lot to weigh.

    Parameters
    ----------
    lot : int
        Packages in the lot.
    category : str
        ``"A"`` for everything but federally inspected plants, ``"B"`` there.

    Returns
    -------
    SamplePlan
        Sample size and how many may be short by more than the maximum.

    Raises
    ------
    InputError
        If the lot is empty or the category unknown.

    References
    ----------
    NIST Handbook 133, Tables 2-1 and 2-2 (unverified).
    """
    if lot < 1:
        raise InputError("lot", lot, _("A lot has at least one package."))
    if category not in ("A", "B"):
        raise InputError("category", category, _("The category is A or B."))
    key = f"plan_{category.lower()}"
    source = tables()[f"{key}_source"]
    row = next((r for r in tables()[key] if "lot" in r and lot <= r["lot"]), tables()[key][-1])
    return SamplePlan(
        sample=min(lot, row["sample"] or lot),
        over_mav_allowed=row.get("over_mav_allowed", 0),
        citation=source["citation"],
        status=source["status"],
    )


def tolerance_lb(
    load_lb: Decimal,
    division: Decimal,
    *,
    scale_class: Class = "III",
    column: Column = "acceptance",
) -> Decimal:
    """Say how far a scale may be off under a test weight.

    Parameters
    ----------
    load_lb : Decimal
        Test weight [lb].
    division : Decimal
        Smallest step of the scale [lb].
    scale_class : str
        ``"II"`` or ``"III"``.
    column : str
        ``"acceptance"``, which a scale that checks packages must meet, or ``"maintenance"``.

    Returns
    -------
    Decimal
        Largest error either way [lb].

    Raises
    ------
    InputError
        If a number is not positive or the class has no such column.

    References
    ----------
    NIST Handbook 44, as used in NIST Handbook 133 (2026), chapter 2.
    """
    if not (load_lb > 0 and division > 0):
        raise InputError("load_lb", load_lb, _("Give a test weight and the scale's division."))
    rows = tables()["tolerance"].get(scale_class, {}).get(column)
    if rows is None:
        raise InputError(
            "scale_class", scale_class, _("There is no such tolerance for this class of scale.")
        )
    return Decimal(_row(rows, load_lb / division)["d"]) * division
