"""Whether a purchase is worth it: when it is paid back, and what it is worth today."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Final

from pinfeather.errors import InputError, InputFaultsError
from pinfeather.money.cents import Exact, half_up
from pinfeather.words import gettext as _

LONGEST_YEARS: Final = 60


@dataclass(frozen=True, slots=True)
class Worth:
    """What a purchase comes to.

    Parameters
    ----------
    payback_years : Fraction or None
        Until what it saves has paid for it, without interest; None where it never does.
    discounted_years : Fraction or None
        The same with interest.
    present_cents : int
        Net present value: what it is worth today beyond its price [cents].
    """

    payback_years: Fraction | None
    discounted_years: Fraction | None
    present_cents: int


def present_value(flows_cents: Sequence[int], rate_frac: Exact) -> int:
    """Return what sums at the ends of years are worth today.

    Parameters
    ----------
    flows_cents : sequence of int
        The first is now, the next a year on, and so forth; what is paid is negative [cents].
    rate_frac : Decimal or Fraction
        Interest a year [1].

    Returns
    -------
    int
        Rounded half up [cents].

    Raises
    ------
    InputError
        If the rate is not above minus 100 %.

    References
    ----------
    Net present value: textbook.

    Examples
    --------
    >>> present_value([-1000, 1100], Fraction(1, 10))
    0
    """
    if rate_frac <= -1:
        raise InputError("rate_frac", rate_frac, _("Interest lies above −100 % a year."))
    growth = 1 + Fraction(rate_frac)
    return half_up(sum((cents / growth**n for n, cents in enumerate(flows_cents)), Fraction(0)))


def worth(
    price_cents: int, *, saves_cents: int, years: int, rate_frac: Exact, salvage_cents: int = 0
) -> Worth:
    """Say when a purchase is paid back and what it is worth.

    Parameters
    ----------
    price_cents : int
        What it costs now [cents].
    saves_cents : int
        What it brings or saves each year, its own running cost taken off [cents].
    years : int
        How long it serves.
    rate_frac : Decimal or Fraction
        Interest a year: what the money would earn or what a loan takes [1].
    salvage_cents : int
        What it still brings at the end [cents].

    Returns
    -------
    Worth
        Part years count evenly within a year. What it brings at the end is in the present value
        only.

    Raises
    ------
    InputFaultsError
        If price, years, rate or salvage are out of range.

    References
    ----------
    Payback and net present value: textbook.
    """
    faults = []
    if price_cents < 0:
        faults.append(InputError("price_cents", price_cents, _("A price is zero or more.")))
    if not 1 <= years <= LONGEST_YEARS:
        faults.append(InputError("years", years, _("Between 1 and 60 years.")))
    if not 0 <= rate_frac <= 1:
        faults.append(
            InputError("rate_frac", rate_frac, _("Interest lies between 0 and 100 % a year."))
        )
    if not 0 <= salvage_cents <= price_cents:
        faults.append(
            InputError(
                "salvage_cents", salvage_cents, _("At the end it is worth no more than it cost.")
            )
        )
    if faults:
        raise InputFaultsError(faults)
    growth = 1 + Fraction(rate_frac)
    even = [Fraction(saves_cents)] * years
    with_interest = [cents / growth**n for n, cents in enumerate(even, start=1)]
    flows = [-price_cents, *([saves_cents] * years)]
    flows[-1] += salvage_cents
    return Worth(
        _paid_back(price_cents, even),
        _paid_back(price_cents, with_interest),
        present_value(flows, rate_frac),
    )


def _paid_back(price_cents: int, yearly: Sequence[Fraction]) -> Fraction | None:
    open_cents = Fraction(price_cents)
    if open_cents == 0:
        return Fraction(0)
    for year, cents in enumerate(yearly):
        if cents > 0 and open_cents <= cents:
            return year + open_cents / cents
        open_cents -= cents
    return None
