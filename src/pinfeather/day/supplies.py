"""What to have ready: bags, labels, gloves, propane, ice, strips."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

from pinfeather.quantity import show
from pinfeather.units import SECONDS_PER_HOUR
from pinfeather.words import gettext as _
from pinfeather.words import ngettext

_SPARE: Final = 1.1
"""A tenth more than counted, for tears and misprints. Assumed."""
_GLOVES_S: Final = 2 * SECONDS_PER_HOUR
"""A fresh pair every two hours and after each change of side. Assumed."""


@dataclass(frozen=True, slots=True)
class Supply:
    """One line of the packing list.

    Parameters
    ----------
    name : str
        What.
    amount : str
        How much, with its unit.
    reason : str
        How it was counted.
    """

    name: str
    amount: str
    reason: str


def supplies(
    *,
    birds: int,
    people: int,
    day_s: float,
    mixes: int,
    stock_m3: float,
    propane_kg: float,
    ice_kg: float,
    mass_unit: str = "lb",
) -> tuple[Supply, ...]:
    """Count what the day uses up.

    Parameters
    ----------
    birds : int
        Birds to pack whole.
    people : int
        People at work.
    day_s : float
        From set-up to clean-up [s].
    mixes : int
        Times the sanitiser is mixed.
    stock_m3 : float
        Bleach for one mix [m3].
    propane_kg, ice_kg : float
        From the plan, with reserve [kg].
    mass_unit : str
        Unit for the list.

    Returns
    -------
    tuple of Supply
        The packing list.

    References
    ----------
    The comments beside each share in this module.
    """
    packs = math.ceil(birds * _SPARE)
    pairs = people * math.ceil(day_s / _GLOVES_S)
    birds_words = ngettext("{n} bird", "{n} birds", birds).format(n=birds)
    return (
        Supply(
            _("Bags and ties"), str(packs), _("{birds} and a tenth spare").format(birds=birds_words)
        ),
        Supply(_("Labels"), str(packs), _("{birds} and a tenth spare").format(birds=birds_words)),
        Supply(
            _("Pairs of gloves"),
            str(pairs),
            _("{n} people, a fresh pair every two hours").format(n=people),
        ),
        Supply(_("Test strips"), str(2 * mixes), _("two for each of {n} mixes").format(n=mixes)),
        Supply(
            _("Bleach"),
            show(stock_m3 * mixes, "mL", "volume", decimals=0),
            _("{n} mixes, by the strength on the jug").format(n=mixes),
        ),
        Supply(
            _("Propane"),
            show(propane_kg, mass_unit, "mass", decimals=1),
            _("warm-up, holding, a quarter in reserve"),
        ),
        Supply(
            _("Ice"),
            show(ice_kg, mass_unit, "mass", decimals=0),
            _("birds, fill water, walls, and a reserve"),
        ),
        Supply(_("Knives, hones, cut-resistant gloves"), str(people), _("one set a person")),
        Supply(_("First-aid kit, paper towels, soap, clean aprons"), "1", _("within reach")),
    )
