"""The tables that are packaged with this folder."""

from __future__ import annotations

import tomllib
from functools import cache
from importlib.resources import files
from typing import Any


@cache
def load(name: str) -> dict[str, Any]:
    """Read one packaged table.

    Parameters
    ----------
    name : str
        File name without its ending, ``"scald"``.

    Returns
    -------
    dict
        The table; not to be changed.

    Raises
    ------
    FileNotFoundError
        If there is no such table.

    References
    ----------
    Derivation: TOML v1.0.0, read by the standard library.
    """
    return tomllib.loads((files("pinfeather.heat") / "data" / f"{name}.toml").read_text("utf-8"))
