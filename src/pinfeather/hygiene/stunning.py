"""Least current of an electrical waterbath, by kind of bird and frequency."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from pinfeather.errors import InputError
from pinfeather.hygiene.tables import table
from pinfeather.words import gettext as _

KINDS: Final = ("chicken", "turkey", "duck", "goose", "quail")


@dataclass(frozen=True, slots=True)
class LeastCurrent:
    """What a waterbath must pass through each bird.

    Parameters
    ----------
    current_mA : float or None
        Average for each animal [mA]; None where that frequency is not permitted.
    least_s : float
        For at least so long [s].
    citation, status : str
        Where the numbers stand, and how they are known.
    """

    current_mA: float | None
    least_s: float
    citation: str
    status: str


def least_current(kind: str, *, frequency_Hz: float) -> LeastCurrent:
    """Return the least current of a waterbath.

    Parameters
    ----------
    kind : str
        One of :data:`KINDS`.
    frequency_Hz : float
        Of the current [Hz].

    Returns
    -------
    LeastCurrent
        Current and time.

    Raises
    ------
    InputError
        If the kind is unknown, or the frequency is not in the table.

    References
    ----------
    Regulation (EC) 1099/2009, Annex I, chapter II, 6.3, table 2.
    """
    if kind not in KINDS:
        raise InputError("kind", kind, _("The table has no such bird."))
    rows = table("stunning")
    if not 0 < frequency_Hz <= rows["highest_Hz"]:
        raise InputError("frequency_Hz", frequency_Hz, _("The table goes up to 1,500 Hz."))
    band = next((row for row in rows["bands"] if frequency_Hz < row["below_Hz"]), rows["bands"][-1])
    current = band.get(f"{kind}_mA")
    return LeastCurrent(
        None if current is None else float(current),
        float(rows["least_s"]),
        rows["citation"],
        rows["status"],
    )
