"""How a planning number moved: the handbook's band, and what it was after each day."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from pinfeather.estimate import Estimate
from pinfeather.reports.colours import Palette, colours
from pinfeather.reports.svg_text import attr, content, num
from pinfeather.words import date_text
from pinfeather.words import gettext as _

_WIDE: Final = 260
_HIGH: Final = 96
_LEFT: Final = 46.0
_RIGHT: Final = 8.0
_TOP: Final = 10.0
_BOTTOM: Final = 22.0


@dataclass(frozen=True, slots=True)
class MovedPicture:
    """What the picture shows, in the number's own unit.

    Parameters
    ----------
    title : str
        The number's name.
    unit : str
        Its unit, empty for a share.
    handbook : Estimate
        Before anything was learned.
    steps : sequence of (date, Estimate)
        After each day or lot, the oldest first; at least one.
    decimals : int
        Figures after the point.
    """

    title: str
    unit: str
    handbook: Estimate
    steps: Sequence[tuple[dt.date, Estimate]]
    decimals: int = 0


def moved_sentence(one: MovedPicture) -> str:
    """Say in words what the picture shows.

    Parameters
    ----------
    one : MovedPicture
        The number.

    Returns
    -------
    str
        One sentence.

    References
    ----------
    Derivation: choice.
    """
    last, now = one.steps[-1]
    return _(
        "{title}: handbook {before} {unit}, after {day} {now} {unit} ({low} to {high})."
    ).format(
        title=one.title,
        before=_number(one, one.handbook.value),
        unit=one.unit,
        day=date_text(last),
        now=_number(one, now.value),
        low=_number(one, now.low),
        high=_number(one, now.high),
    )


def moved_svg(one: MovedPicture, *, palette: Palette = "screen") -> str:
    """Draw how a number moved.

    Parameters
    ----------
    one : MovedPicture
        The number.
    palette : {"screen", "print"}
        Colours.

    Returns
    -------
    str
        SVG: the handbook as a grey band with a dashed middle, each step a dot with its band.

    Notes
    -----
    The scale begins at nought, so that a small move looks small.

    References
    ----------
    Derivation: choice.
    """
    c = colours(palette)
    top = max(one.handbook.high, *(step.high for _on, step in one.steps)) * 1.05 or 1.0
    first, last = one.steps[0][0], one.steps[-1][0]
    days = max((last - first).days, 1)
    inner = _WIDE - _LEFT - _RIGHT - 16

    def x(on: dt.date) -> float:
        return _LEFT + 8 + (inner * (on - first).days / days if last > first else inner / 2)

    def y(value: float) -> float:
        return _HIGH - _BOTTOM - (_HIGH - _TOP - _BOTTOM) * value / top

    book = one.handbook
    right = _WIDE - _RIGHT
    parts = [
        (
            f'<rect x="{num(_LEFT)}" y="{num(y(book.high))}" width="{num(right - _LEFT)}" '
            f'height="{num(y(book.low) - y(book.high))}" fill="{c.rule}" fill-opacity="0.5"/>'
        ),
        (
            f'<line x1="{num(_LEFT)}" x2="{num(right)}" y1="{num(y(book.value))}" '
            f'y2="{num(y(book.value))}" stroke="{c.soft}" stroke-dasharray="5 4"/>'
        ),
        (
            f'<line x1="{num(_LEFT)}" x2="{num(right)}" y1="{num(y(0))}" y2="{num(y(0))}" '
            f'stroke="{c.ink}"/>'
        ),
    ]
    for on, step in one.steps:
        at = num(x(on))
        parts += [
            (
                f'<line x1="{at}" x2="{at}" y1="{num(y(step.low))}" y2="{num(y(step.high))}" '
                f'stroke="{c.cold}" stroke-width="2"/>'
            ),
            f'<circle cx="{at}" cy="{num(y(step.value))}" r="4" fill="{c.cold}"/>',
        ]
    words = f'font-family={attr(c.font)} font-size="12" fill="{c.soft}"'
    parts += [
        f'<text x="{num(_LEFT - 6)}" y="{num(y(at) + 4)}" text-anchor="end" {words}>'
        f"{content(text)}</text>"
        for at, text in ((0.0, "0"), (book.value, _number(one, book.value)))
    ]
    parts.append(
        f'<text x="{num(_LEFT)}" y="{_HIGH - 5}" {words}>{content(date_text(first, year=False))}'
        "</text>"
    )
    if last > first:
        parts.append(
            f'<text x="{num(right)}" y="{_HIGH - 5}" text-anchor="end" {words}>'
            f"{content(date_text(last, year=False))}</text>"
        )
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {_WIDE} {_HIGH}" role="img" '
        f"aria-label={attr(moved_sentence(one))}>{''.join(parts)}</svg>"
    )


def _number(one: MovedPicture, value: float) -> str:
    return f"{value:.{one.decimals}f}"
