"""The binder's page: which period, what will be in it, what is missing, and the document."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.http import urlencode

from pinfeather.actions.binder import gather, work
from pinfeather.actions.binder.period import Period, period_from, this_year
from pinfeather.actions.day import days as day_actions
from pinfeather.errors import InputFaultsError
from pinfeather.reports.typeset import Paper


def _paper(request: HttpRequest) -> Paper:
    asked = request.POST.get("paper") or request.GET.get("paper")
    return "a4" if asked == "a4" else "us-letter"


def _sent(request: HttpRequest) -> dict[str, str]:
    """Return the two dates as written; the calendar year so far where nothing is."""
    usual = this_year(day_actions.farm_today()[1])
    sent = request.POST if request.method == "POST" else request.GET
    return {
        "from": sent.get("from", usual.first.isoformat()),
        "to": sent.get("to", usual.last.isoformat()),
    }


def _address(period: Period, paper: Paper, *, page: str = "binder") -> str:
    asked = {"from": period.first.isoformat(), "to": period.last.isoformat()}
    if paper != "us-letter":
        asked["paper"] = paper
    return f"{reverse(page)}?{urlencode(asked)}"


def binder(request: HttpRequest) -> HttpResponse:
    """Show what a period's binder holds and lacks; begin to make it, or stop."""
    typed, paper = _sent(request), _paper(request)
    try:
        period = period_from(typed["from"], typed["to"])
    except InputFaultsError as error:
        faults = {fault.name: fault.problem for fault in error.faults}
        context = {"typed": typed, "paper": paper, "faults": faults}
        return render(request, "pinfeather/binder.html", context, status=422)
    if request.method == "POST":
        if request.POST.get("do") == "cancel":
            work.cancel(period, paper)
        else:
            work.begin(period, paper)
        return redirect(_address(period, paper))
    return render(request, "pinfeather/binder.html", _context(period, paper, typed))


def _context(period: Period, paper: Paper, typed: dict[str, str]) -> dict[str, Any]:
    job = work.job(period, paper)
    context: dict[str, Any] = {
        "typed": typed,
        "paper": paper,
        "period": period,
        "job": job,
        "pdf": _address(period, paper, page="binder_pdf"),
        "progress": _address(period, paper, page="binder_progress"),
    }
    if job is None or not job.alive:
        context["preview"] = gather.preview(period)
    if job is not None and job.pdf:
        context["newer"] = work.newer_entries(job)
    return context


def progress(request: HttpRequest) -> HttpResponse:
    """Return the moving part of the page that waits; sends the page on when it is done."""
    typed, paper = _sent(request), _paper(request)
    try:
        period = period_from(typed["from"], typed["to"])
    except InputFaultsError:
        return redirect("binder")
    job = work.job(period, paper)
    if job is None or not job.alive:
        answer = HttpResponse(status=200)
        answer.headers["HX-Redirect"] = _address(period, paper)
        return answer
    context = {"job": job, "progress": _address(period, paper, page="binder_progress")}
    return render(request, "pinfeather/binder_progress.html", context)


def binder_pdf(request: HttpRequest) -> HttpResponse:
    """Give the binder; one that is not made yet is begun, and the page shows how far it is."""
    typed, paper = _sent(request), _paper(request)
    try:
        period = period_from(typed["from"], typed["to"])
    except InputFaultsError:
        return redirect("binder")
    job = work.job(period, paper)
    if job is None or not job.pdf:
        work.begin(period, paper)
        job = work.job(period, paper)
        if job is None or not job.pdf:
            return redirect(_address(period, paper))
    response = HttpResponse(job.pdf, content_type="application/pdf")
    name = f"binder-{period.first}-{period.last}.pdf"
    response.headers["Content-Disposition"] = f'inline; filename="{name}"'
    return response
