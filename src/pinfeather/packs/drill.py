"""The balance of a recall drill: the birds of one lot against its packages, and where those are."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal
from typing import Final

from pinfeather.errors import InputError
from pinfeather.packs.trace import FOUND, Whereabouts
from pinfeather.words import gettext as _

HERE: Final = "here"
GOOD_HOURS: Final = 4.0
"""Common practice for a traceability exercise: every package accounted for within four hours [h];
unverified, no rule for small exempt shops names a time."""


@dataclass(frozen=True, slots=True)
class WhereSum:
    """The packages that went one way.

    Parameters
    ----------
    where : str
        As in :class:`pinfeather.packs.trace.Whereabouts`.
    packages : int
        How many.
    net_lb : Decimal
        Together [lb].
    """

    where: str
    packages: int
    net_lb: Decimal


@dataclass(frozen=True, slots=True)
class DrillBalance:
    """One lot, from the birds that went in to the packages that came out.

    Parameters
    ----------
    birds_in : int
        Birds of the lot counted into the chill.
    birds_packed : int
        Birds in packages of whole birds.
    birds_cut : int
        Birds cut into parts.
    birds_off : int
        Birds taken off the line after the chill, with a cause.
    sums : tuple of WhereSum
        The packages by where they are.
    """

    birds_in: int
    birds_packed: int
    birds_cut: int
    birds_off: int
    sums: tuple[WhereSum, ...]

    @property
    def birds_apart(self) -> int:
        """Birds in, less all that became of them; nought where the count balances."""
        return self.birds_in - self.birds_packed - self.birds_cut - self.birds_off

    @property
    def packages(self) -> int:
        """Packages of the lot."""
        return sum(one.packages for one in self.sums)

    @property
    def packed_lb(self) -> Decimal:
        """Their net weight [lb]."""
        return sum((one.net_lb for one in self.sums), Decimal(0))

    @property
    def in_shop(self) -> int:
        """Packages that should be in the shop, by the book."""
        return sum(one.packages for one in self.sums if one.where == HERE)

    def lost(self, seen: int) -> int:
        """Return the packages nobody can reach.

        Parameters
        ----------
        seen : int
            Packages found by hand in the shop.

        Returns
        -------
        int
            Those with no known buyer, those missing, and those the book has in the shop and
            nobody found.

        Raises
        ------
        InputError
            If more were seen than should be there, or fewer than none.

        References
        ----------
        Derivation: counts.
        """
        if not 0 <= seen <= self.in_shop:
            raise InputError(
                "seen", seen, _("By the book there are {n} in the shop.").format(n=self.in_shop)
            )
        away = sum(one.packages for one in self.sums if one.where not in FOUND)
        return away + self.in_shop - seen


def drill_balance(
    packages: Iterable[Whereabouts],
    *,
    birds_in: int,
    birds_packed: int,
    birds_cut: int,
    birds_off: int,
) -> DrillBalance:
    """Add up a lot.

    Parameters
    ----------
    packages : iterable of Whereabouts
        Every package of the lot.
    birds_in, birds_packed, birds_cut, birds_off : int
        As in :class:`DrillBalance`.

    Returns
    -------
    DrillBalance
        The balance.

    Raises
    ------
    InputError
        If a count of birds is negative.

    References
    ----------
    Derivation: what goes in comes out, is cut up, is taken off with a cause, or is missing.

    Examples
    --------
    >>> from decimal import Decimal
    >>> bags = [Whereabouts("a", Decimal("4.5"), "here"), Whereabouts("b", Decimal("4"), "buyer")]
    >>> found = drill_balance(bags, birds_in=3, birds_packed=2, birds_cut=0, birds_off=1)
    >>> found.birds_apart, found.packages, found.lost(1), found.lost(0)
    (0, 2, 0, 1)
    """
    for name, birds in (
        ("birds_in", birds_in),
        ("birds_packed", birds_packed),
        ("birds_cut", birds_cut),
        ("birds_off", birds_off),
    ):
        if birds < 0:
            raise InputError(name, birds, _("A count of birds cannot be negative."))
    sums: dict[str, tuple[int, Decimal]] = {}
    for one in packages:
        n, lb = sums.get(one.where, (0, Decimal(0)))
        sums[one.where] = n + 1, lb + one.net_lb
    return DrillBalance(
        birds_in,
        birds_packed,
        birds_cut,
        birds_off,
        tuple(WhereSum(where, n, lb) for where, (n, lb) in sums.items()),
    )
