"""Documents and files of a day."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse

from pinfeather import clock
from pinfeather.actions import packing, pictures, running, shopfloor
from pinfeather.actions.plan_document import plan_pdf, todo_ics
from pinfeather.actions.record_document import record_pdf
from pinfeather.reports.strip import strip_csv


def _pdf(content: bytes, name: str) -> HttpResponse:
    response = HttpResponse(content, content_type="application/pdf")
    response.headers["Content-Disposition"] = f'inline; filename="{name}.pdf"'
    return response


def labels(request: HttpRequest, day_id: int) -> HttpResponse:
    """Print labels, one or all."""
    size = request.GET.get("size", "4x3")
    numbers = [int(n) for n in request.GET.getlist("number") if n.isdecimal()]
    known = next((one for one in packing.LABEL_SIZES if one == size), packing.LABEL_SIZES[0])
    content = packing.labels(day_id, size=known, numbers=numbers, printed_at=clock.now())
    return _pdf(content, f"labels-{day_id}")


def plan(request: HttpRequest, day_id: int) -> HttpResponse:  # noqa: ARG001 - a view's signature
    """Print the plan."""
    return _pdf(plan_pdf(day_id, printed_at=clock.now()), f"plan-{day_id}")


def record(request: HttpRequest, day_id: int) -> HttpResponse:  # noqa: ARG001 - a view's signature
    """Print the record."""
    return _pdf(record_pdf(day_id, now=clock.now()), f"record-{day_id}")


def todo(request: HttpRequest, day_id: int) -> HttpResponse:  # noqa: ARG001 - a view's signature
    """Give the to-do list to a calendar."""
    content = todo_ics(day_id, stamp=clock.now())
    return _file(content, "text/calendar", f"to-do-{day_id}.ics")


def strip(request: HttpRequest, day_id: int) -> HttpResponse:  # noqa: ARG001 - a view's signature
    """Give the strip as a table."""
    floor = shopfloor.floor(day_id, now=clock.now())
    drawn = pictures.day_strip(floor.day, floor.done if floor.done.tallies else None)
    return _file(strip_csv(drawn).encode(), "text/csv", f"strip-{day_id}.csv")


def journal(request: HttpRequest, day_id: int) -> HttpResponse:  # noqa: ARG001 - a view's signature
    """Give a day's journal as a table."""
    return _file(running.journal_csv(day_id), "text/csv", f"journal-{day_id}.csv")


def _file(content: bytes, kind: str, name: str) -> HttpResponse:
    response = HttpResponse(content, content_type=f"{kind}; charset=utf-8")
    response.headers["Content-Disposition"] = f'attachment; filename="{name}"'
    return response
