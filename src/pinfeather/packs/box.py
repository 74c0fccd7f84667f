"""The label of an outer box: what the packages in it come to."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal

from pinfeather.errors import InputError
from pinfeather.words import gettext as _


@dataclass(frozen=True, slots=True)
class Boxed:
    """A package as the box's label needs it.

    Parameters
    ----------
    product : str
        Its name.
    net_lb : Decimal
        Net weight as printed [lb].
    lots : tuple of str
        Lot codes.
    total : Decimal or None
        Price; None where it has none [USD].
    """

    product: str
    net_lb: Decimal
    lots: tuple[str, ...]
    total: Decimal | None = None


@dataclass(frozen=True, slots=True)
class BoxContent:
    """What a box's label says.

    Parameters
    ----------
    packages : int
        How many.
    products : tuple of (str, int)
        Names with how many of each.
    net_lb : Decimal
        Sum of the printed net weights [lb].
    lots : tuple of str
        Every lot in it, once.
    total : Decimal or None
        Sum of the prices; None where one has none [USD].
    """

    packages: int
    products: tuple[tuple[str, int], ...]
    net_lb: Decimal
    lots: tuple[str, ...]
    total: Decimal | None


def box_content(packages: Sequence[Boxed]) -> BoxContent:
    """Sum up the packages in a box.

    Parameters
    ----------
    packages : sequence of Boxed
        At least one.

    Returns
    -------
    BoxContent
        Count, sum of the printed weights, and every lot.

    Raises
    ------
    InputError
        If the box is empty.

    Notes
    -----
    The weight is the sum of what the packages say, so that anybody can add it up again.

    References
    ----------
    Derivation: sums.
    """
    if not packages:
        raise InputError("packages", packages, _("There is nothing in the box."))
    names: dict[str, int] = {}
    for one in packages:
        names[one.product] = names.get(one.product, 0) + 1
    prices = [one.total for one in packages]
    priced = [price for price in prices if price is not None]
    return BoxContent(
        packages=len(packages),
        products=tuple(names.items()),
        net_lb=sum((one.net_lb for one in packages), Decimal(0)),
        lots=tuple(_once(lot for one in packages for lot in one.lots)),
        total=sum(priced, Decimal(0)) if len(priced) == len(prices) else None,
    )


def _once(lots: Iterable[str]) -> list[str]:
    return sorted(dict.fromkeys(lots))
