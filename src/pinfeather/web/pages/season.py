"""The season: written, worked out beside the pages, looked at, and taken over tap by tap."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from pinfeather import clock
from pinfeather.actions.day import days as day_actions
from pinfeather.actions.season import draft as season_draft
from pinfeather.actions.season import files as season_files
from pinfeather.actions.season import season as seasons
from pinfeather.actions.season import store as season_store
from pinfeather.errors import InputError, InputFaultsError, RecordConflictError
from pinfeather.web import season_asking, seasonview, words
from pinfeather.web.dayview import mass_unit
from pinfeather.web.who import who

_MOST_SHOWN = 12


def _today() -> dt.date:
    return day_actions.farm_today()[1]


def season(request: HttpRequest) -> HttpResponse:
    """Show the newest season: its plan, or that it is being worked out, or how to begin."""
    found = season_store.shown()
    if found is None or found.newest is None:
        return render(request, "pinfeather/season_none.html", {"season": found})
    return _version(request, found.id, found.newest.number)


def version(request: HttpRequest, season_id: int, number: int) -> HttpResponse:
    """Show one working out of a season, however old."""
    return _version(request, season_id, number)


def _version(request: HttpRequest, season_id: int, number: int) -> HttpResponse:
    view = season_store.version(season_id, number)
    if view.status == season_store.WAITING:
        seasons.begin(season_id, number)
        view = season_store.version(season_id, number)
    if view.status == season_store.DONE:
        written = season_store.current()
        context = seasonview.context(view, _today())
        context["written"] = None if written is None or written.id == season_id else written
        return render(request, "pinfeather/season.html", context)
    return render(request, "pinfeather/season_working.html", _progress(view))


def _progress(view: season_store.VersionView) -> dict[str, Any]:
    gone_s = (clock.now() - view.asked_at).total_seconds()
    alive = seasons.is_alive(view.season.id, view.number)
    waiting = view.status in (season_store.WAITING, season_store.WORKING)
    return {
        "view": view,
        "season": view.season,
        "alive": alive,
        "cut_off": waiting and not alive,
        "failed": view.status == season_store.FAILED,
        "gone": max(round(gone_s), 0),
        "before": view.season.newest_done,
    }


def progress(request: HttpRequest, season_id: int, number: int) -> HttpResponse:
    """Return the moving part of the page that waits; sends the page on when it is done."""
    view = season_store.version(season_id, number)
    if view.status in (season_store.DONE, season_store.FAILED) or not seasons.is_alive(
        season_id, number
    ):
        answer = HttpResponse(status=200)
        answer.headers["HX-Redirect"] = reverse("season_version", args=[season_id, number])
        return answer
    return render(request, "pinfeather/season_progress.html", _progress(view))


# ------------------------------------------------------------------------------------- the form


def write(request: HttpRequest) -> HttpResponse:
    """Write a season, or change what was written."""
    if request.method == "POST":
        return _handle(request)
    found = season_store.current()
    if found is None or "new" in request.GET:
        fresh = season_draft.draft(_today())
        return _form(request, fresh.mapping, season_id=None, numbers=fresh.numbers)
    return _form(request, found.mapping, season_id=found.id)


def _handle(request: HttpRequest) -> HttpResponse:
    mapping = season_asking.sent(request.POST)
    mapping.pop("season", None)
    mapping.pop("do", None)
    given = request.POST.get("season", "")
    season_id = int(given) if given.isdecimal() else None
    do = request.POST.get("do", "plan")
    if do.startswith(("add ", "remove ")):
        season_asking.change_rows(mapping, do)
        return _form(request, mapping, season_id=season_id)
    mapping = season_asking.to_read(mapping)
    today, now = _today(), clock.now()
    if do == "keep":
        season_id = seasons.save_draft(mapping, season_id=season_id, today=today, now=now)
        messages.success(request, _("Kept as written. Nothing is worked out yet."))
        return redirect("season_write")
    try:
        season_id, number = seasons.save_and_ask(mapping, season_id=season_id, today=today, now=now)
    except InputFaultsError as error:
        return _form(request, mapping, season_id=_kept(season_id), faults=error.faults)
    except RecordConflictError as error:
        fault = InputError("", None, str(error))
        return _form(request, mapping, season_id=_kept(season_id), faults=[fault])
    seasons.begin(season_id, number)
    return redirect("season")


def _kept(season_id: int | None) -> int | None:
    """Return the season that was just kept, so that the next try changes it instead of another."""
    found = season_store.current()
    return season_id if season_id or found is None else found.id


@require_POST
def upload(request: HttpRequest) -> HttpResponse:
    """Read a season from a TOML file into the form; nothing is kept until it is worked out."""
    file = request.FILES.get("file")
    raw = file.read(season_files.MOST_BYTES + 1) if file else b""
    if not raw:
        messages.error(request, _("Choose a file first."))
        return redirect("season_write")
    try:
        mapping = season_files.mapping_from_toml(raw)
    except InputError as fault:
        messages.error(request, fault.problem)
        return redirect("season_write")
    found = season_store.current()
    faults = seasons.checked(mapping)
    return _form(request, mapping, season_id=found.id if found else None, faults=faults)


def _form(
    request: HttpRequest,
    mapping: dict[str, Any] | Any,  # noqa: ANN401 - any JSON mapping
    *,
    season_id: int | None,
    faults: Iterable[InputError] = (),
    numbers: Iterable[Any] = (),
) -> HttpResponse:
    faults = season_asking.placed(faults, mapping)
    kinds: words.Choices = [
        (str(row["code"]), f"{row.get('name') or ''} ({row['code']})".strip())
        for row in season_asking.rows_of(mapping, "kinds")
        if row.get("code")
    ]
    tables = {
        name: season_asking.table(name, mapping, faults, kinds=kinds)
        for name in season_asking.TABLES
    }
    parts = {
        name: season_asking.fields(asks, mapping, faults)
        for name, asks in (
            ("about", season_asking.SEASON),
            ("about_more", season_asking.SEASON_MORE),
            ("rooms", season_asking.ROOMS),
            ("days", season_asking.DAYS),
            ("days_more", season_asking.DAYS_MORE),
            ("money", season_asking.MONEY),
            ("counted", season_asking.COUNTED),
            ("luck", season_asking.LUCK),
            ("bedding", season_asking.BEDDING),
        )
    }
    shown = {field.name for fields in parts.values() for field in fields}
    for rows in tables.values():
        shown |= {field.name for row in rows for field in (*row.fields, *row.more)}
    context = {
        **parts,
        "tables": tables,
        "opened": {name: any(f.faults for f in fields) for name, fields in parts.items()}
        | {name: not rows or any(row.open for row in rows) for name, rows in tables.items()},
        "told": {
            name: " · ".join(row.title for row in rows if row.title)
            for name, rows in tables.items()
        },
        "hidden": list(season_asking.leftovers(mapping, shown | {"profile", "tier", "today"})),
        "season_id": season_id or "",
        "faults": faults,
        "general": [fault for fault in faults if fault.name not in shown],
        "numbers": list(numbers),
    }
    return render(request, "pinfeather/season_form.html", context, status=422 if faults else 200)


# --------------------------------------------------------------------------- replan and take over


@require_POST
def replan(request: HttpRequest, season_id: int) -> HttpResponse:
    """Have the season worked out anew from today, held to what was promised."""
    try:
        number = seasons.replan(season_id, today=_today(), now=clock.now())
    except InputFaultsError as error:
        found = season_store.season(season_id)
        return _form(request, found.mapping, season_id=season_id, faults=error.faults)
    seasons.begin(season_id, number)
    return redirect("season")


@require_POST
def again(request: HttpRequest, season_id: int, number: int) -> HttpResponse:  # noqa: ARG001 - a view's signature
    """Start one again that was cut off."""
    fresh = seasons.start_again(season_id, number, today=_today(), now=clock.now())
    seasons.begin(season_id, fresh)
    return redirect("season")


@require_POST
def take_lot(request: HttpRequest, season_id: int, number: int) -> HttpResponse:
    """Write one planned lot into the flock records, as ordered."""
    code = request.POST.get("lot", "")
    name = seasons.take_lot(season_id, number, code, who=who(request), now=clock.now())
    messages.success(
        request, _("Lot {code} is in the flock records, as ordered.").format(code=name)
    )
    return redirect(f"{reverse('season_version', args=[season_id, number])}#lots")


def ribbon_table(request: HttpRequest, season_id: int, number: int) -> HttpResponse:
    """Show the ribbon as tables."""
    view = season_store.version(season_id, number)
    context = seasonview.context(view, _today())
    return render(request, "pinfeather/season_table.html", context | {"unit": mass_unit()})
