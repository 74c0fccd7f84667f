"""Prices as people write them: a sum of dollars, for a bird, a pound or an hour."""

from __future__ import annotations

import re
from decimal import Decimal
from typing import Final

from pinfeather.mapping import MappingReader
from pinfeather.units import KG_PER_LB
from pinfeather.words import gettext as _

_PRICE: Final = re.compile(
    r"\$\s*(?P<sum>\d{1,7}(?:\.\d{1,4})?)\s*(?:(?:/|per|an|a|each)\s*(?P<per>[a-z]*))?",
    re.IGNORECASE,
)
_PER: Final = {
    "": "bird", "each": "bird", "bird": "bird", "chick": "bird", "poult": "bird",
    "duckling": "bird", "lb": "lb", "pound": "lb", "kg": "kg", "h": "h", "hour": "h",
}  # fmt: skip
_KG: Final = {"lb": Decimal(str(KG_PER_LB)), "kg": Decimal(1)}


def dollars_cents(read: MappingReader, name: str, *, default: str | None = None) -> Decimal:
    """Read a sum of money, ``$40`` or ``$2.05 each``.

    Parameters
    ----------
    read : MappingReader
        Where.
    name : str
        Under which name.
    default : str or None
        Where nothing is written; None asks for it.

    Returns
    -------
    Decimal
        In cents, fractions kept; zero after a fault.

    References
    ----------
    Decision record 0002: nothing is guessed.
    """
    found = _read(read, name, default=default, allowed=("bird",), example="$2.05")
    return found[0]


def price_cents_per_kg(read: MappingReader, name: str, *, default: str | None = None) -> Decimal:
    """Read a price by weight, ``$5.75/lb``.

    Parameters
    ----------
    read : MappingReader
        Where.
    name : str
        Under which name.
    default : str or None
        Where nothing is written; None asks for it.

    Returns
    -------
    Decimal
        Cents a kilogram; zero after a fault.

    References
    ----------
    NIST Special Publication 811 (2008), Appendix B: the pound.
    """
    cents, per = _read(read, name, default=default, allowed=("lb", "kg"), example="$5.75/lb")
    return cents / _KG[per] if per in _KG else Decimal(0)


def price_cents_per_h(read: MappingReader, name: str, *, default: str | None = None) -> Decimal:
    """Read a price by the hour, ``$18/h``.

    Parameters
    ----------
    read : MappingReader
        Where.
    name : str
        Under which name.
    default : str or None
        Where nothing is written; None asks for it.

    Returns
    -------
    Decimal
        Cents an hour; zero after a fault.

    References
    ----------
    Decision record 0002: nothing is guessed.
    """
    return _read(read, name, default=default, allowed=("h",), example="$18/h")[0]


def either_price(
    read: MappingReader, name: str, *, default: str | None = None
) -> tuple[Decimal, Decimal]:
    """Read a price by weight or for a bird.

    Parameters
    ----------
    read : MappingReader
        Where.
    name : str
        Under which name.
    default : str or None
        Where nothing is written; None asks for it.

    Returns
    -------
    cents_per_kg : Decimal
        Zero where the price is for a bird.
    cents_per_bird : Decimal
        Zero where the price is by weight.

    References
    ----------
    Decision record 0002: nothing is guessed.
    """
    cents, per = _read(
        read, name, default=default, allowed=("lb", "kg", "bird"), example="$5.75/lb"
    )
    if per in _KG:
        return cents / _KG[per], Decimal(0)
    return Decimal(0), cents


def _read(
    read: MappingReader, name: str, *, default: str | None, allowed: tuple[str, ...], example: str
) -> tuple[Decimal, str]:
    value = read.raw(name) if read.has(name) else default
    problem = _("Write a price here, such as “{example}”.").format(example=example)
    if value is None:
        read.fault(name, None, problem)
        return Decimal(0), ""
    match = _PRICE.fullmatch(value.strip()) if isinstance(value, str) else None
    if match is None:
        read.fault(name, value, problem)
        return Decimal(0), ""
    per = _PER.get((match["per"] or "").lower(), "?")
    cents = Decimal(match["sum"]) * 100
    if per not in allowed and cents:
        read.fault(name, value, problem)
        return Decimal(0), ""
    return cents, per
