"""What every page knows: the farm, and where the reader is."""

from __future__ import annotations

from django.db import DatabaseError
from django.http import HttpRequest
from django.urls import reverse
from django.utils.translation import gettext as _

from pinfeather.actions import farm as farms


def farm(request: HttpRequest) -> dict[str, object]:
    """Give the page the farm and the way around."""
    places = (
        ("today", _("Today"), ("/",)),
        ("days", _("Days"), ("/days/",)),
        ("thermometers", _("Thermometers"), ("/thermometers/",)),
        ("farm", _("Farm"), ("/farm/",)),
    )
    return {
        "farm": _farm(),
        "nav": [
            {
                "url": reverse(name),
                "words": words,
                "here": any(
                    request.path == start if start == "/" else request.path.startswith(start)
                    for start in starts
                ),
            }
            for name, words, starts in places
        ],
    }


def _farm() -> farms.FarmView:
    """Return the farm; a page about a store out of reach still has to be a page."""
    try:
        return farms.farm()
    except DatabaseError:
        return farms.FarmView()
