"""Bringing in a list: choose it, look at what it says, bring it in, take it back."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.http import urlencode
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from pinfeather import clock
from pinfeather.actions.day import days as day_actions
from pinfeather.actions.lists import bringing
from pinfeather.actions.lists.kinds import KINDS
from pinfeather.actions.lists.table import MOST_BYTES
from pinfeather.errors import InputError, InputFaultsError
from pinfeather.flock.weight_list import UNIT_CHOICES
from pinfeather.web.who import who
from pinfeather.web.words import SPECIES, Choices

_SHOWN_ROWS = 12
_SHOWN_FAULTS = 60
_SHOWN_LINES = 400
_ORDERS: Choices = [
    ("mdy", gettext_lazy("month first")),
    ("dmy", gettext_lazy("day first")),
    ("ymd", gettext_lazy("year first")),
]
_POINTS: Choices = [(".", gettext_lazy("point, 4.6")), (",", gettext_lazy("comma, 4,6"))]
_HOW = ("order", "point", "unit", "species")


def lists(request: HttpRequest) -> HttpResponseBase:
    """Choose a list; see those brought in."""
    kind = request.POST.get("kind") or request.GET.get("kind", "")
    pasted = request.POST.get("pasted", "")
    fault = ""
    if request.method == "POST":
        try:
            return _send(request, kind, pasted)
        except InputError as error:
            fault = error.problem
    return render(
        request,
        "pinfeather/lists.html",
        {
            "kinds": KINDS.values(),
            "kind": kind,
            "pasted": pasted,
            "fault": fault,
            "brought": [(KINDS[one.kind], one) for one in bringing.listed()],
        },
        status=422 if fault else 200,
    )


def _send(request: HttpRequest, kind: str, pasted: str) -> HttpResponse:
    """Hold what was sent, and go on to look at it."""
    if kind not in KINDS:
        raise InputError("kind", kind, _("Choose what kind of list it is."))
    sent = request.FILES.get("file")
    if sent is None and not pasted.strip():
        too_long = int(request.headers.get("Content-Length") or 0) > MOST_BYTES
        sentence = (
            _("It is larger than 5 MB. Bring in a part at a time.")
            if too_long
            else _("Choose the file, or paste the rows.")
        )
        raise InputError("file", None, sentence)
    if sent is not None and sent.size and sent.size > MOST_BYTES:
        raise InputError("file", None, _("It is larger than 5 MB. Bring in a part at a time."))
    if sent is not None:
        token = bringing.hold(sent.name or "", sent.read())
    else:
        token = bringing.hold(_("pasted rows"), pasted.encode())
    return redirect(f"{reverse('list_look')}?{urlencode({'list': token, 'kind': kind})}")


def look(request: HttpRequest) -> HttpResponse:
    """Show how a list would be read; bring it in when somebody says so."""
    sent = request.POST if request.method == "POST" else request.GET
    token, kind = sent.get("list", ""), sent.get("kind", "")
    answers = {
        name: value
        for name, value in request.POST.items()
        if isinstance(value, str) and (name in _HOW or name.startswith("column_"))
    }
    _home, today = day_actions.farm_today()
    try:
        if request.POST.get("act") == "bring":
            list_id = bringing.bring_in(
                token, kind, answers, who=who(request), today=today, now=clock.now()
            )
            messages.success(request, _("Brought in. Wrong after all? One tap takes it back."))
            return redirect("list_brought", list_id=list_id)
    except InputFaultsError:
        pass  # the rows have changed meanwhile, or the records; both are shown again
    except InputError as error:
        return _gone(request, error, kind)
    try:
        seen = bringing.preview(token, kind, answers or None, today=today)
    except InputError as error:
        return _gone(request, error, kind)
    return _show(request, seen, token=token)


def _gone(request: HttpRequest, error: InputError, kind: str) -> HttpResponse:
    context = {
        "kinds": KINDS.values(),
        "kind": kind,
        "fault": error.problem,
        "brought": [(KINDS[one.kind], one) for one in bringing.listed()],
    }
    return render(request, "pinfeather/lists.html", context, status=422)


def _show(request: HttpRequest, seen: bringing.Preview, *, token: str) -> HttpResponse:
    kind = KINDS[seen.kind]
    how = seen.how
    faults = seen.read.faults
    asks: list[tuple[str, str, Choices, str]] = [
        ("order", _("Dates are"), _ORDERS, how.order),
        ("point", _("Decimal sign"), _POINTS, how.point),
    ]
    if kind.weighs:
        asks.append(("unit", _("Weights are in"), [(one, one) for one in UNIT_CHOICES], how.unit))
    if kind.species:
        asks.append(("species", _("Where no kind stands"), SPECIES, how.species))
    return render(
        request,
        "pinfeather/list_look.html",
        {
            "kind": kind,
            "token": token,
            "seen": seen,
            "rows": seen.read.planned[:_SHOWN_ROWS],
            "more": max(len(seen.read.planned) - _SHOWN_ROWS, 0),
            "faults": faults[:_SHOWN_FAULTS],
            "bad_rows": len({fault.row for fault in faults if fault.row}),
            "more_faults": max(len(faults) - _SHOWN_FAULTS, 0),
            "columns": [(one, how.columns.get(one.name, "")) for one in kind.columns],
            "unused": [n for n in seen.table.names if n not in how.columns.values()],
            "asks": asks,
            "typed": {
                **{f"column_{name}": heading for name, heading in how.columns.items()},
                **{name: value for name, _label, _options, value in asks},
            },
        },
        status=422 if faults and request.method == "POST" else 200,
    )


def brought(request: HttpRequest, list_id: str) -> HttpResponse:
    """Show everything that came from a list; take it back in one tap."""
    one = bringing.one_list(list_id)
    if request.method == "POST":
        bringing.take_back(list_id, who=who(request), now=clock.now())
        messages.success(request, _("Taken back. Nothing of it counts any more."))
        return redirect("lists")
    lines = bringing.lines_of(list_id)
    return render(
        request,
        "pinfeather/list_brought.html",
        {
            "one": one,
            "kind": KINDS[one.kind],
            "lines": lines[:_SHOWN_LINES],
            "more": max(len(lines) - _SHOWN_LINES, 0),
        },
    )
