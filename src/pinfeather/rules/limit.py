"""A number from a rule, kept as published, with its source and how well it is known."""

from __future__ import annotations

import re
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final

from pinfeather.errors import InputError
from pinfeather.units import UNITS, Dimension, to_si
from pinfeather.words import gettext as _

STATUSES: Final = (
    "read",
    "second hand",
    "unverified",
    "disputable",
    "common practice",
    "assumed",
)
"""How a number is known, best first."""

IN_FORCE: Final = re.compile(r"(until )?\d{4}(-\d{2}(-\d{2})?)?|undated")
"""Year, month or day of the text a number was read in; ``until`` for a text since withdrawn,
``undated`` where the copy that was read did not say."""

_DIMENSIONS: Final[MappingProxyType[str, Dimension]] = MappingProxyType(
    {
        "F": "temperature",
        "C": "temperature",
        "s": "time",
        "min": "time",
        "h": "time",
        "d": "time",
        "lb": "mass",
        "oz": "mass",
        "kg": "mass",
        "g": "mass",
        "in": "length",
        "mm": "length",
        "in2": "area",
        "ppm": "strength",
        "%": "strength",
    }
)
_COUNTED: Final = ("birds", "packages", "times", "pH", "USD", "months", "years", "figures")


@dataclass(frozen=True, slots=True)
class Limit:
    """One number of a rule.

    Parameters
    ----------
    value : float
        As published [unit].
    unit : str
        As published, in its plain spelling (``"F"``, ``"lb"``, ``"h"``, ``"ppm"``, ``"birds"``).
    si : float
        The SI value by the same conversion as readings; counted things stay as they are [SI].
    citation : str
        Where the number stands.
    status : str
        One of :data:`STATUSES`.
    in_force : str
        Date or year of the text it was read in; ``"until …"`` for a text since
        withdrawn, ``"undated"`` where the copy did not say.
    note : str
        What else a reader should know; may be empty.
    """

    value: float
    unit: str
    si: float
    citation: str
    status: str
    in_force: str
    note: str = ""

    def __str__(self) -> str:
        """Return the number as published, for people."""
        number = f"{self.value:g}" if self.value < 1000 else f"{self.value:,.0f}"  # noqa: PLR2004 - thousands separator
        if self.unit == "USD":
            return f"${number}"
        if self.unit == "pH":
            return f"pH {number}"
        dimension = _DIMENSIONS.get(self.unit)
        symbol = self.unit if dimension is None else UNITS[dimension][self.unit].symbol
        return f"{number} {symbol}"


@dataclass(frozen=True, slots=True)
class Wording:
    """Words that a rule asks for or forbids, or a duty in plain words.

    Parameters
    ----------
    text : str
        The words themselves.
    citation : str
        Where they stand.
    status : str
        One of :data:`STATUSES`.
    in_force : str
        Date or year of the text they were read in.
    """

    text: str
    citation: str
    status: str
    in_force: str


def limit(
    value: float,
    unit: str,
    *,
    citation: str,
    status: str,
    in_force: str,
    note: str = "",
    where: str = "limit",
) -> Limit:
    """Make a limit from a published number.

    Parameters
    ----------
    value : float
        As published [unit].
    unit : str
        Its plain spelling.
    citation : str
        Where the number stands.
    status : str
        One of :data:`STATUSES`.
    in_force : str
        Date or year of the text.
    note : str
        What else to know.
    where : str
        Place in the profile, for a fault.

    Returns
    -------
    Limit
        With the SI value filled in.

    Raises
    ------
    InputError
        If the unit is not one that limits are published in.

    Notes
    -----
    Any finite number; conversion is exact to floating point.

    References
    ----------
    Derivation: :func:`pinfeather.units.to_si`, so that a reading of 40 °F equals a limit of 40 °F.

    Examples
    --------
    >>> str(limit(40, "F", citation="x", status="read", in_force="2014"))
    '40 °F'
    """
    dimension = _DIMENSIONS.get(unit)
    if dimension is None and unit not in _COUNTED:
        raise InputError(
            where,
            unit,
            _("“{unit}” is not a unit limits are written in. Use one of: {units}.").format(
                unit=unit, units=", ".join([*_DIMENSIONS, *_COUNTED])
            ),
        )
    si = float(value) if dimension is None else to_si(float(value), unit, dimension)
    return Limit(float(value), unit, si, citation, status, in_force, note)
