"""Cleaning in words for papers: a filled sheet's lines, the set-up, a corrective action."""

from __future__ import annotations

import datetime as dt

from pinfeather import clock
from pinfeather.actions.farm import farm
from pinfeather.actions.sanitary.entries import Line
from pinfeather.actions.sanitary.plan import PlanView
from pinfeather.actions.sanitary.sheet import Sheet
from pinfeather.hygiene.corrective_action import parts
from pinfeather.hygiene.hazards import CLEANING
from pinfeather.hygiene.sanitary_plan import WHENS
from pinfeather.words import gettext as _
from pinfeather.words import gettext_noop

STATIONS = {
    "catch": gettext_noop("Catch and bring in"),
    "kill": gettext_noop("Kill and bleed"),
    "scald": gettext_noop("Scald"),
    "pick": gettext_noop("Pick"),
    "draw": gettext_noop("Draw"),
    "rinse": gettext_noop("Rinse and inspect"),
    "chill": gettext_noop("Chill"),
    "bag": gettext_noop("Drain and bag"),
    "weigh": gettext_noop("Weigh and label"),
    "store": gettext_noop("Store and hand over"),
    CLEANING: gettext_noop("Cleaning"),
}
STATE_WORDS = {
    "open": gettext_noop("no entry"),
    "done": gettext_noop("done"),
    "not right": gettext_noop("not right"),
    "put right": gettext_noop("put right"),
}


def station_words(code: str) -> str:
    """Return a step of the line in words."""
    return _(STATIONS.get(code, code))


def sourced(citation: str, status: str) -> str:
    """Return a source with how it is known."""
    return f"{citation} ({_(status)})" if citation and status else citation


def setup_words(view: PlanView) -> tuple[tuple[str, str], ...]:
    """Return the shop's water, sanitiser and room, each with its name."""
    setup = view.setup
    product = (
        _("{name}, {strength} on its label").format(name=view.chemical, strength=setup.product)
        if setup.product
        else _("{name}, measured as its label says").format(name=view.chemical)
    )
    rows = [
        (_("Water"), _("Town water") if view.shop.water == "town" else _("Own well")),
        (_("Sanitiser"), product),
        *view.strengths,
    ]
    if setup.room:
        rows.append((_("Room while working"), setup.room))
    return tuple(rows)


def sheet_words(found: Sheet) -> tuple[tuple[str, str, str, str, str, str], ...]:
    """Return a filled sheet line by line: when, what, result, note, who, at."""
    zone = clock.zone(farm().zone)
    made = []
    for row in found.rows:
        when = _(WHENS[row.step.when])
        if not row.marks and not row.read:
            made.append((when, row.step.what, _(STATE_WORDS["open"]), "", "", ""))
        for mark in row.marks:
            result = _(STATE_WORDS["not right"]) if mark.wrong else _(STATE_WORDS["done"])
            note = mark.line.text("note")
            if mark.fix is not None:
                result = _("not right; put right")
                note = "; ".join(filter(None, (mark.fix.text("note"), mark.fix.text("put_right"))))
            made.append((when, row.step.what, result, note, mark.line.who, _time(mark.line, zone)))
    for strip in found.strips:
        surface = _("for fixed equipment") if strip.surface == "fixed" else _("for dipping")
        made.append(
            (
                _("Strip"),
                _("Sanitiser strip, {surface}").format(surface=surface),
                strip.written,
                strip.line.text("note") if strip.line else _("written at the line"),
                strip.who,
                f"{strip.at.astimezone(zone):%H:%M}",
            )
        )
    made += [
        (_("Room"), _("Room temperature"), one.text("written"), "", one.who, _time(one, zone))
        for one in found.rooms
    ]
    return tuple(made)


def fix_words(one: Line) -> tuple[tuple[str, str], ...]:
    """Return a corrective action: what was wrong, what was put right, then its parts."""
    first = [
        (_("What was not right"), one.text("note")),
        (_("Put right at once"), one.text("put_right")),
    ]
    rest = [(part.ask, one.text(part.code)) for part in parts()]
    return tuple((ask, words) for ask, words in (*first, *rest) if words)


def _time(one: Line, zone: dt.tzinfo) -> str:
    return f"{one.at.astimezone(zone):%H:%M}"
