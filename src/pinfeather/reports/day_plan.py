"""The day plan on paper: what to do when, and why the plan says so."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from pinfeather.finding import Finding, by_severity
from pinfeather.reports.sheet_parts import STRIP_PX, Answer, head, said
from pinfeather.reports.strip import Strip, strip_sentence
from pinfeather.reports.strip_svg import strip_svg
from pinfeather.reports.typeset import Paper, typeset
from pinfeather.reports.when import Clock, clock_text
from pinfeather.words import gettext as _


@dataclass(frozen=True, slots=True)
class Todo:
    """One thing to do at a clock time.

    Parameters
    ----------
    at : datetime
        When, in the farm's zone.
    what : str
        What to do.
    who : str
        Who does it; may be empty.
    detail : str
        How, or how to tell that it is done; may be empty.
    """

    at: dt.datetime
    what: str
    who: str = ""
    detail: str = ""


@dataclass(frozen=True, slots=True)
class PersonCard:
    """One person's part of the day.

    Parameters
    ----------
    name : str
        Whose.
    station : str
        Where the person stands.
    tasks : tuple of str
        What falls to them.
    """

    name: str
    station: str
    tasks: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Supply:
    """Something to have ready.

    Parameters
    ----------
    what : str
        The thing.
    amount : str
        With its unit.
    note : str
        What for, or how much is spare.
    """

    what: str
    amount: str
    note: str = ""


@dataclass(frozen=True, slots=True)
class StationRow:
    """One station of the timetable, as text.

    Parameters
    ----------
    station, people : str
        Which, and who.
    per_bird : str
        Time for one bird.
    busy : str
        Share of the time it works.
    waiting : str
        Most birds waiting before it.
    first, last : str
        Clock times of the first and the last bird.
    """

    station: str
    people: str
    per_bird: str
    busy: str
    waiting: str
    first: str
    last: str


@dataclass(frozen=True, slots=True)
class NumberRow:
    """A planning number with where it comes from.

    Parameters
    ----------
    label : str
        What it is.
    value : str
        The number with its unit.
    band : str
        The band it is thought to lie in.
    basis : str
        Where it comes from.
    status : str
        How it is known; may be empty.
    """

    label: str
    value: str
    band: str
    basis: str
    status: str = ""


@dataclass(frozen=True, slots=True)
class DayPlanSheet:
    """Everything a printed day plan says.

    Parameters
    ----------
    farm, title, subtitle : str
        Whose plan; date, birds and people; flock and start.
    answers : tuple of Answer
        Done by, its band, ice, cones, cold by.
    findings : tuple of Finding
        Printed with the worst first.
    strip : Strip or None
        The planned day.
    todos : tuple of Todo
        Printed in order of time.
    people : tuple of PersonCard
        A card each.
    supplies : tuple of Supply
        What to have ready.
    stations : tuple of StationRow
        The timetable.
    numbers : tuple of NumberRow
        What the plan was computed from.
    cautions : tuple of str
        Where the work can hurt somebody.
    demo : bool
        Whether the birds are pretended.
    """

    farm: str
    title: str
    subtitle: str = ""
    answers: tuple[Answer, ...] = ()
    findings: tuple[Finding, ...] = ()
    strip: Strip | None = None
    todos: tuple[Todo, ...] = ()
    people: tuple[PersonCard, ...] = ()
    supplies: tuple[Supply, ...] = ()
    stations: tuple[StationRow, ...] = ()
    numbers: tuple[NumberRow, ...] = ()
    cautions: tuple[str, ...] = ()
    demo: bool = False


def day_plan_pdf(
    plan: DayPlanSheet, *, printed_at: dt.datetime, paper: Paper = "us-letter", clock: Clock = "12h"
) -> bytes:
    """Set the day plan for printing.

    Parameters
    ----------
    plan : DayPlanSheet
        What it says.
    printed_at : datetime
        The moment of printing, in the farm's zone.
    paper : {"us-letter", "a4"}
        Paper size.
    clock : {"12h", "24h"}
        Which clock the farm reads.

    Returns
    -------
    bytes
        The PDF, usually two or three pages; the same plan gives the same bytes.

    Raises
    ------
    InputError
        If the paper is unknown or the moment has no zone.

    References
    ----------
    Derivation: choice; the answer first, the reason under it.
    """
    data = {
        **head(
            farm=plan.farm,
            title=plan.title,
            subtitle=plan.subtitle,
            kind=_("Day plan"),
            paper=paper,
            demo=plan.demo,
            printed_at=printed_at,
            clock=clock,
        ),
        "answers": plan.answers,
        "findings": [said(finding) for finding in by_severity(plan.findings)],
        "strip_words": "" if plan.strip is None else strip_sentence(plan.strip),
        "todos": [
            {
                "at": clock_text(todo.at, clock=clock),
                "what": todo.what,
                "who": todo.who,
                "detail": todo.detail,
            }
            for todo in sorted(plan.todos, key=lambda todo: todo.at)
        ],
        "people": plan.people,
        "supplies": plan.supplies,
        "stations": plan.stations,
        "numbers": plan.numbers,
        "cautions": plan.cautions,
        "words": {
            "strip": _("The strip"),
            "cautions": _("Take care"),
            "todos": _("What to do when"),
            "people": _("Who does what"),
            "supplies": _("Have ready"),
            "what": _("What"),
            "amount": _("How much"),
            "note": _("For"),
            "stations": _("The stations"),
            "station": _("Station"),
            "who": _("Who"),
            "per_bird": _("For one bird"),
            "busy": _("Busy"),
            "waiting": _("Most waiting"),
            "first": _("First bird"),
            "last": _("Last bird"),
            "numbers": _("What the plan was computed from"),
            "number": _("Number"),
            "value": _("Taken as"),
            "band": _("Likely between"),
            "basis": _("Where it comes from"),
        },
    }
    pictures = {}
    if plan.strip is not None:
        pictures["strip.svg"] = strip_svg(plan.strip, palette="print", width=STRIP_PX, clock=clock)
    return typeset("day_plan", data, printed_at=printed_at, pictures=pictures)
