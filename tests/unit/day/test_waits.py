import pytest
from hypothesis import given
from hypothesis import strategies as st

from pinfeather.day.waits import lag, wait_findings
from pinfeather.finding import Severity
from pinfeather.rules.profile import load

FEDERAL = load("us-federal")


def judge(journal, bleed_s=180.0):
    return {
        finding.code: finding
        for finding in wait_findings(
            journal.progress(), FEDERAL, bleed_s=bleed_s, bleed_citation="the rule"
        )
    }


def test_the_first_bird_in_is_the_first_bird_out(journal):
    for minute in (0, 1, 2):
        journal.tally("kill", minute)
    for minute in (5, 7, 9):
        journal.tally("pick", minute)
    assert lag(journal.progress(), "kill", "pick").lags_s == (300, 360, 420)


def test_birds_that_have_not_come_yet_have_no_wait_yet(journal):
    journal.tally("kill", 0, birds=3)
    journal.tally("pick", 5)
    assert lag(journal.progress(), "kill", "pick").lags_s == (300,)


def test_nothing_counted_means_no_waits(journal):
    assert lag(journal.progress(), "kill", "pick").lags_s == ()
    assert judge(journal) == {}


def test_a_bird_written_off_between_the_two_does_not_shift_the_others(journal):
    for minute in (0, 10, 20):
        journal.tally("kill", minute)
    journal.explain("kill", 12, cause="condemned")
    for minute in (5, 25):
        journal.tally("pick", minute)
    assert lag(journal.progress(), "kill", "pick").lags_s == (300, 300)


def test_the_bird_written_off_is_the_one_that_had_come_last_before(journal):
    for minute in (0, 1, 2):
        journal.tally("pick", minute)
    journal.explain("pick", 1.5, birds=2, cause="condemned")
    journal.tally("draw", 10)
    assert lag(journal.progress(), "pick", "draw").lags_s == (480,)


def test_birds_written_off_before_or_after_the_stretch_do_not_matter(journal):
    journal.tally("kill", 0, birds=2)
    journal.explain("catch", 1)
    journal.explain("draw", 1)
    journal.tally("pick", 5, birds=2)
    assert lag(journal.progress(), "kill", "pick").lags_s == (300, 300)
    assert lag(journal.progress(), "kill", "draw").lags_s == ()


def test_birds_written_off_anywhere_in_a_long_stretch_are_left_out(journal):
    journal.tally("kill", 0)
    journal.tally("kill", 4)
    journal.explain("pick", 5)
    journal.tally("draw", 10)
    assert lag(journal.progress(), "kill", "draw").lags_s == (600,)


@given(
    st.lists(st.floats(0, 200), min_size=1, max_size=12),
    st.lists(st.floats(0, 60), min_size=12, max_size=12),
)
def test_where_birds_keep_their_order_the_mean_wait_is_the_mean_of_the_true_waits(
    new_journal, cuts, delays
):
    journal = new_journal()
    pairs = [(cut, cut + delay) for cut, delay in zip(cuts, delays, strict=False)]
    for cut, picked in pairs:
        journal.tally("kill", cut)
        journal.tally("pick", picked)
    found = lag(journal.progress(), "kill", "pick").lags_s
    true_s = sum(picked - cut for cut, picked in pairs) * 60
    assert sum(found) == pytest.approx(true_s, abs=1e-3)
    assert len(found) == len(pairs)


def test_a_bird_picked_before_it_can_have_bled_is_a_stop(journal):
    journal.tally("kill", 0)
    journal.tally("kill", 1)
    journal.tally("pick", 2)
    journal.tally("pick", 9)
    told = judge(journal)["wait.bleed"]
    assert told.severity is Severity.STOP
    assert told.sentence.startswith("One bird was picked sooner")
    assert (told.measured, told.limit, told.unit) == (2.0, 3.0, "min")
    assert told.citation == "the rule"
    assert "breathes or blinks" in told.reason


def test_several_birds_picked_too_soon_are_counted(journal):
    journal.tally("kill", 0, birds=3)
    journal.tally("pick", 2, birds=3)
    assert judge(journal)["wait.bleed"].sentence.startswith("3 birds were picked sooner")


def test_a_bird_that_bled_just_long_enough_is_fine(journal):
    journal.tally("kill", 0)
    journal.tally("pick", 3)
    assert judge(journal) == {}


def test_a_bird_drawn_more_than_an_hour_after_the_cut_is_told(journal):
    journal.tally("kill", 0)
    journal.tally("draw", 61)
    told = judge(journal)["wait.kill_draw"]
    assert told.severity is Severity.CHECK
    assert told.sentence == "One bird was drawn later than 60 min after the cut."
    assert told.reason == "The longest took 61 min."
    assert (told.where, told.measured, told.limit) == ("kill-draw", 61.0, 60.0)
    assert told.status == "read"


def test_birds_that_wait_too_long_between_picking_and_the_chill_are_told(journal):
    journal.tally("pick", 0, birds=2)
    journal.tally("chill", 31, birds=2, place="East tank")
    told = judge(journal)["wait.pick_chill"]
    assert told.sentence == "2 birds took longer than 30 min from picking to the chill tank."
    assert told.status == "assumed"


def test_exactly_the_limit_is_not_too_long(journal):
    journal.tally("kill", 0)
    journal.tally("pick", 30)
    journal.tally("draw", 60)
    journal.tally("chill", 60, place="East tank")
    assert judge(journal) == {}
