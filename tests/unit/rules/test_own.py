"""A farm's own changes: validated like a file, marked wherever their source is shown."""

import datetime as dt

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pinfeather.rules import profile as profiles
from pinfeather.rules.own import Edit, changeable, edit_faults, edited, make_own, marked
from pinfeather.rules.profile import available, data, digest, digest_of, load
from pinfeather.rules.rows import rows_from, rows_of
from pinfeather.rules.which import FarmFacts, which_tier

IDS = [summary.profile_id for summary in available()]
ROWS = [row for row in rows_of("us-federal") if changeable(row)]


def edit(path, written, unit="", **changed):
    values = {
        "why": "our inspector asked for it",
        "source": "letter of the county",
        "status": "second hand",
        "in_force": "2026-05",
        "who": "Ines",
        "on": dt.date(2026, 5, 4),
        **changed,
    }
    return Edit(path=path, written=written, unit=unit, **values)


def test_a_changed_number_is_the_limit_from_then_on_and_says_whose_it_is():
    own = make_own("us-federal", [edit("chill.target", "38", "F")], profile_id="own")
    assert str(own.chill.target) == "38 °F"
    assert own.chill.target.citation.startswith("Your own change (Ines, 2026-05-04): letter")
    assert "Before: 40 °F" in own.chill.target.note
    assert own.chill.bands == load("us-federal").chill.bands
    assert str(load("us-federal").chill.target) == "40 °F"


def test_what_a_cap_means_marks_the_cap_where_findings_cite_it():
    path = "tiers.producer_1000.cap_inclusive"
    own = make_own("us-federal", [edit(path, "false")], profile_id="own")
    tier = own.tiers["producer_1000"]
    assert tier.most == 999
    assert tier.cap.citation.startswith("Your own change")
    assert "9 CFR 381.10(c)" in tier.cap.citation
    assert which_tier(own, FarmFacts({"chicken": 1000})).tier == "producer_20000"


def test_a_later_change_of_the_same_number_replaces_the_earlier():
    own = make_own(
        "us-federal",
        [edit("chill.target", "38", "F"), edit("chill.target", "39", "F")],
        profile_id="own",
    )
    assert str(own.chill.target) == "39 °F"
    assert "Before: 40 °F" in own.chill.target.note


def test_a_change_whose_place_is_gone_from_the_profile_is_left_out():
    whole = edited("us-federal", [edit("chill.nowhere", "1", "F")])
    assert whole["chill"] == data("us-federal")["chill"]


@pytest.mark.parametrize(
    ("path", "written", "unit", "field", "sentence"),
    [
        ("chill.target", "38", "h", "unit", "does not fit"),
        ("chill.target", "cold", "F", "written", "plain number"),
        ("chill.target", "nan", "F", "written", "plain number"),
        ("chill.target", " ", "F", "written", "new value"),
        ("chill.bands[0].below", "9", "lb", "written", "small to large"),
        ("tiers.producer_1000.cap", "0", "birds", "written", "more than zero"),
        ("tiers.producer_1000.cap", "10.5", "birds", "written", "whole number"),
        ("tiers.producer_1000.count_weight.turkey", "4.5", "", "written", "whole number"),
        ("tiers.producer_1000.count_weight.turkey", "-1", "", "written", "whole number"),
        ("tiers.producer_1000.cap_inclusive", "maybe", "", "written", "one of the two"),
        ("chill", "1", "F", "path", "no such number"),
        ("chill.bands[9].within", "1", "h", "path", "no such number"),
        ("..[", "1", "h", "path", "no such number"),
    ],
)
def test_a_wrong_value_is_refused_beside_its_field(path, written, unit, field, sentence):
    (fault,) = edit_faults("us-federal", [], edit(path, written, unit))
    assert fault.name == field
    assert sentence in fault.problem


def test_every_missing_reason_is_named_at_once():
    bare = edit("chill.target", "38", "F", why="", source=" ", status="", in_force="", who="")
    named = {fault.name for fault in edit_faults("us-federal", [], bare)}
    assert named == {"why", "source", "status", "in_force", "who"}


@settings(deadline=None, max_examples=60)
@given(st.sampled_from(ROWS))
def test_each_row_can_be_written_back_as_it_stands(row):
    same = edit(row.path, row.written, row.unit)
    assert edit_faults("us-federal", [], same) == ()
    now = {one.path: one for one in rows_from(edited("us-federal", [same]))}
    assert now[row.path].value == row.value
    assert now[row.path].own or row.kind in {"whole number", "yes or no"}


@pytest.mark.parametrize("profile_id", IDS)
def test_every_row_has_words_value_citation_date_and_status(profile_id):
    for row in rows_of(profile_id):
        assert row.name
        assert row.value
        assert row.citation, row.path
        assert row.status_words
        assert row.in_force_words
        assert row.name != row.path.rsplit(".", 1)[-1], row.path
        assert "{" not in row.name


def test_a_plain_word_of_the_profile_below_keeps_the_source_it_has_there():
    rows = {row.path: row for row in rows_of("us-ny")}
    assert "96-d" in rows["tiers.producer_1000.count_weight.turkey"].citation
    assert "464" in rows["tiers.producer_1000.count_weight.duck"].citation


def test_the_fingerprint_moves_with_any_word():
    whole = data("us-federal")
    assert digest_of(whole) == digest("us-federal")
    whole["chill"]["target"]["citation"] += "."
    assert digest_of(whole) != digest("us-federal")
    assert len({digest(profile_id) for profile_id in IDS}) == len(IDS)


def test_what_is_found_elsewhere_is_loaded_like_a_packaged_profile():
    before = list(profiles._elsewhere)
    try:
        whole = edited("us-wi", [edit("chill.target", "39", "F")])
        profiles.also_from({"own-test-elsewhere": whole}.get)
        assert str(load("own-test-elsewhere").chill.target) == "39 °F"
        rows = {row.path: row for row in rows_of("own-test-elsewhere")}
        assert rows["chill.target"].own
        assert [row.path for row in rows.values() if row.own] == ["chill.target"]
    finally:
        profiles._elsewhere[:] = before


def test_the_mark_names_who_when_and_why():
    assert marked(edit("chill.target", "38", "F")) == (
        "Your own change (Ines, 2026-05-04): letter of the county"
    )


def test_the_fingerprint_of_changed_rules_does_not_depend_on_the_readers_language():
    from pinfeather import words

    change = [edit("chill.target", "38", "F")]
    before = (words._translate, words._translate_plural)
    plain = digest_of(edited("us-federal", change))
    try:
        words.use(lambda text: f"§{text}§", lambda one, many, n: f"§{one if n == 1 else many}§")
        assert digest_of(edited("us-federal", change)) == plain
        assert any(row.own for row in rows_from(edited("us-federal", change)))
    finally:
        words._translate, words._translate_plural = before
