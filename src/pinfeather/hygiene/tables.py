"""The packaged tables of this folder, and limits kept as their source prints them."""

from __future__ import annotations

import functools
import importlib.resources
import tomllib
from dataclasses import dataclass
from typing import Any

from pinfeather.units import UNITS, Dimension, to_si


@dataclass(frozen=True, slots=True)
class Limit:
    """A limit as published, so that it converts exactly as a reading does.

    Parameters
    ----------
    value : float
        The number in its source [unit].
    unit : str
        One of the spellings in ``UNITS[dimension]``.
    dimension : str
        What is limited.
    citation : str
        Where the number stands.
    status : str
        How it is known: ``"read"``, ``"second hand"``, ``"unverified"``, ``"disputable"`` or
        ``"common practice"``.
    """

    value: float
    unit: str
    dimension: Dimension
    citation: str
    status: str

    @property
    def si(self) -> float:
        """The limit in SI; temperatures in degrees Celsius."""
        return to_si(self.value, self.unit, self.dimension)

    @property
    def text(self) -> str:
        """The limit as printed on a page."""
        return f"{self.value:g}\u202f{UNITS[self.dimension][self.unit].symbol}"


@functools.cache
def table(name: str) -> dict[str, Any]:
    """Read one packaged table.

    Parameters
    ----------
    name : str
        File name without its ending.

    Returns
    -------
    dict
        The parsed file; treat it as read-only.

    Raises
    ------
    FileNotFoundError
        If there is no such table.

    References
    ----------
    TOML v1.0.0 (2021).
    """
    path = importlib.resources.files("pinfeather.hygiene") / "data" / f"{name}.toml"
    return tomllib.loads(path.read_text(encoding="utf-8"))
