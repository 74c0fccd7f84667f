"""Are our records safe: the last backup, going back to one, and everything as tables.

The door lets only the farm computer itself come here.
"""

from __future__ import annotations

import datetime as dt
import io
from pathlib import Path
from typing import Any, Final

from django.contrib import messages
from django.http import FileResponse, HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from pinfeather import clock
from pinfeather.actions import farm as farms
from pinfeather.actions import safe as records
from pinfeather.actions import store
from pinfeather.actions.keeping import forget
from pinfeather.errors import StoreError

_MIB: Final = 1024 * 1024
_WORDS: Final = {
    "closed-day": _("after a day was closed"),
    "before-update": _("before an update"),
    "by-hand": _("asked for"),
}


def safe(request: HttpRequest) -> HttpResponse:
    """Show the last backup and what its check found; make one; check the present records."""
    now = clock.now()
    fault = ""
    checked = None
    if request.method == "POST":
        try:
            if request.POST.get("what") == "check":
                checked = store.check_store()
            else:
                records.back_up(now=now)
                messages.success(request, _("Backed up, read back, and whole."))
                return redirect("safe")
        except StoreError as error:
            fault = str(error)
    found = records.look()
    zone = _zone()
    age = found.age(now)
    return render(
        request,
        "pinfeather/safe.html",
        {
            "found": found,
            "named": 0 if found.trouble else forget.backups_with_names(),
            "rotated": forget.when_rotated(),
            "verdict": found.verdict(now),
            "newest": None if found.newest is None else _row(found.newest, zone, found.entries),
            "age": "" if age is None else how_long(age),
            "rows": [_row(one, zone, found.entries) for one in found.backups],
            "aside": [
                {"name": one.path.name, "at": _moment(one.at, zone), "size": _size(one.size_bytes)}
                for one in found.aside
            ],
            "fault": fault,
            "checked": checked,
            "keep_last": records.KEEP_LAST,
            "keep_months": records.KEEP_MONTHS,
        },
        status=503 if fault or found.trouble else 200,
    )


def go_back(request: HttpRequest, name: str) -> HttpResponse:
    """Ask whether this backup is to take the place of the present records, and do it."""
    now = clock.now()
    path = records.file_named(name)
    fault = ""
    if request.method == "POST":
        try:
            records.go_back(path, now=now)
        except StoreError as error:
            fault = str(error)
        else:
            messages.success(
                request, _("The backup is in place. The records from before are set aside.")
            )
            return redirect("safe")
    found = records.look()
    one = next((b for b in found.backups if b.path == path), None)
    return render(
        request,
        "pinfeather/safe_back.html",
        {
            "name": name,
            "row": None if one is None else _row(one, _zone(), found.entries),
            "behind": None
            if one is None or one.checked_at is None
            else max(0, found.entries - one.entries),
            "found": found,
            "fault": fault,
        },
        status=503 if fault else 200,
    )


def newest(request: HttpRequest) -> HttpResponseBase:  # noqa: ARG001 - a view's signature
    """Hand out the newest whole backup, for a stick."""
    found = records.look().newest
    if found is None:
        raise StoreError(_("There is no backup yet."))
    return FileResponse(
        found.path.open("rb"),
        as_attachment=True,
        filename=found.path.name,
        content_type="application/vnd.sqlite3",
    )


def export(request: HttpRequest) -> HttpResponseBase:  # noqa: ARG001 - a view's signature
    """Hand out everything the farm has written, in open formats."""
    now = clock.now()
    with records.exported_zip(now=now) as path:
        content = io.BytesIO(path.read_bytes())
    return FileResponse(
        content,
        as_attachment=True,
        filename=f"farm-export-{now:%Y%m%dT%H%M%SZ}.zip",
        content_type="application/zip",
    )


def _zone() -> dt.tzinfo:
    try:
        return clock.zone(farms.farm().zone)
    except Exception:  # noqa: BLE001 - whatever is wrong with the store, this page must come
        return dt.UTC


def _row(one: records.Backup, zone: dt.tzinfo, entries: int) -> dict[str, Any]:
    return {
        "name": one.path.name,
        "file": Path(one.path.name),
        "at": one.path.name if one.taken_at is None else _moment(one.taken_at, zone),
        "why": _WORDS.get(one.reason, _("put here by hand")),
        "size": _size(one.size_bytes),
        "lines": one.entries,
        "behind": max(0, entries - one.entries),
        "state": "whole" if one.whole else "damaged" if one.faults else "unread",
        "faults": one.faults,
    }


def _moment(at: dt.datetime, zone: dt.tzinfo) -> str:
    here = at.astimezone(zone)
    return _("{day} {month} {year}, {time}").format(
        day=here.day, month=here.strftime("%B"), year=here.year, time=here.strftime("%H:%M")
    )


def _size(size_bytes: int) -> str:
    if size_bytes < _MIB:
        return _("{n} kilobytes").format(n=-(-size_bytes // 1024))
    return _("{n:.1f} megabytes").format(n=size_bytes / _MIB)


def how_long(age: dt.timedelta) -> str:
    """Say an age in the one unit that fits."""
    minutes = int(age.total_seconds() // 60)
    if minutes < 1:
        return _("just now")
    if minutes < 60:  # noqa: PLR2004 - an hour
        return ngettext("{n} minute ago", "{n} minutes ago", minutes).format(n=minutes)
    hours = minutes // 60
    if hours < 48:  # noqa: PLR2004 - two days
        return ngettext("{n} hour ago", "{n} hours ago", hours).format(n=hours)
    return _("{n} days ago").format(n=hours // 24)
