"""When nothing is possible: the least change that would make it so."""

from __future__ import annotations

from dataclasses import replace
from typing import Final

import numpy as np

from pinfeather.finding import Finding, Severity
from pinfeather.season.asked import SeasonRequest
from pinfeather.season.matrix import Row
from pinfeather.season.model import season_model
from pinfeather.season.parts import Extra, Model
from pinfeather.season.plan import Relaxation
from pinfeather.season.steps import MassUnit, in_words, steps
from pinfeather.season.yields import Tables
from pinfeather.units import KG_PER_LB
from pinfeather.words import date_text
from pinfeather.words import gettext as _

LIMIT_S: Final = 15.0
_ALONE_S: Final = 4.0
_TINY: Final = 1e-4
_BIRDS: Final = 5.0
"""Birds an order goes short that weigh as much as a step of a room. Chosen: promises come last."""
_UNITS: Final = {
    "crew": "s", "pens": "m2", "feed": "kg", "chill": "kg", "refrigerator": "kg",
    "freezer": "kg", "brooder": "birds", "birds": "birds", "cap": "birds", "standing": "birds",
}  # fmt: skip


def least_change(
    request: SeasonRequest, tables: Tables, *, mass_unit: MassUnit
) -> tuple[tuple[Relaxation, ...], tuple[Finding, ...]]:
    """Find the least change to limits and orders that makes a plan possible.

    Parameters
    ----------
    request : SeasonRequest
        That nothing fulfils.
    tables : Tables
        What lots give.
    mass_unit : str
        ``"lb"`` or ``"kg"``.

    Returns
    -------
    relaxations : tuple of Relaxation
        All of them together make it possible.
    findings : tuple of Finding
        What one limit alone would do, where one is enough.

    References
    ----------
    Elastic programming, Chinneck 2008, Feasibility and Infeasibility in Optimization, section 6.1:
    the weighted sum of what the limits give is made as small as can be; one natural step of each
    weighs the same, five birds of an order as much as a step. From memory.
    """
    together = _solve(request, tables, mass_unit=mass_unit, only="", limit_s=LIMIT_S)
    notes = []
    codes = sorted({one.code for one in together})
    if len(codes) > 1 or codes in (["order"], ["standing"]):
        for code in _codes(request):
            if code == "order" and codes == ["order"]:
                continue
            alone = _solve(request, tables, mass_unit=mass_unit, only=code, limit_s=_ALONE_S)
            if alone:
                notes.append(
                    Finding(
                        "season.alone",
                        Severity.NOTE,
                        _("It can also be done by one kind of change alone."),
                        " ".join(one.sentence for one in alone),
                        where=code,
                    )
                )
    return together, tuple(notes)


def _codes(request: SeasonRequest) -> list[str]:
    cold = request.cold
    rooms = {
        "crew": True,
        "birds": any(day.most_birds is not None for day in request.days),
        "brooder": bool(request.brooders),
        "pens": np.isfinite(request.pens_m2),
        "feed": np.isfinite(request.feed.store_kg),
        "chill": np.isfinite(cold.chill_kg),
        "refrigerator": np.isfinite(cold.refrigerator_kg),
        "freezer": np.isfinite(cold.freezer_kg),
        "cap": request.cap.most is not None,
        "order": True,
    }
    return [code for code, there in rooms.items() if there]


def _solve(
    request: SeasonRequest, tables: Tables, *, mass_unit: MassUnit, only: str, limit_s: float
) -> tuple[Relaxation, ...]:
    """Solve with slack in every limit, or in those of one kind alone."""
    model = season_model(request, tables, Extra(elastic=True))
    slack = _slacks(model, mass_unit, only)
    cost = [0.0] * len(model.program.low)
    for column, (_row, weight) in slack.items():
        cost[column] = weight
    model.program.cost = cost
    solved = model.program.solve(gap_frac=0.01, limit_s=limit_s)
    if solved.x is None:
        return ()
    found = []
    for column, (row, _weight) in slack.items():
        amount = float(solved.x[column])
        if amount > _TINY:
            found.append(_relaxation(request, row, amount, mass_unit=mass_unit))
    return tuple(sorted(found, key=lambda one: (one.code, one.where)))


def _slacks(model: Model, mass_unit: MassUnit, only: str) -> dict[int, tuple[Row, float]]:
    known, found = steps(mass_unit), {}
    program = model.program
    by_kilogram = {o.key for o in model.request.orders if o.birds is None}
    for index, row in enumerate(list(program.rows)):
        if not row.code or (only and row.code != only):
            continue
        if row.code == "order":
            if program.row_low[index] == -np.inf:
                continue
            each = _BIRDS if row.where not in by_kilogram else _BIRDS * 4 * KG_PER_LB
            sides = ((1.0, 1 / each),)
        elif row.code == "standing":
            sides = ((1.0, 1 / _BIRDS),)
        else:
            sides = ((-1.0, 1 / known[row.code].amount),)
        for sign, weight in sides:
            column = program.column()
            program.put(index, column, sign)
            found[column] = (row, weight)
    return found


def _relaxation(
    request: SeasonRequest, row: Row, amount: float, *, mass_unit: MassUnit
) -> Relaxation:
    unit = _UNITS.get(row.code, "birds")
    words = in_words(row.code, amount, mass_unit)
    sentences = {
        "crew": _("{amount} more of hands on {where}."),
        "birds": _("{amount} more on {where}."),
        "brooder": _("Brooder room for {amount} more, for the lot {where}."),
        "pens": _("{amount} more pens from {where} on."),
        "feed": _("{amount} more in the feed store, or a delivery sooner, from {where} on."),
        "chill": _("Room to chill {amount} more on {where}."),
        "refrigerator": _("{amount} more refrigerator on {where}."),
        "freezer": _("{amount} more freezer on {where}."),
        "cap": _("{amount} more under the cap of {where}, or fewer birds in that year."),
        "standing": _("Lot {where}: no day for {amount}. Add a day, or let them get older."),
    }
    if row.code == "order":
        order = next(o for o in request.orders if o.key == row.where)
        if order.birds is None:
            unit, words = "kg", in_words("mass", amount, mass_unit)
        sentence = _("{name}, {date}: {amount} fewer, or a later pickup.").format(
            name=order.name, date=date_text(order.on), amount=words
        )
    else:
        sentence = sentences[row.code].format(amount=words, where=row.where)
    return Relaxation(row.code, row.where, amount, unit, sentence)


def without_firm(request: SeasonRequest) -> SeasonRequest:
    """Return a season in which every order is a wish.

    Parameters
    ----------
    request : SeasonRequest
        As asked.

    Returns
    -------
    SeasonRequest
        Otherwise the same.

    References
    ----------
    Derivation: promises taken off.
    """
    return replace(request, orders=tuple(replace(o, firm=False) for o in request.orders))
