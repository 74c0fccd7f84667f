from __future__ import annotations

import datetime as dt
import io

import pypdf

from pinfeather.reports.day_plan import DayPlanSheet, Todo, day_plan_pdf

MORNING = dt.datetime(2026, 9, 12, 6, 30, tzinfo=dt.UTC)


def test_the_smallest_plan_has_a_title_for_its_window_and_its_farm_as_author():
    pdf = day_plan_pdf(DayPlanSheet(farm="Juniper Hollow", title="Tuesday"), printed_at=MORNING)

    about = pypdf.PdfReader(io.BytesIO(pdf)).metadata
    assert (about.title, about.author) == ("Tuesday", "Juniper Hollow")


def test_a_thing_to_do_has_a_clock_time_in_its_own_zone():
    plan = DayPlanSheet(farm="F", title="T", todos=(Todo(MORNING, "Light the burner"),))

    text = pypdf.PdfReader(io.BytesIO(day_plan_pdf(plan, printed_at=MORNING))).pages[0]

    assert "6:30 am Light the burner" in " ".join(text.extract_text().split())
