"""Birds split over several part-days."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any, Final

from django.contrib import messages
from django.core.files.uploadedfile import UploadedFile
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext_lazy as _
from django.utils.translation import ngettext

from pinfeather.actions.day import days as day_actions
from pinfeather.actions.line import part_days
from pinfeather.actions.line.free_hours import MOST_BYTES
from pinfeather.errors import InputError, InputFaultsError
from pinfeather.web import asking, words

_BIRDS: Final = (
    asking.Ask("birds", _("Birds"), kind="number"),
    asking.Ask("code", _("Lot")),
    asking.Ask("species", _("Kind"), kind="choice", options=words.SPECIES),
    asking.Ask("build", _("Build"), kind="choice", options=words.BUILDS),
    asking.Ask("mean", _("Mean dressed weight"), _("Such as 4.6 lb or 4 lb 10 oz.")),
    asking.Ask("spread", _("Spread"), _("Standard deviation; a tenth of the mean is usual.")),
    asking.Ask("by", _("All done by"), kind="date"),
)
_LIMITS: Final = (
    asking.Ask("light_from", _("Light from"), kind="time"),
    asking.Ask("light_to", _("Light until"), kind="time"),
    asking.Ask("longest", _("Longest day"), _("With set-up and clean-up, such as 10 h.")),
    asking.Ask("fewest", _("Fewest birds"), _("Worth setting up for."), kind="number"),
    asking.Ask(
        "store_birds",
        _("Cold store takes"),
        _("Birds in all before some are picked up; empty for no limit."),
        kind="number",
    ),
)
_WINDOWS: Final = (
    asking.Ask(
        "windows",
        _("Free hours"),
        _(
            "One window a line, when everybody is free from the first hand to the last: "
            "2026-09-12 09:00-15:00. Add “pickup 20” where 20 birds leave the cold store before."
        ),
        kind="lines",
        wide=True,
    ),
)
_NAMES: Final = tuple(ask.name for ask in (*_BIRDS, *_LIMITS, *_WINDOWS))


def windows(request: HttpRequest) -> HttpResponse:
    """Ask, answer, and make the planned days."""
    _home, today = day_actions.farm_today()
    if request.method != "POST":
        return _page(request, part_days.first_form(today))
    mapping: dict[str, Any] = {name: request.POST.get(name, "") for name in _NAMES}
    do = request.POST.get("do", "answer")
    try:
        if do == "import":
            files = _contents(request.FILES.getlist("calendar"))
            return _page(request, part_days.imported(mapping, files, today=today))
        if do.startswith("make"):
            number = do.removeprefix("make").strip()
            made = part_days.make_days(
                mapping, today=today, number=int(number) if number.isdigit() else None
            )
            messages.success(
                request,
                ngettext("{n} day is planned.", "{n} days are planned.", len(made)).format(
                    n=len(made)
                ),
            )
            return redirect("days")
        return _page(request, mapping, found=part_days.part_days(mapping, today=today))
    except InputFaultsError as error:
        return _page(request, mapping, faults=error.faults)
    except InputError as error:
        return _page(request, mapping, faults=[error])


def _contents(files: Sequence[UploadedFile[Any]]) -> list[bytes]:
    """Read uploads, one byte past the limit so that what is too large is seen."""
    return [one.read(MOST_BYTES + 1) for one in files]


def _page(
    request: HttpRequest,
    mapping: Mapping[str, Any],
    *,
    found: part_days.PartDaysView | None = None,
    faults: Sequence[InputError] = (),
) -> HttpResponse:
    shown = {*_NAMES}
    context = {
        "birds": asking.asked(_BIRDS, mapping, faults=faults),
        "limits": asking.asked(_LIMITS, mapping, faults=faults),
        "windows": asking.asked(_WINDOWS, mapping, faults=faults),
        "faults": faults,
        "general": [fault.problem for fault in faults if fault.name not in shown],
        "found": found,
        "used": [] if found is None else [one for one in found.answer.windows if one.birds],
    }
    return render(request, "pinfeather/windows.html", context, status=422 if faults else 200)
