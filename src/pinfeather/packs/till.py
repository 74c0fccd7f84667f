"""Adding up a basket, a deposit and a till, in whole cents."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Final

from pinfeather.errors import InputError
from pinfeather.words import gettext as _

PAID_BY: Final = ("cash", "check", "card", "transfer", "other")
"""How money changes hands; recorded only, nothing is charged here."""


@dataclass(frozen=True, slots=True)
class Due:
    """What is to pay for a basket.

    Parameters
    ----------
    total : Decimal
        Price of all packages [USD].
    from_deposit : Decimal
        Of that, paid by the deposit [USD].
    to_pay : Decimal
        Still to pay [USD].
    deposit_back : Decimal
        What the deposit was more than the basket [USD].
    """

    total: Decimal
    from_deposit: Decimal
    to_pay: Decimal
    deposit_back: Decimal


def due(prices: Iterable[Decimal], *, deposit: Decimal = Decimal(0)) -> Due:
    """Return what is to pay when a deposit was left.

    Parameters
    ----------
    prices : iterable of Decimal
        Price of each package [USD].
    deposit : Decimal
        Left earlier [USD].

    Returns
    -------
    Due
        Its parts; ``total = from_deposit + to_pay``.

    Raises
    ------
    InputError
        If a price or the deposit is negative.

    References
    ----------
    Derivation: a deposit is owed to the customer until the birds are handed over; what it is more
    than the basket goes back and never makes a sale negative.

    Examples
    --------
    >>> due([Decimal("25.50")], deposit=Decimal(10)).to_pay
    Decimal('15.50')
    """
    listed = list(prices)
    if any(price < 0 for price in listed) or deposit < 0:
        raise InputError("prices", listed, _("A price cannot be less than nothing."))
    total = sum(listed, Decimal(0))
    used = min(total, deposit)
    return Due(total, used, total - used, deposit - used)


@dataclass(frozen=True, slots=True)
class Cash:
    """Money that changed hands.

    Parameters
    ----------
    kind : str
        ``"sale"``, ``"refund"``, ``"deposit"`` or ``"deposit back"``.
    paid_by : str
        One of :data:`PAID_BY`.
    amount : Decimal
        Never negative; the kind says which way [USD].
    """

    kind: str
    paid_by: str
    amount: Decimal


_SIGN: Final[Mapping[str, int]] = {"sale": 1, "deposit": 1, "refund": -1, "deposit back": -1}


def till(moves: Iterable[Cash]) -> dict[str, Decimal]:
    """Add up what should be in the till, by how it was paid.

    Parameters
    ----------
    moves : iterable of Cash
        In any order.

    Returns
    -------
    dict of str to Decimal
        Money in less money out for each way of paying that occurs [USD].

    Raises
    ------
    InputError
        If a kind is unknown or an amount is negative.

    References
    ----------
    Derivation: signed sums.
    """
    sums: dict[str, Decimal] = {}
    for move in moves:
        if move.kind not in _SIGN:
            raise InputError("kind", move.kind, _("This is no kind of payment."))
        if move.amount < 0:
            raise InputError("amount", move.amount, _("An amount cannot be less than nothing."))
        sums[move.paid_by] = sums.get(move.paid_by, Decimal(0)) + _SIGN[move.kind] * move.amount
    return {way: sums[way] for way in (*PAID_BY, *sorted(set(sums) - set(PAID_BY))) if way in sums}
