"""Duties of the made-up farm: one overdue, one due soon, one with its paper."""

from __future__ import annotations

import datetime as dt

from pinfeather.actions.duties import book
from pinfeather.reports.sheet_parts import Answer
from pinfeather.reports.table_sheet import SheetTable, TableSheet, table_sheet_pdf
from pinfeather.words import date_text
from pinfeather.words import gettext as _


def make_duties(*, today: dt.date, now: dt.datetime) -> None:
    """Write down what Juniper Hollow has done about its duties."""

    def done(code: str, days_ago: int, *, who: str, note: str = "", until_d: int = 0) -> None:
        on = today - dt.timedelta(days=days_ago)
        until = (on + dt.timedelta(days=until_d)).isoformat() if until_d else ""
        files = [("water-report.pdf", _report(on, now=now))] if code == "water-test" else []
        book.mark_done(
            code,
            {"on": on.isoformat(), "until": until, "note": note},
            files=files,
            who=who,
            now=now,
            client_id=f"demo{code.replace('-', '')}",
        )

    done("water-test", 74, who="Ines", note=_("Kitchen tap; total coliforms absent."))
    done("scale-seal", 374, who="Tobias", note=_("Bench scale."), until_d=365)
    done("chemical-papers", 356, who="Mae", note=_("Bleach, dish soap; all labels in the folder."))
    done("training", 120, who="Ines", note=_("Tobias and Mae; knives, hands, sick days."))
    book.set_otherwise(
        "tax-return",
        {"first_on": dt.date(today.year + 1, 4, 15).isoformat(), "reason": _("Our tax adviser")},
        who="Ines",
        now=now,
    )


def _report(on: dt.date, *, now: dt.datetime) -> bytes:
    """Make a report of a water test that nobody could take for a real one."""
    return table_sheet_pdf(
        TableSheet(
            "Juniper Hollow Farm",
            _("Well water"),
            date_text(on),
            _("Report"),
            answers=(Answer(_("Total coliforms"), _("absent")),),
            tables=(
                SheetTable(
                    _("Results"),
                    (_("Test"), _("Result")),
                    ((_("Total coliforms"), _("absent")), (_("Nitrate"), "2.1 mg/L")),
                    ("auto", "auto"),
                ),
            ),
            notes=(_("Made up, to try things on."),),
            demo=True,
        ),
        printed_at=now,
    )
