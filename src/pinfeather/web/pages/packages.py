"""One package with its label, and the labels that wait to be printed."""

from __future__ import annotations

from urllib.parse import urlencode

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _

from pinfeather.actions.day import days as day_actions
from pinfeather.actions.day import running
from pinfeather.actions.desk import labels as package_labels
from pinfeather.actions.desk import packing
from pinfeather.actions.desk import setup as desk_setup
from pinfeather.errors import InputError
from pinfeather.reports.labels import LabelSize
from pinfeather.web.who import who


def package(request: HttpRequest, day_id: int, number: int) -> HttpResponse:
    """Show a package and its label; print it again, weigh it again, or take it back."""
    day = day_actions.day(day_id)
    found = next((p for p in running.day_progress(day_id).packages if p.number == number), None)
    if found is None:
        raise Http404
    if request.method == "POST":
        if request.POST.get("act") == "print":
            return _print(request, day_id, [number])
        try:
            packing.take_back(day_id, found.id, request.POST.get("reason", ""), who=who(request))
        except InputError as fault:
            messages.error(request, fault.problem)
            return redirect("desk_package", day_id=day_id, number=number)
        messages.success(request, _("Taken back. It stays on the record."))
        return redirect("desk", day_id=day_id)
    size = _size(request)
    return render(
        request,
        "pinfeather/desk_package.html",
        {
            "day": day,
            "package": found,
            "lot_code": packing.lot_code(day, found),
            "findings": package_labels.label_findings(day, found, size=size),
            "size": size or desk_setup.settings().size,
            "sizes": package_labels.LABEL_SIZES,
            "dots": desk_setup.DOTS,
            "waiting": number in package_labels.waiting(day_id),
        },
    )


def labels_page(request: HttpRequest, day_id: int) -> HttpResponse:
    """Show which labels wait, print them, and make the label of an outer box."""
    day = day_actions.day(day_id)
    waiting = package_labels.waiting(day_id)
    if request.method == "POST":
        if request.POST.get("act") == "box":
            numbers = _range(request.POST.get("numbers", ""))
            return redirect(_with_numbers("box_label", day_id, numbers))
        return _print(request, day_id, list(waiting))
    packages = running.day_progress(day_id).packages
    stopped = [
        (one, [f for f in package_labels.label_findings(day, one) if f.severity.code == "stop"])
        for one in packages
        if one.number in waiting
    ]
    return render(
        request,
        "pinfeather/labels.html",
        {
            "day": day,
            "waiting": waiting,
            "preview": _with_numbers("labels", day_id, list(waiting)),
            "stopped": [(one, found) for one, found in stopped if found],
            "packages": sorted(packages, key=lambda p: p.number),
            "sizes": package_labels.LABEL_SIZES,
            "settings": desk_setup.settings(),
        },
    )


def _print(request: HttpRequest, day_id: int, numbers: list[int]) -> HttpResponse:
    """Note that labels go to the printer, and give the file."""
    if not numbers:
        return redirect("labels_page", day_id=day_id)
    if day_actions.day(day_id).status != "closed":
        package_labels.mark_printed(day_id, numbers, who=who(request))
    return redirect(_with_numbers("labels", day_id, numbers))


def _with_numbers(name: str, day_id: int, numbers: list[int]) -> str:
    return f"{reverse(name, args=[day_id])}?{urlencode([('number', n) for n in numbers])}"


def _size(request: HttpRequest) -> LabelSize | None:
    asked = request.GET.get("size", "")
    return next((one for one in package_labels.LABEL_SIZES if one == asked), None)


def _range(text: str) -> list[int]:
    """Read numbers such as 1-6, 9."""
    found: list[int] = []
    for part in text.replace(",", " ").split():
        low, _dash, high = part.replace("–", "-").partition("-")
        if low.isdecimal() and (high or low).isdecimal() and len(low + high) < 10:  # noqa: PLR2004 - two numbers a person types
            found += range(int(low), min(int(high or low), int(low) + 500) + 1)
    return found
