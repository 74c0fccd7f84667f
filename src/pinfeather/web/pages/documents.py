"""Documents and files of a day."""

from __future__ import annotations

from collections.abc import Callable
from functools import wraps

from django.http import HttpRequest, HttpResponse
from django.utils import translation

from pinfeather import clock
from pinfeather.actions.day import pictures, running, shopfloor
from pinfeather.actions.day.plan_document import plan_pdf, todo_ics
from pinfeather.actions.day.record_document import record_pdf
from pinfeather.actions.desk import labels as package_labels
from pinfeather.reports.labels import LabelSize
from pinfeather.reports.strip import strip_csv

_DIGITS = 6
"""A package's number is shorter than this."""


def _in_english(
    view: Callable[..., HttpResponse],
) -> Callable[..., HttpResponse]:
    """Make labels in the words of the rule, whatever the reader's language."""

    @wraps(view)
    def in_english(request: HttpRequest, *args: object, **kwargs: object) -> HttpResponse:
        with translation.override("en"):
            return view(request, *args, **kwargs)

    return in_english


def _pdf(content: bytes, name: str) -> HttpResponse:
    response = HttpResponse(content, content_type="application/pdf")
    response.headers["Content-Disposition"] = f'inline; filename="{name}.pdf"'
    return response


def _size(request: HttpRequest) -> LabelSize | None:
    asked = request.GET.get("size", "")
    return next((one for one in package_labels.LABEL_SIZES if one == asked), None)


def _numbers(request: HttpRequest) -> list[int]:
    return [int(n) for n in request.GET.getlist("number") if n.isdecimal() and len(n) < _DIGITS]


@_in_english
def labels(request: HttpRequest, day_id: int) -> HttpResponse:
    """Print labels, one, some or all."""
    content = package_labels.labels(
        day_id, size=_size(request), numbers=_numbers(request), printed_at=clock.now()
    )
    return _pdf(content, f"labels-{day_id}")


@_in_english
def label_proof(request: HttpRequest, day_id: int) -> HttpResponse:
    """Show one label in the printer's own dots."""
    numbers, dots = _numbers(request), request.GET.get("dots", "203")
    content = package_labels.proof(
        day_id,
        size=_size(request),
        number=numbers[0] if numbers else 0,
        dots_per_inch=int(dots) if dots in {"203", "300"} else 203,
        now=clock.now(),
    )
    return HttpResponse(content, content_type="image/png")


@_in_english
def box_label(request: HttpRequest, day_id: int) -> HttpResponse:
    """Print the label of an outer box."""
    content = package_labels.box_label(
        day_id, numbers=_numbers(request), size=_size(request), now=clock.now()
    )
    return _pdf(content, f"box-{day_id}")


@_in_english
def printer_test(request: HttpRequest) -> HttpResponse:
    """Print a sheet that shows whether the printer keeps the label's size."""
    return _pdf(package_labels.printer_test(_size(request), now=clock.now()), "test-label")


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
