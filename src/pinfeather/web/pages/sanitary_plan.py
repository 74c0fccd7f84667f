"""The cleaning plan: look at it, put it into the farm's own words."""

from __future__ import annotations

import uuid
from collections.abc import Callable
from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _

from pinfeather.actions import farm as farms
from pinfeather.actions.sanitary import plan as plans
from pinfeather.actions.sanitary.wording import setup_words
from pinfeather.errors import InputFaultsError, RecordNotFoundError
from pinfeather.hygiene.corrective_action import yardstick_words
from pinfeather.hygiene.sanitary_plan import WHENS, Step
from pinfeather.web.who import pick, who


def plan(request: HttpRequest) -> HttpResponse:
    """Show the plan as it stands."""
    view = plans.plan()
    return render(
        request,
        "pinfeather/sanitary_plan.html",
        {
            "plan": view,
            "setup": setup_words(view),
            "groups": [
                (_(words), _once([s for s in view.active if s.when == when]))
                for when, words in WHENS.items()
            ],
            "left_out": [s for s in view.steps if s.left_out],
            "yardstick": yardstick_words(),
        },
    )


def _once(steps: list[Step]) -> list[tuple[Step, str]]:
    """Pair each step with its caution, each caution once in a part."""
    said: set[str] = set()
    made = []
    for one in steps:
        made.append((one, "" if one.caution in said else one.caution))
        said.add(one.caution)
    return made


def _save(
    request: HttpRequest, typed: dict[str, Any], do: Callable[[dict[str, Any], str], None]
) -> dict[str, str]:
    """Do it for whoever is at this screen; return the faults."""
    name = typed.get("who") or who(request)
    pick(request, name)
    try:
        do(typed, name)
    except InputFaultsError as error:
        return {fault.name: fault.problem for fault in error.faults}
    messages.success(request, _("The plan is changed from today on."))
    return {}


def set_up(request: HttpRequest) -> HttpResponse:
    """Write which sanitiser is used and how warm the room is."""
    view = plans.plan()
    setup = view.setup
    typed: dict[str, Any] = {
        name: getattr(setup, name) for name in ("chemical", "product", "target", "volume", "room")
    }
    faults: dict[str, str] = {}
    if request.method == "POST":
        typed = request.POST.dict()
        faults = _save(request, typed, lambda said, name: plans.change_setup(said, who=name))
        if not faults:
            return redirect("sanitary_plan")
    return render(
        request,
        "pinfeather/sanitary_setup.html",
        {
            "plan": view,
            "chemicals": list(view.profile.sanitation.sanitisers.values()),
            "typed": typed,
            "faults": faults,
            "people": farms.people(),
            "who": who(request),
        },
        status=422 if faults else 200,
    )


def step(request: HttpRequest, code: str) -> HttpResponse:
    """Put a step into the farm's own words, or leave it out with a reason."""
    try:
        found = plans.step(code)
    except RecordNotFoundError as error:
        raise Http404(str(error)) from error
    typed: dict[str, Any] = {
        "what": found.what,
        "how": found.how,
        "who_does": found.who,
        "often": found.often,
        "left_out": found.left_out,
        "leave": "on" if found.left_out else "",
    }
    faults: dict[str, str] = {}
    if request.method == "POST":
        typed = request.POST.dict()
        faults = _save(
            request,
            typed,
            lambda said, name: plans.change_step(
                code, said, who=name, client_id=said.get("id", "")
            ),
        )
        if not faults:
            return redirect("sanitary_plan")
    return _step_form(request, typed, faults=faults, found=found)


def new_step(request: HttpRequest) -> HttpResponse:
    """Add a step of the farm's own."""
    typed: dict[str, Any] = {"when": request.GET.get("when", "before")}
    faults: dict[str, str] = {}
    if request.method == "POST":
        typed = request.POST.dict()
        faults = _save(
            request,
            typed,
            lambda said, name: plans.add_step(said, who=name, client_id=said.get("id", "")),
        )
        if not faults:
            return redirect("sanitary_plan")
    return _step_form(request, typed, faults=faults, found=None)


def _step_form(
    request: HttpRequest, typed: dict[str, Any], *, faults: dict[str, str], found: object
) -> HttpResponse:
    return render(
        request,
        "pinfeather/sanitary_step.html",
        {
            "step": found,
            "typed": typed,
            "faults": faults,
            "whens": [(when, _(words)) for when, words in WHENS.items()],
            "fields": (
                ("what", _("The step"), _("What is looked at, as a fact: it is clean."), False),
                ("how", _("How"), _("So that somebody new can do it."), True),
                ("who_does", _("Who"), "", False),
                ("often", _("How often"), "", False),
            ),
            "id": uuid.uuid4().hex,
            "people": farms.people(),
            "who": who(request),
        },
        status=422 if faults else 200,
    )
