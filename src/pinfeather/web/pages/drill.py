"""The recall drill: one lot, the clock, what to find by hand, and what came of it."""

from __future__ import annotations

import random
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _

from pinfeather import clock
from pinfeather.actions import farm as farms
from pinfeather.actions.stock import drill as drills
from pinfeather.errors import InputError, InputFaultsError, RecordConflictError, RecordNotFoundError
from pinfeather.packs.drill import GOOD_HOURS
from pinfeather.web.stock_words import WHERE
from pinfeather.web.who import pick, who

_MOST_LOTS = 60


def drill(request: HttpRequest) -> HttpResponse:
    """Suggest a lot, start the clock, show what to find, stop it and write it down."""
    home = farms.farm()
    typed: dict[str, str] = {}
    faults: dict[str, str] = {}
    status = 200
    if request.method == "POST":
        typed = {name: str(value) for name, value in request.POST.items()}
        pick(request, typed.get("who") or who(request))
        try:
            if typed.get("do") == "begin":
                drills.begin(typed.get("lot", ""), who=who(request), now=clock.now())
            else:
                drills.end(typed.get("drill", ""), typed, who=who(request), now=clock.now())
                messages.success(request, _("Stopped and written down."))
        except (InputError, InputFaultsError) as error:
            found = error.faults if isinstance(error, InputFaultsError) else (error,)
            faults, status = {fault.name: fault.problem for fault in found}, 422
        except (RecordConflictError, RecordNotFoundError) as error:
            faults, status = {"lot": str(error)}, 409
        else:
            return redirect("drill")
    running = drills.running_drill()
    context: dict[str, Any] = {
        "typed": typed,
        "faults": faults,
        "people": farms.people(),
        "who": who(request),
        "where": WHERE,
        "running": running,
        "done": [one for one in drills.drills() if one.ended is not None][:20],
        "hours": GOOD_HOURS,
    }
    if running is not None:
        context |= {
            "subject": drills.subject(running.code),
            "others": typed.get("others", drills.last_others()),
        }
    else:
        today = clock.today(home.zone)
        lots = drills.codes(today=today)
        drawn = drills.suggested(today=today, rng=random.SystemRandom())
        context |= {"lots": lots[:_MOST_LOTS], "lot": typed.get("lot", drawn), "drawn": drawn}
    return render(request, "pinfeather/drill.html", context, status=status)
