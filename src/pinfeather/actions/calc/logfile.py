"""A curve out of a logger's file, with as few questions as the file allows.

The columns are found by their headings and the unit is read from them; where a heading does not
say it, somebody is asked. Nothing is guessed from the size of a number.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Final, Literal, cast

from pinfeather.actions.calc.model import Input
from pinfeather.errors import InputError
from pinfeather.finding import Finding
from pinfeather.units import SECONDS_PER_DAY, UNITS, to_si
from pinfeather.words import gettext as _

if TYPE_CHECKING:
    from pinfeather.hygiene.curve import Curve

ALIASES: Final = {
    "data": "log",
    "t_s": "log",
    "mapping.time": "log",
    "mapping.clock": "log",
    "mapping.value": "column",
    "mapping.unit": "unit",
}
_LARGEST_FILE: Final = 100 * 1024 * 1024
_LONGEST_S: Final = 90 * SECONDS_PER_DAY
_DATED: Final = re.compile(r"date|time|zeit|datum|fecha|hora", re.IGNORECASE)
_DATE_ALONE: Final = re.compile(r"\W*(date|datum|fecha)\W*", re.IGNORECASE)
_CLOCK_ALONE: Final = re.compile(r"\W*(time|zeit|hora)(\W*of\W*day)?\W*", re.IGNORECASE)
_ELAPSED: Final = re.compile(
    r"\b(?P<word>seconds?|secs?|minutes?|mins?|hours?|hrs?)\b"
    r"|(?:time|elapsed|t)[\s_(\[]+(?P<unit>s|min|h)\b",
    re.IGNORECASE,
)
_WARMTH: Final = re.compile(r"temp|°|deg[CF]\b|celsius|fahrenheit|probe", re.IGNORECASE)
_UNIT: Final = re.compile(r"(?:°|deg|[\s_(\[]|^)\s?([CF])(?![A-Za-z])")
_ORDERS: Final = {"s": "s", "m": "min", "h": "h"}


def inputs(*, optional: bool = False) -> tuple[Input, ...]:
    """Ask for a logger's file and what its headings leave open."""
    return (
        Input(
            "log",
            _("Logger’s file"),
            "file",
            hint=_("Any maker’s CSV with headings: time and temperature."),
            optional=optional,
        ),
        Input(
            "column",
            _("Temperature column"),
            "text",
            hint=_("Its heading, where there are several; may be empty."),
            optional=True,
        ),
        Input(
            "unit",
            _("Unit in the file"),
            "choice",
            options=(("", _("As its heading says")), ("F", "°F"), ("C", "°C")),
            optional=True,
        ),
    )


def read_curve_from(
    data: bytes, *, column: str = "", unit: str = ""
) -> tuple[Curve, tuple[Finding, ...]]:
    """Read a logger's file as a curve.

    Parameters
    ----------
    data : bytes
        The file.
    column : str
        Heading of the temperature; empty finds it.
    unit : str
        ``"C"`` or ``"F"``; empty takes it from the heading.

    Returns
    -------
    tuple of Curve and findings
        The curve, and what was wrong with the file.

    Raises
    ------
    InputError
        If there are no columns, or it cannot be told which is which.
    """
    from pinfeather.heat.logger import Mapping, headings, read_log
    from pinfeather.hygiene.curve import read_curve

    if len(data) > _LARGEST_FILE:
        raise InputError("log", len(data), _("That file is larger than 100 MB."))
    names = headings(data)
    value = _value_column(names, column)
    known = _unit(value, unit)
    rest = [name for name in names if name != value]
    dated = [name for name in rest if _DATED.search(name)] or rest[:1]
    elapsed = next((name for name in rest if _ELAPSED.search(name)), None)
    if elapsed is not None:
        times, degC = _elapsed(data, names, elapsed, value=value, unit=known)
        return _bounded(read_curve(times, degC)), ()
    clock = None
    if _DATE_ALONE.fullmatch(dated[0]):
        clock = next((name for name in rest if _CLOCK_ALONE.fullmatch(name)), None)
    log = read_log(
        data, mapping=Mapping(time=dated[0], value=value, unit=known, zone="UTC", clock=clock)
    )
    return _bounded(read_curve(log.times_s - log.times_s[0], log.degC)), log.findings


def _bounded(curve: Curve) -> Curve:
    """Refuse a curve that no chilling or cooking lasts as long as."""
    if curve.length_s > _LONGEST_S:
        raise InputError(
            "log",
            curve.length_s,
            _("The readings span more than 90 days: is a date wrong? Send one day’s rows."),
        )
    return curve


def _value_column(names: tuple[str, ...], wanted: str) -> str:
    if wanted:
        if wanted not in names:
            raise InputError(
                "column",
                wanted,
                _("There is no column “{name}”. There are: {known}.").format(
                    name=wanted, known=", ".join(names)
                ),
            )
        return wanted
    found = [name for name in names if _WARMTH.search(name)]
    if not found and len(names) == 2:  # noqa: PLR2004 - a time and a temperature
        found = [names[1]]
    if len(found) != 1:
        raise InputError(
            "column",
            "",
            _("Which column is the temperature? There are: {known}.").format(
                known=", ".join(found or names)
            ),
        )
    return found[0]


def _unit(heading: str, wanted: str) -> Literal["C", "F"]:
    if wanted in {"C", "F"}:
        return cast("Literal['C', 'F']", wanted)
    if "celsius" in heading.lower():
        return "C"
    if "fahrenheit" in heading.lower():
        return "F"
    match = _UNIT.search(heading)
    if match is None:
        raise InputError(
            "unit",
            heading,
            _("The heading “{name}” does not say °C or °F. Choose one.").format(name=heading),
        )
    return cast("Literal['C', 'F']", match[1])


def _elapsed(
    data: bytes, names: tuple[str, ...], time: str, *, value: str, unit: Literal["C", "F"]
) -> tuple[list[float], list[float]]:
    """Read a plain table of time since the start and temperature."""
    match = _ELAPSED.search(time)
    assert match is not None  # noqa: S101 - the caller found it so
    spelled = _ORDERS[(match["word"] or match["unit"])[0].lower()]
    factor = UNITS["time"][spelled].factor
    text = data.decode("utf-8-sig", "replace")
    times, degC, seen = [], [], False
    for number, line in enumerate(text.splitlines(), start=1):
        for separator in "\t;,|":
            cells = [cell.strip().strip('"').strip() for cell in line.split(separator)]
            if len(cells) == len(names):
                break
        else:
            continue
        if not seen:
            seen = tuple(cells) == names
            continue
        try:
            at, shown = float(cells[names.index(time)]), float(cells[names.index(value)])
        except ValueError:
            raise InputError(
                "log", line, _("Line {n} holds no number: {line}").format(n=number, line=line[:60])
            ) from None
        times.append(at * factor)
        degC.append(to_si(shown, unit, "temperature"))
    return times, degC
