"""Reading a nested mapping of text, gathering every fault by its path."""

from __future__ import annotations

import datetime as dt
import difflib
import math
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from types import UnionType
from typing import Any, Final

from pinfeather import quantity
from pinfeather.errors import InputError, InputFaultsError
from pinfeather.units import Dimension
from pinfeather.words import gettext as _

_CLOCK_TIME: Final = re.compile(r"[0-9]{1,2}:[0-9]{2}|[0-9]{2}:[0-9]{2}:[0-9]{2}")


def _strict(value: object, kind: type[int] | UnionType) -> Any:  # noqa: ANN401 - checked here
    """Pass a number through; refuse truth values and everything else."""
    if isinstance(value, bool) or not isinstance(value, kind):
        raise ValueError  # noqa: TRY004 - the caller turns it into a sentence
    return value


def _clock_time(text: str) -> dt.time:
    """Read hours, minutes and perhaps seconds with colons; ``8.30`` is not guessed at."""
    if not _CLOCK_TIME.fullmatch(text.strip()):
        raise ValueError
    return dt.time.fromisoformat(text.strip().zfill(5))


def _unknown(name: str, asked: set[str]) -> str:
    near = difflib.get_close_matches(name, sorted(asked), n=1)
    if near:
        return _("“{name}” is not known here. Is “{near}” meant?").format(name=name, near=near[0])
    return _("“{name}” is not known here. Known are: {names}.").format(
        name=name, names=", ".join(sorted(asked))
    )


@dataclass(frozen=True, slots=True)
class _Shared:
    """Of one reading, all levels: the faults, and by path the names written and asked for."""

    faults: list[InputError] = field(default_factory=list)
    written: dict[str, set[str]] = field(default_factory=dict)
    asked: dict[str, set[str]] = field(default_factory=dict)


class MappingReader:
    """One level of a nested mapping, with the path to it and the faults so far.

    Parameters
    ----------
    mapping : mapping
        Names to text, numbers, dates, lists or deeper mappings.
    path : str
        Where this level is; empty at the top.
    shared : _Shared or None
        What all levels of one reading hold together.
    """

    def __init__(
        self, mapping: Mapping[str, object], path: str = "", shared: _Shared | None = None
    ) -> None:
        self._mapping = mapping
        self._path = path
        self._shared = shared or _Shared()
        self._all = self._shared.faults
        self._asked = self._shared.asked.setdefault(path, set())
        self._shared.written.setdefault(path, set()).update(mapping)

    @property
    def faults(self) -> list[InputError]:
        """Faults at this level and below."""
        return [f for f in self._all if not self._path or f.name.startswith(f"{self._path}.")]

    def faults_under(self, name: str) -> bool:
        """Tell whether anything under a name was at fault."""
        full = self._full(name)
        return any(f.name.startswith(full) for f in self._all)

    def fault(self, name: str, value: object, problem: str) -> None:
        """Note a fault and go on reading."""
        self._all.append(InputError(self._full(name), value, problem))

    def raise_faults(self) -> None:
        """Raise all faults at once, where there are any.

        Raises
        ------
        InputFaultsError
            If anything was at fault.
        """
        if self._all:
            raise InputFaultsError(self._all)

    def may_have(self, *names: str) -> None:
        """Note names that may stand here although nothing reads them."""
        self._asked.update(names)

    def refuse_unknown(self) -> None:
        """Note a fault for each name, here and below, that nobody has asked for.

        To be called when everything has been read. A name is refused once, with the nearest one
        that is known.
        """
        noted = {fault.name for fault in self._all}
        for path, names in self._shared.written.items():
            asked = self._shared.asked[path]
            for name in sorted(names - asked, key=str):
                full = f"{path}.{name}" if path else name
                if full not in noted:
                    self._all.append(InputError(full, name, _unknown(name, asked)))

    def _full(self, name: str) -> str:
        return f"{self._path}.{name}" if self._path else name

    def raw(self, name: str) -> object:
        """Return what was written, or None."""
        self._asked.add(name)
        return self._mapping.get(name)

    def has(self, name: str) -> bool:
        """Tell whether something was written."""
        value = self.raw(name)
        return bool(value) or value == 0

    def table(self, name: str) -> MappingReader:
        """Return the reader of a deeper level; an absent one reads as empty."""
        value = self.raw(name)
        if value is not None and not isinstance(value, Mapping):
            self.fault(name, value, _("This must be a table of names and values."))
            value = None
        return MappingReader(value or {}, self._full(name), self._shared)

    def tables(self, name: str) -> Iterator[MappingReader]:
        """Yield a reader for each entry of a list of tables."""
        value = self.raw(name)
        if value is None:
            return
        if not isinstance(value, Sequence) or isinstance(value, str):
            self.fault(name, value, _("This must be a list of tables."))
            return
        for index, entry in enumerate(value):
            full = f"{self._full(name)}[{index}]"
            if isinstance(entry, Mapping):
                yield MappingReader(entry, full, self._shared)
            else:
                self._all.append(InputError(full, entry, _("This must be a table.")))

    def text(self, name: str, *, default: str | None = None, longest: int = 80) -> str | None:
        """Read a short text; without a default it must be there."""
        value = self.raw(name) if self.has(name) else ""
        if not isinstance(value, str):
            self.fault(name, value, _("This must be text."))
            return default
        value = value.strip()
        if not value:
            if default is None:
                self.fault(name, self.raw(name), _("Write something here."))
            return default
        if len(value) > longest or any(ord(c) < 32 for c in value):  # noqa: PLR2004 - controls
            self.fault(name, value, _("Use at most {n} ordinary characters.").format(n=longest))
        return value

    def choice(self, name: str, options: Sequence[str], *, default: str) -> str:
        """Read one word out of a few."""
        value = self.raw(name) if self.has(name) else default
        if value not in options:
            self.fault(
                name,
                value,
                _("“{value}” is not known here. Use one of: {options}.").format(
                    value=value, options=", ".join(options)
                ),
            )
            return default
        return str(value)

    def words(self, name: str, options: Sequence[str]) -> list[str]:
        """Read a list of words out of a few; it must not be empty."""
        value = self.raw(name)
        if isinstance(value, str):
            value = value.replace(",", " ").split()
        if not isinstance(value, Sequence) or not value:
            self.fault(
                name,
                value,
                _("Name at least one of: {options}.").format(options=", ".join(options)),
            )
            return []
        for word in value:
            if word not in options:
                self.fault(
                    name,
                    word,
                    _("“{value}” is not known here. Use one of: {options}.").format(
                        value=word, options=", ".join(options)
                    ),
                )
        return [str(word) for word in value]

    def integer(self, name: str, *, low: int, high: int, default: int | None = None) -> int | None:
        """Read a whole number between two bounds."""
        if not self.has(name):
            if default is None:
                self.fault(name, self.raw(name), _("Write a whole number here."))
            return default
        value = self.raw(name)
        try:
            number = int(value) if isinstance(value, str) else _strict(value, int)
        except ValueError:
            self.fault(name, value, _("“{value}” is not a whole number.").format(value=value))
            return default
        if not low <= number <= high:
            self.fault(
                name,
                value,
                _("{value} must be between {low} and {high}.").format(
                    value=number, low=low, high=high
                ),
            )
            return default
        return number

    def number(self, name: str, *, low: float, high: float, default: float) -> float:
        """Read a plain number without a unit between two bounds."""
        value = self.raw(name) if self.has(name) else default
        try:
            number = float(value) if isinstance(value, str) else _strict(value, int | float)
        except ValueError:
            self.fault(name, value, _("“{value}” is not a number.").format(value=value))
            return default
        if not math.isfinite(number) or not low <= number <= high:
            self.fault(
                name,
                value,
                _("{value} must be between {low} and {high}.").format(
                    value=value, low=low, high=high
                ),
            )
            return default
        return number

    def quantity(
        self,
        name: str,
        dimension: Dimension,
        *,
        low: float,
        high: float,
        default: str | None = None,
    ) -> float:
        """Read a quantity with its unit, in SI, between two SI bounds."""
        value = self.raw(name) if self.has(name) else default
        if value is None:
            self.fault(
                name, None, _("Write a {what} here, with its unit.").format(what=_(dimension))
            )
            return 0.0
        return self._quantity(name, value, dimension, low=low, high=high)

    def optional_quantity(
        self, name: str, dimension: Dimension, *, low: float, high: float
    ) -> float | None:
        """Read a quantity that may be left out."""
        if not self.has(name):
            return None
        return self._quantity(name, self.raw(name), dimension, low=low, high=high)

    def quantities(
        self, name: str, dimension: Dimension, *, low: float, high: float
    ) -> list[float]:
        """Read a list of quantities, or one text with semicolons or lines between them."""
        value = self.raw(name)
        if isinstance(value, str):
            value = [part for part in value.replace("\n", ";").split(";") if part.strip()]
        if not isinstance(value, Sequence):
            self.fault(name, value, _("This must be a list of quantities."))
            return []
        return [self._quantity(name, item, dimension, low=low, high=high) for item in value]

    def _quantity(
        self, name: str, value: object, dimension: Dimension, *, low: float, high: float
    ) -> float:
        full = self._full(name)
        if not isinstance(value, str):
            self._all.append(
                InputError(
                    full,
                    value,
                    _("“{value}” has no unit. Write it in quotes with its unit.").format(
                        value=value
                    ),
                )
            )
            return 0.0
        try:
            parsed = quantity.parse(value, dimension, name=full)
        except InputError as fault:
            self._all.append(fault)
            return 0.0
        if not low <= parsed.si <= high:
            unit = parsed.unit
            self._all.append(
                InputError(
                    full,
                    value,
                    _("{value} is not believable here: between {low} and {high}.").format(
                        value=parsed.written,
                        low=quantity.show(low, unit, dimension),
                        high=quantity.show(high, unit, dimension),
                    ),
                )
            )
        return parsed.si

    def date(self, name: str, *, required: bool = True) -> dt.date | None:
        """Read a calendar date as year-month-day."""
        if not self.has(name):
            if required:
                self.fault(name, self.raw(name), _("Write a date here, like 2026-09-12."))
            return None
        value = self.raw(name)
        if isinstance(value, dt.datetime):
            return value.date()
        if isinstance(value, dt.date):
            return value
        try:
            return dt.date.fromisoformat(str(value).strip())
        except ValueError:
            self.fault(
                name, value, _("“{value}” is not a date like 2026-09-12.").format(value=value)
            )
            return None

    def time(self, name: str, *, required: bool = True) -> dt.time | None:
        """Read a time of day on the 24-hour clock."""
        if not self.has(name):
            if required:
                self.fault(name, self.raw(name), _("Write a time here, like 09:00."))
            return None
        value = self.raw(name)
        if isinstance(value, dt.time):
            return value
        try:
            return _clock_time(str(value))
        except ValueError:
            self.fault(name, value, _("“{value}” is not a time like 09:00.").format(value=value))
            return None

    def spans(self, name: str) -> list[tuple[dt.time, dt.time]]:
        """Read spans of the day such as ``12:00-12:30``, in a list or with commas between."""
        value = self.raw(name) or []
        if isinstance(value, str):
            value = [part for part in value.split(",") if part.strip()]
        if not isinstance(value, Sequence):
            value = [value]
        found = []
        for part in value:
            try:
                begin, end = (_clock_time(side) for side in str(part).replace("–", "-").split("-"))
                if end <= begin:
                    raise ValueError  # noqa: TRY301 - the same sentence for every wrong form
            except ValueError:
                self.fault(
                    name, part, _("“{value}” is not a span like 12:00-12:30.").format(value=part)
                )
            else:
                found.append((begin, end))
        return found
