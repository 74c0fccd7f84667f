"""Reference growth curves: packaged tables, or the farm's own breed booklet."""

from __future__ import annotations

import functools
import itertools
import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any, Final, Literal

import numpy as np
from numpy.typing import NDArray

from pinfeather.errors import InputError
from pinfeather.estimate import Basis, Origin
from pinfeather.flock.gompertz import fit_growth, growth_kg
from pinfeather.flock.tables import basis_of, table
from pinfeather.words import gettext as _

Floats = NDArray[np.float64]
Species = Literal["chicken", "turkey", "duck"]

_DAYS_PER_WEEK: Final = 7.0
_KG_PER_G: Final = 1e-3
_FEWEST_ROWS: Final = 3
_HATCH_KG: Final = {"chicken": 0.042, "turkey": 0.060, "duck": 0.055}
"""Weight at hatch [kg]; unverified for ducks."""


@dataclass(frozen=True, slots=True)
class Shape:
    """Mean weight by age.

    Parameters
    ----------
    ages_d : tuple of float
        Rising, the first above zero [d].
    weights_kg : tuple of float
        Above zero [kg].
    hatch_kg : float
        Weight at age zero [kg].
    """

    ages_d: tuple[float, ...]
    weights_kg: tuple[float, ...]
    hatch_kg: float


@dataclass(frozen=True, slots=True)
class Curve:
    """How a kind of bird grows, by sex or as hatched.

    Parameters
    ----------
    name : str
        Code.
    title : str
        In words.
    species : str
        ``"chicken"``, ``"turkey"`` or ``"duck"``.
    male, female : Shape or None
        Where the source splits the sexes.
    mixed : Shape or None
        Where it does not.
    basis : Basis
        Where it comes from and how that is known.
    note : str
        What else to know.
    """

    name: str
    title: str
    species: Species
    male: Shape | None
    female: Shape | None
    mixed: Shape | None
    basis: Basis
    note: str = ""


def curve_names() -> tuple[str, ...]:
    """Return the names of the packaged curves.

    Returns
    -------
    tuple of str
        For :func:`reference_curve`.

    References
    ----------
    The packaged table ``curves.toml``, each entry with its source.
    """
    return tuple(table("curves"))


@functools.cache
def reference_curve(name: str) -> Curve:
    """Return one packaged curve.

    Parameters
    ----------
    name : str
        One of :func:`curve_names`.

    Returns
    -------
    Curve
        With its source and how sure it is.

    Raises
    ------
    InputError
        If there is no such curve.

    References
    ----------
    The packaged table ``curves.toml``, each entry with its source.
    """
    entry = table("curves").get(name)
    if entry is None:
        raise InputError(
            "curve", name, _("Choose one of: {names}.").format(names=", ".join(curve_names()))
        )
    if "base" in entry:
        base = reference_curve(entry["base"])
        factor = entry["fast_days"] / entry["own_days"]
        male, female, mixed = (_stretched(s, factor) for s in (base.male, base.female, base.mixed))
    else:
        male, female, mixed = (_column(entry, sex) for sex in ("male", "female", "mixed"))
    return Curve(
        name, entry["title"], entry["species"], male, female, mixed, basis_of(entry), entry["note"]
    )


def curve_from_rows(
    title: str,
    rows: Sequence[tuple[float, float]],
    *,
    species: Species = "chicken",
    female_rows: Sequence[tuple[float, float]] = (),
    hatch_kg: float | None = None,
    source: str = "",
) -> Curve:
    """Return a curve typed in from a breed's booklet.

    Parameters
    ----------
    title : str
        The breed.
    rows : sequence of (float, float)
        Age and mean weight, as hatched; of males where ``female_rows`` are given [d], [kg].
    species : str
        ``"chicken"``, ``"turkey"`` or ``"duck"``.
    female_rows : sequence of (float, float)
        Age and mean weight of females [d], [kg].
    hatch_kg : float or None
        Weight at age zero; None takes the usual one, or the row at age zero [kg].
    source : str
        The booklet and its year.

    Returns
    -------
    Curve
        Usable wherever a packaged one is.

    Raises
    ------
    InputError
        If there are fewer than three rows after age zero, or ages or weights do not rise.

    References
    ----------
    Derivation: the rows as typed.
    """
    basis = Basis(Origin.TYPED, source or title, "")
    if female_rows:
        male = _typed("rows", rows, hatch_kg or _HATCH_KG[species])
        female = _typed("female_rows", female_rows, hatch_kg or _HATCH_KG[species])
        return Curve("own", title, species, male, female, None, basis)
    mixed = _typed("rows", rows, hatch_kg or _HATCH_KG[species])
    return Curve("own", title, species, None, None, mixed, basis)


def shape_kg(shape: Shape, age_d: float | Floats) -> Floats:
    """Return the mean weight at an age.

    Parameters
    ----------
    shape : Shape
        Weight by age.
    age_d : float or ndarray
        Ages; below zero counts as zero [d].

    Returns
    -------
    ndarray
        Weights [kg].

    Notes
    -----
    Between rows a smooth line that never bends against the rows; past the last row the Gompertz
    curve fitted to all of them, joined on. More than a few weeks past it is a guess.

    References
    ----------
    Fritsch and Carlson 1980, SIAM Journal on Numerical Analysis 17:238-246, on the logarithm of
    weight; independent comparison of methods on nine growth tables.
    """
    t = np.maximum(np.asarray(age_d, dtype=float), 0.0)
    last = shape.ages_d[-1]
    found: Floats = np.exp(_interpolator(shape)(np.minimum(t, last)))
    if np.any(t > last):
        tail, at_last = _tail(shape)
        found = np.where(
            t > last, shape.weights_kg[-1] / at_last * tail(np.maximum(t, last)), found
        )
    return found


def sexes_kg(curve: Curve, age_d: float | Floats) -> tuple[Floats, Floats]:
    """Return the mean weight of males and of females at an age.

    Parameters
    ----------
    curve : Curve
        Packaged or typed.
    age_d : float or ndarray
        Ages [d].

    Returns
    -------
    male_kg : ndarray
        Weights [kg].
    female_kg : ndarray
        Weights [kg].

    Notes
    -----
    A curve as hatched is split by the ratio of the sexes in the published tables of its species.

    References
    ----------
    National Research Council 1984 and 1994, Nutrient Requirements of Poultry (ratios of males to
    females by age).
    """
    if curve.male is not None and curve.female is not None:
        return shape_kg(curve.male, age_d), shape_kg(curve.female, age_d)
    assert curve.mixed is not None  # noqa: S101 - every curve has one or the other
    ratio = sex_ratio(curve.species, age_d)
    mean = shape_kg(curve.mixed, age_d)
    return mean * 2 * ratio / (1 + ratio), mean * 2 / (1 + ratio)


def sex_ratio(species: Species, age_d: float | Floats) -> Floats:
    """Return how much heavier males are than females at an age.

    Parameters
    ----------
    species : str
        ``"chicken"``, ``"turkey"`` or ``"duck"``.
    age_d : float or ndarray
        Ages; held at the last row beyond the tables [d].

    Returns
    -------
    ndarray
        Weight of males over weight of females [1].

    References
    ----------
    National Research Council 1984 and 1994, Nutrient Requirements of Poultry.
    """
    names = {"chicken": ("nrc_1984", "nrc_1994"), "turkey": ("turkey",), "duck": ("duck",)}
    t = np.asarray(age_d, dtype=float)
    each = []
    for name in names[species]:
        male, female = reference_curve(name).male, reference_curve(name).female
        assert male is not None  # noqa: S101 - those tables split the sexes
        assert female is not None  # noqa: S101
        held = np.minimum(t, male.ages_d[-1])
        each.append(shape_kg(male, held) / shape_kg(female, held))
    found: Floats = np.mean(each, axis=0)
    return found


def mean_kg(curve: Curve, age_d: float | Floats, share_male: float = 0.5) -> Floats:
    """Return the mean weight of a lot at an age.

    Parameters
    ----------
    curve : Curve
        Packaged or typed.
    age_d : float or ndarray
        Ages [d].
    share_male : float
        Males among the birds [1].

    Returns
    -------
    ndarray
        Weights [kg].

    References
    ----------
    Derivation: mean of the sexes by their shares.
    """
    male, female = sexes_kg(curve, age_d)
    found: Floats = share_male * male + (1 - share_male) * female
    return found


def _column(entry: dict[str, Any], sex: str) -> Shape | None:
    grams = entry.get(f"{sex}_g")
    if grams is None:
        return None
    ages = tuple(week * _DAYS_PER_WEEK for week in entry["weeks"])
    return Shape(ages, tuple(g * _KG_PER_G for g in grams), entry["hatch_g"] * _KG_PER_G)


def _stretched(shape: Shape | None, factor: float) -> Shape | None:
    if shape is None:
        return None
    return Shape(tuple(a / factor for a in shape.ages_d), shape.weights_kg, shape.hatch_kg)


def _typed(name: str, rows: Sequence[tuple[float, float]], hatch_kg: float) -> Shape:
    ordered = sorted(rows)
    if ordered and ordered[0][0] == 0:
        hatch_kg = ordered.pop(0)[1]
    if len(ordered) < _FEWEST_ROWS:
        raise InputError(name, len(ordered), _("A breed’s curve needs three rows or more."))
    ages, weights = (0.0, *(a for a, _w in ordered)), (hatch_kg, *(w for _a, w in ordered))
    rising = all(b > a for a, b in itertools.pairwise(ages))
    if not all(map(math.isfinite, (*ages, *weights))) or not rising or hatch_kg <= 0:
        raise InputError(name, tuple(rows), _("Ages must rise from row to row, each once."))
    for i, (before, after) in enumerate(itertools.pairwise(weights)):
        if not after > before:
            raise InputError(
                f"{name}[{i}]", after, _("A weight must be more than at the age before.")
            )
    return Shape(ages[1:], weights[1:], hatch_kg)


@functools.lru_cache(maxsize=512)
def _interpolator(shape: Shape) -> Callable[[Floats], Floats]:
    from scipy.interpolate import PchipInterpolator

    return PchipInterpolator([0.0, *shape.ages_d], np.log([shape.hatch_kg, *shape.weights_kg]))


@functools.lru_cache(maxsize=512)
def _tail(shape: Shape) -> tuple[Callable[[Floats], Floats], float]:
    ages, weights = shape.ages_d, shape.weights_kg
    if len(ages) == _FEWEST_ROWS:
        ages, weights = (0.0, *ages), (shape.hatch_kg, *weights)
    fit = fit_growth(ages, weights)

    def tail(t: Floats) -> Floats:
        return growth_kg(
            "gompertz",
            t,
            mature_kg=fit.mature_kg,
            rate_per_d=fit.rate_per_d,
            inflection_d=fit.inflection_d,
        )

    return tail, float(tail(np.array(ages[-1])))
