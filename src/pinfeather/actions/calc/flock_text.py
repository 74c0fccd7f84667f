"""Weighings, size classes, dates and prices as somebody writes them in one field."""

from __future__ import annotations

import datetime as dt
import math
import re
from decimal import Decimal
from itertools import pairwise
from typing import TYPE_CHECKING, Final

from pinfeather import quantity
from pinfeather.actions.calc.model import Given, Input
from pinfeather.errors import InputError
from pinfeather.units import KG_PER_LB
from pinfeather.words import gettext as _

if TYPE_CHECKING:
    from pinfeather.flock.best_day import SizeWanted
    from pinfeather.flock.curves import Curve
    from pinfeather.flock.dressing import Dressing
    from pinfeather.flock.forecast import Sample, Seen

_WEIGHING: Final = re.compile(r"(\d+)\s*:\s*(.+?)(?:\s*[x×]\s*(\d+))?")
_CLASS: Final = re.compile(r"(.+?)\s+to\s+(.+?)\s*=\s*(\d+(?:\.\d+)?)(?:\s*[x×]\s*(\d+))?")
_WEEKDAYS: Final = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")
_SEXES: Final = {"mixed": 0.5, "male": 1.0, "female": 0.0}
_USUAL_BIRDS: Final = 10
_SLOW: Final = ("medium", "slow")
_OLDEST_D: Final = 250


def curve_ask() -> Input:
    """Ask which growth table the birds are like."""
    from pinfeather.flock.curves import curve_names, reference_curve

    known = [(name, _(reference_curve(name).title)) for name in curve_names()]
    return Input(
        "curve",
        _("Grow like"),
        "choice",
        "nrc_1984",
        hint=_("Pick the nearest; weighings put it right."),
        options=(*known, ("none", _("No table (chickens)"))),
    )


def asks() -> tuple[Input, ...]:
    """Ask what is known of a lot's growth."""
    return (
        curve_ask(),
        Input(
            "booklet",
            _("Or the breed’s booklet"),
            "text",
            hint=_("Age in days and weight, such as 7: 0.4 lb; 14: 1.1 lb; 21: 2.2 lb."),
            optional=True,
        ),
        Input(
            "weighings",
            _("Weighed"),
            "text",
            "21: 1.3 lb x 20; 28: 2.0 lb x 20",
            "21: 0.60 kg x 20; 28: 0.92 kg x 20",
            hint=_("Age in days, mean weight, birds weighed; may be empty."),
            optional=True,
        ),
        Input(
            "sexes",
            _("Sexes"),
            "choice",
            "mixed",
            options=(
                ("mixed", _("Straight run")),
                ("male", _("Males")),
                ("female", _("Females")),
            ),
        ),
    )


def age(given: Given, name: str) -> int:
    """Return an age that poultry on a farm can have."""
    days = given.whole(name)
    if not 1 <= days <= _OLDEST_D:
        raise InputError(name, days, _("An age is 1 to {most} days.").format(most=_OLDEST_D))
    return days


def heads(given: Given, name: str = "birds") -> int:
    """Return a number of birds that a farm can have."""
    birds = given.whole(name)
    if not 1 <= birds <= 100_000:  # noqa: PLR2004 - more than any farm this is for
        raise InputError(name, birds, _("Write how many birds, 1 to 100,000."))
    return birds


def seen(given: Given) -> Seen:
    """Return what is known of the lot's growth."""
    from pinfeather.flock.forecast import Seen

    return Seen(_curve(given), _samples(given), _SEXES[given.word("sexes")])


def dressing(given: Given) -> Dressing:
    """Return the published dressed share of the kind of bird."""
    from pinfeather.flock.dressing import published_dressing

    name = given.word("curve")
    if name == "turkey":
        return published_dressing("hen_turkey" if given.word("sexes") == "female" else "tom_turkey")
    if name == "duck":
        return published_dressing("duck")
    return published_dressing("slow_chicken" if name in _SLOW else "chicken")


def edges(given: Given, name: str) -> tuple[float, ...]:
    """Return class edges, such as ``4 lb; 5 lb``, in order."""
    found = [quantity.parse(part, "mass", name=name).si for part in _parts(given.word(name))]
    if sorted(set(found)) != found or (found and found[0] <= 0):
        raise InputError(name, given.word(name), _("Weights between classes must rise."))
    return tuple(found)


def classes(given: Given, name: str) -> tuple[SizeWanted, ...]:
    """Return size classes with prices, such as ``3.5 lb to 4.5 lb = 5.50 x 60``."""
    from pinfeather.flock.best_day import SizeWanted

    found = []
    for part in _parts(given.word(name)):
        match = _CLASS.fullmatch(part)
        if match is None:
            raise InputError(
                name,
                part,
                _("“{part}” is not a class. Write it like 4 lb to 5 lb = 5.50 x 60.").format(
                    part=part
                ),
            )
        low = quantity.parse(match[1], "mass", name=name).si
        high = math.inf if match[2] == "any" else quantity.parse(match[2], "mass", name=name).si
        if high <= low:
            raise InputError(name, part, _("The second weight must be more than the first."))
        most = int(match[4]) if match[4] else None
        found.append(SizeWanted(low, high, cents_per_kg(match[3], given), most))
    found.sort(key=lambda one: one.low_kg)
    for before, after in pairwise(found):
        if after.low_kg < before.high_kg:
            raise InputError(name, given.word(name), _("Size classes may not overlap."))
    return tuple(found)


def cents_per_kg(dollars: str | float, given: Given) -> Decimal:
    """Return a price per pound (per kilogram on a metric farm) in cents per kilogram."""
    cents = Decimal(str(dollars)) * 100
    return cents / Decimal(str(KG_PER_LB)) if given.units == "us" else cents


def cents(given: Given, name: str) -> int:
    """Return an amount of money in whole cents."""
    found = Decimal(str(given.number(name))) * 100
    if not 0 <= found <= 10**9:
        raise InputError(name, given.number(name), _("Money here is zero or more."))
    return round(found)


def price(given: Given, name: str) -> Decimal:
    """Return a price by weight in cents per kilogram."""
    if not 0 <= given.number(name) <= 10**4:
        raise InputError(name, given.number(name), _("A price here is zero or more."))
    return cents_per_kg(given.number(name), given)


def date(name: str, written: str) -> dt.date:
    """Return a date written as 2026-07-18."""
    try:
        found = dt.date.fromisoformat(written)
    except ValueError as error:
        raise InputError(name, written, _("Write the date like 2026-07-18.")) from error
    if not 2000 <= found.year <= 2100:  # noqa: PLR2004 - dates on a farm's plan
        raise InputError(name, written, _("Write the date like 2026-07-18."))
    return found


def refused(given: Given, name: str) -> dict[dt.date, str]:
    """Return days that are out, such as ``2026-07-11: heat; 2026-07-12: no crew``."""
    found = {}
    for part in _parts(given.word(name)):
        day, _colon, why = part.partition(":")
        found[date(name, day.strip())] = why.strip() or _("not free")
    return found


def weekdays(given: Given, name: str) -> tuple[int, ...]:
    """Return weekdays, Monday 0, such as ``Mon, Wed``; empty means any."""
    found = []
    for word in given.word(name).replace(",", " ").split():
        short = word.lower()[:3]
        if short not in _WEEKDAYS:
            raise InputError(name, word, _("Write days like Mon, Wed."))
        found.append(_WEEKDAYS.index(short))
    return tuple(found) or tuple(range(7))


def _curve(given: Given) -> Curve | None:
    from pinfeather.flock.curves import curve_from_rows, reference_curve

    name, booklet = given.word("curve"), given.word("booklet")
    if booklet:
        rows = [(float(age), kg) for age, kg, _birds in _weighings("booklet", booklet)]
        species = "chicken" if name == "none" else reference_curve(name).species
        try:
            return curve_from_rows(_("The breed’s booklet"), rows, species=species)
        except InputError as fault:
            raise InputError("booklet", booklet, fault.problem) from fault
    return None if name == "none" else reference_curve(name)


def _samples(given: Given) -> tuple[Sample, ...]:
    from pinfeather.flock.forecast import Sample

    return tuple(
        Sample(float(age), kg, birds)
        for age, kg, birds in _weighings("weighings", given.word("weighings"))
    )


def _weighings(name: str, text: str) -> list[tuple[int, float, int]]:
    found = []
    for part in _parts(text):
        match = _WEIGHING.fullmatch(part)
        if match is None:
            raise InputError(
                name,
                part,
                _("“{part}” is not a weighing. Write it like 28: 2.0 lb x 20.").format(part=part),
            )
        days, kg = int(match[1]), quantity.parse(match[2], "mass", name=name).si
        birds = int(match[3]) if match[3] else _USUAL_BIRDS
        if not (0 <= days <= _OLDEST_D and kg > 0 and 0 < birds <= 100_000) or (  # noqa: PLR2004
            days == 0 and name == "weighings"
        ):
            raise InputError(name, part, _("An age, a weight and a number of birds above zero."))
        found.append((days, kg, birds))
    ages = [days for days, _kg, _birds in found]
    if len(set(ages)) < len(ages):
        raise InputError(name, text, _("Each age stands once."))
    return found


def _parts(text: str) -> list[str]:
    return [part.strip() for part in text.replace("\n", ";").split(";") if part.strip()]
