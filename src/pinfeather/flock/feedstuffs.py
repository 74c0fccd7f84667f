"""What feeds hold, what birds need, and the square for mixing two."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Final

from pinfeather.errors import InputError
from pinfeather.flock.curves import Species
from pinfeather.flock.feed import J_PER_KCAL
from pinfeather.flock.tables import table
from pinfeather.words import gettext as _

_PERCENT: Final = 100.0


@dataclass(frozen=True, slots=True)
class Ingredient:
    """Something to mix in.

    Parameters
    ----------
    name : str
        As the farm calls it.
    cents_per_kg : Decimal
        Price.
    content : mapping of str to float
        Share by nutrient; ``energy`` in J/kg [1].
    least, most : float
        Limits of its share of the mix [1].
    """

    name: str
    cents_per_kg: Decimal
    content: Mapping[str, float]
    least: float = 0.0
    most: float = 1.0


@dataclass(frozen=True, slots=True)
class Need:
    """What the mix must have of one nutrient.

    Parameters
    ----------
    nutrient : str
        As in :class:`Ingredient`.
    least, most : float or None
        Limits of its share; of ``energy`` in J/kg [1].
    """

    nutrient: str
    least: float | None = None
    most: float | None = None


def pearson_square(low: float, high: float, target: float) -> tuple[float, float]:
    """Return the shares of two feeds that give a wanted protein.

    Parameters
    ----------
    low : float
        Protein of the one feed [1].
    high : float
        Protein of the other [1].
    target : float
        Wanted, between the two [1].

    Returns
    -------
    low_share : float
        Of the first feed [1].
    high_share : float
        Of the other [1].

    Raises
    ------
    InputError
        If the target does not lie between the two.

    Notes
    -----
    Looks at one nutrient only: amino acids, minerals, vitamins and energy are not balanced by it.

    References
    ----------
    Derivation: (high - target) and (target - low) over (high - low).

    Examples
    --------
    Corn at 8 % and soybean meal at 44 % to 20 %:

    >>> [round(s, 4) for s in pearson_square(0.08, 0.44, 0.20)]
    [0.6667, 0.3333]
    """
    if low == high or not min(low, high) <= target <= max(low, high):
        raise InputError(
            "target", target, _("The wanted protein must lie between those of the two feeds.")
        )
    return (high - target) / (high - low), (target - low) / (high - low)


def ingredient_names() -> tuple[str, ...]:
    """Return the ingredients of the packaged table.

    Returns
    -------
    tuple of str
        For :func:`ingredient`.

    References
    ----------
    National Research Council 1994, Nutrient Requirements of Poultry, Table 9; unverified.
    """
    return tuple(table("ration")["ingredients"])


def ingredient(
    name: str, cents_per_kg: Decimal, *, least: float = 0.0, most: float = 1.0
) -> Ingredient:
    """Return an ingredient of the packaged table at the farm's price.

    Parameters
    ----------
    name : str
        One of :func:`ingredient_names`.
    cents_per_kg : Decimal
        Price.
    least : float
        Least share of the mix [1].
    most : float
        Most [1].

    Returns
    -------
    Ingredient
        A nutrient the table has no number for counts as none.

    Raises
    ------
    InputError
        If there is no such ingredient.

    References
    ----------
    National Research Council 1994, Nutrient Requirements of Poultry, Table 9; unverified.
    """
    row = table("ration")["ingredients"].get(name)
    if row is None:
        known = ", ".join(ingredient_names())
        raise InputError("ingredient", name, _("Choose one of: {names}.").format(names=known))
    return Ingredient(name, cents_per_kg, {k: _si(k, v) for k, v in row.items()}, least, most)


def published_needs(
    species: Species, phase: str, *, energy_J_per_kg: float | None = None
) -> tuple[Need, ...]:
    """Return the published nutrient minima of a phase.

    Parameters
    ----------
    species : str
        ``"chicken"``, ``"turkey"`` or ``"duck"``.
    phase : str
        As in the table: ``"starter"``, ``"grower"`` or ``"finisher"`` of chickens.
    energy_J_per_kg : float or None
        Energy wanted in place of the table's, which is dear to reach on a farm [J/kg].

    Returns
    -------
    tuple of Need
        Minima, and a most of calcium and sodium.

    Raises
    ------
    InputError
        If there is no such phase.

    Notes
    -----
    Modern strains need more lysine than this.

    References
    ----------
    National Research Council 1994, Nutrient Requirements of Poultry; the packaged table
    ``ration.toml`` says how each is known. The most of calcium and sodium are our own.
    """
    phases = table("ration")["needs"][species]
    if phase not in phases:
        raise InputError(
            "phase", phase, _("Choose one of: {names}.").format(names=", ".join(phases))
        )
    most = table("ration")["most"]
    found = []
    for nutrient, value in phases[phase].items():
        least = _si(nutrient, value)
        if nutrient == "energy" and energy_J_per_kg is not None:
            least = energy_J_per_kg
        found.append(Need(nutrient, least, least * most[nutrient] if nutrient in most else None))
    return tuple(found)


def _si(nutrient: str, value: float) -> float:
    return value * J_PER_KCAL if nutrient == "energy" else value / _PERCENT
