"""Watching the records: what breaks the exemption this year, each with the rule it breaks."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace

from pinfeather.actions.day import days
from pinfeather.actions.farm import FarmView
from pinfeather.actions.rules import tier_form
from pinfeather.errors import InputError
from pinfeather.finding import Finding, Severity
from pinfeather.records import models
from pinfeather.rules.count import headroom
from pinfeather.rules.profile import load
from pinfeather.rules.watch import facts_findings
from pinfeather.words import gettext as _


def now_findings(home: FarmView, today: dt.date) -> tuple[Finding, ...]:
    """Return what stands against the farm's exemption today: the count, and the facts answered.

    The facts are those of the last interview of this calendar year, with the birds and the sales
    the records have by themselves.
    """
    counted = days.counted_before(today)
    try:
        profile = load(home.profile)
        room = headroom(profile, home.tier, counted=counted, planned={})
    except InputError as fault:
        return (
            Finding(
                code="tier.closed", severity=Severity.STOP, sentence=fault.problem, where="tier"
            ),
        )
    before = tier_form.last()
    facts = tier_form.facts_from({})
    if before is not None and before.at.year == today.year:
        facts = before.facts
    out = facts.leaves_state or bool(_sales(today).filter(payload__leaves_state=True).exists())
    facts = replace(facts, year_birds={}, leaves_state=out)
    return (*room.findings, *facts_findings(profile, home.tier, facts))


def sale_findings(today: dt.date) -> tuple[Finding, ...]:
    """Return this year's sales that were made against the rules, each with its reason."""
    return tuple(
        Finding(
            code=str(stop["code"]),
            severity=Severity.STOP,
            sentence=_("Sale {n}: {what}").format(n=row.payload["number"], what=stop["sentence"]),
            reason=str(row.payload.get("reason", "")),
            where=row.client_id,
            citation=str(stop.get("citation", "")),
            status=str(stop.get("status", "")),
        )
        for row in _sales(today).exclude(payload__stops=[]).order_by("-seq")[:100]
        for stop in row.payload.get("stops", [])
    )


def _sales(today: dt.date):  # type: ignore[no-untyped-def]  # noqa: ANN202 - a query of Django's
    return models.Entry.objects.filter(kind="sale", device_time__year=today.year)
