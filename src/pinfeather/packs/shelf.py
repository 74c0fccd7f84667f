"""What goes out first, how long it keeps, and what a count of the shelf says."""

from __future__ import annotations

import datetime as dt
import tomllib
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from functools import cache
from importlib import resources
from typing import Any, Final

from pinfeather.errors import InputError
from pinfeather.packs.stock import Kept
from pinfeather.rules.deadlines import add_months
from pinfeather.words import gettext as _

FORMS: Final = ("whole", "parts", "giblets")
_GIBLETS: Final = ("giblet", "liver", "heart", "gizzard", "neck", "feet", "foot")
_SPECIES: Final = ("turkey", "duck", "goose", "guinea", "chicken")


def form_of(product: str) -> str:
    """Tell whole birds, parts and giblets apart by the name of a product.

    Parameters
    ----------
    product : str
        As on the label.

    Returns
    -------
    str
        ``"whole"``, ``"parts"`` or ``"giblets"``.

    References
    ----------
    9 CFR 381.1 for giblets; necks and feet are kept as they are, since they keep no longer.

    Examples
    --------
    >>> form_of("Livers, hearts and gizzards"), form_of("Young chicken, whole")
    ('giblets', 'whole')
    """
    words = product.casefold()
    if any(part in words for part in _GIBLETS):
        return "giblets"
    return "whole" if "whole" in words else "parts"


def species_of(product: str) -> str:
    """Tell the kind of bird by the name of a product.

    Parameters
    ----------
    product : str
        As on the label.

    Returns
    -------
    str
        A kind; empty where the name says none.

    References
    ----------
    Derivation: the first kind named.

    Examples
    --------
    >>> species_of("Whole turkey"), species_of("Necks and feet")
    ('turkey', '')
    """
    words = product.casefold()
    return next((kind for kind in _SPECIES if kind in words), "")


@dataclass(frozen=True, slots=True)
class Keeps:
    """Until when a package keeps its quality.

    Parameters
    ----------
    until : datetime.date
        Last day.
    source : str
        Where the time is published.
    status : str
        How the source is known.
    """

    until: dt.date
    source: str
    status: str


@cache
def _table() -> Mapping[str, Any]:
    return tomllib.loads((resources.files("pinfeather.packs") / "shelf.toml").read_text("utf-8"))


def keeps(product: str, packed_on: dt.date, *, frozen: bool, species: str = "") -> Keeps:
    """Return until when a package keeps its quality.

    Parameters
    ----------
    product : str
        As on the label.
    packed_on : datetime.date
        Day of packing.
    frozen : bool
        Whether it is kept at 0 °F or colder.
    species : str
        Kind of bird where the product does not name it.

    Returns
    -------
    Keeps
        The last day, with its source.

    Notes
    -----
    Frozen food stays safe; the date is one of quality. Refrigerated raw poultry is to be cooked or
    frozen by its date. Whole waterfowl and parts of it keep a shorter time than chicken.

    References
    ----------
    US Department of Health and Human Services, Cold Food Storage Chart; USDA Food Safety and
    Inspection Service.

    Examples
    --------
    >>> keeps("Whole chicken", dt.date(2026, 2, 28), frozen=True).until
    datetime.date(2027, 2, 28)
    """
    kind, form = species or species_of(product), form_of(product)
    water = kind in ("duck", "goose") and form != "giblets"
    row = _table()["waterfowl" if water else form]
    if frozen:
        until = add_months(packed_on, int(row["freezer_months"]))
    else:
        until = packed_on + dt.timedelta(days=int(row["refrigerator_d"]))
    return Keeps(until, str(row["source"]), str(row["status"]))


def next_out(packages: Iterable[Kept]) -> tuple[Kept, ...]:
    """Put packages in the order they should leave: first frozen, first out.

    Parameters
    ----------
    packages : iterable of Kept
        Any.

    Returns
    -------
    tuple of Kept
        Free packages only, the longest kept first.

    References
    ----------
    Derivation: by day of packing, then number; nothing on hold, promised or gone.
    """
    free = [one for one in packages if one.free]
    return tuple(sorted(free, key=lambda k: (k.born.packed_on, k.born.lot_code, k.born.number)))


@dataclass(frozen=True, slots=True)
class Counted:
    """What a count of one place found.

    Parameters
    ----------
    right : tuple of str
        Packages found where they should be.
    missing : tuple of str
        Packages that should be there and were not seen.
    strayed : tuple of str
        Packages in stock that should be somewhere else.
    back : tuple of str
        Packages seen that the ledger has as gone.
    unknown : tuple of str
        Codes that are no package of this farm.
    """

    right: tuple[str, ...]
    missing: tuple[str, ...]
    strayed: tuple[str, ...]
    back: tuple[str, ...]
    unknown: tuple[str, ...]

    @property
    def agrees(self) -> bool:
        """Whether the shelf is as the ledger says."""
        return not (self.missing or self.strayed or self.back or self.unknown)


def count_place(kept: Mapping[str, Kept], *, place: str, seen: Collection[str]) -> Counted:
    """Compare what was seen in a place with what the ledger has there.

    Parameters
    ----------
    kept : mapping of str to Kept
        Every package that may be there, by id.
    place : str
        The place counted.
    seen : collection of str
        Ids of the packages seen.

    Returns
    -------
    Counted
        Every package seen or expected, in exactly one of its lists.

    References
    ----------
    Derivation: two sets, compared.
    """
    here = {ident for ident, one in kept.items() if one.in_stock and one.place == place}
    found = set(seen)
    strange = found - here
    return Counted(
        right=tuple(sorted(here & found)),
        missing=tuple(sorted(here - found)),
        strayed=tuple(sorted(i for i in strange if i in kept and kept[i].in_stock)),
        back=tuple(sorted(i for i in strange if i in kept and not kept[i].in_stock)),
        unknown=tuple(sorted(strange - set(kept))),
    )


def shrink_frac(missing: float, *, opening: float, packed: float) -> float:
    """Return what went missing as a share of what there was to keep.

    Parameters
    ----------
    missing : float
        Packages or pounds missing at the count [any unit].
    opening, packed : float
        In stock at the start, and packed since, in the same measure [same].

    Returns
    -------
    float
        Share of opening and packed together; zero where there was nothing [1].

    Raises
    ------
    InputError
        If a number is negative.

    References
    ----------
    Derivation: common practice of stock counts; the base is stated because others divide by sales.

    Examples
    --------
    >>> shrink_frac(2, opening=40, packed=120)
    0.0125
    """
    for name, value in (("missing", missing), ("opening", opening), ("packed", packed)):
        if value < 0:
            raise InputError(name, value, _("This cannot be less than nothing."))
    whole = opening + packed
    return missing / whole if whole else 0.0
