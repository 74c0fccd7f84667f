"""The season ribbon as a picture, in SVG text: bands over a year, rooms as heights below.

The thickness of a band is its number of birds: it narrows where birds leave. On the farm it hangs
from the top of its lane, in the freezer it lies on the bottom, so both can be seen at once. Each
part of a lot's life has a colour that people with any colour vision tell apart, and a pattern and
a word besides.
"""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from typing import Final, TypeAlias

from pinfeather.errors import InputError
from pinfeather.reports.colours import Colours, Palette, colours
from pinfeather.reports.season_ribbon import (
    OVER,
    Ribbon,
    RibbonLot,
    RibbonMark,
    RibbonRoom,
    StageCode,
    Steps,
    ribbon_sentence,
)
from pinfeather.reports.svg_text import attr, content, num, shortened, text_width
from pinfeather.words import date_text, gettext_noop
from pinfeather.words import gettext as _

LEAST_PX: Final = 280
_SIZE: Final = 13.0
_BAND: Final = 20.0
ROOM_PX: Final = 46.0
_DAY: Final = dt.timedelta(days=1)
_ON_BAND: Final = "#14181c"
_FILLS: Final[dict[StageCode, str]] = {
    "egg": "#f0e442",
    "brooder": "#e69f00",
    "pasture": "#3fb894",
    "freezer": "#56b4e9",
}
"""Okabe and Ito's yellow, orange, bluish green (lightened, for words on it) and sky blue."""
_WORDS: Final[dict[StageCode, str]] = {
    "egg": gettext_noop("egg"),
    "brooder": gettext_noop("brooder"),
    "pasture": gettext_noop("pasture"),
    "freezer": gettext_noop("freezer"),
}
_MONTHS: Final = (
    gettext_noop("January"), gettext_noop("February"), gettext_noop("March"),
    gettext_noop("April"), gettext_noop("May"), gettext_noop("June"), gettext_noop("July"),
    gettext_noop("August"), gettext_noop("September"), gettext_noop("October"),
    gettext_noop("November"), gettext_noop("December"),
)  # fmt: skip
_LEAST_THICK: Final = 3.0
_Week: TypeAlias = tuple[dt.date, float, float]
"""First day, in use, limit."""


def season_ribbon_svg(
    ribbon: Ribbon,
    *,
    palette: Palette = "screen",
    width: int = 1080,
    ident: str = "ribbon",
    legend: bool = True,
    told: bool = True,
    room_px: float = ROOM_PX,
) -> str:
    """Draw a season, or a part of one.

    Parameters
    ----------
    ribbon : Ribbon
        What is drawn.
    palette : {"screen", "print"}
        Colours from the page's custom properties, or fixed black on white.
    width : int
        Width of the drawing, at least 280 [px].
    ident : str
        Start of the ids in the drawing; different for each ribbon on a page.
    legend : bool
        Whether the signs are explained beneath.
    told : bool
        Whether each room says how full it gets; on a part that follows another, only a room that
        is over its limit there does.
    room_px : float
        Height of each room [px].

    Returns
    -------
    str
        One ``<svg>`` element without style attributes or scripts.

    Raises
    ------
    InputError
        If the width is below 280 or the palette unknown.

    References
    ----------
    Bands over a calendar: W. Playfair, *The Commercial and Political Atlas* (1786), and the bar
    charts of H. L. Gantt (1919). Bands share a lane where they do not meet (interval
    partitioning). Fills: M. Okabe, K. Ito, "Color Universal Design" (2002, revised 2008).
    """
    if width < LEAST_PX:
        raise InputError("width", width, _("The ribbon needs at least 280 pixels."))
    drawing = _Drawing(ribbon, colours(palette), width=width, ident=ident)
    drawing.told, drawing.room_px = told, room_px
    return drawing.svg(legend=legend)


@dataclass(slots=True)
class _Lane:
    """A row of bands that do not meet."""

    free_x: float
    lots: list[RibbonLot]


class _Drawing:
    """Everything one drawing needs to know about itself."""

    def __init__(self, ribbon: Ribbon, tones: Colours, *, width: int, ident: str) -> None:
        self.r, self.c, self.width, self.ident = ribbon, tones, width, ident
        self.left, self.right = 1.0, width - 1.0
        self.scale = (self.right - self.left) / ((ribbon.last - ribbon.first).days + 1)
        self.out: list[str] = []
        self.told, self.room_px = True, ROOM_PX

    # ---- small helpers

    def x(self, on: dt.date) -> float:
        """Return where a day begins, held inside the picture."""
        days = (on - self.r.first).days
        return min(max(self.left + days * self.scale, self.left), self.right)

    def line(self, start: tuple[float, float], end: tuple[float, float], extra: str) -> None:
        (x1, y1), (x2, y2) = start, end
        self.out.append(
            f'<line x1="{num(x1)}" y1="{num(y1)}" x2="{num(x2)}" y2="{num(y2)}" {extra}/>'
        )

    def text(self, at: tuple[float, float], words: str, extra: str = "") -> None:
        x, y = at
        space = " " if extra else ""
        self.out.append(f'<text x="{num(x)}" y="{num(y)}"{space}{extra}>{content(words)}</text>')

    def clear(self, at: tuple[float, float], words: str, extra: str) -> None:
        """Write words that stay readable over a line behind them, on screens and on paper."""
        x, y = at
        wide = self.wide(words, bold="font-weight" in extra)
        ground = f'fill="{self.c.paper}" fill-opacity="0.85"'
        self.rect((x - 1, y - _SIZE + 1), (wide + 2, _SIZE + 2), ground)
        self.text(at, words, extra)

    def rect(self, at: tuple[float, float], size: tuple[float, float], extra: str) -> None:
        (x, y), (wide, high) = at, size
        if wide > 0 and high > 0:
            self.out.append(
                f'<rect x="{num(x)}" y="{num(y)}" width="{num(wide)}" height="{num(high)}" '
                f"{extra}/>"
            )

    def wide(self, words: str, *, bold: bool = False) -> float:
        """Return how wide words come out in this drawing's letters."""
        return text_width(words, _SIZE, bold=bold) * self.c.letters

    # ---- drawing

    def svg(self, *, legend: bool) -> str:
        top = 2.0 + (_SIZE + 8 if self._today_x() is not None else 0.0)
        axis = top + _SIZE + 4
        lanes = self._lanes()
        y = axis + 10
        grid_from = len(self.out)
        y = self._marks(y, self.r.days, _("Processing days"), shape="day")
        for lane in lanes:
            y = self._lane(lane, y)
        if not lanes:
            y = self._quiet(y, _("No lot in these weeks."))
        y = self._marks(y + 4, self.r.orders, _("Pickups"), shape="order")
        for room in self.r.rooms:
            y = self._room(room, y + 8)
        bottom = y
        body = self.out[grid_from:]
        del self.out[grid_from:]
        self._months(axis, bottom)
        self._today(bottom)
        self.out += body
        y += 6
        if legend:
            y = self._legend(y + 8)
        return self._whole(y + 4)

    def _whole(self, height: float) -> str:
        title = _("The season ribbon: weeks across, lots as bands, rooms as heights below")
        head = (
            f'<svg xmlns="http://www.w3.org/2000/svg" class="ribbon" role="img" '
            f'viewBox="0 0 {self.width} {num(height)}" width="{self.width}" '
            f'height="{num(height)}" font-family={attr(self.c.font)} font-size="{num(_SIZE)}" '
            f'fill="{self.c.ink}" aria-labelledby="{self.ident}-title {self.ident}-desc">'
        )
        return "\n".join(
            [
                head,
                f'<title id="{self.ident}-title">{content(title)}</title>',
                f'<desc id="{self.ident}-desc">{content(ribbon_sentence(self.r))}</desc>',
                self._patterns(),
                *self.out,
                "</svg>",
            ]
        )

    def _patterns(self) -> str:
        """Define what is laid over the fills: dots, slanting, upright, crossed lines."""
        thin = f'stroke="{_ON_BAND}" stroke-opacity="0.38" stroke-width="1"'
        made = {
            "egg": f'<circle cx="3" cy="3" r="1.1" fill="{_ON_BAND}" fill-opacity="0.45"/>',
            "brooder": f'<path d="M-1 7L7 -1M-4 4L4 -4M2 10L10 2" fill="none" {thin}/>',
            "freezer": f'<path d="M3 0V6" fill="none" {thin}/>',
            "over": f'<path d="M-1 7L7 -1M-1 -1L7 7" fill="none" stroke="{self.c.late}" '
            f'stroke-width="1.2"/>',
        }
        body = "".join(
            f'<pattern id="{self.ident}-{name}" width="6" height="6" '
            f'patternUnits="userSpaceOnUse">{inner}</pattern>'
            for name, inner in made.items()
        )
        return f"<defs>{body}</defs>"

    # ---- time and today

    def _months(self, axis: float, bottom: float) -> None:
        hair = f'stroke="{self.c.rule}" stroke-width="0.8"'
        self.line(
            (self.left, axis), (self.right, axis), f'stroke="{self.c.ink}" stroke-width="1.2"'
        )
        week = self.r.first
        while week <= self.r.last:
            self.line((self.x(week), axis), (self.x(week), axis + 4), hair)
            week += 7 * _DAY
        month = self.r.first.replace(day=1)
        while month <= self.r.last:
            following = (month + 32 * _DAY).replace(day=1)
            x0, x1 = self.x(max(month, self.r.first)), self.x(min(following, self.r.last + _DAY))
            if month >= self.r.first:
                self.line((x0, axis - _SIZE), (x0, bottom), hair)
            name = _(_MONTHS[month.month - 1])
            full = f"{name} {month.year}" if month.month == 1 or month <= self.r.first else name
            short = name[:3]
            words = next((w for w in (full, name, short) if self.wide(w) + 6 < x1 - x0), "")
            if words:
                self.text((x0 + 4, axis - 4), words, f'class="month" fill="{self.c.soft}"')
            month = following

    def _today_x(self) -> float | None:
        today = self.r.today
        if today is None or not self.r.first <= today <= self.r.last:
            return None
        return self.x(today) + self.scale / 2

    def _today(self, bottom: float) -> None:
        x = self._today_x()
        if x is None or self.r.today is None:
            return
        words = _("today, {date}").format(date=date_text(self.r.today, year=False))
        wide = self.wide(words, bold=True) + 10
        at = min(max(x - wide / 2, self.left), self.right - wide)
        ink = f'class="today" stroke="{self.c.ink}" stroke-width="2"'
        self.line((x, _SIZE + 8), (x, bottom), ink)
        self.rect((at, 2), (wide, _SIZE + 6), f'fill="{self.c.ink}" rx="2"')
        middle = f'text-anchor="middle" font-weight="700" fill="{self.c.paper}"'
        self.text((at + wide / 2, _SIZE + 3), words, middle)

    # ---- lots

    def _lanes(self) -> list[_Lane]:
        """Give each lot the first lane that is free."""
        lanes: list[_Lane] = []
        for lot in self.r.lots:
            begin = self.x(lot.begins_on)
            end = max(self.x(lot.ends_on), self._title_x(lot) + self.wide(self._title(lot))) + 14
            lane = next((one for one in lanes if one.free_x <= begin), None)
            if lane is None:
                lane = _Lane(0.0, [])
                lanes.append(lane)
            lane.lots.append(lot)
            lane.free_x = end
        return lanes

    def _title(self, lot: RibbonLot) -> str:
        words = _("{code}: {n} {name}") if lot.standing else _("{code}: order {n} {name}")
        return words.format(code=lot.code, n=lot.heads, name=lot.name)

    def _title_x(self, lot: RibbonLot) -> float:
        room = self.right - self.wide(self._title(lot), bold=True)
        return max(min(self.x(lot.begins_on), room), self.left)

    def _lane(self, lane: _Lane, y: float) -> float:
        band = y + _SIZE + 5
        for lot in lane.lots:
            self._lot(lot, y, band)
        return band + _BAND + 9

    def _lot(self, lot: RibbonLot, y: float, band: float) -> None:
        words = shortened(self._title(lot), _SIZE, (self.right - self.left) / self.c.letters)
        told = "; ".join(
            [
                self._title(lot),
                *([] if lot.standing else [_("order by {d}").format(d=date_text(lot.order_by))]),
                *(f"{date_text(batch.on)}: {batch.birds}" for batch in lot.batches),
            ]
        )
        self.out.append(f'<g class="lot"><title>{content(told)}</title>')
        self.clear((self._title_x(lot), y + _SIZE), words, 'class="lot" font-weight="600"')
        if not lot.standing:
            self._ordered(lot, band)
            self._piece("egg", (lot.egg_on, lot.arrive_on), (band, band + _BAND))
        most = max((*lot.alive.birds, *lot.frozen.birds, 1.0))
        self._alive(lot, band, most)
        for begin, end, birds in _spans(lot.frozen):
            thick = max(birds / most * _BAND, _LEAST_THICK) if birds else 0.0
            self._piece("freezer", (begin, end), (band + _BAND - thick, band + _BAND))
        self._words_on(lot, band)
        for batch in lot.batches:
            if self.r.first <= batch.on <= self.r.last:
                self._batch(self.x(batch.on) + self.scale / 2, band)
        self.out.append("</g>")

    def _ordered(self, lot: RibbonLot, band: float) -> None:
        """Draw a dotted line from the day the order must be in."""
        if lot.order_by >= lot.egg_on or lot.egg_on < self.r.first:
            return
        middle = band + _BAND / 2
        dots = f'stroke="{self.c.ink}" stroke-width="1.6" stroke-dasharray="0.1 4" '
        x0, x1 = self.x(lot.order_by), self.x(lot.egg_on)
        self.line((x0, middle), (x1, middle), dots + 'stroke-linecap="round"')
        if lot.order_by >= self.r.first:
            self.line((x0, band + 3), (x0, band + _BAND - 3), f'stroke="{self.c.ink}"')

    def _alive(self, lot: RibbonLot, band: float, most: float) -> None:
        for begin, end, birds in _spans(lot.alive):
            thick = max(birds / most * _BAND, _LEAST_THICK) if birds else 0.0
            turn = min(max(lot.out_on, begin), end)
            self._piece("brooder", (begin, turn), (band, band + thick))
            self._piece("pasture", (turn, end), (band, band + thick))

    def _piece(
        self, code: StageCode, dates: tuple[dt.date, dt.date], rows: tuple[float, float]
    ) -> None:
        begin, end = dates
        if end <= self.r.first or begin > self.r.last or end <= begin:
            return
        x0, x1 = self.x(begin), self.x(end)
        top, bottom = rows
        size = (x1 - x0, bottom - top)
        edge = f'stroke="{_ON_BAND}" stroke-width="0.7" stroke-opacity="0.55"'
        self.rect((x0, top), size, f'class="{code}" fill="{_FILLS[code]}" {edge}')
        if code != "pasture":
            self.rect((x0, top), size, f'fill="url(#{self.ident}-{code})"')

    def _words_on(self, lot: RibbonLot, band: float) -> None:
        """Write each stage's word on its band where it fits."""
        first_out = min((b.on for b in lot.batches), default=lot.alive.dates[-1])
        stages: list[tuple[StageCode, dt.date, dt.date]] = [
            ("egg", lot.egg_on, lot.arrive_on),
            ("brooder", lot.arrive_on, min(lot.out_on, first_out)),
            ("pasture", max(lot.out_on, lot.arrive_on), first_out),
        ]
        if lot.standing:
            stages.pop(0)
        gone = max((b.on for b in lot.batches), default=None)
        if gone is not None and lot.frozen.dates and lot.frozen.dates[-1] > gone:
            stages.append(("freezer", gone, lot.frozen.dates[-1]))
        for code, begin, end in stages:
            if end <= begin or end <= self.r.first or begin > self.r.last:
                continue
            x0, x1 = self.x(begin), self.x(end)
            words = _(_WORDS[code])
            if self.wide(words) + 8 > x1 - x0:
                continue
            at = _BAND - 5.5
            if code == "freezer":
                half = dt.timedelta(days=(self.wide(words) / 2 + 3) / self.scale)
                high = self._height(lot.frozen, begin + (end - begin) / 2 + half, lot)
                if high < _SIZE:
                    continue
                at = _BAND - high / 2 + 0.35 * _SIZE
            wide = self.wide(words) + 6
            middle = (x0 + x1) / 2
            self.rect(
                (middle - wide / 2, band + at - 11.5),
                (wide, 14),
                f'fill="{_FILLS[code]}" rx="2"',
            )
            self.text((middle, band + at), words, f'text-anchor="middle" fill="{_ON_BAND}"')

    def _height(self, steps: Steps, on: dt.date, lot: RibbonLot) -> float:
        most = max((*lot.alive.birds, *lot.frozen.birds, 1.0))
        birds = [n for date, n in zip(steps.dates, steps.birds, strict=True) if date <= on]
        return birds[-1] / most * _BAND if birds else 0.0

    def _batch(self, x: float, band: float) -> None:
        self.rect(
            (x - 2.5, band - 3),
            (5, _BAND + 6),
            f'class="batch" fill="{self.c.ink}" stroke="{self.c.paper}" stroke-width="1"',
        )

    # ---- marks

    def _marks(self, y: float, marks: Sequence[RibbonMark], title: str, *, shape: str) -> float:
        if not marks:
            return y
        self.clear((self.left, y + _SIZE), title, f'fill="{self.c.soft}"')
        mid, free = y + _SIZE + 12, self.left
        for mark in marks:
            x = self.x(mark.on) + self.scale / 2
            self.out.append(f"<g><title>{content(mark.words)}</title>")
            self._mark(x, mid, mark, shape=shape)
            words = shortened(mark.short, _SIZE, 110)
            at = self._beside(mark, marks, wide=self.wide(words, bold=not mark.fine), free=free)
            if at is not None:
                tone = self.c.ink if mark.fine else self.c.late
                bold = "" if mark.fine else ' font-weight="700"'
                self.clear((at, mid + 0.35 * _SIZE), words, f'fill="{tone}"{bold}')
                free = max(at + self.wide(words) + 6, x + 8)
            free = max(free, x + 6)
            self.out.append("</g>")
        return mid + 14

    def _beside(
        self, mark: RibbonMark, marks: Sequence[RibbonMark], *, wide: float, free: float
    ) -> float | None:
        """Return where a label goes: right of its mark, else left of it, else nowhere."""
        x = self.x(mark.on) + self.scale / 2
        if next(one for one in marks if one.on == mark.on) is not mark:
            return None
        later = [one.on for one in marks if one.on > mark.on]
        ends = self.x(min(later)) - 4 if later else self.right
        if x + 8 + wide <= ends:
            return x + 8
        return x - 8 - wide if x - 8 - wide >= free else None

    def _mark(self, x: float, y: float, mark: RibbonMark, *, shape: str) -> None:
        if not mark.fine:
            self.out.append(self._triangle(x, y))
        elif shape == "day":
            self.rect((x - 4.5, y - 4.5), (9, 9), f'fill="{self.c.ink}"')
        else:
            self.out.append(
                f'<circle cx="{num(x)}" cy="{num(y)}" r="4.5" fill="{self.c.paper}" '
                f'stroke="{self.c.ink}" stroke-width="2"/>'
            )

    def _triangle(self, x: float, y: float, r: float = 6.0) -> str:
        return (
            f'<path class="over" d="M{num(x)} {num(y - r)}L{num(x + r)} {num(y + 0.8 * r)}'
            f'L{num(x - r)} {num(y + 0.8 * r)}Z" fill="{self.c.late}" stroke="{self.c.paper}"/>'
        )

    # ---- rooms

    def _room(self, room: RibbonRoom, y: float) -> float:
        weeks = [
            (week, used, limit)
            for week, used, limit in zip(room.weeks, room.used, room.limit, strict=True)
            if week + 6 * _DAY >= self.r.first and week <= self.r.last
        ]
        over = any(used > limit * OVER for _week, used, limit in weeks)
        y = self._room_words(room, y, told=self.told or over)
        if not any(room.used):
            return y + _SIZE + 4
        top = y + _SIZE + 10
        base = top + self.room_px
        limits = [limit for limit in room.limit if math.isfinite(limit)]
        most = max((*room.used, *limits, 1e-9))

        def row(value: float) -> float:
            return base - value / most * self.room_px

        self._heights(weeks, row, base)
        self._limit(weeks, row)
        for week, used, limit in weeks:
            if used > limit * OVER:
                middle = (self.x(week) + self.x(week + 7 * _DAY)) / 2
                self.out.append(self._triangle(middle, row(used) - 7, 5.0))
        self.line((self.left, base), (self.right, base), f'stroke="{self.c.soft}" stroke-width="1"')
        return base + 6

    def _room_words(self, room: RibbonRoom, y: float, *, told: bool) -> float:
        self.clear((self.left, y + _SIZE), room.name, 'class="room" font-weight="600"')
        if not told:
            return y
        words = room.told()
        name = self.wide(room.name, bold=True) + 8
        tone = self.c.late if room.over else self.c.soft
        bold = ' font-weight="700"' if room.over else ""
        if name + self.wide(words, bold=bool(bold)) < self.right:
            self.clear((self.left + name, y + _SIZE), words, f'fill="{tone}"{bold}')
            return y
        for line in _wrapped(words, (self.right - self.left) / self.c.letters, bold=bool(bold)):
            y += _SIZE + 4
            self.clear((self.left, y + _SIZE), line, f'fill="{tone}"{bold}')
        return y

    def _heights(self, weeks: Sequence[_Week], row: Callable[[float], float], base: float) -> None:
        path: list[str] = []
        for week, used, limit in weeks:
            x0, x1 = self.x(week), self.x(week + 7 * _DAY)
            start = f"L{num(x0)} " if path else f"M{num(x0)} {num(base)}V"
            path.append(f"{start}{num(row(min(used, limit)))}H{num(x1)}")
        if path:
            self.out.append(
                f'<path class="used" d="{"".join(path)}V{num(base)}Z" fill="{self.c.plan}" '
                f'fill-opacity="0.75"/>'
            )
        for week, used, limit in weeks:
            if used > limit * OVER:
                x0, x1 = self.x(week), self.x(week + 7 * _DAY)
                size = (x1 - x0, row(limit) - row(used))
                edge = f'stroke="{self.c.late}" stroke-width="1.2"'
                over = f'class="over" fill="url(#{self.ident}-over)" {edge}'
                self.rect((x0, row(used)), size, over)

    def _limit(self, weeks: Sequence[_Week], row: Callable[[float], float]) -> None:
        path: list[str] = []
        for week, _used, limit in weeks:
            if not math.isfinite(limit):
                continue
            x0, x1 = self.x(week), self.x(week + 7 * _DAY)
            path.append(f"{'L' if path else 'M'}{num(x0)} {num(row(limit))}H{num(x1)}")
        if path:
            self.out.append(
                f'<path class="limit" d="{"".join(path)}" fill="none" stroke="{self.c.ink}" '
                f'stroke-width="1.6"/>'
            )

    def _quiet(self, y: float, words: str) -> float:
        self.text((self.left, y + _SIZE), words, f'fill="{self.c.soft}"')
        return y + _SIZE + 10

    # ---- legend

    def _legend(self, top: float) -> float:
        """Explain each sign in words, wrapped to the width."""
        x, y = self.left, top + _SIZE
        self.out.append('<g class="legend">')
        for swatch, words in self._signs():
            wide = 32 + self.wide(words)
            if x > self.left and x + wide > self.right:
                x, y = self.left, y + _SIZE + 9
            self.out.append(
                f'<g transform="translate({num(x)} {num(y - 0.35 * _SIZE)})">{swatch}</g>'
            )
            self.text((x + 32, y), words, f'fill="{self.c.soft}"')
            x += wide + 16
        self.out.append("</g>")
        return y + 6

    def _signs(self) -> Iterable[tuple[str, str]]:
        c = self.c
        for code, fill in _FILLS.items():
            box = f'x="0" y="-6" width="26" height="12" fill="{fill}"'
            over = f'<rect x="0" y="-6" width="26" height="12" fill="url(#{self.ident}-{code})"/>'
            yield f"<rect {box}/>" + ("" if code == "pasture" else over), _(_WORDS[code])
        dots = 'stroke-width="1.6" stroke-dasharray="0.1 4" stroke-linecap="round"'
        yield f'<path d="M0 0H26" stroke="{c.ink}" {dots}/>', _("dotted: ordered")
        bar = f'<rect x="10" y="-8" width="5" height="16" fill="{c.ink}"/>'
        yield bar, _("upright bar: processed")
        ring = f'cx="13" cy="0" r="4.5" fill="{c.paper}" stroke="{c.ink}" stroke-width="2"'
        yield f"<circle {ring}/>", _("circle: pickup")
        height = f'<rect x="0" y="-3" width="26" height="9" fill="{c.plan}" fill-opacity="0.75"/>'
        height += f'<path d="M0 -6H26" stroke="{c.ink}" stroke-width="1.6"/>'
        yield height, _("height: in use, under its limit")
        short = any(not one.fine for one in (*self.r.orders, *self.r.days))
        if short or any(room.over for room in self.r.rooms):
            yield self._triangle(13, 0), _("triangle: over a limit, or not met")


def _spans(steps: Steps) -> Iterable[tuple[dt.date, dt.date, float]]:
    """Yield each stretch of an even number of birds."""
    for place, (begin, birds) in enumerate(zip(steps.dates, steps.birds, strict=True)):
        if place + 1 < len(steps.dates) and birds > 0:
            yield begin, steps.dates[place + 1], birds


def _wrapped(words: str, room: float, *, bold: bool) -> list[str]:
    lines: list[str] = []
    for word in words.split(" "):
        joined = f"{lines[-1]} {word}" if lines else word
        if lines and text_width(joined, _SIZE, bold=bold) <= room:
            lines[-1] = joined
        else:
            lines.append(word)
    return lines
