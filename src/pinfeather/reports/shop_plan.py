"""The plan of the shop: its stations as boxes in the order of the birds, dirty side and clean."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final, Literal

from pinfeather.errors import InputError
from pinfeather.reports.colours import Colours, Palette, colours
from pinfeather.reports.svg_text import attr, content, num, shortened
from pinfeather.words import gettext as _

Side = Literal["dirty", "clean"]

WIDTH_PX: Final = 760.0
_MARGIN: Final = 2.0
_GAP: Final = 22.0
_BOX_HIGH: Final = 132.0
_HEAD_HIGH: Final = 26.0
_WALL_HIGH: Final = 44.0
_LINE_HIGH: Final = 15.0
_NAME: Final = 17.0
_LETTER: Final = 13.0
_MOST_LINES: Final = 6


@dataclass(frozen=True, slots=True)
class ShopStation:
    """One station as the plan draws it.

    Parameters
    ----------
    name : str
        What it is called.
    side : {"dirty", "clean"}
        Before or after the bird is plucked.
    lines : tuple of str
        What stands there, one thing a line; the first six are drawn.
    """

    name: str
    side: Side
    lines: tuple[str, ...] = ()


def shop_plan_sentence(stations: tuple[ShopStation, ...]) -> str:
    """Return the plan in words, for people who cannot see it.

    Parameters
    ----------
    stations : tuple of ShopStation
        In the order a bird passes them.

    Returns
    -------
    str
        Both sides with their stations in order.

    References
    ----------
    Derivation: the drawing's own order.
    """
    sides = {side: [s.name for s in stations if s.side == side] for side in ("dirty", "clean")}
    return _("Dirty side: {dirty}. Then through the wall. Clean side: {clean}.").format(
        dirty=", ".join(sides["dirty"]) or "–", clean=", ".join(sides["clean"]) or "–"
    )


def shop_plan_svg(
    stations: tuple[ShopStation, ...], *, palette: Palette = "print", ident: str = "shop-plan"
) -> str:
    """Draw the plan: the dirty side above, a wall, the clean side below, arrows for the birds.

    Parameters
    ----------
    stations : tuple of ShopStation
        In the order a bird passes them, the dirty side first.
    palette : {"screen", "print"}
        Where it goes.
    ident : str
        Begins the ids inside, so that two drawings on one page do not mix.

    Returns
    -------
    str
        SVG text.

    Raises
    ------
    InputError
        If there is no station, or a dirty one comes after a clean one.

    Notes
    -----
    In order, not to scale. The clean side runs back under the dirty one, so that birds pass the
    wall at one end only.

    References
    ----------
    9 CFR 416.2(b): rooms laid out so that product is not contaminated; drawn for this project.
    """
    sides = [one.side for one in stations]
    if not stations or sides != sorted(sides, reverse=True):
        raise InputError(
            "stations", len(stations), _("Stations come in order, the dirty side first.")
        )
    return _Plan(colours(palette), ident).drawn(stations)


class _Plan:
    """The drawing on its way."""

    def __init__(self, ink: Colours, ident: str) -> None:
        self.ink = ink
        self.ident = ident
        self.parts: list[str] = []
        self.arrow = (
            f'fill="none" stroke={attr(ink.ink)} stroke-width="1.8" marker-end="url(#{ident}-head)"'
        )

    def drawn(self, stations: tuple[ShopStation, ...]) -> str:
        """Draw everything."""
        dirty = [one for one in stations if one.side == "dirty"]
        clean = [one for one in stations if one.side == "clean"]
        top = _HEAD_HIGH
        below = top + (_BOX_HIGH + _WALL_HIGH + _HEAD_HIGH if dirty and clean else 0.0)
        if dirty:
            self._row(dirty, _("Dirty side"), top=top, back=False)
        if clean:
            self._row(clean, _("Clean side"), top=below, back=True)
        if dirty and clean:
            self._wall(WIDTH_PX - _MARGIN - _wide(max(dirty, clean, key=len)) / 2, top, below=below)
        high = below + _BOX_HIGH + 4
        words = shop_plan_sentence(stations)
        return (
            f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {num(WIDTH_PX)} {num(high)}"'
            f' role="img" aria-label={attr(words)} font-family={attr(self.ink.font)}>'
            f'<defs><marker id="{self.ident}-head" viewBox="0 0 8 8" refX="7" refY="4"'
            f' markerWidth="8" markerHeight="8" orient="auto"><path d="M0 0L8 4L0 8z"'
            f" fill={attr(self.ink.ink)}/></marker></defs>" + "".join(self.parts) + "</svg>"
        )

    def _row(self, row: list[ShopStation], words: str, *, top: float, back: bool) -> None:
        self._text(_MARGIN, top - 9, words, size=_NAME, bold=True)
        wide = _wide(row)
        middle = top + _BOX_HIGH / 2
        for place, one in enumerate(row):
            left = _MARGIN + place * (wide + _GAP)
            if back:
                left = WIDTH_PX - _MARGIN - wide - place * (wide + _GAP)
            self._box(one, left, top, wide=wide)
            if place:
                edge, tip = (
                    (left + wide + _GAP - 3, left + wide + 2)
                    if back
                    else (left - _GAP + 3, left - 2)
                )
                self.parts.append(f'<path d="M{num(edge)} {num(middle)}H{num(tip)}" {self.arrow}/>')

    def _wall(self, x: float, top: float, *, below: float) -> None:
        """Draw the wall between both sides, with the one opening the birds go through."""
        y, hole = top + _BOX_HIGH + _WALL_HIGH / 2 + 8, 26.0
        self.parts.append(
            f'<path d="M0 {num(y)}H{num(x - hole)}M{num(x + hole)} {num(y)}H{num(WIDTH_PX)}"'
            f' stroke={attr(self.ink.ink)} stroke-width="4"/>'
            f'<path d="M{num(x)} {num(top + _BOX_HIGH + 3)}V{num(below - 4)}" {self.arrow}/>'
        )
        words = _("Wall, or distance and time, between both sides. Nobody goes back unwashed.")
        self._text(_MARGIN, y - 8, words, size=_LETTER)

    def _box(self, one: ShopStation, left: float, top: float, *, wide: float) -> None:
        dash = ' stroke-dasharray="6 3"' if one.side == "dirty" else ""
        self.parts.append(
            f'<rect x="{num(left)}" y="{num(top)}" width="{num(wide)}" height="{num(_BOX_HIGH)}"'
            f' fill="none" stroke={attr(self.ink.ink)} stroke-width="1.6"{dash}/>'
        )
        room = (wide - 12) / self.ink.letters
        self._text(left + 7, top + 23, shortened(one.name, _NAME, room), size=_NAME, bold=True)
        for number, line in enumerate(one.lines[:_MOST_LINES]):
            y = top + 43 + number * _LINE_HIGH
            self._text(left + 7, y, shortened(line, _LETTER, room), size=_LETTER)

    def _text(self, x: float, y: float, words: str, *, size: float, bold: bool = False) -> None:
        weight = ' font-weight="bold"' if bold else ""
        fill = self.ink.ink if bold else self.ink.soft
        self.parts.append(
            f'<text x="{num(x)}" y="{num(y)}" font-size="{num(size)}"{weight}'
            f" fill={attr(fill)}>{content(words)}</text>"
        )


def _wide(row: Sequence[ShopStation]) -> float:
    return (WIDTH_PX - 2 * _MARGIN - _GAP * (len(row) - 1)) / len(row)
