"""The farm's own chill numbers: the handbook, what was probed, and what that makes of it."""

from __future__ import annotations

import datetime as dt
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext as _

from pinfeather.actions.day.chill_numbers import own_chill_numbers
from pinfeather.actions.day.days import farm_today
from pinfeather.day.chill_learning import FEWEST_BIRDS, OwnNumbers, ProbedBird
from pinfeather.estimate import Estimate
from pinfeather.quantity import show
from pinfeather.web.words import BUILDS


def own_numbers(request: HttpRequest) -> HttpResponse:
    """Show prior, data and result for each kind of bird and tank."""
    home, today = farm_today()
    metric = home.units == "metric"
    found = own_chill_numbers(before=today + dt.timedelta(days=1))
    groups = sorted(found.groups.values(), key=lambda one: -one.learned.birds)
    return render(
        request,
        "pinfeather/own_numbers.html",
        {"groups": [_group(one, metric=metric) for one in groups], "fewest": FEWEST_BIRDS},
    )


def _group(one: OwnNumbers, *, metric: bool) -> dict[str, Any]:
    build, bath = one.group
    kind = dict(BUILDS)[build]
    tank = _("stirred tank") if bath == "stirred" else _("still tank")
    learned = one.learned
    return {
        "title": _("{kind}, {tank}").format(kind=kind, tank=tank),
        "usable": one.usable,
        "birds": learned.birds,
        "readings": learned.readings,
        "days": one.days,
        "note": learned.thickness_of_1_kg_m.basis.note,
        "scatter": show(learned.scatter_K, "C" if metric else "F", "temperature difference"),
        "rows": [
            {
                "name": _("Breast of a 1 kg bird"),
                "prior": _millimetres(one.prior_thickness_m),
                "own": _millimetres(learned.thickness_of_1_kg_m),
                "narrower": _percent(learned.narrower_frac),
                "source": one.prior_thickness_m.basis,
            },
            {
                "name": _("Heat through the skin into the water"),
                "prior": _coefficient(one.prior_surface_W_per_m2K),
                "own": _coefficient(learned.surface_W_per_m2K),
                "narrower": _percent(one.surface_narrower_frac),
                "source": one.prior_surface_W_per_m2K.basis,
            },
        ],
        "probed": [_bird(bird, metric=metric) for bird in one.birds],
    }


def _bird(bird: ProbedBird, *, metric: bool) -> dict[str, Any]:
    temp, mass = ("C", "kg") if metric else ("F", "lb")
    probed = bird.probed
    return {
        "date": bird.date,
        "tank": bird.tank,
        "mass": show(probed.mass_kg, mass, "mass"),
        "water": show(probed.bath_degC, temp, "temperature", decimals=1),
        "readings": ", ".join(
            _("{temp} after {m} min").format(
                temp=show(float(value), temp, "temperature", decimals=1), m=round(at_s / 60)
            )
            for at_s, value in zip(probed.times_s.tolist(), probed.degC.tolist(), strict=True)
        ),
    }


def _millimetres(one: Estimate) -> dict[str, str]:
    low, value, high = (f"{x * 1000:.1f}" for x in (one.low, one.value, one.high))
    return {"value": f"{value}\u202fmm", "band": f"{low}–{high}"}


def _coefficient(one: Estimate) -> dict[str, str]:
    low, value, high = (f"{x:.0f}" for x in (one.low, one.value, one.high))
    return {"value": f"{value}\u202fW/m²K", "band": f"{low}–{high}"}


def _percent(share: float) -> str:
    return _("{n} %").format(n=round(100 * share))
