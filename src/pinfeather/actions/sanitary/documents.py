"""Cleaning on paper: the procedures, a sheet blank or filled, hazards, corrective actions."""

from __future__ import annotations

import datetime as dt

from pinfeather import clock
from pinfeather.actions.farm import farm
from pinfeather.actions.sanitary.entries import Line, line
from pinfeather.actions.sanitary.plan import plan
from pinfeather.actions.sanitary.sheet import sheet
from pinfeather.actions.sanitary.wording import (
    fix_words,
    setup_words,
    sheet_words,
    sourced,
    station_words,
)
from pinfeather.errors import RecordNotFoundError
from pinfeather.hygiene.corrective_action import parts, yardstick_words
from pinfeather.hygiene.sanitary_plan import CAUTIONS, WHENS, Step
from pinfeather.reports.sanitary import (
    BoxPart,
    CautionPart,
    Part,
    SanitaryPaper,
    TablePart,
    TextPart,
    sanitary_pdf,
)
from pinfeather.reports.table_sheet import TICK
from pinfeather.words import date_text
from pinfeather.words import gettext as _

_STRIPS_ON_PAPER = 6


def procedures_pdf(*, now: dt.datetime) -> bytes:
    """Print the written procedures, to be signed when they start and when they change."""
    view = plan()
    made: list[Part] = [
        TablePart(_("The shop"), (_("What"), _("How it is")), setup_words(view), ("1", "3"), bold=0)
    ]
    for when, words in WHENS.items():
        steps = tuple(step for step in view.active if step.when == when)
        made.append(
            TablePart(
                _(words),
                (_("Step"), _("How"), _("Who"), _("How often")),
                tuple((s.what, _how(s), s.who, s.often) for s in steps),
                ("3", "6", "2", "2"),
                bold=0,
            )
        )
        if cautions := tuple(dict.fromkeys(s.caution for s in steps if s.caution)):
            made.append(CautionPart(cautions))
    made.append(
        TablePart(
            _("How often surfaces in use are cleaned"),
            (_("Room"), _("At least every")),
            tuple((one.room, one.every) for one in view.intervals),
            ("3", "2"),
            note=_("{source}. The longer times hold only where the room's warmth is written"
                   " down.").format(
                source=sourced(view.intervals[0].citation, view.intervals[0].status)),
        )
    )  # fmt: skip
    if left := tuple((s.what, s.left_out) for s in view.steps if s.left_out):
        made.append(
            TablePart(_("Not done here"), (_("Step"), _("Why not")), left, ("1", "1"), bold=0)
        )
    strong = ", ".join(dict.fromkeys(s.citation for s in view.active if s.citation))
    made.append(TextPart(_("Duties these steps serve: {list}.").format(list=strong)))
    return _print(
        SanitaryPaper(
            farm().name,
            _("Cleaning procedures"),
            _("as they stand on {date}").format(date=date_text(_here(now))),
            _("Cleaning"),
            tuple(made),
            lead=yardstick_words(),
            findings=view.findings,
            signatures=(_("Signed, owner or whoever answers for the plant"), _("Date")),
            demo=farm().demo,
        ),
        now=now,
    )


def blank_sheet_pdf(*, now: dt.datetime) -> bytes:
    """Print the daily sheet to fill in by hand."""
    view = plan()
    made: list[Part] = []
    for when, words in WHENS.items():
        rows = tuple((step.what, TICK, TICK, "", "") for step in view.active if step.when == when)
        made.append(
            TablePart(
                _(words),
                (_("Check"), _("Done"), _("Not right"), _("Note, and what was put right"),
                 _("Who, when")),
                rows,
                ("5", "auto", "auto", "5", "2"),
                bold=0,
                tall=True,
            )
        )  # fmt: skip
    bands = [f"{words}: {text}." for words, text in view.strengths]
    made.append(
        TablePart(
            _("Strips and room"),
            (_("Time"), _("Strip reads"), _("Room"), _("Cleaned and sanitised"), _("Who")),
            tuple((" ", "", "", "", "") for _n in range(_STRIPS_ON_PAPER)),
            ("1", "2", "2", "3", "2"),
            bold=0,
            tall=True,
            note="\n".join(
                (
                    *dict.fromkeys(bands),
                    _("Clean at least every: {table}.").format(
                        table="; ".join(f"{one.room} {one.every}" for one in view.intervals)
                    ),
                )
            ),
        )
    )
    made.append(CautionPart(tuple(_(words) for words in CAUTIONS.values())))
    return _print(
        SanitaryPaper(
            farm().name,
            _("Cleaning sheet"),
            _("Date: ____________________"),
            _("Cleaning"),
            tuple(made),
            lead=_("Tick when it is done, not before. Not right: write it, put it right, and fill"
                   " in a corrective action."),
            signatures=(_("Signed"), _("Time")),
            demo=farm().demo,
        ),
        now=now,
    )  # fmt: skip


def sheet_pdf(on: dt.date, *, now: dt.datetime) -> bytes:
    """Print a day's sheet as filled.

    Raises
    ------
    RecordNotFoundError
        If nothing was written on that day.
    """
    found = sheet(on, now=now)
    if not any(not one.struck for one in found.written):
        raise RecordNotFoundError(_("There is no cleaning sheet of that day."))
    rows = sheet_words(found)
    made: list[Part] = [
        TablePart(
            title,
            (_("Check"), _("Result"), _("Note"), _("Who"), _("At")),
            tuple(row[1:] for row in rows if row[0] == title),
            ("5", "2", "4", "auto", "auto"),
            bold=0,
        )
        for title in dict.fromkeys(row[0] for row in rows)
    ]
    struck = tuple(
        (_struck_words(one), one.struck, one.struck_by) for one in found.written if one.struck
    )
    if struck:
        made.append(
            TablePart(
                _("Struck out"),
                (_("Line"), _("What was wrong"), _("By whom")),
                struck,
                ("3", "3", "auto"),
            )
        )
    signed = ", ".join(f"{one.who} {one.at.astimezone(_zone()):%H:%M}" for one in found.signed)
    made.append(
        TextPart(
            _("Signed at the phone: {names}.").format(names=signed)
            if signed
            else _("Not signed yet.")
        )
    )
    for one in found.fixes:
        made.append(TextPart(_("Corrective action: {what}").format(what=one.text("what"))))
        made += [BoxPart(ask, "", words) for ask, words in fix_words(one)]
    return _print(
        SanitaryPaper(
            farm().name,
            _("Cleaning sheet"),
            date_text(on, weekday=True),
            _("Cleaning"),
            tuple(made),
            findings=found.findings,
            signatures=() if found.signed else (_("Signed"), _("Time")),
            demo=farm().demo,
        ),
        now=now,
    )


def hazards_pdf(*, now: dt.datetime) -> bytes:
    """Print the hazard analysis, station by station."""
    view = plan()
    made: list[Part] = []
    for station in dict.fromkeys(one.station for one in view.hazards):
        rows = tuple(
            (
                _(one.kind),
                one.hazard,
                (_("Yes") if one.likely else _("No")) + ": " + one.why,
                "\n".join(filter(None, (one.control, one.limit))) or "–",
            )
            for one in view.hazards
            if one.station == station
        )
        made.append(
            TablePart(
                station_words(station),
                (_("Kind"), _("Hazard"), _("Reasonably likely?"), _("What controls it, limit")),
                rows,
                ("auto", "3", "4", "5"),
                bold=1,
            )
        )
    sources = dict.fromkeys(sourced(one.citation, one.status) for one in view.hazards)
    made.append(TextPart(_("Sources: {list}.").format(list="; ".join(sources))))
    return _print(
        SanitaryPaper(
            farm().name,
            _("Hazard analysis"),
            _("a summary for a small exempt shop, {date}").format(date=date_text(_here(now))),
            _("Cleaning"),
            tuple(made),
            lead=_("What is likely is the farm's own judgement: look at it again when birds, tools"
                   " or people change. ") + yardstick_words(),
            signatures=(_("Looked at by"), _("Date")),
            demo=farm().demo,
        ),
        now=now,
    )  # fmt: skip


def blank_fix_pdf(*, now: dt.datetime) -> bytes:
    """Print a corrective action to fill in by hand."""
    boxes = (
        BoxPart(_("What was not right"), _("Where, when, and what you saw."), height_pt=46),
        BoxPart(_("Put right at once"), _("Before anything else went on."), height_pt=36),
        *(BoxPart(one.ask, f"{one.hint} {one.citation}.") for one in parts()),
    )
    return _fix(boxes, _("Date and time: ____________________"), now=now, sign=True)


def fix_pdf(ident: str, *, now: dt.datetime) -> bytes:
    """Print a corrective action as filled.

    Raises
    ------
    RecordNotFoundError
        If there is none.
    """
    one = line(ident)
    if one.act != "fix":
        raise RecordNotFoundError(_("There is no such corrective action."))
    cited = {part.ask: part.citation for part in parts()}
    boxes = tuple(BoxPart(ask, cited.get(ask, ""), words) for ask, words in fix_words(one))
    made: list[Part] = [*boxes]
    if one.struck:
        made.insert(0, CautionPart((_struck(one),)))
    return _fix(tuple(made), f"{date_text(one.on, weekday=True)}: {one.text('what')}", now=now,
                sign=False, signed=one)  # fmt: skip


def _fix(
    made: tuple[Part, ...],
    subtitle: str,
    *,
    now: dt.datetime,
    sign: bool,
    signed: Line | None = None,
) -> bytes:
    if signed is not None:
        words = _("Written by {who}, {date} {time}.").format(
            who=signed.who,
            date=date_text(signed.at.astimezone(_zone()).date()),
            time=f"{signed.at.astimezone(_zone()):%H:%M}",
        )
        made = (*made, TextPart(words))
    return _print(
        SanitaryPaper(
            farm().name,
            _("Corrective action"),
            subtitle,
            _("Cleaning"),
            made,
            lead=yardstick_words(),
            signatures=(_("Signed"), _("Looked over by"), _("Date")) if sign else (),
            demo=farm().demo,
        ),
        now=now,
    )


def _struck(one: Line) -> str:
    return _("Struck out by {who}: {why}").format(who=one.struck_by, why=one.struck)


def _struck_words(one: Line) -> str:
    return " ".join(
        filter(
            None,
            (one.text("what") or _(one.act), one.text("result"), one.text("written")),
        )
    )


def _how(step: Step) -> str:
    if not step.surface:
        return step.how
    used = _("fixed equipment") if step.surface == "fixed" else _("dipping")
    return f"{step.how} " + _("Sanitiser for {use}, see above.").format(use=used)


def _zone() -> dt.tzinfo:
    return clock.zone(farm().zone)


def _here(now: dt.datetime) -> dt.date:
    return now.astimezone(_zone()).date()


def _print(paper: SanitaryPaper, *, now: dt.datetime) -> bytes:
    return sanitary_pdf(paper, printed_at=now.astimezone(_zone()))
