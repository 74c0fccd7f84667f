"""Today's cleaning sheet on a phone, and the sheets of earlier days."""

from __future__ import annotations

import datetime as dt
import hashlib
import uuid
from collections.abc import Mapping
from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _

from pinfeather import clock
from pinfeather.actions import farm as farms
from pinfeather.actions.day import days as day_actions
from pinfeather.actions.sanitary import entries
from pinfeather.actions.sanitary import plan as plans
from pinfeather.actions.sanitary import sheet as sheets
from pinfeather.actions.sanitary.wording import sheet_words
from pinfeather.errors import InputError, InputFaultsError
from pinfeather.finding import Severity
from pinfeather.hygiene.sanitary_plan import WHENS
from pinfeather.web.who import pick, who

_LISTED = 60


def date_or_404(text: str) -> dt.date:
    """Read a date out of an address."""
    try:
        return dt.date.fromisoformat(text)
    except ValueError as error:
        raise Http404 from error


def today(request: HttpRequest) -> HttpResponse:
    """Show today's sheet; take a tap, a strip, the room, a signature."""
    home, on = day_actions.farm_today()
    faults: dict[str, str] = {}
    typed: dict[str, Any] = {}
    if request.method == "POST":
        typed = request.POST.dict()
        pick(request, typed.get("who") or who(request))
        try:
            where = _write(request, typed, on)
        except InputFaultsError as error:
            faults = {fault.name: fault.problem for fault in error.faults}
        else:
            return redirect(where)
    found = sheets.sheet(on, now=clock.now())
    return render(
        request,
        "pinfeather/sanitary_sheet.html",
        {
            "sheet": found,
            "groups": _groups(found),
            "findings": [f for f in found.findings if f.severity > Severity.NOTE],
            "id": uuid.uuid4().hex,
            "typed": typed,
            "faults": faults,
            "people": farms.people(),
            "who": who(request),
            "zone": home.zone,
            "surfaces": (
                ("dipped", _("Tools, tables: dipped or wiped")),
                ("fixed", _("Picker, floor: sprayed")),
            ),
            "last_strip": found.strips[-1] if found.strips else None,
            "room_unit": "C" if home.units == "metric" else "F",
            "open_before": found.open("before"),
        },
        status=422 if faults else 200,
    )


def _write(request: HttpRequest, typed: Mapping[str, Any], on: dt.date) -> str:
    """Write what was tapped; return where to go on."""
    name, here = who(request), reverse("sanitary")
    once = str(typed.get("id", ""))
    if typed.get("act") == "measure":
        _measure(typed, on, name=name)
        messages.success(request, _("Written down."))
        return f"{here}#measure"
    if typed.get("act") == "sign":
        entries.write("sign", {}, on=on, who=name, client_id=_id(once, "sign"))
        messages.success(request, _("Signed."))
        return here
    code = str(typed.get("done") or typed.get("wrong") or "")
    row = next((r for r in sheets.sheet(on, now=clock.now()).rows if r.step.code == code), None)
    result = entries.DONE if typed.get("done") else entries.NOT_RIGHT
    ident = entries.write(
        "check",
        {"step": code if row else "", "what": row.step.what if row else "", "result": result},
        on=on,
        who=name,
        client_id=_id(once, code + result),
    )
    if result == entries.NOT_RIGHT:
        return reverse("sanitary_fix", args=[ident])
    return f"{here}#{code.replace(' ', '-')}"


def _measure(typed: Mapping[str, Any], on: dt.date, *, name: str) -> None:
    """Write a strip, the room, or both: whichever is there, and neither if one is wrong."""
    home = farms.farm()
    chemical = plans.plan().shop.mix.chemical
    strip = _with_unit(str(typed.get("strip", "")), "ppm")
    room = _with_unit(str(typed.get("room", "")), "C" if home.units == "metric" else "F")
    asked: list[tuple[str, dict[str, Any]]] = []
    if strip:
        asked.append(
            ("strip", {"strip": strip, "chemical": chemical, "surface": typed.get("surface")})
        )
    if room:
        asked.append(("room", {"room": room}))
    if not asked:
        raise InputFaultsError(
            [InputError("strip", "", _("Write what the strip shows, or the room's temperature."))]
        )
    entries.write_all(asked, on=on, who=name, once=str(typed.get("id", "")))


def _with_unit(text: str, unit: str) -> str:
    """Read a bare number in the unit that stands beside the field."""
    text = text.strip()
    return f"{text} {unit}" if text.replace(".", "", 1).isdigit() else text


def _id(once: str, what: str) -> str:
    """Make one id for a button of a form, so that a form sent twice is written once."""
    if not once.isalnum():
        return ""
    return hashlib.sha256(f"{once} {what}".encode()).hexdigest()[:32]


def _groups(found: sheets.Sheet) -> list[dict[str, Any]]:
    """Put the rows under their headings; the part that is due now stands open."""
    started = any(one.status == "running" for one in found.days)
    due = "before" if found.open("before") and not started else "during" if started else "after"
    if due == "after" and not found.days and found.open("before"):
        due = "before"
    made = []
    for when, words in WHENS.items():
        rows = [row for row in found.rows if row.step.when == when]
        said: set[str] = set()
        shown = []
        for row in rows:
            caution = "" if row.step.caution in said else row.step.caution
            said.add(row.step.caution)
            shown.append({"row": row, "caution": caution, "again": when == "during"})
        made.append(
            {
                "when": when,
                "words": _(words),
                "rows": shown,
                "left": found.open(when),
                "wrong": sum(1 for row in rows if row.state == "not right"),
                "open": when == due or any(row.state == "not right" for row in rows),
            }
        )
    return made


def day(request: HttpRequest, on: str) -> HttpResponse:
    """Show an earlier day's sheet."""
    date = date_or_404(on)
    home, today_ = day_actions.farm_today()
    if date == today_:
        return redirect("sanitary")
    found = sheets.sheet(date, now=clock.now())
    if not found.written:
        raise Http404
    return render(
        request,
        "pinfeather/sanitary_day.html",
        {
            "sheet": found,
            "rows": sheet_words(found),
            "zone": home.zone,
            "wrong": [mark for row in found.rows for mark in row.marks if mark.wrong],
        },
    )


def earlier(request: HttpRequest) -> HttpResponse:
    """List the sheets by date."""
    return render(
        request, "pinfeather/sanitary_days.html", {"days": sheets.sheet_days(limit=_LISTED)}
    )
