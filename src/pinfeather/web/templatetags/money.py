"""Filters that write cents and pounds for people, in the farm's units."""

from __future__ import annotations

from fractions import Fraction
from typing import Final

from django import template
from django.utils.dates import MONTHS
from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from pinfeather.money.cents import Exact, half_up
from pinfeather.money.cents import dollars as written
from pinfeather.money.costing import GroupCost
from pinfeather.money.entries import KIND_WORDS, Kind
from pinfeather.units import KG_PER_LB
from pinfeather.web.dayview import mass_unit
from pinfeather.web.words import SPECIES

register = template.Library()
_WHOLE_FROM: Final = 10_000
_LB: Final = Fraction(str(KG_PER_LB))


def pound() -> Fraction:
    """Return what a price of a pound is divided by for the farm: 1, or a pound in kilograms."""
    return _LB if mass_unit() == "kg" else Fraction(1)


def each() -> str:
    """Return what prices are told for."""
    return _("a kilogram") if mass_unit() == "kg" else _("a pound")


@register.filter
def dollars(cents: Exact | None) -> str:
    """Write a sum."""
    return "–" if cents is None else written(cents)


@register.filter
def per_lb(cents: Exact | None) -> str:
    """Write a price of a pound in the farm's unit."""
    return "–" if cents is None else written(Fraction(cents) / pound())


@register.filter
def per_weight(group: GroupCost) -> str:
    """Write what a pound of a group cost in the farm's unit, rounded once."""
    if group.dressed_lb <= 0:
        return "–"
    return written(group.total_cents / group.dressed_lb / pound())


@register.filter
def pounds(weight_lb: Exact) -> str:
    """Write a weight in the farm's unit."""
    unit = mass_unit()
    value = Fraction(weight_lb) * (_LB if unit == "kg" else 1)
    return f"{float(value):,.1f}\u202f{unit}"


@register.filter
def percent(share: Exact | float) -> str:
    """Write a share in whole percent."""
    whole = round(100 * share) if isinstance(share, float) else half_up(Fraction(share) * 100)
    return f"{whole}\u202f%"


@register.filter
def kind_words(kind: Kind | str) -> str:
    """Write a kind of cost in words."""
    return _(KIND_WORDS[Kind(kind)])


@register.filter
def group_name(name: str, by: str) -> str | Promise:
    """Write a group's name: a lot's code, a date or a kind of bird."""
    if by == "species":
        return dict(SPECIES).get(name, name)
    if by == "all":
        return gettext_lazy("All birds")
    return name


@register.filter
def hours(value: Exact) -> str:
    """Write hours."""
    return f"{float(value):,.1f}\u202fh"


@register.filter
def big(cents: Exact | None) -> str:
    """Write a sum large on a page: without cents from a hundred dollars on."""
    if cents is None:
        return "–"
    if abs(Fraction(cents)) < _WHOLE_FROM:
        return written(cents)
    whole = half_up(Fraction(cents) / 100)
    return f"{'−' if whole < 0 else ''}${abs(whole):,}"


@register.filter
def month_name(number: int) -> str | Promise:
    """Write a month."""
    return MONTHS[number]
