"""Reading a temperature logger's file, from any maker, and judging what it holds.

Every maker writes another file: other columns, other dates, a comma for a point, Fahrenheit. A
mapping says which column is what. Trouble (rows that are no readings, doubles, gaps, a clock that
jumped) is reported as findings, never silently mended.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Literal
from zoneinfo import ZoneInfo

import numpy as np
from numpy.typing import NDArray

from pinfeather.errors import InputError
from pinfeather.finding import Finding, Severity
from pinfeather.heat.bytefields import Fields, groups, numbers, split
from pinfeather.heat.logtimes import DateOrder, after, utc_seconds
from pinfeather.units import FREEZING_POINT_DEGF, KELVIN_PER_FAHRENHEIT_DEGREE
from pinfeather.words import gettext as _

Array = NDArray[np.float64]

_COLDEST_DEGC: Final = -60.0
_HOTTEST_DEGC: Final = 150.0
_POWER_ON_DEGC: Final = 85.0  # what a DS18B20 sensor shows before it has measured
_GAP_FACTOR: Final = 3.0
_STUCK_S: Final = 4 * 3600.0
_JUMP_K: Final = 10.0
_ENCODINGS: Final = ("utf-8-sig", "utf-16", "cp1252")


@dataclass(frozen=True, slots=True)
class Mapping:
    """Which column of a logger's file is what.

    Parameters
    ----------
    time : str
        Heading of the column with date and time, or with the date alone.
    value : str
        Heading of the column with the temperature.
    unit : str
        ``"C"`` or ``"F"``.
    zone : str
        Time zone the logger's clock is set to, such as ``"America/Chicago"`` or ``"UTC"``.
    order : str or None
        ``"ymd"``, ``"mdy"`` or ``"dmy"``; None finds out, and refuses if it cannot be told.
    clock : str or None
        Heading of a separate column with the time of day.
    separator : str or None
        Between columns; None finds out.
    point : str or None
        Decimal sign; None finds out.
    """

    time: str
    value: str
    unit: Literal["C", "F"]
    zone: str
    order: DateOrder | None = None
    clock: str | None = None
    separator: str | None = None
    point: str | None = None


@dataclass(frozen=True, slots=True)
class Log:
    """Readings in order of time.

    Parameters
    ----------
    times_s : ndarray, shape (n,)
        Seconds since 1970-01-01 00:00 UTC, increasing [s].
    degC : ndarray, shape (n,)
        Temperatures [degC].
    interval_s : float
        Usual time between readings [s].
    findings : tuple of Finding
        Trouble in the file.
    """

    times_s: Array
    degC: Array
    interval_s: float
    findings: tuple[Finding, ...]


@dataclass(frozen=True, slots=True)
class Judged:
    """What a log says about a limit.

    Parameters
    ----------
    first_cold_s : float or None
        When it is first at or below the limit, straight lines between readings; None if never [s].
    stays_cold_s : float or None
        From when on it stays there to the end [s].
    above_s : float
        Time above the limit in all, gaps left out [s].
    warmest_degC : float
        Warmest reading [degC].
    coldest_degC : float
        Coldest reading [degC].
    unseen_s : float
        Time in gaps, when nobody knows [s].
    """

    first_cold_s: float | None
    stays_cold_s: float | None
    above_s: float
    warmest_degC: float
    coldest_degC: float
    unseen_s: float


def headings(data: bytes, *, separator: str | None = None) -> tuple[str, ...]:
    """Return the column headings of a logger's file, to choose a mapping from.

    Parameters
    ----------
    data : bytes
        The file.
    separator : str or None
        Between columns; None finds out.

    Returns
    -------
    tuple of str
        Headings of the first line that has at least two columns followed by a row alike.

    Raises
    ------
    InputError
        If it is not text, or has no columns.

    References
    ----------
    RFC 4180 (2005).
    """
    text, _encoding = _decoded(data)
    return _heading_row(text, separator)[1]


def read_log(data: bytes, *, mapping: Mapping) -> Log:
    """Read a logger's file.

    Parameters
    ----------
    data : bytes
        The file: UTF-8, UTF-16 or the Western code page.
    mapping : Mapping
        Which column is what.

    Returns
    -------
    Log
        Readings in order of time, and findings.

    Raises
    ------
    InputError
        If it is not text, a column is missing, no row holds a reading, or the order of day and
        month cannot be told.

    Notes
    -----
    A local hour that comes twice when summer time ends is told apart by the order in the file.

    References
    ----------
    RFC 4180 (2005); civil dates after Hinnant (2013), days_from_civil.
    """
    try:
        zone = ZoneInfo(mapping.zone)
    except (KeyError, ValueError, OSError) as error:
        raise InputError("mapping.zone", mapping.zone, _("There is no such time zone.")) from error
    if mapping.unit not in {"C", "F"}:
        raise InputError("mapping.unit", mapping.unit, _("Temperatures are in C or F."))
    text, encoding = _decoded(data)
    line, names, separator = _heading_row(text, mapping.separator)
    body = text.encode("utf-8")
    del text
    findings: list[Finding] = []
    if encoding == "cp1252":
        findings.append(_note("log.encoding", _("The file is in an old code page; read as such.")))
    if b'"' in body:
        body = body.replace(b'"', b"")
    fields = split(body, separator=separator, columns=len(names), skip_lines=line + 1)
    del body
    times, ok_time = _times(fields, names, mapping, zone=zone)
    values, ok_value = _values(fields, names, mapping, separator=separator)
    degC = _degC(values, mapping.unit)
    possible = (degC >= _COLDEST_DEGC) & (degC <= _HOTTEST_DEGC)
    good = ok_time & ok_value & possible
    _count(
        findings,
        len(fields.ragged) + int(np.sum(~(ok_time & ok_value))),
        code="log.unreadable",
        severity=Severity.CHECK,
        one=_("{number} row holds no reading and is left out."),
        many=_("{number} rows hold no reading and are left out."),
    )
    _count(
        findings,
        int(np.sum(ok_time & ok_value & ~possible)),
        code="log.impossible",
        severity=Severity.CHECK,
        one=_("{number} reading cannot be (a probe off or broken) and is left out."),
        many=_("{number} readings cannot be (a probe off or broken) and are left out."),
    )
    if not np.any(good):
        raise InputError("data", len(data), _("No row of the file holds a time and a temperature."))
    return _ordered(times[good], degC[good], findings)


def _degC(values: Array, unit: Literal["C", "F"]) -> Array:
    """Convert readings as the limits are converted, so that 40 F is 40 F."""
    if unit == "F":
        return (values - FREEZING_POINT_DEGF) * KELVIN_PER_FAHRENHEIT_DEGREE
    return values


def judge(log: Log, *, limit_degC: float) -> Judged:
    """Return what a log says about a limit.

    Parameters
    ----------
    log : Log
        From :func:`read_log`.
    limit_degC : float
        Limit, itself allowed [degC].

    Returns
    -------
    Judged
        When it got cold, how long it was above, and what nobody saw.

    Raises
    ------
    InputError
        If the limit is not a number.

    Notes
    -----
    Intervals longer than three usual ones are gaps: they count as unseen, neither warm nor cold.

    References
    ----------
    Derivation: straight lines between readings.
    """
    if not np.isfinite(limit_degC):
        raise InputError("limit_degC", limit_degC, _("This has to be a number."))
    times, over = log.times_s, log.degC - limit_degC
    cold = over <= 0
    gaps = np.diff(times)
    before, after = over[:-1], over[1:]
    seen = gaps <= _GAP_FACTOR * log.interval_s
    with np.errstate(divide="ignore", invalid="ignore"):
        share = np.where(before == after, 0.0, before / (before - after))
    warm = np.where(
        (before > 0) & (after > 0),
        1.0,
        np.where(before > 0, share, np.where(after > 0, 1.0 - share, 0.0)),
    )
    first = stays = None
    if np.any(cold):
        k = int(np.argmax(cold))
        first = _cross(times, over, k)
        if cold[-1]:
            warmest = np.flatnonzero(~cold)
            k = int(warmest[-1]) + 1 if len(warmest) else 0
            stays = _cross(times, over, k)
    return Judged(
        first,
        stays,
        float(np.sum(warm * gaps * seen)),
        float(np.max(log.degC)),
        float(np.min(log.degC)),
        float(np.sum(gaps * ~seen)),
    )


def _cross(times: Array, over: Array, k: int) -> float:
    """Return when a curve came down to zero just before reading k."""
    if k == 0:
        return float(times[0])
    share = over[k - 1] / (over[k - 1] - over[k])
    return float(times[k - 1] + share * (times[k] - times[k - 1]))


def _decoded(data: bytes) -> tuple[str, str]:
    """Return the text of a file, and how it was written."""
    if b"\x00" in data[:200] and data[:2] not in {b"\xff\xfe", b"\xfe\xff"}:
        raise InputError("data", len(data), _("This is not a text file. Export it as CSV."))
    encodings = ("utf-16",) if data[:2] in {b"\xff\xfe", b"\xfe\xff"} else _ENCODINGS
    for encoding in encodings:
        if encoding == "utf-16" and len(encodings) > 1:
            continue
        try:
            return data.decode(encoding), encoding
        except UnicodeDecodeError:
            continue
    raise InputError("data", len(data), _("This is not a text file. Export it as CSV."))


_LOOK_LINES: Final = 60
_SEPARATORS: Final = ("\t", ";", ",", "|")


def _heading_row(text: str, separator: str | None) -> tuple[int, tuple[str, ...], str]:
    """Return the line of the headings, the headings, and the separator."""
    lines = text[:20000].replace("\r", "").split("\n")[:_LOOK_LINES]
    for mark in (separator,) if separator else _SEPARATORS:
        counts = [line.count(mark) for line in lines]
        for k in range(len(lines) - 1):
            if counts[k] >= 1 and counts[k] == counts[k + 1]:
                names = tuple(part.strip().strip('"').strip() for part in lines[k].split(mark))
                if len(set(names)) == len(names):
                    return k, names, mark
    raise InputError("data", len(text), _("The file has no columns. Export it as CSV."))


def _index(names: tuple[str, ...], name: str, where: str) -> int:
    """Return the place of a heading."""
    if name not in names:
        raise InputError(
            where,
            name,
            _("There is no column “{name}”. There are: {known}.").format(
                name=name, known=", ".join(names)
            ),
        )
    return names.index(name)


def _values(
    fields: Fields, names: tuple[str, ...], mapping: Mapping, *, separator: str
) -> tuple[Array, NDArray[np.bool_]]:
    """Return the temperatures as written, and which rows hold one."""
    characters = fields.column(_index(names, mapping.value, "mapping.value"))
    point = mapping.point
    if point is None:
        commas, points = (bool(np.any(characters == ord(sign))) for sign in ",.")
        point = "," if commas and not points and separator != "," else "."
    return numbers(characters, point=point)


def _times(
    fields: Fields, names: tuple[str, ...], mapping: Mapping, *, zone: ZoneInfo
) -> tuple[Array, NDArray[np.bool_]]:
    """Return times as seconds since 1970 UTC, and which rows hold one."""
    date = groups(fields.column(_index(names, mapping.time, "mapping.time")))
    if mapping.clock is not None:
        date = after(date, groups(fields.column(_index(names, mapping.clock, "mapping.clock"))))
    return utc_seconds(date, order=mapping.order, zone=zone)


def _ordered(times: Array, degC: Array, findings: list[Finding]) -> Log:
    """Sort, take out doubles, and look for gaps, jumps and stuck probes."""
    steps = np.diff(times)
    _count(
        findings,
        int(np.sum(steps < 0)),
        code="log.clock_back",
        severity=Severity.CHECK,
        one=_("The clock jumps back {number} time; rows are put in order of time."),
        many=_("The clock jumps back {number} times; rows are put in order of time."),
    )
    if np.any(steps < 0):
        order = np.argsort(times, kind="stable")
        times, degC = times[order], degC[order]
    fresh = np.concatenate(([True], np.diff(times) > 0))
    same = np.concatenate(([False], (np.diff(times) == 0) & (np.diff(degC) == 0)))
    _count(
        findings,
        int(np.sum(~fresh & same)),
        code="log.doubles",
        severity=Severity.NOTE,
        one=_("{number} row is there twice; one is kept."),
        many=_("{number} rows are there twice; one of each is kept."),
    )
    _count(
        findings,
        int(np.sum(~fresh & ~same)),
        code="log.conflicts",
        severity=Severity.CHECK,
        one=_("{number} time has two different readings; the first is kept."),
        many=_("{number} times have two different readings; the first is kept."),
    )
    times, degC = times[fresh], degC[fresh]
    steps = np.diff(times)
    interval = float(np.median(steps)) if len(steps) else 0.0
    gap = steps > _GAP_FACTOR * interval
    _count(
        findings,
        int(np.sum(gap)),
        code="log.gaps",
        severity=Severity.CHECK,
        one=_("There is {number} gap longer than three readings."),
        many=_("There are {number} gaps longer than three readings."),
        measured=float(np.max(steps, initial=0.0)),
    )
    _count(
        findings,
        int(np.sum((np.abs(np.diff(degC)) > _JUMP_K) & ~gap)),
        code="log.leaps",
        severity=Severity.NOTE,
        one=_("{number} reading leaps by more than 10 °C (18 °F): the probe was moved."),
        many=_("{number} readings leap by more than 10 °C (18 °F): the probe was moved."),
    )
    _count(
        findings,
        int(np.sum(degC == _POWER_ON_DEGC)),
        code="log.power_on",
        severity=Severity.CHECK,
        one=_("{number} reading is exactly 85 °C, which a sensor shows before it has measured."),
        many=_("{number} readings are exactly 85 °C, which a sensor shows before it measured."),
    )
    if _stuck_s(times, degC) > _STUCK_S:
        findings.append(
            Finding(
                "log.stuck",
                Severity.NOTE,
                _("The same reading stands for hours: the probe may be stuck."),
                measured=_stuck_s(times, degC) / 3600,
                unit="h",
            )
        )
    return Log(times, degC, interval, tuple(findings))


def _stuck_s(times: Array, degC: Array) -> float:
    """Return the longest time over which a reading does not change at all."""
    change = np.flatnonzero(np.concatenate(([True], np.diff(degC) != 0, [True])))
    return float(np.max(times[change[1:] - 1] - times[change[:-1]], initial=0.0))


def _note(code: str, sentence: str) -> Finding:
    return Finding(code, Severity.NOTE, sentence)


def _count(
    findings: list[Finding],
    number: int,
    *,
    code: str,
    severity: Severity,
    one: str,
    many: str,
    measured: float | None = None,
) -> None:
    """Add a finding if there is anything to count."""
    if number:
        sentence = (one if number == 1 else many).format(number=number)
        findings.append(
            Finding(code, severity, sentence, measured=number if measured is None else measured)
        )
