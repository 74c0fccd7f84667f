"""The plan's form: one mapping in, the same mapping out, faults beside their fields."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any, Final

from django.http import QueryDict
from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from pinfeather.errors import InputError
from pinfeather.web import words

Words = str | Promise
_STEP: Final = re.compile(r"([a-z_]+)(?:\[(\d+)\])?")
_MOST_ROWS: Final = 60


@dataclass(frozen=True, slots=True)
class Ask:
    """One field of the form."""

    name: str
    label: Words
    hint: Words = ""
    kind: str = "text"
    options: words.Choices = field(default_factory=list)
    wide: bool = False


@dataclass(frozen=True, slots=True)
class Asked:
    """A field with what was typed and what is wrong with it."""

    ask: Ask
    name: str
    value: Any
    faults: tuple[str, ...]

    @property
    def id(self) -> str:
        """A name that can stand in an id attribute."""
        return re.sub(r"\W+", "_", self.name).strip("_")


DAY: Final = (
    Ask("date", _("Date"), kind="date"),
    Ask("start", _("First bird at"), kind="time"),
    Ask("deadline", _("Done by"), _("Dark, pickup, milking; may be empty."), kind="time"),
    Ask("deadline_reason", _("Why then")),
)
LOT: Final = (
    Ask("code", _("Lot")),
    Ask("species", _("Kind"), kind="choice", options=words.SPECIES),
    Ask("build", _("Build"), kind="choice", options=words.BUILDS),
    Ask("count", _("Birds"), kind="number"),
    Ask("mean", _("Mean dressed weight"), _("Such as 4.6 lb or 4 lb 10 oz.")),
    Ask("spread", _("Spread"), _("Standard deviation; a tenth of the mean is usual.")),
)
LOT_WEIGHTS: Final = Ask(
    "weights",
    _("Or weights one by one"),
    _("With semicolons between: 4 lb 3 oz; 4.6 lb. Count and mean are then not needed."),
    kind="lines",
    wide=True,
)
PERSON: Final = (
    Ask("name", _("Name")),
    Ask("from", _("From"), kind="time"),
    Ask("to", _("To"), kind="time"),
    Ask("pace", _("Pace"), _("1 is usual; a beginner 0.6.")),
    Ask("breaks", _("Breaks"), _("Such as 12:00-12:30.")),
    Ask("allowance", _("Rest besides"), _("Share of the work, such as 13 %; may be empty.")),
    Ask("stations", _("Can do"), kind="ticks", options=words.STATIONS, wide=True),
)
EQUIPMENT: Final = (
    Ask("cones", _("Cones"), kind="number"),
    Ask("scald_places", _("Birds in the scalder at once"), kind="number"),
    Ask("drum_birds", _("Birds in the picker at once"), _("0 if you pick by hand."), kind="number"),
    Ask("drum_cycle", _("Picker runs for"), _("Such as 30 s.")),
    Ask("draw_places", _("Places at the drawing table"), kind="number"),
    Ask("scalder", _("Scalder holds"), _("Such as 30 gal.")),
    Ask("burner", _("Burner"), _("Such as 50000 Btu/h.")),
    Ask("tap", _("Tap water"), _("Such as 58 F.")),
    Ask("scald", _("Scald at"), _("Empty for the middle of the published band.")),
    Ask("ice", _("Ice on hand"), _("Such as 200 lb.")),
    Ask("refrigerator", _("Refrigerator room"), _("Inside, such as 18 ft3.")),
    Ask("freezer", _("Freezer room"), _("Inside, such as 20 ft3.")),
)
TANK: Final = (
    Ask("name", _("Tank")),
    Ask("volume", _("Holds"), _("Such as 60 gal.")),
    Ask(
        "bath",
        _("Water"),
        kind="choice",
        options=[("still", _("Still")), ("stirred", _("Stirred by pump or air"))],
    ),
    Ask(
        "walls",
        _("Walls"),
        kind="choice",
        options=[("bare", _("Bare")), ("insulated", _("Insulated, with a lid"))],
    ),
)
SANITISER: Final = (
    Ask("bleach", _("Bleach on the jug"), _("Such as 8.25 %.")),
    Ask("target", _("Wanted strength"), _("Such as 100 ppm.")),
    Ask("volume", _("One mix"), _("Such as 5 gal.")),
)
PLACE: Final = (
    Ask("air", _("Air"), _("Such as 70 F.")),
    Ask("altitude", _("Altitude"), _("Such as 900 ft.")),
)


def nested(post: QueryDict) -> dict[str, Any]:
    """Turn names like ``lots[0].mean`` into the nested mapping the domain reads."""
    return _in_shape(gathered(post, many=("stations",)))


def gathered(post: QueryDict, *, many: tuple[str, ...]) -> dict[str, Any]:
    """Turn names with dots and brackets into a nested mapping; ``many`` names hold lists."""
    result: dict[str, Any] = {}
    for name in post:
        steps = [_STEP.fullmatch(part) for part in name.split(".")]
        if not all(steps):
            continue
        values = post.getlist(name)
        *path, last = [match for match in steps if match]
        here = result
        for match in path:
            here = _down(here, match[1], match[2])
        if not last[2]:
            here[last[1]] = values if last[1] in many else values[-1].strip()
    return result


_TABLES: Final = ("equipment", "sanitiser", "counted")
_LISTS: Final = ("lots", "people", "tanks")


def _in_shape(here: dict[str, Any]) -> dict[str, Any]:
    """Leave out plain text that stands where a table or a list of tables belongs."""
    kept = {
        name: value
        for name, value in here.items()
        if not (name in _TABLES and not isinstance(value, dict))
        and not (name in _LISTS and not isinstance(value, list))
    }
    if "equipment" in kept:
        kept["equipment"] = _in_shape(kept["equipment"])
    return kept


def _down(here: dict[str, Any], name: str, index: str | None) -> dict[str, Any]:
    if index is None:
        if not isinstance(here.get(name), dict):
            here[name] = {}
        table: dict[str, Any] = here[name]
        return table
    if not isinstance(here.get(name), list):
        here[name] = []
    rows: list[dict[str, Any]] = here[name]
    while len(rows) <= min(int(index), _MOST_ROWS):
        rows.append({})
    found: dict[str, Any] = rows[min(int(index), _MOST_ROWS)]
    return found


def asked(
    fields: Iterable[Ask],
    values: Mapping[str, Any],
    *,
    prefix: str = "",
    faults: Iterable[InputError] = (),
) -> list[Asked]:
    """Put what was typed and what is wrong beside each field."""
    by_name: dict[str, list[str]] = {}
    for fault in faults:
        by_name.setdefault(fault.name, []).append(fault.problem)
    return [
        Asked(
            ask,
            prefix + ask.name,
            values.get(ask.name, ""),
            tuple(by_name.get(prefix + ask.name, ())),
        )
        for ask in fields
    ]
