"""Money that comes in: sales, and deposits that are owed until the bird is picked up."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction

from pinfeather.errors import InputError
from pinfeather.money.cents import Exact, share_out
from pinfeather.money.costing import Charged
from pinfeather.money.entries import Batch
from pinfeather.words import gettext as _


class Event(StrEnum):
    """What happened with a customer's money."""

    SALE = "sale"
    DEPOSIT = "deposit"
    REFUND = "refund"
    KEPT = "deposit kept"
    RETURN = "brought back"


@dataclass(frozen=True, slots=True)
class Income:
    """Money in, or a deposit given back.

    Parameters
    ----------
    id : str
        What it is found by again.
    on : date
        When.
    event : Event
        What happened.
    cents : int
        The sum: of a sale its whole price, of a deposit what was paid down [cents].
    from_deposit_cents : int
        Of a sale, how much of it had been paid down before [cents].
    lot : str
        Of a sale, which lot the birds were of; may be empty.
    what : str
        In somebody's words.
    sold_lb : Decimal
        Of a sale, how much was sold; of what was brought back, how much that was [lb].
    basis : str
        Where it comes from.

    Raises
    ------
    InputError
        If a sum is not above zero, or more is taken from a deposit than the sale is worth.
    """

    id: str
    on: dt.date
    event: Event
    cents: int
    from_deposit_cents: int = 0
    lot: str = ""
    what: str = ""
    sold_lb: Exact = 0
    basis: str = ""

    def __post_init__(self) -> None:
        if self.cents <= 0 or self.sold_lb < 0:
            raise InputError("cents", self.cents, _("A sum is more than zero."))
        most = self.cents if self.event is Event.SALE else 0
        if not 0 <= self.from_deposit_cents <= most:
            raise InputError(
                "from_deposit",
                self.from_deposit_cents,
                _("From the deposit comes no more than the sale is worth; give the rest back."),
            )

    @property
    def cash_cents(self) -> int:
        """What went into the till; below zero what came out of it [cents]."""
        match self.event:
            case Event.SALE:
                return self.cents - self.from_deposit_cents
            case Event.DEPOSIT:
                return self.cents
            case Event.REFUND | Event.RETURN:
                return -self.cents
        return 0

    @property
    def owed_cents(self) -> int:
        """By how much it changes what is owed to customers [cents]."""
        match self.event:
            case Event.SALE:
                return -self.from_deposit_cents
            case Event.DEPOSIT:
                return self.cents
            case Event.RETURN:
                return 0
        return -self.cents

    @property
    def earned_cents(self) -> int:
        """Sales less what was brought back, and kept deposits: what was earned [cents]."""
        if self.event is Event.RETURN:
            return -self.cents
        return self.cents if self.event in (Event.SALE, Event.KEPT) else 0

    @property
    def sold_cents(self) -> int:
        """Sales alone, less what was brought back [cents]."""
        return self.earned_cents if self.event in (Event.SALE, Event.RETURN) else 0


@dataclass(frozen=True, slots=True)
class Deposits:
    """Deposits over a time.

    Parameters
    ----------
    opening_cents, received_cents, applied_cents, refunded_cents, kept_cents : int
        Owed at the start; paid down; used for birds picked up; given back; kept [cents].
    """

    opening_cents: int
    received_cents: int
    applied_cents: int
    refunded_cents: int
    kept_cents: int

    @property
    def owed_cents(self) -> int:
        """What is owed to customers at the end [cents]."""
        gone = self.applied_cents + self.refunded_cents + self.kept_cents
        return self.opening_cents + self.received_cents - gone


def deposits(events: Sequence[Income], *, first: dt.date, last: dt.date) -> Deposits:
    """Follow customers' deposits through a time.

    Parameters
    ----------
    events : sequence of Income
        Everything, also before the time.
    first, last : date
        The time, both days included.

    Returns
    -------
    Deposits
        A deposit is a debt until the bird is picked up, not a sale.

    Notes
    -----
    Where more was used than was ever paid down the debt is below zero; the report says so.

    References
    ----------
    Unearned revenue: textbook (second hand). On the cash basis a preparer may count an advance
    payment when it is received: both dates are kept.
    """
    opening = sum(one.owed_cents for one in events if one.on < first)
    within = [one for one in events if first <= one.on <= last]

    def of(event: Event) -> int:
        return sum(one.cents for one in within if one.event is event)

    return Deposits(
        opening,
        of(Event.DEPOSIT),
        sum(one.from_deposit_cents for one in within),
        of(Event.REFUND),
        of(Event.KEPT),
    )


def sales_by_lot(events: Sequence[Income], *, year: int) -> Mapping[str, int]:
    """Add up a year's sales by lot.

    Parameters
    ----------
    events : sequence of Income
        Everything.
    year : int
        Which calendar year.

    Returns
    -------
    mapping of str to int
        Cents by lot, in order; sales without a lot under the empty name.

    References
    ----------
    Derivation: sums.
    """
    found: dict[str, int] = {}
    for one in events:
        if one.sold_cents and one.on.year == year:
            found[one.lot] = found.get(one.lot, 0) + one.sold_cents
    return dict(sorted(found.items()))


@dataclass(frozen=True, slots=True)
class Held:
    """Packs of one batch still in store, at what they cost.

    Parameters
    ----------
    batch : Batch
        Whose.
    held_lb : Fraction
        How much [lb].
    cents : int
        At cost [cents].
    """

    batch: Batch
    held_lb: Fraction
    cents: int


def stock_at_cost(
    charged: Charged, held_lb: Mapping[tuple[str, dt.date], Exact]
) -> tuple[Held, ...]:
    """Value what is in store at what those very birds cost.

    Parameters
    ----------
    charged : Charged
        The costs.
    held_lb : mapping of (str, date) to Decimal
        Pounds in store by lot and processing day [lb].

    Returns
    -------
    tuple of Held
        Stock and what was taken out add up to the batch's cost exactly.

    Raises
    ------
    InputError
        If more is in store than was packed, or a batch is unknown.

    References
    ----------
    Specific identification: each pack carries the cost of its batch (textbook, unverified).
    """
    place = {(one.lot, one.day): at for at, one in enumerate(charged.batches)}
    totals = [0] * len(charged.batches)
    for one in charged.charges:
        totals[one.batch] += one.cents
    found = []
    for key, amount in held_lb.items():
        at = place.get(key)
        packed = Fraction(0) if at is None else Fraction(charged.batches[at].dressed_lb)
        if at is None or not 0 <= amount <= packed:
            raise InputError(
                "held_lb",
                amount,
                _("Of lot {lot} no more can be in store than was packed.").format(lot=key[0]),
            )
        held = Fraction(amount)
        cents = share_out(totals[at], [held, packed - held])[0] if packed else 0
        found.append(Held(charged.batches[at], held, cents))
    return tuple(found)
