"""What every page knows: the farm, and where the reader is."""

from __future__ import annotations

from typing import Final

from django.conf import settings
from django.db import DatabaseError
from django.http import HttpRequest
from django.urls import reverse
from django.utils.translation import get_language
from django.utils.translation import gettext as _

from pinfeather.actions import farm as farms
from pinfeather.actions.first import pretend
from pinfeather.web.door import at_the_farm_computer
from pinfeather.web.reader import MACHINE_MADE

_DAILY: Final = frozenset({"today", "days", "lots", "season"})
"""Pages that stand in the bar on a phone, too."""
_WEEKLY: Final = frozenset({"freezer", "orders", "store", "money"})
"""Pages that stand in the bar where there is room; the others are always folded away."""


def farm(request: HttpRequest) -> dict[str, object]:
    """Give the page the farm and the way around."""
    places = (
        ("today", _("Today"), ("/",)),
        ("days", _("Days"), ("/days/",)),
        ("lots", _("Lots"), ("/lots/",)),
        ("season", _("Season"), ("/season/",)),
        ("freezer", _("Freezer"), ("/freezer/", "/packages/", "/trace/")),
        ("orders", _("Orders"), ("/orders/",)),
        ("store", _("Store"), ("/store/",)),
        ("money", _("Money"), ("/money/",)),
        ("thermometers", _("Thermometers"), ("/thermometers/",)),
        ("duties", _("Duties"), ("/duties/", "/inspection/")),
        ("sanitary", _("Cleaning"), ("/sanitary/",)),
        ("binder", _("Binder"), ("/binder/",)),
        ("rules", _("Rules"), ("/rules/",)),
        ("calculators", _("Calculators"), ("/calculators/",)),
        ("farm", _("Farm"), ("/farm/",)),
    )
    return {
        "farm": _farm(),
        "machine_made": get_language() in MACHINE_MADE,
        "token_cookie": settings.CSRF_COOKIE_NAME,
        "way_back": pretend.back_address(),
        "farm_computer": at_the_farm_computer(request),
        "carry_words": {
            "waiting": _("{n} counted here and not yet on the farm computer. Sending goes on."),
            "refused": _("Not taken: {problem}"),
        },
        "nav": [
            {
                "url": reverse(name),
                "words": words,
                "often": _often(name),
                "here": any(
                    request.path == start if start == "/" else request.path.startswith(start)
                    for start in starts
                ),
            }
            for name, words, starts in places
        ],
    }


def _often(name: str) -> str:
    """Return how often a page is wanted, which decides where its link stands."""
    if name in _DAILY:
        return "daily"
    return "weekly" if name in _WEEKLY else "seldom"


def _farm() -> farms.FarmView:
    """Return the farm; a page about a store out of reach still has to be a page."""
    try:
        return farms.farm()
    except DatabaseError:
        return farms.FarmView()
