"""The cheapest mix that meets every need, what each need costs, and what the sum leaves out."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import TYPE_CHECKING, Any, Final

import numpy as np
from numpy.typing import NDArray

from pinfeather.errors import ConvergenceError, InputError
from pinfeather.finding import Finding, Severity
from pinfeather.flock.curves import Species
from pinfeather.flock.feedstuffs import Ingredient, Need
from pinfeather.flock.guards import positive
from pinfeather.flock.ration_pitfalls import pitfalls
from pinfeather.words import gettext as _

if TYPE_CHECKING:
    from scipy.optimize import OptimizeResult

Floats = NDArray[np.float64]

_NEAR: Final = 1e-7


@dataclass(frozen=True, slots=True)
class Binding:
    """A limit that costs money.

    Parameters
    ----------
    what : str
        Nutrient or ingredient.
    side : str
        ``"least"`` or ``"most"``.
    limit : float
        Where it stands, as in the need [1].
    worth_cents_per_kg : float
        Change of the price of the mix for one unit more of the limit (a share of 1, or J/kg)
        [cent/kg].
    """

    what: str
    side: str
    limit: float
    worth_cents_per_kg: float


@dataclass(frozen=True, slots=True)
class Mix:
    """The cheapest mix.

    Parameters
    ----------
    shares : dict of str to float
        By ingredient; zeros left out [1].
    cents_per_kg : Decimal
        Price of the mix, to a hundred-thousandth of a cent.
    content : dict of str to float
        By nutrient asked for; ``energy`` in J/kg [1].
    binding : tuple of Binding
        Limits that cost money, the dearest to keep first.
    met : bool
        Whether every need is met; otherwise the mix is only the nearest one, and findings say what
        is short.
    findings : tuple of Finding
        Pitfalls of this mix.
    """

    shares: dict[str, float]
    cents_per_kg: Decimal
    content: dict[str, float]
    binding: tuple[Binding, ...]
    met: bool
    findings: tuple[Finding, ...]


def cheapest_mix(
    ingredients: Sequence[Ingredient], needs: Sequence[Need], *, species: Species = "chicken"
) -> Mix:
    """Return the cheapest mix that meets every need.

    Parameters
    ----------
    ingredients : sequence of Ingredient
        What can be had, with prices and limits.
    needs : sequence of Need
        What the mix must have.
    species : str
        Who eats it, for the pitfalls.

    Returns
    -------
    Mix
        With what each limit costs, and the pitfalls of the mix.

    Raises
    ------
    InputError
        If there is no ingredient, a name stands twice, or limits of shares cannot add up to one.
    ConvergenceError
        If the solver gives up.

    Notes
    -----
    Cheapest for a fixed specification is not the most profitable: a little less of the dearest
    nutrient may cost less than it saves. The worth of each limit says where to look.

    References
    ----------
    Waugh 1951, Journal of Farm Economics 33:299-310 (the diet as a linear programme); HiGHS:
    Huangfu and Hall 2018, Mathematical Programming Computation 10:119-142.
    """
    _check(ingredients, needs)
    price = np.array([float(i.cents_per_kg) for i in ingredients])
    rows, limits, labels = _rows(ingredients, needs)
    found = _solve(price, ingredients, rows=rows, limits=limits)
    if found.status == 0:
        marginal = np.asarray(found.ineqlin.marginals)
        binding = [
            Binding(
                need.nutrient,
                side,
                (need.least if side == "least" else need.most) or 0.0,
                float(-m if side == "least" else m) / _scale(need.nutrient),
            )
            for (need, side), m in zip(labels, marginal, strict=True)
            if abs(m) > _NEAR
        ]
        for side, limit, part in (("most", "most", found.upper), ("least", "least", found.lower)):
            binding += [
                Binding(one.name, side, float(getattr(one, limit)), float(m))
                for one, m in zip(ingredients, part.marginals, strict=True)
                if abs(m) > _NEAR and 0 < getattr(one, limit) < 1
            ]
        binding.sort(key=lambda b: -abs(b.worth_cents_per_kg * b.limit))
        return _mix(found.x, ingredients, needs, binding=binding, species=species)
    if found.status != 2:  # noqa: PLR2004 - HiGHS through scipy: 2 is infeasible
        raise ConvergenceError(str(found.message))
    # the nearest mix: least shortfall, each as a share of what was asked
    spare = np.eye(len(limits)) * np.maximum(np.abs(limits), _NEAR)
    near = _solve(
        np.concatenate([price * 1e-6, np.ones(len(limits))]),
        ingredients,
        rows=np.hstack([rows, -spare]),
        limits=limits,
    )
    if near.status != 0:
        raise ConvergenceError(str(near.message))
    short = [
        (need, side, float(over))
        for (need, side), over in zip(labels, near.x[len(price) :], strict=True)
        if over > _NEAR
    ]
    mix = _mix(near.x[: len(price)], ingredients, needs, binding=[], species=species)
    told = tuple(_short(need, side, by) for need, side, by in short)
    return Mix(
        mix.shares, mix.cents_per_kg, mix.content, (), met=False, findings=told + mix.findings
    )


def content_of(
    shares: Mapping[str, float], ingredients: Sequence[Ingredient], nutrients: Sequence[str]
) -> dict[str, float]:
    """Return what a mix has of some nutrients.

    Parameters
    ----------
    shares : mapping of str to float
        By ingredient [1].
    ingredients : sequence of Ingredient
        With their content.
    nutrients : sequence of str
        Which.

    Returns
    -------
    dict of str to float
        Share of the mix; ``energy`` in J/kg [1].

    References
    ----------
    Derivation: weighted sums.
    """
    by_name = {one.name: one.content for one in ingredients}
    return {
        n: sum(share * by_name[name].get(n, 0.0) for name, share in shares.items())
        for n in nutrients
    }


def _scale(nutrient: str) -> float:
    """Energy is solved for in MJ/kg, so that all numbers are of a size."""
    return 1e6 if nutrient == "energy" else 1.0


def _rows(
    ingredients: Sequence[Ingredient], needs: Sequence[Need]
) -> tuple[Floats, Floats, list[tuple[Need, str]]]:
    rows, limits, labels = [], [], []
    for need in needs:
        scale = _scale(need.nutrient)
        row = np.array([i.content.get(need.nutrient, 0.0) for i in ingredients]) / scale
        for side, sign, limit in (("least", -1.0, need.least), ("most", 1.0, need.most)):
            if limit is not None:
                rows.append(sign * row)
                limits.append(sign * limit / scale)
                labels.append((need, side))
    return np.array(rows).reshape(len(limits), len(ingredients)), np.array(limits), labels


def _solve(
    price: Floats, ingredients: Sequence[Ingredient], *, rows: Floats, limits: Floats
) -> OptimizeResult:
    from scipy.optimize import linprog

    n = len(ingredients)
    bounds: list[Any] = [(i.least, i.most) for i in ingredients]
    bounds += [(0, None)] * (len(price) - n)
    whole = np.concatenate([np.ones(n), np.zeros(len(price) - n)])[None, :]
    given: dict[str, Any] = {"A_ub": rows, "b_ub": limits} if len(limits) else {}
    return linprog(price, A_eq=whole, b_eq=[1.0], bounds=bounds, method="highs", **given)


def _mix(
    x: Floats,
    ingredients: Sequence[Ingredient],
    needs: Sequence[Need],
    *,
    binding: Sequence[Binding],
    species: Species,
) -> Mix:
    shares = {i.name: float(s) for i, s in zip(ingredients, x, strict=True) if s > _NEAR}
    cost = sum((Decimal(repr(shares.get(i.name, 0.0))) * i.cents_per_kg for i in ingredients),
               start=Decimal(0))  # fmt: skip
    content = content_of(shares, ingredients, [n.nutrient for n in needs])
    findings = pitfalls(shares, species)
    return Mix(shares, cost.quantize(Decimal("0.00001")), content, tuple(binding), True, findings)


def _short(need: Need, side: str, by: float) -> Finding:
    limit = (need.least if side == "least" else need.most) or 0.0
    got = limit * (1 - by) if side == "least" else limit * (1 + by)
    words = (
        _("{what}: these ingredients come {by:.1f} % short of what is asked.")
        if side == "least"
        else _("{what}: these ingredients go {by:.1f} % over what is allowed.")
    )
    return Finding(
        "ration.short",
        Severity.STOP,
        words.format(what=need.nutrient, by=100 * by),
        _("Add an ingredient that is rich in it, raise a limit, or ask less."),
        where=need.nutrient,
        measured=got,
        limit=limit,
        unit="J/kg" if need.nutrient == "energy" else "1",
    )


def _check(ingredients: Sequence[Ingredient], needs: Sequence[Need]) -> None:
    if not ingredients:
        raise InputError("ingredients", (), _("Name at least one ingredient."))
    names = [i.name for i in ingredients]
    if len(set(names)) < len(names):
        raise InputError("ingredients", names, _("An ingredient stands twice."))
    for i, one in enumerate(ingredients):
        if not 0 <= one.least <= one.most <= 1:
            raise InputError(
                f"ingredients[{i}]", (one.least, one.most), _("Limits are shares, least first.")
            )
        if not one.cents_per_kg >= 0:
            raise InputError(f"ingredients[{i}]", one.cents_per_kg, _("A price is zero or more."))
    if (
        sum(i.least for i in ingredients) > 1 + _NEAR
        or sum(i.most for i in ingredients) < 1 - _NEAR
    ):
        raise InputError(
            "ingredients", names, _("With these limits the shares cannot add up to the whole.")
        )
    for need in needs:
        if need.least is not None:
            positive(f"needs[{need.nutrient}]", need.least + 1e-12)
        if need.least is not None and need.most is not None and need.most < need.least:
            raise InputError(
                f"needs[{need.nutrient}]", need.most, _("The most is below the least.")
            )
