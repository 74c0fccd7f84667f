"""What a cheapest mix on paper leaves out, named for each mix."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from pinfeather.finding import Finding, Severity, by_severity
from pinfeather.flock.curves import Species
from pinfeather.flock.tables import table
from pinfeather.words import gettext as _

SYNTHETIC_MOST: Final = 0.005
"""Pure amino acids above this share are bought as protein; independent computation."""
_SYNTHETIC: Final = ("lysine", "methionine")
_BY_HAND: Final = 0.005
"""Below this share mix an ingredient into a little feed first; common practice."""


def pitfalls(shares: Mapping[str, float], species: Species = "chicken") -> tuple[Finding, ...]:
    """Name what is wrong with a mix, or is not looked at.

    Parameters
    ----------
    shares : mapping of str to float
        By ingredient [1].
    species : str
        Who eats it.

    Returns
    -------
    tuple of Finding
        The worst first.

    References
    ----------
    Kleyn, The Formulation of Optimal Diets for Poultry (cheapest is not most profitable); National
    Research Council 1994, chapter on ducks; independent computation of a soy-free mix that buys
    4.5 % of pure lysine as protein.
    """
    found = [_synthetic(name, shares[name]) for name in _SYNTHETIC
             if shares.get(name, 0.0) > SYNTHETIC_MOST]  # fmt: skip
    if shares.get("premix", 0.0) <= 0:
        found.append(
            Finding(
                "ration.premix",
                Severity.CHECK,
                _("No vitamin and trace mineral premix is in this mix."),
                _("Grain and meal alone leave birds lame or sick. Add a premix as its label says."),
                status="common practice",
            )
        )
    small = [name for name, s in shares.items() if 0 < s < _BY_HAND]
    if small:
        found.append(
            Finding(
                "ration.small",
                Severity.NOTE,
                _("Mix {names} into a bucket of feed first, then that into the batch.").format(
                    names=", ".join(small)
                ),
                _("Too little in one shovel and too much in the next: salt can kill."),
                status="common practice",
            )
        )
    if species == "duck":
        found.append(
            Finding(
                "ration.duck",
                Severity.CHECK,
                _("Ducks need more niacin than chickens, about 55 mg/kg, and no chick medicine."),
                _("Never feed medicated chick feed to ducks without reading what the drug allows."),
                citation="National Research Council 1994, chapter on ducks",
                status="unverified",
            )
        )
    source = table("ration")["sources"]["ingredients"]
    found.append(
        Finding(
            "ration.table",
            Severity.NOTE,
            _(
                "From a table, not your bags: expect 0.4 points of protein, 8 % of an amino acid"
                " and 7 % of energy either way."
            ),
            _(
                "Threonine, valine, arginine and the other amino acids are not looked at. Have a"
                " feed adviser check a mix before you feed it to a whole lot."
            ),
            citation=source["citation"],
            status=source["status"],
        )
    )
    return by_severity(found)


def _synthetic(name: str, share: float) -> Finding:
    return Finding(
        "ration.synthetic",
        Severity.STOP,
        _("{share:.1f} % of pure {name}: the sum buys it as protein.").format(
            share=100 * share, name=name
        ),
        _("Protein counts nitrogen, birds need all the amino acids. Limit it to 0.5 %."),
        where=name,
        measured=share,
        limit=SYNTHETIC_MOST,
        unit="1",
        citation="Independent computation of a soy-free grower",
        status="disputable",
    )
