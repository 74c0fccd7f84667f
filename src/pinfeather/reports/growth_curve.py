"""The growth of a lot: what was weighed, what is expected with its bands, and the table behind."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final, Literal

from pinfeather.errors import InputError
from pinfeather.reports.colours import Palette, colours
from pinfeather.reports.svg_text import attr, content, num, text_width
from pinfeather.units import from_si
from pinfeather.words import gettext as _

MassUnit = Literal["lb", "kg"]

_LEAST_PX: Final = 280
_TOP: Final = 26.0
_BOTTOM: Final = 34.0
_RIGHT: Final = 12.0
_STEPS: Final = (0.2, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0)
_DAY_STEPS: Final = (7, 14, 28, 56, 84)
_LEAST_STEP_PX: Final = 34.0


@dataclass(frozen=True, slots=True)
class GrowthPoint:
    """Expected weights at an age.

    Parameters
    ----------
    age_d : float
        Age [d].
    mean_kg : float
        Mean of the lot [kg].
    low80_kg, high80_kg : float
        Eight birds in ten [kg].
    low90_kg, high90_kg : float
        Nine birds in ten [kg].
    table_kg : float or None
        The table alone [kg].
    """

    age_d: float
    mean_kg: float
    low80_kg: float
    high80_kg: float
    low90_kg: float
    high90_kg: float
    table_kg: float | None = None


@dataclass(frozen=True, slots=True)
class WeighedMean:
    """A weighing: the mean, and where single birds were weighed their range.

    Parameters
    ----------
    age_d : float
        Age [d].
    mean_kg : float
        Mean [kg].
    birds : int
        How many.
    low_kg, high_kg : float
        Lightest and heaviest; the mean itself for baskets [kg].
    """

    age_d: float
    mean_kg: float
    birds: int
    low_kg: float
    high_kg: float


@dataclass(frozen=True, slots=True)
class GrowthCurve:
    """What the picture shows.

    Parameters
    ----------
    title : str
        The lot.
    points : tuple of GrowthPoint
        By age, at least two.
    weighed : tuple of WeighedMean
        May be empty.
    today_d : float
        Age today [d].
    target_d : float or None
        Age on the day in mind [d].
    """

    title: str
    points: tuple[GrowthPoint, ...]
    weighed: tuple[WeighedMean, ...]
    today_d: float
    target_d: float | None = None


def growth_sentence(curve: GrowthCurve, *, unit: MassUnit = "lb") -> str:
    """Say in words what the picture shows.

    Parameters
    ----------
    curve : GrowthCurve
        The lot.
    unit : {"lb", "kg"}
        The farm's unit.

    Returns
    -------
    str
        One or two sentences.

    References
    ----------
    Derivation: choice.
    """
    at = min(curve.points, key=lambda p: abs(p.age_d - curve.today_d))
    said = _("Lot {lot}: {mean} {unit} expected at {age} days, nine birds in ten {low} to {high}.")
    words = said.format(
        lot=curve.title,
        age=round(at.age_d),
        unit=unit,
        mean=_weight(at.mean_kg, unit),
        low=_weight(at.low90_kg, unit),
        high=_weight(at.high90_kg, unit),
    )
    if curve.weighed:
        last = curve.weighed[-1]
        more = _("Last weighed at {age} days: {mean} {unit}.")
        mean = _weight(last.mean_kg, unit)
        words += " " + more.format(age=round(last.age_d), mean=mean, unit=unit)
    return words


def growth_rows(
    curve: GrowthCurve, *, unit: MassUnit = "lb", step_d: int = 7
) -> tuple[tuple[str, ...], ...]:
    """Return the picture as a table: age, table, mean, eight in ten, nine in ten, weighed.

    Parameters
    ----------
    curve : GrowthCurve
        The lot.
    unit : {"lb", "kg"}
        The farm's unit.
    step_d : int
        Days between rows [d].

    Returns
    -------
    tuple of tuple of str
        A row for each week and each weighing, in order of age.

    References
    ----------
    Derivation: the picture's own points.
    """
    weighed = {round(w.age_d): w for w in curve.weighed}
    chosen = {round(p.age_d): p for p in curve.points}
    last = max(chosen)
    ages = {a for a in chosen if a % step_d == 0} | weighed.keys() & chosen.keys() | {last}
    rows = []
    for age in sorted(ages):
        p, w = chosen[age], weighed.get(age)
        rows.append(
            (
                str(age),
                "" if p.table_kg is None else _weight(p.table_kg, unit),
                _weight(p.mean_kg, unit),
                f"{_weight(p.low80_kg, unit)}–{_weight(p.high80_kg, unit)}",
                f"{_weight(p.low90_kg, unit)}–{_weight(p.high90_kg, unit)}",
                "" if w is None else f"{_weight(w.mean_kg, unit)} ({w.birds})",
            )
        )
    return tuple(rows)


def growth_svg(
    curve: GrowthCurve,
    *,
    palette: Palette = "screen",
    width: int = 720,
    unit: MassUnit = "lb",
    ident: str = "growth",
) -> str:
    """Draw the growth of a lot.

    Parameters
    ----------
    curve : GrowthCurve
        The lot.
    palette : {"screen", "print"}
        Colours from the page's custom properties, or fixed black on white.
    width : int
        Width of the picture, at least 280 [px].
    unit : {"lb", "kg"}
        The unit of the upright axis.
    ident : str
        Start of the ids in the drawing; different for each picture on a page.

    Returns
    -------
    str
        One ``<svg>`` element without style attributes or scripts.

    Raises
    ------
    InputError
        If the width is below 280, there are fewer than two points, or the palette is unknown.

    References
    ----------
    Derivation: two bands, a line, dots; the table dashed. Each has its word.
    """
    if width < _LEAST_PX:
        raise InputError("width", width, _("The picture needs at least 280 pixels."))
    if len(curve.points) < 2:  # noqa: PLR2004 - a line has two ends
        raise InputError("points", len(curve.points), _("Growth needs at least two ages."))
    return _Picture(curve, width=width, unit=unit, palette=palette).svg(ident)


def _weight(value_kg: float, unit: MassUnit) -> str:
    return f"{from_si(value_kg, unit, 'mass'):.2f}"


class _Picture:
    def __init__(self, curve: GrowthCurve, *, width: int, unit: MassUnit, palette: Palette) -> None:
        self.curve, self.width, self.unit = curve, float(width), unit
        self.hues = colours(palette)
        self.height = max(250.0, min(0.52 * width, 400.0))
        self.size = 14.0 if width >= 500 else 13.0  # noqa: PLR2004 - a phone
        self.first_d = curve.points[0].age_d
        self.last_d = curve.points[-1].age_d
        tops = [p.high90_kg for p in curve.points] + [w.high_kg for w in curve.weighed]
        self.top = from_si(max(tops), unit, "mass") * 1.04
        self.step = self._step()
        self.left = text_width(f"{self.top:.1f}", self.size) + 12

    def _step(self) -> float:
        room = (self.height - _TOP - _BOTTOM) / _LEAST_STEP_PX
        return next((s for s in _STEPS if self.top / s <= room), _STEPS[-1])

    def x(self, age_d: float) -> float:
        along = (age_d - self.first_d) / max(self.last_d - self.first_d, 1e-9)
        return self.left + along * (self.width - self.left - _RIGHT)

    def y(self, kg: float) -> float:
        value = from_si(kg, self.unit, "mass") / self.top
        return self.height - _BOTTOM - value * (self.height - _TOP - _BOTTOM)

    def svg(self, ident: str) -> str:
        title = growth_sentence(self.curve, unit=self.unit)
        begin = (
            f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {num(self.width)} '
            f'{num(self.height)}" role="img" aria-labelledby={attr(ident + "-title")} '
            f"font-family={attr(self.hues.font)} font-size={attr(num(self.size))}>"
        )
        parts = [
            begin,
            f"<title id={attr(ident + '-title')}>{content(title)}</title>",
            *self._axes(),
            self._band([(p.age_d, p.low90_kg, p.high90_kg) for p in self.curve.points], "0.16"),
            self._band([(p.age_d, p.low80_kg, p.high80_kg) for p in self.curve.points], "0.22"),
            *self._lines(),
            *self._marks(),
            *self._weighings(),
            *self._words(),
            "</svg>",
        ]
        return "".join(parts)

    def _axes(self) -> list[str]:
        found, hues = [], self.hues
        for k in range(int(self.top / self.step) + 1):
            kg = k * self.step / from_si(1.0, self.unit, "mass")
            y = self.y(kg)
            label = f"{k * self.step:.1f}" if self.step < 1 else f"{k * self.step:.0f}"
            found.append(
                f'<line x1="{num(self.left)}" y1="{num(y)}" x2="{num(self.width - _RIGHT)}" '
                f'y2="{num(y)}" stroke={attr(hues.rule)} stroke-width="1"/>'
                + self._text(self.left - 6, y + self.size * 0.35, label, anchor="end")
            )
        found.append(self._text(2, self.size, self.unit))
        room = (self.width - self.left - _RIGHT) / text_width("000", self.size) / 1.6
        days = self.last_d - self.first_d
        step = next((s for s in _DAY_STEPS if days / s <= room), _DAY_STEPS[-1])
        y = self.height - _BOTTOM + self.size + 5
        age = math.ceil(self.first_d / step) * step
        last_x = 0.0
        while age <= self.last_d:
            found.append(self._text(self.x(age), y, str(age), anchor="middle"))
            last_x = self.x(age) + text_width(str(age), self.size) / 2
            age += step
        words = _("days")
        if self.width - last_x > text_width(words, self.size) + 8:
            found.append(self._text(self.width - 2, y, words, anchor="end"))
        return found

    def _band(self, rows: Sequence[tuple[float, float, float]], opacity: str) -> str:
        upper = [f"{num(self.x(a))},{num(self.y(high))}" for a, _low, high in rows]
        lower = [f"{num(self.x(a))},{num(self.y(low))}" for a, low, _high in reversed(rows)]
        return (
            f'<polygon points="{" ".join(upper + lower)}" fill={attr(self.hues.cold)} '
            f'fill-opacity="{opacity}"/>'
        )

    def _line(self, rows: Sequence[tuple[float, float]], more: str) -> str:
        points = " ".join(f"{num(self.x(a))},{num(self.y(kg))}" for a, kg in rows)
        return f'<polyline points="{points}" fill="none" {more}/>'

    def _lines(self) -> list[str]:
        table = [(p.age_d, p.table_kg) for p in self.curve.points if p.table_kg is not None]
        mean = [(p.age_d, p.mean_kg) for p in self.curve.points]
        found = []
        if len(table) > 1:
            dash = f'stroke={attr(self.hues.soft)} stroke-width="1.5" stroke-dasharray="5 4"'
            found.append(self._line(table, dash))
        found.append(self._line(mean, f'stroke={attr(self.hues.cold)} stroke-width="2.5"'))
        return found

    def _marks(self) -> list[str]:
        found = []
        marks = [(self.curve.today_d, _("today"))]
        target = self.curve.target_d
        if target is not None and abs(self.x(target) - self.x(self.curve.today_d)) > 2:  # noqa: PLR2004 - px
            marks.append((target, _("the day")))
        taken: list[tuple[float, float]] = []
        for age, words in marks:
            if not self.first_d <= age <= self.last_d:
                continue
            x, half = self.x(age), text_width(words, self.size) / 2 + 3
            middle = min(max(x, self.left + half), self.width - half)
            dash = "" if words == _("today") else ' stroke-dasharray="3 3"'
            found.append(
                f'<line x1="{num(x)}" y1="{num(_TOP)}" x2="{num(x)}" '
                f'y2="{num(self.height - _BOTTOM)}" stroke={attr(self.hues.ink)} '
                f'stroke-width="1"{dash}/>'
            )
            if all(middle + half < a or middle - half > b for a, b in taken):
                found.append(self._text(middle, _TOP - 8, words, anchor="middle", ink=True))
                taken.append((middle - half, middle + half))
        return found

    def _weighings(self) -> list[str]:
        found = []
        for one in self.curve.weighed:
            if not self.first_d <= one.age_d <= self.last_d:
                continue
            x = num(self.x(one.age_d))
            if one.high_kg > one.low_kg:
                found.append(
                    f'<line x1="{x}" y1="{num(self.y(one.low_kg))}" x2="{x}" '
                    f'y2="{num(self.y(one.high_kg))}" stroke={attr(self.hues.ink)} '
                    'stroke-width="1.5"/>'
                )
            found.append(
                f'<circle cx="{x}" cy="{num(self.y(one.mean_kg))}" r="4.5" '
                f"fill={attr(self.hues.ink)} stroke={attr(self.hues.paper)} "
                'stroke-width="1.5"/>'
            )
        return found

    def _words(self) -> list[str]:
        """Write what each mark means into the empty corner at the upper left."""
        x, y = self.left + 8, _TOP + self.size + 2
        rows = [
            ("dot", _("weighed: mean, lightest to heaviest")),
            ("line", _("expected mean")),
            ("band", _("eight and nine birds in ten")),
            ("dash", _("the table")),
        ]
        if not self.curve.weighed:
            rows = rows[1:]
        if all(p.table_kg is None for p in self.curve.points):
            rows = rows[:-1]
        if self.width < 500:  # noqa: PLR2004 - a phone
            short = {"dot": _("weighed"), "band": _("8 and 9 in 10")}
            rows = [(kind, short.get(kind, words)) for kind, words in rows]
        wide = max(text_width(words, self.size) for _kind, words in rows) + 34
        ground = (
            f'<rect x="{num(x - 6)}" y="{num(y - self.size * 1.3)}" '
            f'width="{num(min(wide + 12, self.width - x - 6))}" '
            f'height="{num(len(rows) * self.size * 1.5 + self.size * 0.6)}" '
            f'fill={attr(self.hues.paper)} fill-opacity="0.85"/>'
        )
        found = [ground]
        for kind, words in rows:
            found += [self._sign(kind, x, y - self.size * 0.35), self._text(x + 26, y, words)]
            y += self.size * 1.5
        return found

    def _sign(self, kind: str, x: float, y: float) -> str:
        hues = self.hues
        if kind == "dot":
            return f'<circle cx="{num(x + 9)}" cy="{num(y)}" r="4.5" fill={attr(hues.ink)}/>'
        if kind == "band":
            box = f'x="{num(x)}" y="{num(y - 6)}" width="18" height="12"'
            return f'<rect {box} fill={attr(hues.cold)} fill-opacity="0.3"/>'
        stroke = hues.cold if kind == "line" else hues.soft
        dash = "" if kind == "line" else ' stroke-dasharray="5 4"'
        wide = "2.5" if kind == "line" else "1.5"
        return (
            f'<line x1="{num(x)}" y1="{num(y)}" x2="{num(x + 18)}" y2="{num(y)}" '
            f'stroke={attr(stroke)} stroke-width="{wide}"{dash}/>'
        )

    def _text(
        self, x: float, y: float, words: str, *, anchor: str = "start", ink: bool = False
    ) -> str:
        fill = self.hues.ink if ink else self.hues.soft
        return (
            f'<text x="{num(x)}" y="{num(y)}" text-anchor="{anchor}" fill={attr(fill)}>'
            f"{content(words)}</text>"
        )
