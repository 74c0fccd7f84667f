from __future__ import annotations

import datetime as dt
import io

import pypdf
import pytest

from pinfeather.finding import Finding, Severity
from pinfeather.reports.day_record import ActedFinding, DayRecordSheet, Verdict, day_record_pdf

NOON = dt.datetime(2026, 9, 12, 12, 0, tzinfo=dt.UTC)


def words(**parts):
    pdf = day_record_pdf(DayRecordSheet(farm="F", title="T", **parts), printed_at=NOON)
    return " ".join(pypdf.PdfReader(io.BytesIO(pdf)).pages[0].extract_text().split())


@pytest.mark.parametrize("outcome", ["met", "not met", "not known"])
def test_a_verdict_is_a_word(outcome):
    text = words(verdicts=(Verdict("Sanitiser", "", outcome, "100 ppm", "50 ppm", "C"),))

    assert f"Sanitiser {outcome} 100 ppm" in text


@pytest.mark.parametrize(
    ("severity", "asked"), [(Severity.NOTE, False), (Severity.CHECK, True), (Severity.STOP, True)]
)
def test_only_what_needs_an_action_is_reported_without_one(severity, asked):
    text = words(findings=(ActedFinding(Finding("a.b", severity, "S")),))

    assert ("nothing was written down" in text) is asked


def test_a_seal_is_printed_with_the_number_of_entries():
    text = words(seal="ab" * 32, seal_entries=12)

    assert "12 entries" in text
    assert "abababab abababab" in text
