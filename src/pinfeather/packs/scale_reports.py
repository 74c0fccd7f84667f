"""What a scale sends: reports of the open USB tables, lines of text, and when a weight stands."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Final, Literal

from pinfeather.errors import InputError
from pinfeather.quantity import Quantity, parse
from pinfeather.words import gettext as _

State = Literal["stable", "moving", "zero", "under zero", "over limit", "fault"]

DATA_REPORT: Final = 3
"""Number of the scale's data report; common, and sent first where reports are numbered."""

_STATES: Final[dict[int, State]] = {
    1: "fault",
    2: "zero",
    3: "moving",
    4: "stable",
    5: "under zero",
    6: "over limit",
    7: "fault",
    8: "fault",
}
"""Scale status, usages 71 to 78 of usage page 8D in their order (unverified)."""

_UNITS: Final = {1: "mg", 2: "g", 3: "kg", 11: "oz", 12: "lb"}
"""Weight unit, usages 51 to 5C of usage page 8D; gram and ounce second hand, others unverified."""

_BODY: Final = 5
_MOST_EXPONENT: Final = 6
_MILLI: Final = Decimal("0.001")
_WEIGHED: Final = ("lb", "oz", "kg", "g")

USUAL_PATTERN: Final = (
    r"(?P<state>[A-Za-z]{1,2})?[ ,]*(?:[A-Z]{2},)?(?P<value>[-+]?\s*\d+(?:\.\d*)?)\s*"
    r"(?P<unit>lb|oz|kg|g)"
)
"""A line such as ``ST,GS,+  4.52lb``: many scales with a serial port can send one like it."""


@dataclass(frozen=True, slots=True)
class Shown:
    """What a scale shows.

    Parameters
    ----------
    state : str
        ``"stable"``, ``"moving"``, ``"zero"``, ``"under zero"``, ``"over limit"``, ``"fault"``.
    value : Decimal
        The number [unit].
    unit : str
        ``"lb"``, ``"oz"``, ``"kg"`` or ``"g"``.
    """

    state: State
    value: Decimal
    unit: str

    @property
    def written(self) -> str:
        """The weight as a person would write it."""
        return f"{self.value:f} {self.unit}"

    @property
    def weight(self) -> Quantity:
        """The weight as a quantity."""
        return parse(self.written, "mass", name="weight")


def read_report(report: bytes) -> Shown:
    """Read a data report of a USB scale.

    Parameters
    ----------
    report : bytes
        Status, unit, power of ten, weight low byte first; with or without the report's number
        before it.

    Returns
    -------
    Shown
        What the scale shows; a weight under zero is negative.

    Raises
    ------
    InputError
        If it is too short, or in a unit nobody sells birds by.

    References
    ----------
    USB Implementers' Forum, Universal Serial Bus HID Point of Sale Usage Tables, section on
    weighing devices (usage page 8D), version 0.9, 1999: second hand, order of states unverified.

    Examples
    --------
    >>> read_report(bytes([3, 4, 12, 0xFE, 0xC4, 0x01])).written
    '4.52 lb'
    """
    body = report[1:] if len(report) > _BODY and report[0] == DATA_REPORT else report
    if len(body) < _BODY:
        raise InputError("report", report.hex(), _("This is no report of a scale."))
    status, unit_code, power = body[0], body[1], int.from_bytes(body[2:3], "little", signed=True)
    unit = _UNITS.get(unit_code)
    state = _STATES.get(status)
    if state is None or abs(power) > _MOST_EXPONENT:
        raise InputError("report", report.hex(), _("This is no report of a scale."))
    if unit is None:
        raise InputError(
            "report", report.hex(), _("The scale weighs in a unit this program does not read.")
        )
    value = Decimal(int.from_bytes(body[3:5], "little")).scaleb(power)
    if unit == "mg":
        value, unit = value * _MILLI, "g"
    if state == "under zero":
        value = -value
    return Shown(state, value, unit)


def compiled(pattern: str) -> re.Pattern[str]:
    """Make the pattern of a serial scale's lines ready, or say what it lacks.

    Parameters
    ----------
    pattern : str
        A regular expression with the named groups ``value`` and perhaps ``unit`` and ``state``;
        empty takes the usual one.

    Returns
    -------
    re.Pattern
        Ready to use.

    Raises
    ------
    InputError
        If it is no regular expression or has no group ``value``.

    References
    ----------
    Derivation: format.
    """
    try:
        made = re.compile(pattern or USUAL_PATTERN)
    except re.error as error:
        raise InputError(
            "pattern", pattern, _("This is no pattern: {why}.").format(why=error)
        ) from error
    if "value" not in made.groupindex:
        raise InputError("pattern", pattern, _("The pattern needs a group (?P<value>…)."))
    return made


def read_line(line: str, pattern: re.Pattern[str], *, unit: str = "lb") -> Shown | None:
    """Read one line that a serial scale sent.

    Parameters
    ----------
    line : str
        As it came, without the line end.
    pattern : re.Pattern
        From :func:`compiled`.
    unit : str
        Unit where the line has none.

    Returns
    -------
    Shown or None
        None for a line that is no weight. A line that does not say whether the weight stands
        counts as moving, so that only repetition makes it stable.

    References
    ----------
    Derivation: format.

    Examples
    --------
    >>> read_line("ST,GS,+  4.52lb", compiled("")).written
    '4.52 lb'
    """
    found = pattern.search(line)
    if found is None:
        return None
    parts = found.groupdict()
    written = parts["value"].replace(" ", "")
    try:
        value = Decimal(written)
    except ArithmeticError:
        return None
    said = (parts.get("state") or "").upper()
    state: State = "moving"
    if said in {"ST", "S"}:
        state = "stable"
    elif said == "OL":
        state = "over limit"
    if value == 0 and state == "stable":
        state = "zero"
    if value < 0:
        state = "under zero"
    named = (parts.get("unit") or unit).lower()
    return Shown(state, value, named) if named in _WEIGHED else None


@dataclass(slots=True)
class Stable:
    """Lets a weight through once, when it stands; the next only after the scale was emptied.

    Parameters
    ----------
    repeats : int
        Readings alike that make a weight stable where the scale does not say so.
    least_kg : float
        Anything up to this is an empty scale [kg].
    """

    repeats: int = 4
    least_kg: float = 0.02
    _last: Decimal | None = field(default=None, repr=False)
    _alike: int = field(default=0, repr=False)
    _given: bool = field(default=False, repr=False)

    def see(self, shown: Shown) -> Shown | None:
        """Take a reading; return it if it is a new stable weight.

        Parameters
        ----------
        shown : Shown
            The newest reading.

        Returns
        -------
        Shown or None
            None while moving, for an empty scale, and for a weight that was given already.

        References
        ----------
        Derivation: one weight for each time the scale is loaded.
        """
        if shown.state in {"fault", "over limit", "under zero"}:
            self._alike = 0
            return None
        if shown.state == "zero" or shown.weight.si <= self.least_kg:
            self._last, self._alike, self._given = None, 0, False
            return None
        self._alike = self._alike + 1 if shown.value == self._last else 1
        self._last = shown.value
        stands = shown.state == "stable" or self._alike >= self.repeats
        if not stands or self._given:
            return None
        self._given = True
        return Shown("stable", shown.value, shown.unit)
