"""The strip as a picture: stations as lanes, birds as threads, in SVG text.

In each station's band the upper lines are birds that wait, the lower lines birds that are being
worked on (or lie in the chill); a bird gets the first free line. So the depth of a queue and the
gaps in somebody's work can be seen at once, and the birds that have reached "now" stand beside
each other instead of running into one point.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Final

from pinfeather.errors import InputError
from pinfeather.reports.colours import Colours, Palette, colours
from pinfeather.reports.strip import Strip, strip_sentence
from pinfeather.reports.strip_lines import Leg, legs_of, share_lines
from pinfeather.reports.svg_text import (
    attr,
    content,
    num,
    shortened,
    text_width,
    time_ticks,
)
from pinfeather.reports.when import Clock, clock_text, seconds_between
from pinfeather.words import gettext as _

STRIP_CSS: Final = """\
svg.strip, svg.cold-curve { display: block; width: 100%; height: auto; }
svg.strip text, svg.cold-curve text { font-variant-numeric: tabular-nums; }
svg.strip .thread:hover .move, svg.strip .thread:hover .wait { stroke-width: 2.4; }
svg.strip .thread:hover .work { stroke-width: 6; }
@media print { svg.strip { break-inside: avoid; } }
"""
"""Rules for the site's stylesheet; the pictures are whole without them."""

MOST_THREADS: Final = 80
"""Above this many birds only every second, third, … thread is drawn in full."""

_NARROW_PX: Final = 600
_LATE_LABELS: Final = 8
_RAILS_PX: Final = 3.0  # lines closer than this share one guide
_GAP_PX: Final = 0.9  # left between two birds that follow each other at once


@dataclass(slots=True)
class _Lane:
    """Where a station's lines lie [px]."""

    top: float
    wait_px: float
    work_px: float
    wait_lines: int
    work_lines: int

    def wait_y(self, line: int) -> float:
        return self.top + (line + 0.5) * self.wait_px

    def work_y(self, line: int) -> float:
        return self.top + self.wait_lines * self.wait_px + (line + 0.5) * self.work_px

    @property
    def bottom(self) -> float:
        return self.top + self.wait_lines * self.wait_px + self.work_lines * self.work_px


@dataclass(slots=True)
class _Ink:
    """The path data of one thread, or of all planned threads, by kind of line."""

    move: list[str] = field(default_factory=list)
    wait: list[str] = field(default_factory=list)
    work: list[str] = field(default_factory=list)
    chill: list[str] = field(default_factory=list)
    counts: list[tuple[float, float]] = field(default_factory=list)
    end: tuple[float, float] | None = None


def strip_svg(
    strip: Strip,
    *,
    palette: Palette = "screen",
    width: int = 1120,
    ident: str = "strip",
    clock: Clock = "12h",
    strong: bool = False,
) -> str:
    """Draw the strip.

    Parameters
    ----------
    strip : Strip
        The day.
    palette : {"screen", "print"}
        Colours from the page's custom properties, or fixed black on white.
    width : int
        Width of the drawing, at least 280; below 600 the names stand above their lanes [px].
    ident : str
        Start of the ids in the drawing; different for each strip on a page.
    clock : {"12h", "24h"}
        Which clock the farm reads.
    strong : bool
        Whether a plan alone is drawn as dark as what happened.

    Returns
    -------
    str
        One ``<svg>`` element without style attributes or scripts.

    Raises
    ------
    InputError
        If the width is below 280 or the palette unknown.

    Notes
    -----
    Drawn for 1 to 200 birds. A count without a start is drawn as waiting up to the count, which
    is marked with a dot.

    References
    ----------
    Time-station diagram: E. J. Marey, *La méthode graphique* (1885), after C. Ibry's train
    diagram. Lines within a lane: first free line, which needs as many lines as there are birds
    at once (interval partitioning).
    """
    if width < 280:  # noqa: PLR2004 - explained in the docstring
        raise InputError("width", width, _("The strip needs at least 280 pixels."))
    drawing = _Drawing(strip, colours(palette), width=width, ident=ident, clock=clock)
    drawing.strong = strong
    return drawing.svg()


class _Drawing:
    """Everything one drawing needs to know about itself."""

    def __init__(
        self, strip: Strip, tones: Colours, *, width: int, ident: str, clock: Clock
    ) -> None:
        self.strip, self.c, self.width, self.ident, self.clock = strip, tones, width, ident, clock
        self.size, self.strong = 13.0, False
        gutter = max(text_width(name, self.size, bold=True) for name in strip.stations) + 14
        self.above = width < _NARROW_PX or gutter > 0.2 * width
        self.left = 4.0 if self.above else gutter
        self.right = width - 6.0
        self.scale = (self.right - self.left) / strip.until_s
        end_s = strip.until_s if strip.now_s is None else strip.now_s
        routes = {t.label: [p.station for p in t.points] for t in strip.planned}
        usual = max(routes.values(), key=len, default=list(range(len(strip.stations))))
        self.plan = [(t, legs_of(strip, t, end_s=strip.until_s, route=())) for t in strip.planned]
        self.real = [
            (t, legs_of(strip, t, end_s=end_s, route=routes.get(t.label, usual)))
            for t in strip.actual
        ]  # fmt: skip
        birds = max(len(self.plan), len(self.real))
        self.every = -(-birds // MOST_THREADS) if birds > MOST_THREADS else 1
        rows = (strip.now is not None) + (strip.deadline is not None)
        self.top = rows * (self.size + 8) + 8
        self.lanes = self._place()
        self.bottom = self.lanes[-1].bottom + 6

    def _place(self) -> list[_Lane]:
        chill = self.strip.chill_station
        needs = [
            share_lines((leg for _t, legs in threads for leg in legs), chill_station=chill)
            for threads in (self.plan, self.real)
        ]
        lanes: list[_Lane] = []
        y = self.top
        for station in range(len(self.strip.stations)):
            waits = max(need.get(station, (0, 1))[0] for need in needs)
            works = max(1, *(need.get(station, (0, 1))[1] for need in needs))
            wait_px = min(4.5, 63 / max(waits, 1))
            work_px = min(2.6, 92 / works) if station == chill else min(7.0, 56 / works)
            y += self.size + 8 if self.above else 0
            if not self.above and waits * wait_px + works * work_px < self.size + 2:
                work_px = (self.size + 2 - waits * wait_px) / works
            lanes.append(_Lane(y, wait_px, work_px, waits, works))
            y = lanes[-1].bottom + (8 if self.above else 20)
        return lanes

    def x(self, at_s: float) -> float:
        return self.left + min(max(at_s, 0.0), self.strip.until_s) * self.scale

    def svg(self) -> str:
        title = _("The strip: time across, stations down, one thread per bird")
        foot = self.bottom + self.size + 8
        legend, height = self._legend(foot + 12)
        c, font = self.c, attr(self.c.font)
        head = (
            f'<svg xmlns="http://www.w3.org/2000/svg" class="strip" role="img" '
            f'viewBox="0 0 {self.width} {num(height)}" width="{self.width}" '
            f'height="{num(height)}" font-family={font} font-size="{num(self.size)}" '
            f'fill="{c.ink}" aria-labelledby="{self.ident}-title {self.ident}-desc">'
        )
        parts = [
            head,
            f'<title id="{self.ident}-title">{content(title)}</title>',
            f'<desc id="{self.ident}-desc">{content(strip_sentence(self.strip))}</desc>',
            *self._grid(),
            *self._threads(),
            *self._names(),
            *self._moments(),
            *legend,
            "</svg>",
        ]
        return "\n".join(parts)

    def _line(self, start: tuple[float, float], end: tuple[float, float], extra: str) -> str:
        (x1, y1), (x2, y2) = start, end
        return f'<line x1="{num(x1)}" y1="{num(y1)}" x2="{num(x2)}" y2="{num(y2)}" {extra}/>'

    def _text(self, at: tuple[float, float], words: str, extra: str) -> str:
        x, y = at
        return f'<text x="{num(x)}" y="{num(y)}" {extra}>{content(words)}</text>'

    def _grid(self) -> list[str]:
        out: list[str] = []
        hair = f'stroke="{self.c.rule}" stroke-width="0.8"'
        ticks = time_ticks(
            self.strip.start,
            self.strip.until_s,
            px_per_s=self.scale,
            size=self.size,
            clock=self.clock,
        )
        for at_s, label in ticks:
            x, half = self.x(at_s), text_width(label, self.size) / 2
            out.append(self._line((x, self.top - 6), (x, self.bottom), hair))
            at = min(max(x, 2 + half), self.width - 2 - half)
            extra = f'class="tick" text-anchor="middle" fill="{self.c.soft}"'
            out.append(self._text((at, self.bottom + self.size + 2), label, extra))
        for lane in self.lanes:
            first = 0 if lane.work_px > _RAILS_PX else lane.work_lines - 1
            for line in range(first, lane.work_lines):
                y = lane.work_y(line)
                out.append(self._line((self.left, y), (self.right, y), hair))
        return out

    def _names(self) -> list[str]:
        """Write the stations' names, over the threads where there is no gutter."""
        out: list[str] = []
        for name, lane in zip(self.strip.stations, self.lanes, strict=True):
            if self.above:
                where, extra = (self.left, lane.top - 5), ""
            else:
                middle = (lane.top + lane.bottom) / 2
                where, extra = (self.left - 10, middle + 0.35 * self.size), 'text-anchor="end" '
            extra += 'font-weight="600"'
            if self.above:
                extra += f' stroke="{self.c.paper}" stroke-width="5" '
                extra += 'stroke-linejoin="round" paint-order="stroke"'
            fitting = shortened(name, self.size, self.right - self.left)
            out.append(self._text(where, fitting, f'class="station" {extra}'))
        return out

    def _threads(self) -> list[str]:
        c = self.c
        plan, plan_late = _Ink(), _Ink()
        alone = c.ink if self.strong else c.soft  # a plan alone need not stand back
        tone = c.plan if self.real else alone
        for number, (thread, legs) in enumerate(self.plan):
            whole = number % self.every == 0 or thread.late
            self._ink(plan_late if thread.late else plan, legs, whole=whole)
        out = [
            self._paths(plan, tone, kind="plan", widths=(0.8, 1.1, 2.6, 0.7)),
            self._paths(plan_late, c.late, kind="plan", widths=(0.9, 1.3, 2.6, 0.8)),
        ]
        ordered = sorted(enumerate(self.real), key=lambda pair: pair[1][0].late)
        ends: list[tuple[float, float, str]] = []
        for number, (thread, legs) in ordered:
            ink = _Ink()
            self._ink(ink, legs, whole=number % self.every == 0 or thread.late)
            words = _("{bird}, overdue").format(bird=thread.label) if thread.late else thread.label
            widths = (2.0, 2.2, 4.6, 1.6) if thread.late else (1.0, 1.5, 3.8, 0.8)
            body = self._paths(ink, c.late if thread.late else c.ink, kind="act", widths=widths)
            marks = ""
            if thread.late and ink.end is not None:
                marks = self._diamond(*ink.end)
                ends.append((*ink.end, thread.label))
            out.append(
                f'<g class="thread"><title>{content(words)}</title>{body}{marks}</g>'
            )  # fmt: skip
        out.extend(self._late_labels(ends))
        return out

    def _ink(self, ink: _Ink, legs: Sequence[Leg], *, whole: bool) -> None:
        """Turn a thread into path data; a thread left out still shows its work."""
        here: tuple[float, float] | None = None
        for leg in legs:
            if leg.arrive_s > self.strip.until_s:
                break
            lane, chills = self.lanes[leg.station], leg.station == self.strip.chill_station
            line_y = lane.work_y(leg.work_line)
            waits = leg.waits and not chills
            arrive_x, depart_x = self.x(leg.arrive_s), self.x(leg.depart_s)
            entry = (arrive_x, lane.wait_y(leg.wait_line) if waits else line_y)
            if whole and here is not None:
                ink.move.append(_segment(*here, entry))
            here = entry
            if waits:
                here = (depart_x if leg.start_s is None else self.x(leg.start_s), entry[1])
                if whole:
                    ink.wait.append(_segment(*entry, here))
            if chills:
                if whole:
                    ink.chill.append(_segment(*entry, (depart_x, line_y)))
                here = (depart_x, line_y)
            elif leg.start_s is not None:
                if whole and waits:
                    ink.move.append(_segment(*here, (here[0], line_y)))
                self._work(ink, leg, line_y, whole=whole)
                here = (depart_x, line_y)
        ink.end = here

    def _work(self, ink: _Ink, leg: Leg, y: float, *, whole: bool) -> None:
        start_x = self.x(leg.arrive_s if leg.start_s is None else leg.start_s)
        finish_x, depart_x = self.x(leg.finish_s), self.x(leg.depart_s)
        if leg.counted:
            ink.counts.append((finish_x, y))
        else:
            gap = _GAP_PX if finish_x - start_x > 4 * _GAP_PX else 0.0
            ink.work.append(_segment(start_x, y, (finish_x - gap, y)))
        if whole and depart_x > finish_x:
            ink.wait.append(_segment(finish_x, y, (depart_x, y)))

    def _paths(
        self, ink: _Ink, colour: str, *, kind: str, widths: tuple[float, float, float, float]
    ) -> str:
        move, wait, work, chill = widths
        chilly = colour if colour in {self.c.late, self.c.plan} else self.c.cold
        lines = (
            (ink.chill, "chill", chilly, chill, ""),
            (ink.move, "move", colour, move, ' stroke-opacity="0.8"'),
            (ink.wait, "wait", colour, wait, ' stroke-dasharray="0.1 3.4" stroke-linecap="round"'),
            (ink.work, "work", colour, work, ""),
        )
        out = [
            f'<path class="{kind} {name}" d="{"".join(data)}" fill="none" stroke="{tone}" '
            f'stroke-width="{num(thick)}"{extra}/>'
            for data, name, tone, thick, extra in lines
            if data
        ]
        out += [
            f'<circle class="{kind} count" cx="{num(x)}" cy="{num(y)}" r="2.2" fill="{colour}"/>'
            for x, y in ink.counts
        ]
        return "".join(out)

    def _diamond(self, x: float, y: float, r: float = 5.5) -> str:
        return (
            f'<path class="late" d="M{num(x)} {num(y - r)}L{num(x + r)} {num(y)}'
            f'L{num(x)} {num(y + r)}L{num(x - r)} {num(y)}Z" fill="{self.c.late}" '
            f'stroke="{self.c.paper}" stroke-width="1"/>'
        )

    def _late_labels(self, ends: Sequence[tuple[float, float, str]]) -> list[str]:
        """Name the overdue birds beside their marks, as far as there is room."""
        out: list[str] = []
        taken: list[tuple[float, float, float]] = []
        for x, y, label in ends[:_LATE_LABELS]:
            words = shortened(label, self.size, 0.3 * self.width)
            wide = text_width(words, self.size, bold=True)
            at = x + 9 if x + 9 + wide < self.right else x - 9 - wide
            if at < self.left or any(
                at < x1 and x0 < at + wide and abs(y - y0) < self.size for x0, x1, y0 in taken
            ):
                continue
            taken.append((at, at + wide, y))
            box = (
                f'<rect x="{num(at - 2)}" y="{num(y - 0.55 * self.size)}" '
                f'width="{num(wide * self.c.letters + 4)}" height="{num(1.1 * self.size)}" '
                f'fill="{self.c.paper}" fill-opacity="0.85"/>'
            )
            extra = f'class="late" font-weight="700" fill="{self.c.late}"'
            out += [box, self._text((at, y + 0.35 * self.size), words, extra)]
        return out

    def _moments(self) -> list[str]:
        """Draw the lines for now and for the deadline, each with its words on top."""
        strip = self.strip
        out: list[str] = []
        now_x: float | None = None
        if strip.now is not None and strip.now_s is not None and (
            0 <= strip.now_s <= strip.until_s
        ):  # fmt: skip
            now_x = self.x(strip.now_s)
            words = _("{time} now").format(time=clock_text(strip.now, clock=self.clock))
            out += self._flag(now_x, words, kind="now")
        if strip.deadline is not None:
            at_s = seconds_between(strip.start, strip.deadline)
            if 0 <= at_s <= strip.until_s:
                words = strip.deadline_words or _("Deadline")
                words = f"{words} {clock_text(strip.deadline, clock=self.clock)}"
                out += self._flag(self.x(at_s), words, kind="deadline", avoid=now_x)
        return out

    def _flag(self, x: float, words: str, *, kind: str, avoid: float | None = None) -> list[str]:
        is_now, size = kind == "now", self.size
        colour = self.c.ink if is_now else self.c.late
        y = 2.0 if is_now or self.strip.now is None else size + 10.0
        words = shortened(words, size / 0.89, self.width - 16)
        wide = text_width(words, size, bold=True) + 10
        left = min(max(x - wide / 2, 1.0), self.width - 1 - wide)
        if avoid is not None and left - 4 < avoid < left + wide + 4:
            sides = (avoid - 5 - wide, avoid + 5) if x < avoid else (avoid + 5, avoid - 5 - wide)
            left = next((s for s in sides if 1 <= s <= self.width - 1 - wide), left)
        extra = f'class="{kind}" stroke="{colour}" stroke-width="{2 if is_now else 1.5}"'
        if not is_now:
            extra += ' stroke-dasharray="7 4"'
        fill, tone = (colour, self.c.paper) if is_now else (self.c.paper, colour)
        words_extra = f'class="{kind}" text-anchor="middle" font-weight="700" fill="{tone}"'
        box = (
            f'<rect x="{num(left)}" y="{num(y)}" width="{num(wide)}" height="{num(size + 6)}" '
            f'fill="{fill}" rx="2"/>'
        )
        return [
            self._line((x, y + size + 6), (x, self.bottom), extra),
            box,
            self._text((left + wide / 2, y + size + 0.5), words, words_extra),
        ]

    def _legend(self, top: float) -> tuple[list[str], float]:
        """Explain each kind of line that occurs, in words, wrapped to the width."""
        c, size = self.c, self.size
        out, x, y = ['<g class="legend" fill="none">'], 2.0, top + size
        for swatch, words in self._legend_entries():
            wide = 32 + text_width(words, size)
            if x > self.left and x + wide > self.width:
                x, y = 2.0, y + size + 8
            out.append(f'<g transform="translate({num(x)} {num(y - 0.33 * size)})">{swatch}</g>')
            out.append(self._text((x + 32, y), words, f'fill="{c.soft}"'))
            x += wide + 14
        if self.every > 1:
            words = _("Waiting and moving drawn for one bird in {n} and every overdue one.")
            for line in _wrapped(words.format(n=self.every), size, self.width - 4):
                y += size + 7
                out.append(self._text((2, y), line, f'fill="{c.soft}"'))
        out.append("</g>")
        return out, y + 8

    def _legend_entries(self) -> list[tuple[str, str]]:
        """Give a sample, 26 px wide, and the words for each kind of line that occurs."""
        c = self.c
        threads = (*self.plan, *self.real)
        legs = [leg for _thread, its in threads for leg in its]
        dots = 'stroke-dasharray="0.1 3.4" stroke-linecap="round"'
        level = '<path d="M0 0H26" stroke="{}" stroke-width="{}" {}/>'
        both = bool(self.plan and self.real)
        diamond = f'<path d="M13 -5.5L18.5 0L13 5.5L7.5 0Z" fill="{c.late}"/>'
        tank = f'<path d="M0 -3H26M0 0H26M0 3H26" stroke="{c.cold}" stroke-width="0.9"/>'
        slope = f'<path d="M4 -6L22 6" stroke="{c.ink}" stroke-width="1"/>'
        chills = any(leg.station == self.strip.chill_station for leg in legs)
        entries = (
            (both, level.format(c.plan, 1.6, ""), _("faint: the plan")),
            (both, level.format(c.ink, 1.6, ""), _("strong: what happened")),
            (
                any(not leg.counted for leg in legs),
                level.format(c.ink, 3.8, ""),
                _("thick: being worked on"),
            ),
            (
                any(leg.waits for leg in legs),
                level.format(c.ink, 1.6, dots),
                _("dotted: waiting"),
            ),
            (True, slope, _("slope: moving on")),
            (chills, tank, _("fine lines: chilling")),
            (
                any(leg.counted for leg in legs),
                f'<circle cx="13" r="2.2" fill="{c.ink}"/>',
                _("dot: counted"),
            ),
            (
                any(thread.late for thread, _its in threads),
                level.format(c.late, 2.2, "") + diamond,
                _("diamond: overdue"),
            ),
        )
        return [(swatch, words) for occurs, swatch, words in entries if occurs]


def _segment(from_x: float, from_y: float, to: tuple[float, float]) -> str:
    x0, y0, (x1, y1) = from_x, from_y, to
    if y0 == y1:
        return f"M{num(x0)} {num(y0)}H{num(max(x1, x0 + 0.5))}"
    if num(x0) == num(x1):
        return f"M{num(x0)} {num(y0)}V{num(y1)}"
    return f"M{num(x0)} {num(y0)}L{num(x1)} {num(y1)}"


def _wrapped(words: str, size: float, room: float) -> list[str]:
    lines: list[str] = []
    for word in words.split():
        joined = f"{lines[-1]} {word}" if lines else word
        if lines and text_width(joined, size) <= room:
            lines[-1] = joined
        else:
            lines.append(word)
    return lines
