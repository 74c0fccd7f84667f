"""Entries of the weighing desk: packages, cuttings, marked birds, scale checks."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Any, Final

from pinfeather import quantity
from pinfeather.actions.day.entry_fields import birds_in, decimal_in, number_in, text_in
from pinfeather.errors import InputError
from pinfeather.words import gettext as _

_MOST_SOURCES: Final = 20
_MOST_CUTTING_KG: Final = 2_000.0
STAGES: Final = ("before", "after")
"""When a marked bird is weighed: before and after the chill."""


def _package(payload: Mapping[str, Any]) -> dict[str, Any]:
    made = {
        "number": number_in(payload.get("number"), "number", _("A package needs its number.")),
        "lot": text_in(payload, "lot", needed=True),
        "tank": text_in(payload, "tank"),
        "product": text_in(payload, "product", needed=True),
        "gross": text_in(payload, "gross", needed=True),
        "tare": text_in(payload, "tare", needed=True),
        "net_lb": decimal_in(payload, "net_lb", needed=True),
        "price_per_lb": decimal_in(payload, "price_per_lb"),
        "total": decimal_in(payload, "total"),
        "birds": birds_in(payload, low=0),
    }
    for name in ("cutting", "class_name", "fixed"):
        if text_in(payload, name):
            made[name] = text_in(payload, name)
    if payload.get("frozen"):
        made["frozen"] = True
    if payload.get("sources"):
        made["sources"] = _sources(payload["sources"])
    return made


def _sources(given: object, *, low: int = 0) -> list[dict[str, Any]]:
    rows = given if isinstance(given, Sequence) and not isinstance(given, str) else ()
    if not rows or len(rows) > _MOST_SOURCES or not all(isinstance(r, Mapping) for r in rows):
        raise InputError("sources", given, _("Say which lots it came from."))
    return [
        {
            "lot": text_in(row, "lot", needed=True),
            "tank": text_in(row, "tank"),
            "birds": birds_in({"birds": row.get("birds", 0)}, low=low),
        }
        for row in rows
    ]


def _weight(payload: Mapping[str, Any], *, most_kg: float) -> dict[str, Any]:
    value = quantity.parse(str(payload.get("written", "")), "mass", name="written")
    if not 0 < value.si <= most_kg:
        raise InputError(
            "written",
            value.written,
            _("{value} cannot be right. Weigh it again.").format(value=value.written),
        )
    return {"written": value.written, "mass_kg": value.si}


def _cutting(payload: Mapping[str, Any]) -> dict[str, Any]:
    return {
        "number": number_in(payload.get("number"), "number", _("A cutting needs its number.")),
        "sources": _sources(payload.get("sources"), low=1),
        **_weight(payload, most_kg=_MOST_CUTTING_KG),
    }


def _marked(payload: Mapping[str, Any]) -> dict[str, Any]:
    stage = str(payload.get("stage"))
    if stage not in STAGES:
        raise InputError("stage", stage, _("Say whether it is before or after the chill."))
    return {
        "mark": text_in(payload, "mark", needed=True, longest=20),
        "stage": stage,
        "lot": text_in(payload, "lot"),
        "tank": text_in(payload, "tank"),
        **_weight(payload, most_kg=40.0),
    }


def _scale_check(payload: Mapping[str, Any]) -> dict[str, Any]:
    return {
        "scale": text_in(payload, "scale", needed=True),
        "test_lb": decimal_in(payload, "test_lb", needed=True),
        "reading_lb": decimal_in(payload, "reading_lb", needed=True),
    }


DESK_CHECKS: Final[Mapping[str, Callable[[Mapping[str, Any]], dict[str, Any]]]] = {
    "package": _package,
    "cutting": _cutting,
    "marked bird": _marked,
    "scale check": _scale_check,
}
"""By kind of entry: what makes it fit for the journal."""
