"""The cold curve: how a batch cools against its limit, as a Vega-Lite picture.

Its data, its sentence and its rows are in :mod:`pinfeather.reports.cold_curve_data`.
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping, Sequence
from typing import Any, Final

from pinfeather.errors import InputError
from pinfeather.reports.cold_curve_data import (
    BandPoint,
    ColdCurve,
    LoggerLine,
    MetTime,
    ProbeReading,
    TemperatureUnit,
    cold_curve_rows,
    cold_curve_sentence,
)
from pinfeather.reports.colours import Colours, Palette, colours
from pinfeather.reports.svg_text import attr, content, shortened, text_width, time_ticks
from pinfeather.reports.when import Clock, after, clock_text, seconds_between
from pinfeather.units import from_si
from pinfeather.words import gettext as _

__all__ = [
    "VEGA_LITE",
    "BandPoint",
    "ColdCurve",
    "LoggerLine",
    "MetTime",
    "ProbeReading",
    "Spec",
    "TemperatureUnit",
    "cold_curve_rows",
    "cold_curve_sentence",
    "cold_curve_spec",
    "cold_curve_svg",
]

Spec = dict[str, Any]

VEGA_LITE: Final = "6.4"
"""The edition of the chart language; fixed, so that the bytes do not change under us."""

_SHAPES: Final = ("circle", "square", "triangle-up", "diamond", "triangle-down", "cross")
_DASHES: Final = ([7, 3], [2, 3], [9, 3, 2, 3])
_TICKS: Final[Mapping[TemperatureUnit, float]] = {"F": 20.0, "C": 10.0}
_ROW_PX: Final = 20.0
_LEFT_PX: Final = 54.0
_RIGHT_PX: Final = 14.0
_LEAST_WIDTH_PX: Final = 280


def cold_curve_spec(
    curve: ColdCurve,
    *,
    palette: Palette = "screen",
    width: int = 720,
    unit: TemperatureUnit = "F",
    clock: Clock = "12h",
) -> Spec:
    """Write the cold curve in the Vega-Lite chart language.

    Parameters
    ----------
    curve : ColdCurve
        The batch.
    palette : {"screen", "print"}
        Colours from the page's custom properties, or fixed black on white.
    width : int
        Width of the whole picture, at least 280 [px].
    unit : {"F", "C"}
        The unit of the upright axis.
    clock : {"12h", "24h"}
        Which clock the farm reads.

    Returns
    -------
    dict
        A complete Vega-Lite specification with its data inside.

    Raises
    ------
    InputError
        If the width is below 280 or the palette unknown.

    Notes
    -----
    The layout is fixed beforehand and asks nobody for the widths of letters, so the picture does
    not depend on the fonts of the machine.

    References
    ----------
    A. Satyanarayan et al., "Vega-Lite: A Grammar of Interactive Graphics", IEEE TVCG 23 (2017).
    """
    if width < _LEAST_WIDTH_PX:
        raise InputError("width", width, _("The curve needs at least 280 pixels."))
    return _Chart(curve, colours(palette), width=width, unit=unit, clock=clock).spec()


def cold_curve_svg(
    curve: ColdCurve,
    *,
    palette: Palette = "screen",
    width: int = 720,
    unit: TemperatureUnit = "F",
    clock: Clock = "12h",
    ident: str = "cold-curve",
) -> str:
    """Draw the cold curve.

    Parameters
    ----------
    curve : ColdCurve
        The batch.
    palette : {"screen", "print"}
        Colours from the page's custom properties, or fixed black on white.
    width : int
        Width of the whole picture, at least 280 [px].
    unit : {"F", "C"}
        The unit of the upright axis.
    clock : {"12h", "24h"}
        Which clock the farm reads.
    ident : str
        Start of the ids in the drawing; different for each curve on a page.

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
    As :func:`cold_curve_spec`.
    """
    import vl_convert

    spec = cold_curve_spec(curve, palette=palette, width=width, unit=unit, clock=clock)
    svg: str = vl_convert.vegalite_to_svg(spec, vl_version=VEGA_LITE, allowed_base_urls=[])
    svg = re.sub(r' (?:role|aria-[a-z]+|pointer-events)="[^"]*"', "", svg)
    for number, clip in enumerate(dict.fromkeys(re.findall(r"#(clip\d+)\)", svg))):
        # the converter counts on from picture to picture
        svg = re.sub(rf"\b{clip}\b", f"{ident}-c{number}", svg)
    size = re.search(r'width="(\d+)" height="(\d+)"', svg)
    if size is None:  # pragma: no cover - the converter always writes it
        raise InputError("svg", svg[:200], _("The chart program wrote no picture."))
    across, down = size.groups()
    head = (
        f'<svg xmlns="http://www.w3.org/2000/svg" class="cold-curve" role="img" '
        f'width="{across}" height="{down}" viewBox="0 0 {across} {down}" '
        f"aria-labelledby={attr(f'{ident}-title {ident}-desc')}>"
        f"<title id={attr(ident + '-title')}>"
        f"{content(_('Cold curve of batch {batch}').format(batch=curve.batch))}</title>"
        f"<desc id={attr(ident + '-desc')}>"
        f"{content(cold_curve_sentence(curve, unit=unit, clock=clock))}</desc>"
    )
    return re.sub(r"^<svg[^>]*>", lambda _match: head, svg, count=1)


class _Chart:
    """Builds one specification, layer by layer."""

    def __init__(
        self, curve: ColdCurve, tones: Colours, *, width: int, unit: TemperatureUnit, clock: Clock
    ) -> None:
        self.curve, self.c, self.unit, self.clock = curve, tones, unit, clock
        self.size = 13.0
        self.total = width
        self.width = width - _LEFT_PX - _RIGHT_PX
        self.height = min(300.0, max(190.0, 0.42 * width))
        self.now_s = None if curve.now is None else seconds_between(curve.start, curve.now)
        levels = [curve.limit_degC]
        levels += [level for p in curve.expected for level in p[1:]]
        levels += [r.temp_degC for r in curve.readings]
        levels += [
            level
            for line in curve.loggers
            for at_s, level in line.points
            if 0 <= at_s <= curve.length_s
        ]
        step = _TICKS[unit]
        low, high = self.temp(min(levels)), self.temp(max(levels))
        self.low = step * math.floor((low - 0.1 * step) / step)
        self.high = step * math.ceil((high + 0.1 * step) / step)
        self.steps = [
            self.low + n * step for n in range(round((self.high - self.low) / step) + 1)
        ]  # fmt: skip

    def temp(self, temp_degC: float) -> float:
        return round(from_si(temp_degC, self.unit, "temperature"), 3)

    def x_px(self, at_s: float) -> float:
        return self.width * at_s / self.curve.length_s

    def y_px(self, temp_degC: float) -> float:
        return self.height * (self.high - self.temp(temp_degC)) / (self.high - self.low)

    def spec(self) -> Spec:
        legend, rows = self._legend()
        return {
            "$schema": "https://vega.github.io/schema/vega-lite/v6.json",
            "width": self.width,
            "height": self.height,
            "autosize": {"type": "none"},
            "padding": {
                "left": _LEFT_PX,
                "right": _RIGHT_PX,
                "top": 3 * _ROW_PX + 4,
                "bottom": 30 + rows * _ROW_PX,
            },
            "background": None,
            "config": {
                "aria": False,
                "font": self.c.font,
                "view": {"stroke": None, "fill": None},
                "text": {"fontSize": self.size, "fill": self.c.ink},
            },
            "layer": [
                *self._band(),
                *self._limit(),
                *self._moments(),
                *self._loggers(),
                *self._met(),
                *self._readings(),
                *legend,
            ],
        }

    def _axes(self) -> tuple[Spec, Spec]:
        ticks = time_ticks(
            self.curve.start,
            self.curve.length_s,
            px_per_s=self.width / self.curve.length_s,
            size=self.size,
            clock=self.clock,
        )
        words = ",".join(f"'{round(at_s)}':'{label}'" for at_s, label in ticks)
        look = {
            "title": None,
            "domain": False,
            "ticks": False,
            "gridColor": self.c.rule,
            "gridWidth": 0.8,
            "labelColor": self.c.soft,
            "labelFontSize": self.size,
            "labelOverlap": False,
            "labelLimit": 0,
        }
        across = {
            **look,
            "values": [round(at_s) for at_s, _label in ticks],
            "tickCount": len(ticks) + 1,
            "labelExpr": f"{{{words}}}[datum.value]",
            "labelPadding": 8,
            "labelFlush": True,
        }
        up = {
            **look,
            "values": self.steps,
            "tickCount": len(self.steps) + 1,
            "labelExpr": f"format(datum.value,'.0f')+'\u202f°{self.unit}'",
            "labelPadding": 6,
        }
        return (
            {
                "field": "t",
                "type": "quantitative",
                "axis": across,
                "scale": {"domain": [0, self.curve.length_s], "nice": False},
            },
            {
                "field": "level",
                "type": "quantitative",
                "axis": up,
                "scale": {"domain": [self.low, self.high], "nice": False, "zero": False},
            },
        )

    def _band(self) -> list[Spec]:
        x, y = self._axes()
        values = [
            {
                "t": p.t_s,
                "low": self.temp(p.low_degC),
                "level": self.temp(p.middle_degC),
                "high": self.temp(p.high_degC),
            }
            for p in self.curve.expected
            if 0 <= p.t_s <= self.curve.length_s
        ]
        # the axes belong to this layer, also where nothing is expected
        return [
            {
                "data": {"values": values},
                "mark": {"type": "area", "color": self.c.cold, "opacity": 0.22, "clip": True},
                "encoding": {"x": x, "y": {**y, "field": "low"}, "y2": {"field": "high"}},
            },
            {
                "data": {"values": values},
                "mark": {"type": "line", "color": self.c.cold, "strokeWidth": 1.6, "clip": True},
                "encoding": {
                    "x": {"field": "t", "type": "quantitative"},
                    "y": {"field": "level", "type": "quantitative"},
                },
            },
        ]

    def _at(self, values: Sequence[Mapping[str, float | str]], mark: Spec, **extra: Spec) -> Spec:
        """Return a layer placed in pixels from the plot's corner."""
        placed: Spec = {
            name: {"field": name, "type": "quantitative", "scale": None}
            for name in ("x", "y")
            if name in values[0]
        }
        ends: Spec = {name: {"field": name} for name in ("x2", "y2") if name in values[0]}
        return {
            "data": {"values": list(values)},
            "mark": mark,
            "encoding": {**placed, **ends, **extra},
        }

    def _words(
        self, at: tuple[float, float], words: str, *, colour: str, align: str = "left",
        bold: bool = False,
    ) -> list[Spec]:  # fmt: skip
        mark: Spec = {
            "type": "text",
            "align": align,
            "baseline": "alphabetic",
            "fontWeight": 700 if bold else 400,
            "fontSize": self.size,
            "fill": colour,
        }
        value: list[Mapping[str, float | str]] = [{"x": at[0], "y": at[1], "words": words}]
        return [self._at(value, mark, text={"field": "words", "type": "nominal"})]

    def _ground(self, at: tuple[float, float], wide: float, rows: int) -> Spec:
        """Return a patch of ground under words that stand on lines."""
        (x, y), mark = at, {"type": "rect", "color": self.c.paper, "opacity": 0.82}
        foot = y + rows * (self.size + 3) + 1
        return self._at([{"x": x - 3, "y": y, "x2": x + wide + 3, "y2": foot}], mark)

    def _limit(self) -> list[Spec]:
        y = self.y_px(self.curve.limit_degC)
        words = _("limit {limit}").format(
            limit=f"{self.curve.limit:g}\u202f°{self.curve.limit_unit}"
        )
        rule: Spec = {"type": "rule", "color": self.c.late, "strokeWidth": 2}
        return [
            self._at([{"x": 0, "y": y, "x2": self.width}], rule),
            *self._words((4, y + self.size + 3), words, colour=self.c.late, bold=True),
        ]

    def _met(self) -> list[Spec]:
        met, y = self.curve.met, self.y_px(self.curve.limit_degC)
        if met is None or not 0 <= met.value_s <= self.curve.length_s:
            return []
        low_x = self.x_px(max(met.low_s, 0))
        high_x = self.x_px(min(met.high_s, self.curve.length_s))
        x = self.x_px(met.value_s)

        def at(seconds_s: float) -> str:
            return clock_text(after(self.curve.start, seconds_s), clock=self.clock)

        main, tone = _("cold by {time}").format(time=at(met.value_s)), self.c.ink
        if self.curve.clock_limit_s is not None and met.value_s > self.curve.clock_limit_s:
            main = _("cold by {time}, too late").format(time=at(met.value_s))
            tone = self.c.late
        more = _("{low} to {high}").format(low=at(met.low_s), high=at(met.high_s))
        wide = max(text_width(main, self.size, bold=True), text_width(more, self.size))
        left = min(x + 8, self.width + _RIGHT_PX - wide)
        rule: Spec = {"type": "rule", "color": self.c.ink, "strokeWidth": 5, "opacity": 0.45}
        dot: Spec = {"type": "point", "shape": "circle", "filled": True, "size": 120,
                     "color": self.c.ink, "opacity": 1}  # fmt: skip
        return [
            self._at([{"x": low_x, "y": y, "x2": high_x}], rule),
            self._at([{"x": x, "y": y}], dot),
            self._ground((left, y - 2 * self.size - 11), wide * self.c.letters, 2),
            *self._words((left, y - self.size - 12), main, colour=tone, bold=True),
            *self._words((left, y - 9), more, colour=self.c.soft),
        ]

    def _moments(self) -> list[Spec]:
        heading = _("{batch}: {place}").format(batch=self.curve.batch, place=self.curve.place)
        heading = shortened(heading, self.size, self.total - 8)
        layers = self._words((-_LEFT_PX + 4, -2 * _ROW_PX - 10), heading, colour=self.c.soft)
        taken: float | None = None
        if self.now_s is not None and self.curve.now is not None:
            words = _("{time} now").format(time=clock_text(self.curve.now, clock=self.clock))
            layers += self._flag(self.now_s, words, is_limit=False)
            taken = self.x_px(self.now_s)
        if self.curve.clock_limit_s is not None:
            time = clock_text(after(self.curve.start, self.curve.clock_limit_s), clock=self.clock)
            words = _("must be cold by {time}").format(time=time)
            layers += self._flag(self.curve.clock_limit_s, words, is_limit=True, avoid=taken)
        return layers

    def _flag(
        self, at_s: float, words: str, *, is_limit: bool, avoid: float | None = None
    ) -> list[Spec]:
        """Return an upright line with its words on top, kept off another line's place."""
        if not 0 <= at_s <= self.curve.length_s:
            return []
        x, half = self.x_px(at_s), text_width(words, self.size, bold=True) / 2
        least, most = half - _LEFT_PX + 2, self.width + _RIGHT_PX - 2 - half
        centre = min(max(x, least), most)
        if avoid is not None and abs(centre - avoid) < half + 4:
            sides = (avoid - half - 6, avoid + half + 6)
            nearest = sorted(sides, key=lambda side: abs(side - x))
            centre = next((side for side in nearest if least <= side <= most), centre)
        foot = -8.0 if is_limit else -8.0 - _ROW_PX
        colour = self.c.late if is_limit else self.c.ink
        rule: Spec = {"type": "rule", "color": colour, "strokeWidth": 1.5 if is_limit else 2}
        if is_limit:
            rule["strokeDash"] = [7, 4]
        line = self._at([{"x": x, "y": foot + 4, "y2": self.height}], rule)
        return [line, *self._words((centre, foot), words, colour=colour, align="center", bold=True)]

    def _instruments(self) -> list[str]:
        return list(dict.fromkeys(reading.instrument for reading in self.curve.readings))

    def _point(self, shape: str) -> Spec:
        return {
            "type": "point",
            "shape": shape,
            "size": 90,
            "fill": self.c.paper,
            "stroke": self.c.ink,
            "strokeWidth": 2,
            "opacity": 1,
        }

    def _readings(self) -> list[Spec]:
        layers = []
        for number, name in enumerate(self._instruments()):
            values: list[Mapping[str, float | str]] = [
                {"x": self.x_px(r.t_s), "y": self.y_px(r.temp_degC)}
                for r in self.curve.readings
                if r.instrument == name and 0 <= r.t_s <= self.curve.length_s
            ]
            if values:
                layers.append(self._at(values, self._point(_SHAPES[number % len(_SHAPES)])))
        return layers

    def _loggers(self) -> list[Spec]:
        return [
            {
                "data": {
                    "values": [
                        {"t": at_s, "level": self.temp(level)}
                        for at_s, level in line.points
                        if 0 <= at_s <= self.curve.length_s
                    ]
                },
                "mark": self._dashed(number),
                "encoding": {
                    "x": {"field": "t", "type": "quantitative"},
                    "y": {"field": "level", "type": "quantitative"},
                },
            }
            for number, line in enumerate(self.curve.loggers)
        ]

    def _dashed(self, number: int) -> Spec:
        return {
            "type": "line",
            "color": self.c.ink,
            "strokeWidth": 2,
            "strokeDash": _DASHES[number % len(_DASHES)],
            "clip": True,
        }

    def _legend(self) -> tuple[list[Spec], int]:
        """Name the band and each instrument under the axis, wrapped to the width."""
        layers: list[Spec] = []
        x, row = -_LEFT_PX + 4, 0
        entries = [(name, _SHAPES[n % len(_SHAPES)]) for n, name in enumerate(self._instruments())]
        if self.curve.expected:
            entries.insert(0, (_("expected, eight times in ten"), ""))
        entries += [(line.name, str(n)) for n, line in enumerate(self.curve.loggers)]
        for words, shape in entries:
            fits = shortened(words, self.size, self.total - 36)
            wide = 28 + text_width(fits, self.size)
            if x > 0 and x + wide > self.width + _RIGHT_PX:
                x, row = -_LEFT_PX + 4, row + 1
            y = self.height + 46 + row * _ROW_PX
            if shape.isdigit():
                line = {**self._dashed(int(shape)), "type": "rule", "clip": False}
                layers.append(self._at([{"x": x, "y": y - 4.5, "x2": x + 20}], line))
            elif shape:
                layers.append(self._at([{"x": x + 10, "y": y - 4.5}], self._point(shape)))
            else:
                area: Spec = {"type": "rule", "color": self.c.cold, "strokeWidth": 11,
                              "opacity": 0.22}  # fmt: skip
                layers.append(self._at([{"x": x, "y": y - 4.5, "x2": x + 20}], area))
                line = {"type": "rule", "color": self.c.cold, "strokeWidth": 1.6}
                layers.append(self._at([{"x": x, "y": y - 4.5, "x2": x + 20}], line))
            layers += self._words((x + 28, y), fits, colour=self.c.soft)
            x += wide + 18
        return layers, row + 1 if entries else 0
