import pytest

from pinfeather.finding import Finding, Severity, by_severity, worst

NOTE = Finding("a.note", Severity.NOTE, "Good to know.")
CHECK = Finding("a.check", Severity.CHECK, "Look at it.")
STOP = Finding("a.stop", Severity.STOP, "Stop.")


def test_severities_are_ordered_from_note_to_stop():
    assert Severity.NOTE < Severity.CHECK < Severity.STOP


def test_severities_have_lower_case_words_for_files():
    assert [severity.code for severity in Severity] == ["note", "check", "stop"]


def test_the_worst_of_several_findings_is_the_most_severe():
    assert worst([NOTE, STOP, CHECK]) is Severity.STOP
    assert worst((NOTE,)) is Severity.NOTE


def test_no_findings_have_no_worst():
    assert worst(()) is None


def test_the_worst_come_first_and_equals_keep_their_order():
    other = Finding("b.check", Severity.CHECK, "Look at that too.")
    assert by_severity([NOTE, CHECK, STOP, other]) == (STOP, CHECK, other, NOTE)


def test_a_finding_cannot_be_changed_after_it_was_made():
    with pytest.raises(AttributeError):
        NOTE.severity = Severity.STOP


def test_equal_findings_count_as_one():
    assert len({NOTE, Finding("a.note", Severity.NOTE, "Good to know.")}) == 1
