"""Trace and recall: one thing in, everything it touched out."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.http import urlencode
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from pinfeather import clock
from pinfeather.actions import farm as farms
from pinfeather.actions.stock import book as stock_book
from pinfeather.actions.stock import documents as stock_documents
from pinfeather.actions.stock import recalls, tracing
from pinfeather.actions.stock.trace_names import Named
from pinfeather.errors import InputError, InputFaultsError, RecordNotFoundError
from pinfeather.packs.trace import Thing
from pinfeather.web.pages.freezer import faults_of
from pinfeather.web.pages.orders import pdf
from pinfeather.web.stock_words import WHERE
from pinfeather.web.who import pick, who

_SHOWN = 300


def trace(request: HttpRequest) -> HttpResponse:
    """Find a thing and show everything it came from and went into."""
    text = (request.POST.get("q") or request.GET.get("q", "")).strip()
    context: dict[str, Any] = {
        "q": text,
        "recalls": recalls.recalls()[:10],
        "people": farms.people(),
        "who": who(request),
        "where": WHERE,
        "now": clock.now(),
    }
    status, faults = 200, []
    if text:
        try:
            thing = tracing.thing_from(text)
            if request.method == "POST":
                return _acted(request, thing)
            context["found"] = tracing.trace(thing)
        except RecordNotFoundError as error:
            status, faults = 404, [("q", str(error))]
        except (InputError, InputFaultsError) as error:
            status = 422
            faults = [(fault.name, fault.problem) for fault in faults_of(error)]
            context["found"] = tracing.trace(thing)
    if "found" in context:
        found: tracing.Trace = context["found"]
        context |= {
            "back": _with_words(found.back),
            "forward": _with_words(found.forward),
            "shown": found.packages[:_SHOWN],
            "more": max(0, len(found.packages) - _SHOWN),
            "held": sum(bool(one.package.kept.held) for one in found.here),
            "running": next((one for one in context["recalls"] if one.ended is None), None),
        }
    else:
        context |= {
            "lots": farms.lots()[:12],
            "probes": farms.instruments("thermometer"),
        }
    context["faults"] = dict(faults)
    context["nothing_here"] = stock_book.nothing_packed()
    return render(request, "pinfeather/trace.html", context, status=status)


def _with_words(
    groups: Sequence[tuple[str, tuple[Named, ...]]],
) -> list[tuple[str, tuple[Named, ...]]]:
    return [(_(tracing.KIND_WORDS[kind]), things) for kind, things in groups]


def _acted(request: HttpRequest, thing: Thing) -> HttpResponse:
    """Hold, release, begin or end a practised recall."""
    sent = request.POST
    pick(request, sent.get("who") or who(request))
    do, name = sent.get("do", ""), who(request)
    if do in ("hold", "release"):
        found = tracing.trace(thing)
        act = tracing.hold if do == "hold" else tracing.release
        n = act(found, reason=sent.get("reason", ""), who=name)
        told = (
            ngettext("{n} package is on hold.", "{n} packages are on hold.", n)
            if do == "hold"
            else ngettext("{n} package is released.", "{n} packages are released.", n)
        )
        messages.success(request, told.format(n=n))
    elif do == "begin":
        recalls.begin_recall(thing, who=name)
        messages.success(request, _("The clock runs. Find every package, then stop it."))
    elif do == "end":
        recalls.end_recall(sent.get("recall", ""), who=name)
        messages.success(request, _("Stopped and written down."))
    response = redirect("trace")
    response.headers["Location"] += "?" + urlencode({"q": f"{thing.kind}:{thing.id}"})
    return response


def trace_pdf(request: HttpRequest) -> HttpResponse:
    """Print a trace."""
    found = tracing.trace(tracing.thing_from(request.GET.get("q", "")))
    return pdf(stock_documents.trace_pdf(found, now=clock.now()), "trace")
