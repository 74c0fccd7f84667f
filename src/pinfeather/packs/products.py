"""What is packed: whole birds, halves, parts and giblets, and what each counts as."""

from __future__ import annotations

import functools
import tomllib
from dataclasses import dataclass
from importlib import resources
from typing import Any, Final, Literal

Counts = Literal["bird", "half", "part"]
_HALVES: Final = 2


@dataclass(frozen=True, slots=True)
class Product:
    """One kind of package.

    Parameters
    ----------
    name : str
        As it stands on the label.
    species : str
        Kind of bird; empty for a name the table does not know.
    counts : str
        ``"bird"``, ``"half"`` or ``"part"``.
    whole : bool
        Whether the whole bird is in the bag, so that a class name fits.
    cut : tuple of str
        Rows of the table of expected shares it is made of; empty for none.
    """

    name: str
    species: str
    counts: Counts
    whole: bool = False
    cut: tuple[str, ...] = ()


@functools.cache
def _table() -> dict[str, Any]:
    text = resources.files("pinfeather.packs").joinpath("products.toml").read_text("utf-8")
    return tomllib.loads(text)


@functools.cache
def products(species: str) -> tuple[Product, ...]:
    """Return what a kind of bird is packed as.

    Parameters
    ----------
    species : str
        ``"chicken"``, ``"turkey"``, ``"duck"``, ``"goose"``.

    Returns
    -------
    tuple of Product
        The whole bird first; empty for another kind.

    References
    ----------
    9 CFR 381.170(b) for the cuts; the packaged table ``products.toml``.

    Examples
    --------
    >>> products("duck")[0].name
    'Whole duck'
    """
    kind = _table()["kinds"].get(species)
    if kind is None:
        return ()
    return tuple(
        Product(
            name=row["words"].format(kind=kind, Kind=kind.capitalize()),
            species=species,
            counts=row["counts"],
            whole=row.get("whole", False),
            cut=tuple(row.get("cut", ())),
        )
        for row in _table()["forms"]
    )


def product(name: str) -> Product:
    """Return a product by its name.

    Parameters
    ----------
    name : str
        As it stands on the label; capitals do not matter.

    Returns
    -------
    Product
        One of the table, or one of that name that counts as part of a bird.

    References
    ----------
    The packaged table ``products.toml``.
    """
    wanted = " ".join(name.split()).casefold()
    for species in _table()["kinds"]:
        for one in products(species):
            if one.name.casefold() == wanted:
                return one
    return Product(" ".join(name.split()), "", "part")


def birds_counted(counts: Counts, halves_before: int) -> int:
    """Say how many birds a package adds to the count.

    Parameters
    ----------
    counts : str
        What it counts as.
    halves_before : int
        Halves of the same lot packed so far.

    Returns
    -------
    int
        1 for a bird; 1 for the first of two halves and 0 for the second; 0 for a part.

    References
    ----------
    Derivation: two halves are one bird.

    Examples
    --------
    >>> birds_counted("half", 0), birds_counted("half", 1), birds_counted("half", 2)
    (1, 0, 1)
    """
    if counts == "half":
        return 1 if halves_before % _HALVES == 0 else 0
    return 1 if counts == "bird" else 0
