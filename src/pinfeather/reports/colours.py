"""The two sets of colours: named by the page on screens, fixed in print.

On screens a picture asks for the page's own custom properties, so that a dark page has a dark
picture. In print they are black on white with the vermillion and blue of a palette that people
with any colour vision tell apart; each state also has a shape or a word.

References
----------
M. Okabe, K. Ito, "Color Universal Design" (2002, revised 2008): the palette.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Literal

from pinfeather.errors import InputError
from pinfeather.words import gettext as _

Palette = Literal["screen", "print"]


@dataclass(frozen=True, slots=True)
class Colours:
    """What a picture may be drawn in.

    Parameters
    ----------
    ink, soft, rule, plan, paper : str
        What happened and words; lesser words; guide lines; the plan; the ground.
    late, cold : str
        The accent for what is overdue; chilling and cold water.
    font : str
        Font family list.
    letters : float
        How wide its letters are, against the widest of the usual screen fonts [-].
    """

    ink: str
    soft: str
    rule: str
    plan: str
    paper: str
    late: str
    cold: str
    font: str
    letters: float


SCREEN: Final = Colours(
    ink="var(--ink, #14181c)",
    soft="var(--soft, #5b6670)",
    rule="var(--rule, #cfd6dc)",
    plan="var(--plan, #87929b)",
    paper="var(--paper, #fff)",
    late="var(--late, #b84a00)",
    cold="var(--go, #0072b2)",
    font="system-ui, sans-serif",
    letters=1.0,
)
PRINT: Final = Colours(
    ink="#000000",
    soft="#4a4a4a",
    rule="#c8c8c8",
    plan="#8f8f8f",
    paper="#ffffff",
    late="#b84a00",  # Okabe-Ito vermillion #d55e00, darkened until it reads as text on white
    cold="#0072b2",  # Okabe-Ito blue
    font="Libertinus Serif",
    letters=0.82,
)


def colours(palette: Palette) -> Colours:
    """Return the colours for the screen or for print.

    Parameters
    ----------
    palette : {"screen", "print"}
        Where the picture goes.

    Returns
    -------
    Colours
        Names of custom properties, or hexadecimal colours.

    Raises
    ------
    InputError
        If it is neither.

    References
    ----------
    Derivation: choice.
    """
    if palette == "screen":
        return SCREEN
    if palette == "print":
        return PRINT
    raise InputError("palette", palette, _("A picture is for the “screen” or for “print”."))
