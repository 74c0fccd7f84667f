"""Tax tables as information: shown beside the farm's figures, never part of a cost.

None of this is tax advice. Rates, classes and lines change from year to year, and elections such as
expensing in the first year, bonus or mid-quarter tables change everything: ask a tax preparer.
"""

from __future__ import annotations

import functools
import tomllib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal
from importlib import resources
from typing import Any, Final

from pinfeather.errors import InputError
from pinfeather.estimate import Basis, Origin
from pinfeather.money.cents import half_up
from pinfeather.words import gettext as _

_HUNDRED: Final = Decimal(100)
_INCOME: Final = frozenset({"sale", "other income"})


@functools.cache
def _tables() -> dict[str, Any]:
    text = resources.files("pinfeather.money").joinpath("data/tax.toml").read_text("utf-8")
    return tomllib.loads(text)


@dataclass(frozen=True, slots=True)
class TaxYear:
    """One row of a depreciation table.

    Parameters
    ----------
    year : int
        1 for the year it is placed in service.
    percent : Decimal
        As printed.
    dollars : int
        Whole dollars, rounded half up from the cost and the printed percentage.
    """

    year: int
    percent: Decimal
    dollars: int


def macrs_columns() -> tuple[str, ...]:
    """Return the names of the printed columns.

    Returns
    -------
    tuple of str
        Class and method.

    References
    ----------
    IRS Publication 946, tables A-1 and A-14 (second hand).
    """
    return tuple(_tables()["macrs"]["percent"])


def macrs_classes() -> tuple[tuple[str, str, Basis], ...]:
    """Return what is usually in which column.

    Returns
    -------
    tuple of (str, str, Basis)
        What, the column, and how that is known.

    References
    ----------
    Ohio State University Extension, "Depreciation of Farm Assets under the 2017 Tax Law" (2018).
    """
    return tuple(
        (row["what"], row["column"], Basis(Origin.HANDBOOK, row["citation"], row["status"]))
        for row in _tables()["macrs"]["classes"]
    )


def macrs(cost_cents: int, column: str) -> tuple[TaxYear, ...]:
    """Return a half-year depreciation table in whole dollars.

    Parameters
    ----------
    cost_cents : int
        What the thing cost [cents].
    column : str
        One of :func:`macrs_columns`.

    Returns
    -------
    tuple of TaxYear
        One a year. Rounded dollars need not add up to the cost; preparers put the rest last.

    Raises
    ------
    InputError
        If the column is unknown or the cost below zero.

    Notes
    -----
    The printed table is used: no formula gives its last digit everywhere. It does not hold where
    more than 40 % of a year's purchases fall in its last quarter, nor after first-year expensing.

    References
    ----------
    IRS Publication 946, tables A-1 and A-14 (second hand).

    Examples
    --------
    >>> [row.dollars for row in macrs(1_000_000, "7-year 200DB")][:3]
    [1429, 2449, 1749]
    """
    columns = _tables()["macrs"]["percent"]
    if column not in columns:
        raise InputError(
            "column", column, _("Known are: {names}.").format(names=", ".join(columns))
        )
    if cost_cents < 0:
        raise InputError("cost_cents", cost_cents, _("A cost is zero or more."))
    cost = Decimal(half_up(Decimal(cost_cents) / 100))
    return tuple(
        TaxYear(
            number,
            Decimal(percent),
            int((cost * Decimal(percent) / _HUNDRED).quantize(Decimal(1), ROUND_HALF_UP)),
        )
        for number, percent in enumerate(columns[column], start=1)
    )


@dataclass(frozen=True, slots=True)
class FormLine:
    """One line of the farm schedule with what would stand on it.

    Parameters
    ----------
    line : str
        Its number on the form of :attr:`FarmSchedule.year`.
    words : str
        Its title, shortened.
    cents : int
        The sum [cents].
    is_income : bool
        Whether it is in part I.
    """

    line: str
    words: str
    cents: int
    is_income: bool


@dataclass(frozen=True, slots=True)
class FarmSchedule:
    """The farm schedule's lines, for information.

    Parameters
    ----------
    form_year : int
        Whose form's line numbers these are.
    lines : tuple of FormLine
        Those with something on them, in order.
    left_out_cents : int
        Costs that are never deducted there: own labour, own land, and wear by straight line, which
        the tax table replaces [cents].
    basis : Basis
        How the lines are known.
    """

    form_year: int
    lines: tuple[FormLine, ...]
    left_out_cents: int
    basis: Basis

    @property
    def net_cents(self) -> int:
        """Income less expenses on the lines, before depreciation [cents]."""
        return sum(one.cents if one.is_income else -one.cents for one in self.lines)


def farm_schedule(
    sums: Mapping[str, int] | Iterable[tuple[str, int]], *, not_deducted: frozenset[str]
) -> FarmSchedule:
    """Put sums by kind onto the lines of the farm schedule.

    Parameters
    ----------
    sums : mapping or iterable of (str, int)
        Kind of cost, ``"sale"`` or ``"other income"``, and cents.
    not_deducted : frozenset of str
        Kinds that are management figures only.

    Returns
    -------
    FarmSchedule
        With the year of the form.

    Raises
    ------
    InputError
        If a kind has no line.

    References
    ----------
    IRS Schedule F (Form 1040), 2019 (second hand).
    """
    table = _tables()["schedule_f"]
    where = {kind: row["line"] for row in table["lines"] for kind in row["kinds"]}
    on_line: dict[str, int] = {}
    left_out = 0
    for kind, cents in dict(sums).items():
        if kind in not_deducted:
            left_out += cents
        elif kind in where:
            on_line[where[kind]] = on_line.get(where[kind], 0) + cents
        else:
            raise InputError("sums", kind, _("“{kind}” has no line.").format(kind=kind))
    lines = tuple(
        FormLine(row["line"], row["words"], on_line[row["line"]], bool(_INCOME & set(row["kinds"])))
        for row in table["lines"]
        if row["line"] in on_line
    )
    basis = Basis(Origin.HANDBOOK, table["citation"], table["status"])
    return FarmSchedule(table["year"], lines, left_out, basis)
