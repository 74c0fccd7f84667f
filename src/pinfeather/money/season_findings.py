"""What to know before leaning on a year's figures."""

from __future__ import annotations

from collections.abc import Iterable
from fractions import Fraction
from typing import Final

from pinfeather.finding import Finding, Severity
from pinfeather.money.cents import dollars
from pinfeather.money.costing import GroupCost
from pinfeather.money.entries import Kind
from pinfeather.money.year_income import YearIncome
from pinfeather.words import gettext as _

MOSTLY_SOLD_FRAC: Final = Fraction(9, 10)
"""Below this share sold, a year's sales do not yet answer its cost; a judgement."""


def season_findings(
    full: GroupCost | None, kinds: Iterable[Kind], income: YearIncome
) -> tuple[Finding, ...]:
    """Say what is missing from a year, and what it does not yet answer.

    Parameters
    ----------
    full : GroupCost or None
        The year in full cost; None where no bird was dressed.
    kinds : iterable of Kind
        Kinds of cost that were written down.
    income : YearIncome
        What came in.

    Returns
    -------
    tuple of Finding
        None of them stops anything.

    References
    ----------
    Derivation: comparisons.
    """
    if full is None:
        nothing = Finding("money.no_birds", Severity.NOTE, _("No birds were dressed in this year."))
        return (nothing, *_deposits(income))
    return (*_missing(set(kinds)), *_deposits(income), *_sales(full, income))


def _missing(kinds: set[Kind]) -> list[Finding]:
    wanted = (
        (Kind.CHICKS, _("No chicks have been written down; the cost lacks them.")),
        (Kind.FEED, _("No feed has been written down, usually the largest part.")),
        (Kind.OWN_LABOUR, _("No own hours have been written down; they count as free.")),
    )
    return [
        Finding(f"money.missing.{kind.name.lower()}", Severity.CHECK, sentence)
        for kind, sentence in wanted
        if kind not in kinds
    ]


def _deposits(income: YearIncome) -> list[Finding]:
    owed = income.deposits.owed_cents
    if owed < 0:
        told = _("{sum} more was taken from deposits than was ever paid down.")
        return [
            Finding(
                "money.deposits_below",
                Severity.CHECK,
                told.format(sum=dollars(-owed)),
                _("A deposit is missing, or one was written twice."),
            )
        ]
    if owed > 0:
        told = _("Deposits of {sum} are still owed to customers.")
        return [
            Finding("money.deposits_owed", Severity.NOTE, told.format(sum=dollars(owed))),
        ]
    return []


def _sales(full: GroupCost, income: YearIncome) -> list[Finding]:
    sold, found = income.sold_lb, []
    if full.dressed_lb <= 0 or sold <= 0:
        return []
    if sold < MOSTLY_SOLD_FRAC * full.dressed_lb:
        told = _("{sold:.0f} of {packed:.0f} lb are sold; the rest is in store or eaten.")
        found.append(
            Finding(
                "money.unsold",
                Severity.NOTE,
                told.format(sold=float(sold), packed=float(full.dressed_lb)),
            )
        )
    price, cost = income.price_cents_per_lb, full.per_lb_cents
    if price is not None and cost is not None and price < cost:
        found.append(
            Finding(
                "money.below_cost",
                Severity.CHECK,
                _("A pound brought {price} and cost {cost}, all counted.").format(
                    price=dollars(price), cost=dollars(cost)
                ),
                _("The difference was paid with own hours or equipment."),
            )
        )
    return found
