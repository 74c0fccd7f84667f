"""Which number alone moves the outcome most: bars to both sides, the widest first."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from pinfeather.errors import InputError
from pinfeather.reports.colours import Palette, colours
from pinfeather.reports.svg_text import attr, content, num, shortened
from pinfeather.words import gettext as _

_LOW: Final = "#e69f00"
_HIGH: Final = "#0072b2"
_BAR: Final = 16.0
_ROW: Final = 44.0
_TOP: Final = 26.0
_LEAST_PX: Final = 280
_SIDE_PX: Final = 78.0
_CENTS: Final = 100


@dataclass(frozen=True, slots=True)
class Bar:
    """One number turned down and up.

    Parameters
    ----------
    words : str
        Which number.
    at_low_cents, at_high_cents : int
        The outcome there [cents].
    """

    words: str
    at_low_cents: int
    at_high_cents: int


@dataclass(frozen=True, slots=True)
class Tornado:
    """What the picture shows.

    Parameters
    ----------
    bars : tuple of Bar
        The widest first.
    base_cents : int
        The outcome as it is [cents].
    """

    bars: tuple[Bar, ...]
    base_cents: int


def tornado_svg(drawing: Tornado, *, width: int = 760, palette: Palette = "screen") -> str:
    """Draw the bars around the outcome as it is.

    Parameters
    ----------
    drawing : Tornado
        What it shows.
    width : int
        Width of the drawing [px].
    palette : {"screen", "print"}
        Where the picture goes.

    Returns
    -------
    str
        SVG text with a title; a lowered number's end is marked with a triangle pointing down,
        a raised one's with one pointing up, so that no colour is needed.

    Raises
    ------
    InputError
        If there is no bar, or the drawing is too narrow.

    References
    ----------
    M. Okabe, K. Ito, "Color Universal Design" (2002, revised 2008): the palette.
    """
    if not drawing.bars or width < _LEAST_PX:
        raise InputError("bars", None, _("There is nothing to draw here."))
    ink = colours(palette)
    ends = [x for b in drawing.bars for x in (b.at_low_cents, b.at_high_cents)]
    low, high = min(*ends, drawing.base_cents), max(*ends, drawing.base_cents)
    scale = (width - 2 * _SIDE_PX) / max(high - low, 1)

    def x_of(cents: int) -> float:
        return _SIDE_PX + (cents - low) * scale

    height = _TOP + _ROW * len(drawing.bars) + 6
    base = x_of(drawing.base_cents)
    told = _("What is left as it is: {base}; the widest bar is {words}.").format(
        base=_dollars(drawing.base_cents), words=drawing.bars[0].words
    )
    out = [
        (
            f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width} {num(height)}"'
            f' role="img" font-family={attr(ink.font)}>'
        ),
        f"<title>{content(told)}</title>",
        (
            f'<path d="M{num(base)} {num(_TOP - 6)}V{num(height - 4)}" stroke="{ink.ink}"'
            ' stroke-width="2"/>'
        ),
        (
            f'<text x="{num(min(max(base, 40), width - 40))}" y="14" font-size="14"'
            f' font-weight="700" text-anchor="middle" fill="{ink.ink}">'
            f"{content(_dollars(drawing.base_cents))}</text>"
        ),
    ]
    for number, bar in enumerate(drawing.bars):
        y = _TOP + number * _ROW
        words = shortened(bar.words, 14, width - 4)
        out.append(
            f'<text x="0" y="{num(y + 13)}" font-size="14" fill="{ink.ink}">{content(words)}</text>'
        )
        for cents, colour, sign in (
            (bar.at_low_cents, _LOW, "▼"),
            (bar.at_high_cents, _HIGH, "▲"),
        ):
            end = x_of(cents)
            left, wide = min(base, end), abs(end - base)
            out.append(
                f'<rect x="{num(left)}" y="{num(y + 19)}" width="{num(wide)}"'
                f' height="{num(_BAR)}" fill="{colour}" stroke="{ink.soft}" stroke-width="0.5"/>'
            )
            anchor, at = ("end", end - 5) if end < base else ("start", end + 5)
            out.append(
                f'<text x="{num(at)}" y="{num(y + 32)}" font-size="13" text-anchor="{anchor}"'
                f' fill="{ink.soft}">{content(f"{sign} {_short(cents)}")}</text>'
            )
    out.append("</svg>")
    return "".join(out)


def _dollars(cents: int) -> str:
    sign = "−" if cents < 0 else ""
    return f"{sign}${abs(cents) // _CENTS:,}.{abs(cents) % _CENTS:02d}"


def _short(cents: int) -> str:
    sign = "−" if cents < 0 else ""
    return f"{sign}${round(abs(cents) / _CENTS):,}"
