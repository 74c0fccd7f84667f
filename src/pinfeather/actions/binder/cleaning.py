"""The sanitary plan in a binder: procedures, the daily sheets as filled, corrective actions."""

from __future__ import annotations

from pinfeather.actions.binder.day_leaves import corrective_rows
from pinfeather.actions.binder.source import Source
from pinfeather.actions.sanitary.binder import SanitaryBinder, SheetText
from pinfeather.reports.binder import Block, Leaf, Said, Section
from pinfeather.reports.table_sheet import SheetTable
from pinfeather.words import date_text
from pinfeather.words import gettext as _


def procedures_section(plan: SanitaryBinder) -> Section | None:
    """Return the written procedures, intervals and hazards; None where nothing is written."""
    if not (plan.procedures or plan.setup or plan.hazards):
        return None
    steps = SheetTable(
        _("Steps"),
        (_("When"), _("What and how"), _("Strength"), _("Who"), _("How often")),
        tuple(
            (
                one.when,
                f"{one.what}. {one.how}",
                one.strength,
                one.who,
                one.often if not one.left_out else _("not here: {why}").format(why=one.left_out),
            )
            for one in plan.procedures
        ),
        ("2", "6", "4", "2", "3"),
    )
    rooms = SheetTable(
        _("How often surfaces are cleaned"),
        (_("Room"), _("At least every"), _("Source")),
        tuple((one.room, one.every, one.source) for one in plan.intervals),
        ("2", "auto", "3"),
    )
    setup = SheetTable(
        _("This shop"),
        (_("What"), _("Here")),
        tuple(plan.setup),
        ("1", "2"),
    )
    blocks: list[Block] = [setup] if plan.setup else []
    blocks += [steps, rooms] if plan.intervals else [steps]
    if plan.cautions:
        blocks.append(Said("\n".join(plan.cautions), _("Cautions")))
    if plan.hazards:
        sources = list(dict.fromkeys(one.source for one in plan.hazards))
        blocks.append(
            SheetTable(
                _("Hazards thought through"),
                (_("Step"), _("Hazard"), _("Likely"), _("Why"), _("Control"), _("Limit")),
                tuple(
                    (
                        one.step,
                        f"{one.hazard} ({one.kind})",
                        one.likely,
                        one.why,
                        one.control,
                        f"{one.limit} [{1 + sources.index(one.source)}]",
                    )
                    for one in plan.hazards
                ),
                ("2", "3", "auto", "4", "4", "3"),
                note="; ".join(f"[{1 + n}] {name}" for n, name in enumerate(sources)),
            )
        )
    return Section(_("Sanitary procedures"), plan.yardstick, tuple(blocks))


def sheets_section(plan: SanitaryBinder) -> Section | None:
    """Return each day's sheet as it was filled; None where no procedures are kept here."""
    if not plan.sheets:
        return None
    return Section(
        _("Daily sanitation sheets"),
        _("As filled and signed; one for each processing day."),
        (),
        tuple(_sheet(one) for one in plan.sheets),
    )


def _sheet(one: SheetText) -> Leaf:
    blocks: list[Block] = [
        SheetTable(
            "",
            (_("When"), _("What"), _("Result"), _("Remark"), _("Who"), _("At")),
            tuple((li.when, li.what, li.result, li.note, li.who, li.at) for li in one.lines),
            ("2", "5", "auto", "3", "auto", "auto"),
            (5,),
        )
    ]
    if one.findings:
        blocks.append(Said("\n".join(one.findings), _("Findings")))
    signed = ", ".join(one.signed) or _("nobody")
    blocks.append(Said(_("Signed by {who}.").format(who=signed)))
    return Leaf(_("Sheet of {date}").format(date=date_text(one.on)), tuple(blocks))


def corrective_section(source: Source, plan: SanitaryBinder) -> Section:
    """Return the corrective actions in their four parts, and every finding a day answered."""
    return Section(
        _("Corrective actions"),
        _("What went wrong, and what was done."),
        (
            SheetTable(
                _("Findings of closed days"),
                (_("Day"), _("What was found"), _("What was done"), _("Who")),
                corrective_rows(source),
                ("auto", "5", "5", "auto"),
            ),
        ),
        tuple(
            Leaf(
                f"{date_text(one.on)}: {one.what}",
                (
                    SheetTable(
                        "", (_("Question"), _("Answer")), tuple(one.parts), ("2", "3"),
                        note=_("Written by {who}, {at}").format(who=one.who, at=one.at),
                    ),
                ),
            )
            for one in plan.corrective_actions
        ),
        fresh=False,
    )  # fmt: skip
