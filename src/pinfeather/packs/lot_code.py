"""Lot codes a person can read aloud: ``2026-09-12 B3 T1``.

The parts are the date of slaughter, the flock's short name and the chill batch, separated by one
space. A pack of parts cut from several lots carries every lot code it came from.
"""

from __future__ import annotations

import datetime as dt
import re
from dataclasses import dataclass
from typing import Final

from pinfeather.errors import InputError
from pinfeather.words import gettext as _

_PART: Final = re.compile(r"[A-Z0-9]{1,5}")


@dataclass(frozen=True, slots=True, order=True)
class LotCode:
    """Where a package came from.

    Parameters
    ----------
    slaughtered_on : datetime.date
        Day of slaughter.
    flock : str
        Short name of the flock: one to five capital letters and digits.
    chill_batch : str
        Short name of the chill batch, the same way.

    Raises
    ------
    InputError
        If a short name has other characters.
    """

    slaughtered_on: dt.date
    flock: str
    chill_batch: str

    def __post_init__(self) -> None:
        for name, part in (("flock", self.flock), ("chill_batch", self.chill_batch)):
            if not _PART.fullmatch(part):
                raise InputError(
                    name,
                    part,
                    _("“{part}” cannot stand in a lot code. Use 1 to 5 of A–Z and 0–9.").format(
                        part=part
                    ),
                )

    def __str__(self) -> str:
        """Return the code as printed."""
        return f"{self.slaughtered_on:%Y-%m-%d} {self.flock} {self.chill_batch}"

    @property
    def compact(self) -> str:
        """The code without spaces and within 20 characters, as machine-read codes need it."""
        return f"{self.slaughtered_on:%Y%m%d}-{self.flock}-{self.chill_batch}"


def parse_lot_code(text: str) -> LotCode:
    """Read a lot code somebody typed or scanned.

    Parameters
    ----------
    text : str
        As printed, or in the compact form; capital or small letters.

    Returns
    -------
    LotCode
        Its parts.

    Raises
    ------
    InputError
        If it is not a lot code.

    References
    ----------
    Derivation: the inverse of both written forms.

    Examples
    --------
    >>> parse_lot_code("2026-09-12 b3 t1").flock
    'B3'
    """
    written = " ".join(text.upper().split())
    match = re.fullmatch(
        r"(\d{4})-(\d{2})-(\d{2}) (\S+) (\S+)|(\d{4})(\d{2})(\d{2})-([^-\s]+)-([^-\s]+)", written
    )
    if match is None:
        raise InputError(
            "lot_code",
            text,
            _("“{text}” is not a lot code. It looks like 2026-09-12 B3 T1.").format(text=text),
        )
    year, month, day, flock, batch = (part for part in match.groups() if part is not None)
    try:
        date = dt.date(int(year), int(month), int(day))
    except ValueError as error:
        raise InputError(
            "lot_code", text, _("“{text}” has no such day.").format(text=text)
        ) from error
    return LotCode(date, flock, batch)
