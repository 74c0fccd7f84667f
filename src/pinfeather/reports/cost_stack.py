"""The cost of a pound as a stack of its parts, one bar for each lot, with the price over them."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from pinfeather.errors import InputError
from pinfeather.reports.colours import Palette, colours
from pinfeather.reports.svg_text import attr, content, num, shortened, text_width
from pinfeather.words import gettext as _

FILLS: Final = ("#e69f00", "#f0e442", "#009e73", "#56b4e9", "#999999", "#cc79a7", "#0072b2")
"""Okabe and Ito's colours, one a layer; each layer has its number in it as well."""
_ON: Final = ("#000000",) * 6 + ("#ffffff",)
_LEAST_PX: Final = 280
_BAR: Final = 30.0
_GAP: Final = 16.0
_TOP: Final = 30.0
_FOOT: Final = 26.0
_LEGEND: Final = 24.0
_NAME: Final = 15.0
_STEPS: Final = (25, 50, 100, 200, 500, 1000, 2000, 5000)
_FEWEST_TICKS_PX: Final = 64.0
_CENTS: Final = 100


@dataclass(frozen=True, slots=True)
class CostBar:
    """One group of birds.

    Parameters
    ----------
    name : str
        The lot, day or kind.
    layers_cents : tuple of float
        Cost of a pound by layer, from the ground up [cents].
    total_cents : int
        Cost of a pound, as written beside it [cents].
    """

    name: str
    layers_cents: tuple[float, ...]
    total_cents: int


@dataclass(frozen=True, slots=True)
class CostStack:
    """What the picture shows.

    Parameters
    ----------
    layers : tuple of str
        Names of the layers, from the ground up.
    bars : tuple of CostBar
        One a group.
    price_cents : int or None
        What a pound brings; a line across all bars [cents].
    """

    layers: tuple[str, ...]
    bars: tuple[CostBar, ...]
    price_cents: int | None = None


def stack_sentence(stack: CostStack) -> str:
    """Say in one sentence what the picture shows.

    Parameters
    ----------
    stack : CostStack
        What it shows.

    Returns
    -------
    str
        For people who do not see it.

    References
    ----------
    W3C, Web Content Accessibility Guidelines 2.2, criterion 1.1.1.
    """
    told = "; ".join(f"{bar.name} {_dollars(bar.total_cents)}" for bar in stack.bars)
    if stack.price_cents is None:
        return _("Cost of a pound: {told}.").format(told=told)
    return _("Cost of a pound: {told}. The price is {price}.").format(
        told=told, price=_dollars(stack.price_cents)
    )


def stack_svg(stack: CostStack, *, width: int = 760, palette: Palette = "screen") -> str:
    """Draw the stack: bars lie from left to right so that names fit on a phone.

    Parameters
    ----------
    stack : CostStack
        What it shows.
    width : int
        Width of the drawing [px].
    palette : {"screen", "print"}
        Where the picture goes.

    Returns
    -------
    str
        SVG text with a title; no style attribute, no script.

    Raises
    ------
    InputError
        If there is no bar, a layer is below zero, or the drawing is too narrow.

    Notes
    -----
    A layer that is a refund in all draws nothing; its number stands in the table.

    References
    ----------
    M. Okabe, K. Ito, "Color Universal Design" (2002, revised 2008): the palette.
    """
    if not stack.bars or width < _LEAST_PX:
        raise InputError("stack", None, _("There is nothing to draw here."))
    ink = colours(palette)
    longest = max(sum(max(x, 0.0) for x in bar.layers_cents) for bar in stack.bars)
    most = max(longest, float(stack.price_cents or 0), 1.0) * 1.04
    value_px = text_width("$00.00", 15, bold=True) + 8
    per_cent = (width - value_px) / most
    rows = len(stack.bars)
    plot_end = _TOP + rows * (_NAME + 6 + _BAR + _GAP)
    legend_rows = _legend_rows(stack.layers, width)
    height = plot_end + _FOOT + len(legend_rows) * _LEGEND + 4
    out = [
        (
            f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width} {num(height)}"'
            f' role="img" font-family={attr(ink.font)}>'
        ),
        f"<title>{content(stack_sentence(stack))}</title>",
    ]
    for cents in _ticks(most, per_cent):
        x = num(cents * per_cent)
        out.append(
            f'<path d="M{x} {num(_TOP - 4)}V{num(plot_end - _GAP / 2)}" stroke="{ink.rule}"/>'
            f'<text x="{x}" y="{num(plot_end + 12)}" font-size="13" fill="{ink.soft}"'
            f' text-anchor="{"start" if cents == 0 else "middle"}">'
            f"{content(_tick_words(cents))}</text>"
        )
    y = _TOP
    for bar in stack.bars:
        out.extend(_bar(bar, y, per_cent, width - value_px, ink.ink, ink.soft))
        y += _NAME + 6 + _BAR + _GAP
    if stack.price_cents is not None:
        out.append(_price(stack.price_cents, per_cent, plot_end, width, ink.late))
    out.extend(_legend(legend_rows, plot_end + _FOOT, ink.ink))
    out.append("</svg>")
    return "".join(out)


def _bar(bar: CostBar, y: float, per_cent: float, room: float, ink: str, soft: str) -> list[str]:  # noqa: PLR0917 - one bar's geometry
    top = y + _NAME + 6
    name = shortened(bar.name, 15, room)
    parts = [
        (
            f'<text x="0" y="{num(y + _NAME - 2)}" font-size="15" font-weight="600" fill="{ink}">'
            f"{content(name)}</text>"
        )
    ]
    x = 0.0
    for at, cents in enumerate(bar.layers_cents):
        wide = max(cents, 0.0) * per_cent
        if wide <= 0:
            continue
        parts.append(
            f'<rect x="{num(x)}" y="{num(top)}" width="{num(wide)}" height="{num(_BAR)}"'
            f' fill="{FILLS[at % len(FILLS)]}" stroke="{soft}" stroke-width="0.5"/>'
        )
        if wide >= 13:  # noqa: PLR2004 - a digit fits
            parts.append(
                f'<text x="{num(x + wide / 2)}" y="{num(top + _BAR / 2 + 5)}" font-size="14"'
                f' font-weight="700" text-anchor="middle" fill="{_ON[at % len(_ON)]}">'
                f"{at + 1}</text>"
            )
        x += wide
    parts.append(
        f'<text x="{num(x + 6)}" y="{num(top + _BAR / 2 + 5)}" font-size="15" font-weight="700"'
        f' fill="{ink}">{content(_dollars(bar.total_cents))}</text>'
    )
    return parts


def _price(cents: int, per_cent: float, plot_end: float, width: int, colour: str) -> str:  # noqa: PLR0917
    x = cents * per_cent
    words = _("price {price}").format(price=_dollars(cents))
    wide = text_width(words, 14, bold=True)
    at = min(max(x, wide / 2), width - wide / 2)
    return (
        f'<path d="M{num(x)} {num(_TOP - 8)}V{num(plot_end - _GAP / 2)}" stroke="{colour}"'
        f' stroke-width="3" stroke-dasharray="7 4"/>'
        f'<text x="{num(at)}" y="14" font-size="14" font-weight="700" text-anchor="middle"'
        f' fill="{colour}">{content(words)}</text>'
    )


def _ticks(most: float, per_cent: float) -> list[int]:
    step = next((s for s in _STEPS if s * per_cent >= _FEWEST_TICKS_PX), _STEPS[-1])
    return list(range(0, int(most) + 1, step))


def _tick_words(cents: int) -> str:
    whole = cents % _CENTS == 0
    return f"${cents // _CENTS}" if whole else _dollars(cents)


def _dollars(cents: int) -> str:
    sign = "−" if cents < 0 else ""
    return f"{sign}${abs(cents) // _CENTS:,}.{abs(cents) % _CENTS:02d}"


def _legend_rows(layers: tuple[str, ...], width: int) -> list[list[tuple[float, int, str]]]:
    rows: list[list[tuple[float, int, str]]] = [[]]
    x = 0.0
    for at, words in enumerate(layers):
        wide = 26 + text_width(words, 14) + 14
        if x and x + wide > width:
            rows.append([])
            x = 0.0
        rows[-1].append((x, at, words))
        x += wide
    return rows


def _legend(rows: list[list[tuple[float, int, str]]], top: float, ink: str) -> list[str]:
    parts = []
    for number, row in enumerate(rows):
        y = top + number * _LEGEND
        for x, at, words in row:
            parts.append(
                f'<rect x="{num(x)}" y="{num(y)}" width="20" height="18" fill="{FILLS[at]}"/>'
                f'<text x="{num(x + 10)}" y="{num(y + 14)}" font-size="13" font-weight="700"'
                f' text-anchor="middle" fill="{_ON[at]}">{at + 1}</text>'
                f'<text x="{num(x + 26)}" y="{num(y + 14)}" font-size="14" fill="{ink}">'
                f"{content(words)}</text>"
            )
    return parts
