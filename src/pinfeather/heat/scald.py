"""How hot and how long to scald, as bands, and the signs of too little and too much."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Literal

from pinfeather.errors import InputError
from pinfeather.heat.tables import load
from pinfeather.units import to_si
from pinfeather.words import gettext as _

Kind = Literal["soft", "sub", "hard"]


@dataclass(frozen=True, slots=True)
class ScaldBand:
    """One published pair of temperature and time, as a band.

    Parameters
    ----------
    species : str
        Bird.
    kind : str
        ``"soft"`` keeps the outer skin; ``"sub"`` and ``"hard"`` take it off.
    low_F : float
        Coolest water, as published [degF].
    high_F : float
        Hottest water, as published [degF].
    low_degC : float
        Coolest water [degC].
    high_degC : float
        Hottest water [degC].
    low_s : float
        Shortest dip [s].
    high_s : float
        Longest dip [s].
    note : str
        What to know about it.
    source : str
        Where it is published.
    status : str
        How the source is known.
    """

    species: str
    kind: Kind
    low_F: float
    high_F: float
    low_degC: float
    high_degC: float
    low_s: float
    high_s: float
    note: str
    source: str
    status: str


def _read() -> tuple[ScaldBand, ...]:
    return tuple(
        ScaldBand(
            species=row["species"],
            kind=row["kind"],
            low_F=row["low_F"],
            high_F=row["high_F"],
            low_degC=to_si(row["low_F"], "F", "temperature"),
            high_degC=to_si(row["high_F"], "F", "temperature"),
            low_s=row["low_s"],
            high_s=row["high_s"],
            note=row["note"],
            source=row["source"],
            status=row["status"],
        )
        for row in load("scald")["bands"]
    )


SCALD_BANDS: Final[tuple[ScaldBand, ...]] = _read()
"""Every published band, with source and status."""


def scald_band(species: str, *, kind: Kind = "hard") -> ScaldBand:
    """Return the band of water temperature and time for a kind of bird.

    Parameters
    ----------
    species : str
        ``"chicken"``, ``"turkey"``, ``"duck"``, ``"goose"`` or ``"quail"``.
    kind : str
        ``"soft"``, ``"sub"`` or ``"hard"``.

    Returns
    -------
    ScaldBand
        The band with its source.

    Raises
    ------
    InputError
        If there is no such band.

    References
    ----------
    The table ``scald.toml`` names the source of each row.

    Examples
    --------
    >>> scald_band("chicken", kind="soft").low_F
    125.0
    """
    for band in SCALD_BANDS:
        if band.species == species and band.kind == kind:
            return band
    known = sorted({f"{band.species} ({band.kind})" for band in SCALD_BANDS})
    raise InputError(
        "species",
        species,
        _("There is no published scald for that. Choose one of: {known}.").format(
            known=", ".join(known)
        ),
    )


def under_scald_signs() -> tuple[str, ...]:
    """Return the signs that the scald was too cool or too short.

    Returns
    -------
    tuple of str
        Sentences.

    References
    ----------
    University of Kentucky, poultry chapter 4, and equipment makers' notes; second hand.
    """
    return (
        _("Tail and large wing feathers pull hard: scald longer, or a degree hotter."),
        _("Quills break off in the skin, and plucking takes long."),
    )


def over_scald_signs() -> tuple[str, ...]:
    """Return the signs that the scald was too hot or too long.

    Returns
    -------
    tuple of str
        Sentences.

    References
    ----------
    University of Kentucky, poultry chapter 4, and equipment makers' notes; second hand.
    """
    return (
        _("The skin is slimy, slips, or tears in the plucker."),
        _("The meat under the skin is white as if cooked, and the fat runs."),
        _("Tears show on the breast and inside the thighs."),
    )


def scald_test() -> str:
    """Return the test that a bird is ready to pluck.

    Returns
    -------
    str
        One sentence.

    References
    ----------
    University of Kentucky, poultry chapter 4; second hand.
    """
    return _("Ready when a large tail or wing feather pulls out easily.")
