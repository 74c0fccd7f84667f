"""What a package costs."""

from __future__ import annotations

from decimal import ROUND_HALF_UP, Decimal
from typing import Final

from pinfeather.errors import InputError
from pinfeather.words import gettext as _

CENT: Final = Decimal("0.01")


def total_price(net: Decimal, per_lb: Decimal) -> Decimal:
    """Return the price of a package from the weight printed on it.

    Parameters
    ----------
    net : Decimal
        Net weight as printed [lb].
    per_lb : Decimal
        Price per pound [USD/lb].

    Returns
    -------
    Decimal
        To the cent [USD].

    Raises
    ------
    InputError
        If the weight is not more than zero, or the price is negative or finer than a cent.

    Notes
    -----
    Rule: to the nearest cent, half a cent up, in decimal arithmetic, so that anybody can check it
    with the printed figures. (Binary arithmetic gives 15.92 for 3.50 lb at 4.55.)

    References
    ----------
    The profile's ``weights.price_rounding``; common practice for money.

    Examples
    --------
    >>> total_price(Decimal("3.50"), Decimal("4.55"))
    Decimal('15.93')
    """
    if not net.is_finite() or net <= 0:
        raise InputError("net", net, _("A net weight is more than zero."))
    if not per_lb.is_finite() or per_lb < 0 or per_lb != per_lb.quantize(CENT):
        raise InputError(
            "per_lb", per_lb, _("A price per pound is in dollars and whole cents, such as 5.49.")
        )
    return (net * per_lb).quantize(CENT, ROUND_HALF_UP)


def dollars(amount: Decimal) -> str:
    """Write an amount of money.

    Parameters
    ----------
    amount : Decimal
        Amount [USD].

    Returns
    -------
    str
        With dollar sign and two figures after the point.

    References
    ----------
    Derivation: format.

    Examples
    --------
    >>> dollars(Decimal("15.93"))
    '$15.93'
    """
    sign = "-" if amount < 0 else ""
    return f"{sign}${abs(amount):,.2f}"
