from __future__ import annotations

import datetime as dt

import pytest

from pinfeather.errors import InputError
from pinfeather.finding import Finding, Severity
from pinfeather.reports.sheet_parts import head, said

PRINTED = dt.datetime(2026, 9, 12, 15, 0, tzinfo=dt.UTC)
HEAD = {
    "farm": "F",
    "title": "T",
    "subtitle": "",
    "kind": "Day plan",
    "paper": "a4",
    "demo": False,
    "printed_at": PRINTED,
    "clock": "12h",
}


@pytest.mark.parametrize("severity", list(Severity))
def test_each_severity_has_a_word_besides_its_shape(severity):
    words = said(Finding("a.b", severity, "S"))

    assert words["severity"] == severity.code
    assert words["word"].lower() == severity.code


def test_the_source_says_how_it_is_known():
    words = said(Finding("a.b", Severity.NOTE, "S", citation="9 CFR 381.66", status="read"))

    assert words["source"] == "9 CFR 381.66; how known: read"
    assert said(Finding("a.b", Severity.NOTE, "S"))["source"] == ""


def test_the_foot_says_when_it_was_printed():
    assert head(**HEAD)["printed"] == "printed 12 September 2026, 3:00 pm"
    assert head(**{**HEAD, "clock": "24h"})["printed"] == "printed 12 September 2026, 15:00"


@pytest.mark.parametrize(
    ("name", "value"), [("paper", "b5"), ("printed_at", PRINTED.replace(tzinfo=None))]
)
def test_what_cannot_be_printed_on_is_refused(name, value):
    with pytest.raises(InputError, match=name):
        head(**{**HEAD, name: value})
