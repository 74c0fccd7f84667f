"""The demo farm's cleaning: its own words, a sheet for each day, one corrective action."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from typing import Any

from pinfeather.actions.day.days import DayView
from pinfeather.actions.sanitary.entries import DONE, NOT_RIGHT, write
from pinfeather.actions.sanitary.plan import plan
from pinfeather.hygiene.sanitary_plan import Step

_SETUP = {
    "chemical": "chlorine",
    "product": "8.25 %",
    "target": "100 ppm",
    "volume": "5 gal",
    "room": "66 F",
}
_CLEAN_EVERY = 3
_DIRTY = {"picker", "scalder", "scald water", "no manure"}
_FIX = {
    "note": "Two rubber fingers torn on the lower ring, scraps of skin behind them.",
    "put_right": "Plug pulled, both fingers changed, drum scrubbed and sprayed again.",
    "cause": "Fingers older than two seasons had gone hard. All of that ring were changed.",
    "control": "Looked behind every finger at 8:10, clean; ran it empty, nothing came off.",
    "recurrence": "Fingers are counted and bent at each set-up; spare ones hang at the picker.",
    "product": "No bird had been picked yet. The pieces were found and thrown out.",
    "unforeseen": "",
}


def make_plan(*, now: dt.datetime, on: dt.date) -> None:
    """Put the demo farm's own words into its plan, some weeks ago."""
    at = now - dt.timedelta(days=40)
    asked: tuple[tuple[str, Mapping[str, Any]], ...] = (
        ("setup", _SETUP),
        (
            "step",
            {
                "step": "waste",
                "how": "Offal and feathers weighed, then into the compost bay under a foot of"
                " shavings. Catch baskets emptied, floor dry.",
            },
        ),
        (
            "added",
            {
                "step": "own 1",
                "when": "before",
                "what": "Lamp over the drawing table has its cover",
                "how": "Switch it on; the cover is whole.",
                "who_does": "Tobias",
                "often": "Before the first bird",
            },
        ),
    )
    for number, (act, typed) in enumerate(asked):
        write(
            act,
            typed,
            on=on - dt.timedelta(days=40),
            who="Ines",
            client_id=f"demosanitaryplan{number}",
            now=at,
        )


def make_sheet(
    day: DayView, *, last: dt.datetime, now: dt.datetime, torn: bool = False, whole: bool = True
) -> None:
    """Fill in the sheet of a day: all of it, or what is done by now."""
    until = min(last, now)
    made = [*_before(day, torn=torn), *_during(day, until=until)]
    if whole:
        made += _after(last)
    midnight = day.start.replace(hour=0, minute=0, second=0, microsecond=0)
    made.sort(key=lambda row: row[0])
    wrong_id = ""
    for number, (at, act, typed, who) in enumerate(made):
        if at > now:
            continue
        said = {**typed, "of": wrong_id} if act == "fix" else typed
        ident = write(
            act,
            said,
            on=day.date,
            who=who,
            client_id=f"demosanitary{day.id}n{number}",
            now=max(at, midnight),
        )
        if typed.get("result") == NOT_RIGHT:
            wrong_id = ident


_Row = tuple[dt.datetime, str, dict[str, Any], str]


def _before(day: DayView, *, torn: bool) -> list[_Row]:
    made: list[_Row] = []
    for number, step in enumerate(_steps("before")):
        who = "Ines" if step.code in _DIRTY else "Tobias"
        at = day.start + dt.timedelta(minutes=2 * number - 38)
        made.append((at, "check", _check(step.code, step.what), who))
        if torn and step.code == "picker":
            wrong = _check(step.code, step.what, result=NOT_RIGHT)
            made.append((at - dt.timedelta(seconds=100), "check", wrong, "Ines"))
            fix = {**_FIX, "what": step.what}
            made.append((at - dt.timedelta(seconds=20), "fix", fix, "Ines"))
    at = day.start - dt.timedelta(minutes=29)
    return [
        *made,
        (at, "strip", _strip("100 ppm"), "Tobias"),
        (at, "room", {"room": "66 F"}, "Tobias"),
    ]


def _during(day: DayView, *, until: dt.datetime) -> list[_Row]:
    made: list[_Row] = []
    steps = [one for one in _steps("during") if one.code not in {"clean", "strip"}]
    for hour in range(1, 9):
        at = day.start + dt.timedelta(minutes=60 * hour - 8)
        if at > until:
            break
        for step in steps:
            who = "Ines" if step.code in _DIRTY else "Tobias"
            made.append((at, "check", _check(step.code, step.what), who))
        if hour % _CLEAN_EVERY == 0:
            made += [
                (at, "check", _check(step.code, step.what), "Mae")
                for step in _steps("during")
                if step.code == "clean"
            ]
        made.append((at, "strip", _strip("75 ppm" if hour % 2 else "100 ppm"), "Mae"))
    return made


def _after(last: dt.datetime) -> list[_Row]:
    made: list[_Row] = [
        (
            last + dt.timedelta(minutes=4 + 3 * number),
            "check",
            _check(step.code, step.what),
            "Mae",
        )
        for number, step in enumerate(_steps("after"))
    ]
    return [*made, (last + dt.timedelta(minutes=22), "sign", {}, "Ines")]


def _steps(when: str) -> list[Step]:
    return [one for one in plan().active if one.when == when]


def _check(code: str, what: str, *, result: str = DONE) -> dict[str, Any]:
    return {"step": code, "what": what, "result": result}


def _strip(written: str) -> dict[str, Any]:
    return {"strip": written, "chemical": "chlorine", "surface": "dipped"}
