"""Bringing in a logger's file: choose it, look at what it seems to say, then keep it."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from pinfeather import clock
from pinfeather.actions.day import days, logger_files, shopfloor
from pinfeather.actions.farm import farm, instruments
from pinfeather.day.logger_guess import Guess
from pinfeather.errors import InputError, RecordConflictError
from pinfeather.quantity import show
from pinfeather.web.dayview import Fact
from pinfeather.web.who import pick, who

_FIELDS = (
    "what", "place", "instrument", "since", "until",
    "time", "clock", "value", "unit", "zone", "order", "separator", "point",
)  # fmt: skip
_ON_PAGE = {*_FIELDS, "file"}
_ORDERS = [
    ("", gettext_lazy("find out")),
    ("ymd", gettext_lazy("y-m-d")),
    ("mdy", gettext_lazy("m/d/y")),
    ("dmy", gettext_lazy("d/m/y")),
]


def logger(request: HttpRequest, day_id: int) -> HttpResponse:
    """Choose a file, say what its columns are, look at it, keep it."""
    day = days.day(day_id)
    if day.status == "closed":
        raise RecordConflictError(_("This day is closed; a logger file can no longer join it."))
    if request.method != "POST":
        token = request.GET.get("file", "")
        return _show(request, day, token=token) if token else _choose(request, day)
    act = request.POST.get("act", "")
    try:
        if act == "back":
            logger_files.take_back(
                day_id,
                request.POST.get("of", ""),
                reason=request.POST.get("reason", ""),
                who=who(request),
            )
            messages.success(request, _("The logger’s file no longer counts."))
            return redirect("day_cold", day_id=day_id)
        if act in {"look", "keep"}:
            return _look(request, day, keep=act == "keep")
        return _upload(request, day)
    except InputError as fault:
        return _choose(request, day, fault=fault.problem)


def _choose(request: HttpRequest, day: days.DayView, *, fault: str = "") -> HttpResponse:
    return render(
        request,
        "pinfeather/logger_choose.html",
        {"day": day, "fault": fault},
        status=422 if fault else 200,
    )


def _upload(request: HttpRequest, day: days.DayView) -> HttpResponse:
    sent = request.FILES.get("file")
    if sent is None:
        too_long = int(request.headers.get("Content-Length") or 0) > logger_files.MOST_BYTES
        problem = (
            _("The file is larger than 20 MB. Export a shorter time.")
            if too_long
            else _("Choose the logger’s file.")
        )
        raise InputError("file", None, problem)
    token = logger_files.hold(sent.name or "", sent.read())
    return redirect(f"{reverse('logger', args=[day.id])}?file={token}")


def _look(request: HttpRequest, day: days.DayView, *, keep: bool) -> HttpResponse:
    """Read the file as the form says; keep it, or show what it would say."""
    token = request.POST.get("file", "")
    answers = {name: request.POST.get(name, "") for name in _FIELDS}
    name = request.POST.get("who") or who(request)
    pick(request, name)
    now = clock.now()
    checks = shopfloor.ice_points(now)
    try:
        if keep:
            seen = logger_files.keep(day.id, token, answers, ice_points=checks, who=name, now=now)
            messages.success(request, _("Kept. {sentence}").format(sentence=seen.sentence))
            return redirect("day_cold", day_id=day.id)
        seen = logger_files.preview(day.id, token, answers, ice_points=checks, now=now)
    except InputError as fault:
        logger_files.held(token)  # gone: then the file is asked for again
        return _show(request, day, token=token, answers=answers, fault=fault)
    return _show(request, day, token=token, answers=answers, seen=seen)


def _show(
    request: HttpRequest,
    day: days.DayView,
    *,
    token: str,
    answers: dict[str, str] | None = None,
    seen: logger_files.Preview | None = None,
    fault: InputError | None = None,
) -> HttpResponse:
    try:
        look = logger_files.first_look(token)
        sent = logger_files.held(token)
    except InputError as gone:
        return _choose(request, day, fault=gone.problem)
    typed = answers or _guessed(look, day)
    where = "" if fault is None else fault.name if fault.name in _ON_PAGE else "file"
    return render(
        request,
        "pinfeather/logger.html",
        {
            "day": day,
            "token": token,
            "name": sent.name,
            "look": look,
            "typed": typed,
            "fault": {} if fault is None else {where: fault.problem},
            "places": [tank.name for tank in day.request.equipment.tanks],
            "instruments": [one.name for one in instruments("thermometer")],
            "orders": _ORDERS,
            "people": day.request.people,
            "who": who(request),
            "seen": seen,
            "facts": [] if seen is None else _facts(seen, day),
        },
        status=422 if fault else 200,
    )


def _guessed(look: Guess, day: days.DayView) -> dict[str, str]:
    tanks = [tank.name for tank in day.request.equipment.tanks]
    names = [one.name for one in instruments("thermometer")]
    return {
        "what": "bird",
        "place": tanks[0] if len(tanks) == 1 else "",
        "instrument": names[0] if len(names) == 1 else "",
        "since": "",
        "until": "",
        "time": look.time,
        "clock": look.clock,
        "value": look.value,
        "unit": look.unit,
        "zone": look.zone or farm().zone,
        "order": look.order,
        "separator": look.separator,
        "point": look.point,
    }


def _facts(seen: logger_files.Preview, day: days.DayView) -> list[Fact]:
    """Return the figures of a preview: how many, from when to when, how warm, how long."""
    curve, zone = seen.curve, clock.zone(day.zone)
    first, last = (curve.at(k).astimezone(zone) for k in (0, -1))

    def temp(temp_degC: float) -> str:
        return show(temp_degC, curve.unit, "temperature", decimals=1)

    minutes = round(seen.judged.above_s / 60)
    return [
        Fact(
            _("Rows that count"),
            f"{len(curve.times_s):,}".replace(",", "\u202f"),
            "",
            _("of {n} in the file, one every {s:g} s").format(n=seen.rows, s=curve.interval_s),
        ),
        Fact(
            _("From"),
            f"{first:%H:%M}",
            "",
            _("to {time}, {date}").format(time=f"{last:%H:%M}", date=f"{last.day} {last:%b}"),
        ),
        Fact(
            _("Coldest"),
            temp(seen.judged.coldest_degC),
            "",
            _("warmest {temp}, ice check taken out").format(temp=temp(seen.judged.warmest_degC)),
        ),
        Fact(
            _("Above {limit}").format(limit=seen.limit),
            _("{h} h {m:02d}").format(h=minutes // 60, m=minutes % 60)
            if minutes >= 60  # noqa: PLR2004 - minutes in an hour
            else str(minutes),
            "min",
            _("gaps, {m} min, left out").format(m=round(seen.judged.unseen_s / 60)),
        ),
    ]
