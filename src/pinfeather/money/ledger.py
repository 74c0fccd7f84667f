"""The year as double entry: every transaction adds up to zero, or it is refused."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from pinfeather.errors import InputError
from pinfeather.money.cents import CENTS_PER_DOLLAR
from pinfeather.money.entries import NOT_CASH, CostEntry, Kind
from pinfeather.money.equipment import Equipment
from pinfeather.money.income import Event, Income
from pinfeather.words import gettext as _

CASH: Final = "assets:cash"
GEAR: Final = "assets:equipment"
OWED: Final = "liabilities:customer deposits"
SALES: Final = "income:sales"
OTHER_INCOME: Final = "income:other"
ROOTS: Final = ("assets", "liabilities", "equity", "income", "expenses")
HEADER: Final = ("transaction", "date", "account", "debit", "credit", "memo")
_ACCOUNT: Final = re.compile(r"(?:" + "|".join(ROOTS) + r")(?::[\w\-]+(?: [\w\-]+)*)*")
_WIDTH: Final = 44
_NOT_BOOKED: Final = NOT_CASH - {Kind.EQUIPMENT}


@dataclass(frozen=True, slots=True)
class Transaction:
    """One transaction of double entry.

    Parameters
    ----------
    id : str
        Groups its lines.
    on : date
        When.
    words : str
        What it was.
    postings : tuple of (str, int)
        Account and cents, debits above zero, credits below.

    Raises
    ------
    InputError
        If it does not add up to zero, has fewer than two lines, or an account is none.
    """

    id: str
    on: dt.date
    words: str
    postings: tuple[tuple[str, int], ...]

    def __post_init__(self) -> None:
        if len(self.postings) < 2 or sum(cents for _name, cents in self.postings) != 0:  # noqa: PLR2004
            raise InputError(
                "postings", self.postings, _("Debits and credits of a transaction are equal.")
            )
        for name, _cents in self.postings:
            if not _ACCOUNT.fullmatch(name):
                raise InputError(
                    "postings", name, _("“{name}” is not an account.").format(name=name)
                )


def transactions(
    costs: Iterable[CostEntry], income: Iterable[Income], things: Iterable[Equipment]
) -> tuple[Transaction, ...]:
    """Turn costs, income and equipment into transactions.

    Parameters
    ----------
    costs : iterable of CostEntry
        Entries; wear of equipment goes against its value, own labour and own land are management
        figures and not booked.
    income : iterable of Income
        Sales and deposits.
    things : iterable of Equipment
        Purchases.

    Returns
    -------
    tuple of Transaction
        By date; each adds up to zero.

    References
    ----------
    Double entry: assets + expenses = liabilities + equity + income; debits above zero.
    """
    found = [
        *(_of_cost(one) for one in costs if one.cents and one.kind not in _NOT_BOOKED),
        *(_of_income(one) for one in income),
        *(
            Transaction(
                one.id, one.bought, one.name, ((GEAR, one.price_cents), (CASH, -one.price_cents))
            )
            for one in things
            if one.price_cents
        ),
    ]  # fmt: skip
    return tuple(sorted(found, key=lambda one: (one.on, one.id)))


def _of_cost(one: CostEntry) -> Transaction:
    other = GEAR if one.kind in NOT_CASH else CASH
    words = "; ".join(part for part in (one.what, one.of) if part) or one.kind.value
    return Transaction(
        one.id, one.on, words, ((f"expenses:{one.kind.value}", one.cents), (other, -one.cents))
    )


def _of_income(one: Income) -> Transaction:
    lines = {
        Event.SALE: (
            (CASH, one.cash_cents),
            (OWED, one.from_deposit_cents),
            (SALES, -one.cents),
        ),
        Event.DEPOSIT: ((CASH, one.cents), (OWED, -one.cents)),
        Event.REFUND: ((OWED, one.cents), (CASH, -one.cents)),
        Event.KEPT: ((OWED, one.cents), (OTHER_INCOME, -one.cents)),
        Event.RETURN: ((SALES, one.cents), (CASH, -one.cents)),
    }[one.event]
    words = "; ".join(part for part in (one.what, one.lot) if part) or one.event.value
    return Transaction(one.id, one.on, words, tuple(line for line in lines if line[1]))


def balances(found: Sequence[Transaction]) -> Mapping[str, int]:
    """Add up each account.

    Parameters
    ----------
    found : sequence of Transaction
        The books.

    Returns
    -------
    mapping of str to int
        Cents by account, in order of name; all together they are zero.

    References
    ----------
    Derivation: sums of whole cents.
    """
    sums: dict[str, int] = {}
    for one in found:
        for name, cents in one.postings:
            sums[name] = sums.get(name, 0) + cents
    return dict(sorted(sums.items()))


def plain_text(found: Sequence[Transaction]) -> str:
    """Write the books as plain text for double-entry programs.

    Parameters
    ----------
    found : sequence of Transaction
        The books.

    Returns
    -------
    str
        A line with date and words, then the postings indented, amounts in dollars.

    References
    ----------
    Common practice of plain-text accounting: date, words, two or more indented postings.
    """
    lines = []
    for one in found:
        lines.append(f"{one.on.isoformat()} {_one_line(one.words)}")
        lines.extend(f"    {name:<{_WIDTH}}  {signed(cents):>14}" for name, cents in one.postings)
        lines.append("")
    return "\n".join(lines)


def _one_line(words: str) -> str:
    """Leave out what such programs read as a comment, a code or a mark."""
    return " ".join("".join(c if c not in ";|*!()\n\r\t" else " " for c in words).split()) or "-"


def signed(cents: int) -> str:
    """Write cents as plain dollars with a hyphen for less than zero.

    Parameters
    ----------
    cents : int
        A sum [cents].

    Returns
    -------
    str
        No currency sign, no thousands comma.

    References
    ----------
    Derivation: format.

    Examples
    --------
    >>> signed(-5820)
    '-58.20'
    """
    sign = "-" if cents < 0 else ""
    return f"{sign}{abs(cents) // CENTS_PER_DOLLAR}.{abs(cents) % CENTS_PER_DOLLAR:02d}"


def import_rows(
    found: Sequence[Transaction], *, us_dates: bool = False
) -> tuple[tuple[str, str, str, str, str, str], ...]:
    """Write the books as rows for a spreadsheet or another program.

    Parameters
    ----------
    found : sequence of Transaction
        The books.
    us_dates : bool
        Dates as 09/12/2026 instead of 2026-09-12.

    Returns
    -------
    tuple of tuple of str
        Under :data:`HEADER`; each row has a debit or a credit, never both.

    References
    ----------
    Common practice of general-ledger imports (second hand).
    """
    rows = []
    for one in found:
        day = f"{one.on:%m/%d/%Y}" if us_dates else one.on.isoformat()
        for name, cents in one.postings:
            debit, credit = (signed(cents), "") if cents > 0 else ("", signed(-cents))
            rows.append((one.id, day, name, debit, credit, one.words))
    return tuple(rows)
