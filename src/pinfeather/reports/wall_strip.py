"""The strip as a sheet for the wall, A3 or tabloid, to be read from two steps away."""

from __future__ import annotations

import datetime as dt
import re
from dataclasses import dataclass
from typing import Final, Literal, get_args

from pinfeather.errors import InputError
from pinfeather.reports.sheet_parts import Answer, head
from pinfeather.reports.strip import Strip, strip_sentence
from pinfeather.reports.strip_svg import strip_svg
from pinfeather.reports.typeset import typeset
from pinfeather.reports.when import Clock
from pinfeather.words import gettext as _

WallPaper = Literal["us-tabloid", "a3"]
WALL_PX: Final = (680, 760, 860, 1000, 1200, 1500)
"""Widths at which the strip may be drawn: the fewer, the larger its letters on the sheet."""
_TALLEST: Final = 0.48
"""Height of the strip over its width that the sheet has room for."""
_HEIGHT: Final = re.compile(r'viewBox="0 0 ([\d.]+) ([\d.]+)"')


@dataclass(frozen=True, slots=True)
class WallTime:
    """A moment everybody should know.

    Parameters
    ----------
    at : str
        Clock time.
    words : str
        What happens then.
    """

    at: str
    words: str


def wall_strip_pdf(
    strip: Strip,
    *,
    farm: str,
    title: str,
    answers: tuple[Answer, ...],
    times: tuple[WallTime, ...],
    demo: bool,
    printed_at: dt.datetime,
    paper: WallPaper = "us-tabloid",
    clock: Clock = "24h",
) -> bytes:
    """Set the strip for the wall.

    Parameters
    ----------
    strip : Strip
        The plan.
    farm, title : str
        Whose day, and which.
    answers : tuple of Answer
        The large numbers.
    times : tuple of WallTime
        Moments beneath the strip.
    demo : bool
        Whether the birds are pretended; then the sheet says so.
    printed_at : datetime
        The moment of printing, in the farm's zone.
    paper : {"us-tabloid", "a3"}
        Paper size, on its side.
    clock : {"12h", "24h"}
        Which clock the farm reads.

    Returns
    -------
    bytes
        The PDF, one page.

    Raises
    ------
    InputError
        If the paper is unknown or the moment has no zone.

    References
    ----------
    Derivation: choice.
    """
    if paper not in get_args(WallPaper):
        raise InputError("paper", paper, _("The wall sheet is us-tabloid or a3."))
    data = {
        **head(
            farm=farm,
            title=title,
            subtitle="",
            kind=_("Wall sheet"),
            paper="us-letter",
            demo=demo,
            printed_at=printed_at,
            clock=clock,
        ),
        "paper": paper,
        "answers": answers,
        "times": times,
        "strip_words": strip_sentence(strip),
    }
    picture = _largest(strip, clock=clock)
    return typeset("wall_strip", data, printed_at=printed_at, pictures={"strip.svg": picture})


def _largest(strip: Strip, *, clock: Clock) -> str:
    """Draw the strip as narrow, and so as large on the sheet, as its height allows."""
    picture = ""
    for width in WALL_PX:
        picture = strip_svg(strip, palette="print", width=width, clock=clock, strong=True)
        size = _HEIGHT.search(picture)
        if size is not None and float(size[2]) <= _TALLEST * float(size[1]):
            break
    return picture
