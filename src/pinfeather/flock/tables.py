"""The packaged tables of this folder."""

from __future__ import annotations

import functools
import importlib.resources
import tomllib
from typing import Any

from pinfeather.estimate import Basis, Origin


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
    path = importlib.resources.files("pinfeather.flock") / "data" / f"{name}.toml"
    return tomllib.loads(path.read_text(encoding="utf-8"))


def basis_of(entry: dict[str, Any]) -> Basis:
    """Say where an entry of a table comes from.

    Parameters
    ----------
    entry : dict
        With ``citation`` and ``status``.

    Returns
    -------
    Basis
        For the numbers taken from it.

    References
    ----------
    Derivation: the table's own fields.
    """
    return Basis(Origin.HANDBOOK, entry["citation"], entry["status"])
