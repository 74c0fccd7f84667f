"""Numbers of an answer in the units somebody reads."""

from __future__ import annotations

from typing import Final

from pinfeather.actions.calc.model import Units
from pinfeather.quantity import show
from pinfeather.units import (
    SECONDS_PER_DAY,
    SECONDS_PER_HOUR,
    SECONDS_PER_MINUTE,
    UNITS,
    Dimension,
    from_si,
)
from pinfeather.words import gettext as _

_READ_IN: Final[dict[Dimension, tuple[str, str]]] = {
    "mass": ("lb", "kg"),
    "temperature": ("F", "C"),
    "temperature difference": ("F", "C"),
    "length": ("in", "cm"),
    "volume": ("gal", "L"),
    "strength": ("ppm", "ppm"),
}
_HOURS_UP_TO_S: Final = 2 * SECONDS_PER_DAY
_MINUTES_UP_TO_S: Final = SECONDS_PER_HOUR - SECONDS_PER_MINUTE / 2
_SECONDS_UP_TO_S: Final = 3 * SECONDS_PER_MINUTE


def amount(
    value_si: float, dimension: Dimension, units: Units, *, decimals: int | None = None
) -> str:
    """Write an SI number in the reader's unit."""
    unit = _READ_IN[dimension][0 if units == "us" else 1]
    return show(value_si, unit, dimension, decimals=decimals)


def degrees(value_degC: float, units: Units) -> str:
    """Write a temperature to a tenth of a degree."""
    return amount(value_degC, "temperature", units, decimals=1)


def limit(value_degC: float, units: Units) -> str:
    """Write a temperature somebody set: no decimals where there are none."""
    unit = "F" if units == "us" else "C"
    number = round(from_si(value_degC, unit, "temperature"), 1)
    return f"{number:g}\u202f{UNITS['temperature'][unit].symbol}"


def power(value_W: float, units: Units) -> str:
    """Write a power, rounded to what is known of it."""
    if units == "metric":
        return show(value_W, "kW", "power", decimals=1)
    number = from_si(value_W, "Btu/h", "power")
    return f"{round(number, -2):.0f}\u202fBtu/h"


def span(seconds: float | None) -> str:
    """Write a time the way it is said: seconds, minutes, hours or days."""
    if seconds is None:
        return _("never")
    if seconds <= _SECONDS_UP_TO_S:
        return show(seconds, "s", "time", decimals=0)
    if seconds <= _MINUTES_UP_TO_S:
        return show(seconds, "min", "time", decimals=0)
    if seconds > _HOURS_UP_TO_S:
        return _("{n:.1f} days").format(n=seconds / SECONDS_PER_DAY)
    minutes = round(seconds / SECONDS_PER_MINUTE)
    hours, rest = divmod(minutes, round(SECONDS_PER_HOUR / SECONDS_PER_MINUTE))
    if rest == 0:
        return show(hours * SECONDS_PER_HOUR, "h", "time", decimals=0)
    return _("{h}\u202fh {m:02d}\u202fmin").format(h=hours, m=rest)


def percent(share_frac: float, *, decimals: int = 0) -> str:
    """Write a share in percent."""
    return f"{100 * share_frac:.{decimals}f}\u202f%"


def between(low: str, high: str) -> str:
    """Write a band."""
    return _("{low} to {high}").format(low=low, high=high)


def one_in_ten(low_s: float | None, high_s: float | None) -> str:
    """Write the band of a time that one in ten undercuts and one in ten overruns."""
    if low_s is None:
        return ""
    if high_s is None:
        return _("one in ten before {low}, some never").format(low=span(low_s))
    return _("one in ten before {low}, one in ten after {high}").format(
        low=span(low_s), high=span(high_s)
    )
