"""Which units fit which number of a profile: a temperature is never given in hours."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from pinfeather.words import gettext as _

_TEMPERATURE: Final = ("F", "C")
_TIME: Final = ("s", "min", "h", "d")
_MASS: Final = ("lb", "oz", "kg", "g")
_STRENGTH: Final = ("ppm", "%")
_LENGTH: Final = ("in", "mm")
UNITS_OF: Final[Mapping[str, tuple[str, ...]]] = {
    **dict.fromkeys(
        (
            "target", "giblets_target", "cutting_rise", "hold", "long_hold", "warm_freezer",
            "fresh_frozen_hold", "fresh_above", "fresh_single_reading",
            "fresh_single_reading_in_plant", "frozen_at", "hot_water", "min_temperature",
            "cleaning.up_to",
        ),
        _TEMPERATURE,
    ),
    **dict.fromkeys(
        (
            "within", "giblets_within", "hold_hours", "long_hold_after", "pick_to_chill",
            "cut_to_drawn", "giblets_to_cold", "warm_within", "fresh_frozen_within",
            "hot_water_contact", "every", "contact", "lead_time", "change_notice",
            "water_test_age",
        ),
        _TIME,
    ),
    **dict.fromkeys(
        ("below", "ounces_only_below", "dual_below", "household_quantity", "other_quantity"), _MASS
    ),
    **dict.fromkeys(
        (
            "warn_at", "urge_at", "dose_tolerance", "most", "most_public_eating",
            "ask_label_above", "strength", "max_hardness", "household_share",
        ),
        _STRENGTH,
    ),
    **dict.fromkeys(("height", "statement_height"), _LENGTH),
    **dict.fromkeys(("net_weight_heights.up_to", "no_placement_up_to"), ("in2",)),
    **dict.fromkeys(("adjust_when_over", "adjust_to", "dollars_by_year"), ("USD",)),
    "cap": ("birds",),
    "well_test_months": ("months",),
    "keep": ("months", "years"),
    "max_pH": ("pH",),
    "fixed_factor": ("times",),
    "decimals": ("figures",),
}  # fmt: skip
"""By the last word of the path; the table before it where one word means two things."""


def units_of(path: str) -> tuple[str, ...]:
    """Return the units a number may be given in.

    Parameters
    ----------
    path : str
        Where it is in a profile file.

    Returns
    -------
    tuple of str
        Their plain spellings; empty where any will do.

    References
    ----------
    Derivation: lookup.

    Examples
    --------
    >>> units_of("chill.bands[1].within")
    ('s', 'min', 'h', 'd')
    """
    *before, last = path.split(".")
    table = before[-1].partition("[")[0] if before else ""
    for name in (f"{table}.{last}", table if last.isdecimal() else last):
        if name in UNITS_OF:
            return UNITS_OF[name]
    return ()


def unit_fault(path: str, unit: str) -> str:
    """Say in a sentence that a unit does not fit, or nothing.

    Parameters
    ----------
    path : str
        Where the number is in a profile file.
    unit : str
        Its unit's plain spelling.

    Returns
    -------
    str
        Empty where the unit fits.

    References
    ----------
    Derivation: lookup.
    """
    fitting = units_of(path)
    if not fitting or unit in fitting:
        return ""
    return _("“{unit}” does not fit this number. Use one of: {units}.").format(
        unit=unit, units=", ".join(fitting)
    )
