"""What a change would do, and who should stand where."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any, Final

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from pinfeather.actions.day import days as day_actions
from pinfeather.actions.line import crew as crews
from pinfeather.actions.line import what_if as what_ifs
from pinfeather.day.crew_options import CrewAdvice, busy_codes
from pinfeather.day.what_if import Side
from pinfeather.errors import InputError, InputFaultsError, RecordConflictError
from pinfeather.reports.strip import Strip
from pinfeather.reports.strip_svg import strip_svg
from pinfeather.web import asking, words
from pinfeather.web.dayview import Fact, GainRow, all_gain_rows, ranked_rows

_START: Final = (asking.Ask("start", gettext_lazy("First bird at"), kind="time"),)
_EQUIPMENT: Final = tuple(ask for ask in asking.EQUIPMENT if ask.name in what_ifs.EQUIPMENT_FIELDS)
_PERSON: Final = (
    asking.Ask("from", gettext_lazy("From"), kind="time"),
    asking.Ask("to", gettext_lazy("To"), kind="time"),
)
_ONE_MORE: Final = (
    asking.Ask("name", gettext_lazy("Name"), gettext_lazy("May be empty.")),
    asking.Ask("from", gettext_lazy("From"), kind="time"),
    asking.Ask("to", gettext_lazy("To"), kind="time"),
    asking.Ask("pace", gettext_lazy("Pace"), gettext_lazy("1 is usual; a beginner 0.6.")),
    asking.Ask("stations", gettext_lazy("Can do"), kind="ticks", options=words.STATIONS, wide=True),
)
_OPTION_WORDS: Final[Mapping[str, str | Promise]] = {
    "now": gettext_lazy("As the plan has it"),
    "fixed": gettext_lazy("Everybody at fixed posts"),
    "moving": gettext_lazy("Moving about on one's own side"),
    "switching": gettext_lazy("Switching stations, and sides with a wash"),
}


def what_if(request: HttpRequest, day_id: int) -> HttpResponse:
    """Try a change, look at it, and take it into the plan."""
    change: dict[str, Any] | None = None
    faults: Sequence[InputError] = ()
    if request.method == "POST":
        view = day_actions.day(day_id)
        change = _change(asking.nested(request.POST), people=len(view.mapping["people"]))
        try:
            if request.POST.get("do") == "take":
                version = int(request.POST.get("version") or 0) or None
                what_ifs.take(day_id, change, version=version)
                return redirect("day", day_id=day_id)
            found = what_ifs.what_if(day_id, change, rank=request.POST.get("do") == "rank")
            return _page(request, found, change)
        except InputFaultsError as error:
            faults = error.faults
        except RecordConflictError as error:
            faults = [InputError("", None, str(error))]
    return _page(request, what_ifs.what_if(day_id, None), change, faults=faults)


def _change(sent: dict[str, Any], *, people: int) -> dict[str, Any]:
    """Read ticks that are not there as people who are not there."""
    given = sent.get("people")
    rows = given if isinstance(given, list) else []
    rows = [row if isinstance(row, dict) else {} for row in rows][:people]
    rows += [{} for _missing in range(people - len(rows))]
    tables = {
        name: table if isinstance(table := sent.get(name), dict) else {}
        for name in ("equipment", "one_more")
    }
    return {
        "start": str(sent.get("start") or ""),
        **tables,
        "people": [{**row, "there": row.get("there", "")} for row in rows],
    }


def _page(
    request: HttpRequest,
    found: what_ifs.WhatIf,
    change: Mapping[str, Any] | None,
    *,
    faults: Sequence[InputError] = (),
) -> HttpResponse:
    view = found.day
    given = change or {}
    crew = view.mapping["people"]
    rows = given.get("people") or [{**one, "there": "yes"} for one in crew]
    more = given.get("one_more") or {
        "from": crew[0].get("from", ""),
        "to": crew[0].get("to", ""),
        "pace": "1",
        "stations": [],
    }
    context = {
        "day": view,
        "found": found,
        "facts": [] if found.then is None else _facts(view, found.now, found.then),
        "unchanged": change is not None and found.then is None and not faults,
        "start": asking.asked(_START, {**view.mapping, **_given(given, "start")}, faults=faults),
        "equipment": asking.asked(
            _EQUIPMENT,
            {**view.mapping["equipment"], **(given.get("equipment") or {})},
            prefix="equipment.",
            faults=faults,
        ),
        "people": [
            {
                "name": one.get("name", ""),
                "there": f"people[{number}].there",
                "is_there": bool(row.get("there")),
                "fields": asking.asked(_PERSON, {**one, **row}, prefix=f"people[{number}]."),
            }
            for number, (one, row) in enumerate(zip(crew, rows, strict=True))
        ],
        "one_more": asking.asked(_ONE_MORE, more, prefix="one_more."),
        "one_more_open": bool(more.get("stations")),
        "faults": faults,
        "strips": [_pictures(one, n) for n, one in enumerate(found.strips)],
        "gains": _gains(found),
    }
    return render(request, "pinfeather/what_if.html", context, status=422 if faults else 200)


def _gains(found: what_ifs.WhatIf) -> list[GainRow]:
    """Return the ranked list of the plan shown; empty where it is not worked out."""
    if found.then is None:
        return all_gain_rows(found.day.plan)
    return [] if found.ranked is None else ranked_rows(found.ranked.gains, found.then)


def _given(given: Mapping[str, Any], name: str) -> dict[str, Any]:
    return {name: given[name]} if given.get(name) else {}


def _pictures(strip: Strip, number: int) -> dict[str, str]:
    return {
        name: strip_svg(
            strip, width=width, ident=f"{name}-{number}", clock="24h", strong=bool(number)
        )
        for name, width in (("wide", 1080), ("narrow", 360))
    }


def _facts(view: day_actions.DayView, now: Side, then: Side) -> list[Fact]:
    """Put the changed plan's hours large, and what they were beneath."""

    def at(side: Side, after_s: float) -> str:
        minutes = round((side.start_s + after_s) / 60)
        return f"{minutes // 60 % 24:02d}:{minutes % 60:02d}"

    def packed(side: Side) -> str:
        return _("not all") if side.table.unfinished else at(side, side.table.end_s)

    def left(side: Side) -> str:
        return str(side.table.unfinished)

    facts = [
        Fact(
            _("Line done"),
            at(then, then.table.line_end_s),
            "",
            _("{time} as planned").format(time=at(now, now.table.line_end_s)),
        ),
        Fact(
            _("All packed"),
            packed(then),
            "",
            _("{time} as planned; both by the plan's own times").format(time=packed(now)),
        ),
    ]
    if now.table.unfinished or then.table.unfinished:
        facts.append(
            Fact(
                _("Left over"),
                left(then),
                _("of {n}").format(n=view.plan.birds),
                _("{n} as planned").format(n=left(now)),
            )
        )
    return facts


def crew(request: HttpRequest, day_id: int) -> HttpResponse:
    """Show who should stand where, and take one way into the plan."""
    problem = ""
    if request.method == "POST":
        version = int(request.POST.get("version") or 0) or None
        try:
            crews.take_crew(day_id, request.POST.get("option", ""), version=version)
            return redirect("day", day_id=day_id)
        except RecordConflictError as error:
            problem = str(error)
    found = crews.crew(day_id)
    advice = found.advice
    now = advice.options[0]
    options = [
        {
            "code": one.code,
            "words": _OPTION_WORDS[one.code],
            "line_s": one.line_end_s,
            "end_s": one.end_s,
            "sooner_min": round((now.line_end_s - one.line_end_s) / 60),
            "unfinished": one.unfinished,
            "washes": one.washes,
            "best": one.code == advice.best,
            "people": list(
                zip((person.name for person in advice.people), one.stations, strict=True)
            ),
        }
        for one in advice.options
    ]
    return render(
        request,
        "pinfeather/crew.html",
        {
            "day": found.day,
            "advice": advice,
            "options": options,
            "moving_min": _apart(advice, "fixed", "moving"),
            "parts": _parts(advice),
            "problem": problem,
        },
        status=409 if problem else 200,
    )


def _apart(advice: CrewAdvice, first: str, second: str) -> int | None:
    """Return how many minutes the second way is done sooner, both played through."""
    ends = {one.code: one.line_end_s for one in advice.options if not one.unfinished}
    if first not in ends or second not in ends:
        return None
    return round((ends[first] - ends[second]) / 60)


def _parts(advice: CrewAdvice) -> list[dict[str, Any]]:
    """Return, for each part of the day, who is on which side and does what."""
    if advice.plan is None:
        return []
    return [
        {
            "from_s": part.from_s,
            "to_s": part.to_s,
            "birds": part.birds,
            "people": [
                {
                    "name": person.name,
                    "dirty": part.dirty[number],
                    "wash": part.washes[number],
                    "codes": busy_codes(advice.plan, at, number),
                }
                for number, person in enumerate(advice.people)
                if part.dirty[number] is not None
            ],
        }
        for at, part in enumerate(advice.plan.parts)
    ]
