import math
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pinfeather.day.events import COUNTED
from pinfeather.day.reconcile import PLACES, gap_findings, gaps
from pinfeather.finding import Severity

FIVE_MINUTES = {"catch": 300, "kill": 300, "pick": 300, "draw": 300, "chill": 300}
CHAIN = list(pairwise(COUNTED))


def between(found, after):
    return next(gap for gap in found if gap.after == after)


def test_every_pair_of_neighbours_is_compared_in_the_order_of_the_line(journal):
    found = gaps(journal.progress(), now=journal.at(0), longest_s={})
    assert [(gap.after, gap.before) for gap in found] == CHAIN


def test_a_bird_on_its_way_is_not_missing_yet(journal):
    journal.tally("kill", 0)
    found = between(gaps(journal.progress(), now=journal.at(5), longest_s=FIVE_MINUTES), "kill")
    assert (found.between, found.unaccounted) == (1, 0)
    assert found.oldest == journal.at(0)


def test_a_bird_that_has_been_between_too_long_is_unaccounted_for(journal):
    journal.tally("kill", 0)
    found = gaps(journal.progress(), now=journal.at(5.1), longest_s=FIVE_MINUTES)
    assert between(found, "kill").unaccounted == 1


def test_a_station_without_a_longest_time_waits_for_ever_until_the_day_is_closed(journal):
    journal.tally("kill", 0)
    later = journal.at(10**4)
    assert between(gaps(journal.progress(), now=later, longest_s={}), "kill").unaccounted == 0
    closed = gaps(journal.progress(), now=journal.at(0), longest_s={}, final=True)
    assert between(closed, "kill").unaccounted == 1


def test_one_bird_lost_between_picking_and_the_chill_is_said_in_words(journal):
    for station in ("pick", "draw"):
        journal.tally(station, 1, birds=24)
    journal.tally("chill", 2, birds=23)
    found = gap_findings(gaps(journal.progress(), now=journal.at(60), longest_s=FIVE_MINUTES))
    told = next(finding for finding in found if finding.where == "draw-chill")
    assert told.sentence == "One bird is unaccounted for between drawing and the chill tank."
    assert told.reason == "24 drawn, 23 in the tank. Look there before going on."
    assert told.severity is Severity.STOP
    assert (told.measured, told.limit, told.unit) == (23.0, 24.0, "birds")


def test_several_birds_are_counted_in_the_sentence(journal):
    journal.tally("catch", 0, birds=5)
    journal.tally("kill", 1, birds=2)
    found = gap_findings(gaps(journal.progress(), now=journal.at(60), longest_s={}, final=True))
    assert found[0].sentence == "3 birds are unaccounted for between catching and the cones."


def test_a_bird_written_off_is_accounted_for_and_shown(journal):
    journal.tally("pick", 0, birds=24)
    journal.tally("draw", 1, birds=22)
    journal.explain("pick", 2, cause="condemned")
    found = gaps(journal.progress(), now=journal.at(60), longest_s=FIVE_MINUTES)
    gap = between(found, "pick")
    assert (gap.explained, gap.between, gap.unaccounted) == (1, 1, 1)
    told = next(f for f in gap_findings(found) if f.where == "pick-draw")
    assert "24 picked, 22 drawn, 1 explained." in told.reason
    journal.explain("pick", 3)
    found = gaps(journal.progress(), now=journal.at(60), longest_s=FIVE_MINUTES)
    assert between(found, "pick").unaccounted == 0


def test_more_birds_than_came_is_a_negative_gap_and_a_missed_or_doubled_tap(journal):
    journal.tally("kill", 0, birds=3)
    journal.tally("pick", 1, birds=4)
    found = gaps(journal.progress(), now=journal.at(2), longest_s=FIVE_MINUTES)
    gap = between(found, "kill")
    assert (gap.unaccounted, gap.between, gap.oldest) == (-1, -1, None)
    told = next(f for f in gap_findings(found) if f.where == "kill-pick")
    assert told.sentence == "One bird more at picking than came from the cones."
    assert "missed or doubled" in told.reason


def test_two_birds_too_many_are_counted_in_the_sentence(journal):
    journal.tally("pick", 1, birds=2)
    found = gap_findings(gaps(journal.progress(), now=journal.at(2), longest_s={}))
    assert found[0].sentence == "2 birds more at picking than came from the cones."


def test_a_correction_closes_the_gap_a_double_tap_opened(journal):
    journal.tally("kill", 0)
    journal.tally("pick", 1)
    double = journal.tally("pick", 1.01)
    assert between(gaps(journal.progress(), now=journal.at(2), longest_s={}), "kill").unaccounted
    journal.take_back(double, 2)
    found = gaps(journal.progress(), now=journal.at(2), longest_s={})
    assert between(found, "kill").unaccounted == 0


def test_the_oldest_bird_between_is_the_first_not_yet_counted(journal):
    for minute in (0, 1, 2):
        journal.tally("kill", minute)
    journal.tally("pick", 3)
    found = gaps(journal.progress(), now=journal.at(4), longest_s={})
    assert between(found, "kill").oldest == journal.at(1)


@st.composite
def histories(draw):
    """Counts at each station and birds written off after each, in any numbers."""
    counts = draw(st.lists(st.integers(0, 12), min_size=6, max_size=6))
    gone = draw(st.lists(st.integers(0, 3), min_size=5, max_size=5))
    return counts, gone


def tapped(journal, counts, gone):
    for minute, (station, birds) in enumerate(zip(COUNTED[:-1], counts, strict=False)):
        for _ in range(birds):
            journal.tally(station, minute)
    for number in range(counts[-1]):
        journal.package(9, number=number)
    for station, birds in zip(COUNTED[:-1], gone, strict=True):
        if birds:
            journal.explain(station, 9, birds=birds)
    return journal.progress()


@given(histories())
def test_the_gaps_add_up_to_the_birds_that_came_less_packed_less_written_off(new_journal, history):
    counts, gone = history
    done = tapped(new_journal(), counts, gone)
    found = gaps(done, now=new_journal.at(99), longest_s={}, final=True)
    assert sum(gap.between for gap in found) == counts[0] - counts[-1] - sum(gone)
    assert all(gap.unaccounted == gap.between for gap in found)


@given(histories())
def test_closing_finds_nothing_if_and_only_if_every_head_is_accounted_for(new_journal, history):
    counts, gone = history
    done = tapped(new_journal(), counts, gone)
    found = gap_findings(gaps(done, now=new_journal.at(99), longest_s={}, final=True))
    accounted = all(
        before + lost == after for (after, before), lost in zip(pairwise(counts), gone, strict=True)
    )
    assert (not found) is accounted
    wrong = sum(b + lost != a for (a, b), lost in zip(pairwise(counts), gone, strict=True))
    assert len(found) == wrong


@given(birds=st.integers(0, 15), lost=st.lists(st.integers(0, 4), min_size=5, max_size=5))
def test_a_day_where_every_bird_is_packed_or_written_off_always_closes(new_journal, birds, lost):
    counts = [birds + sum(lost)]
    for gone in lost:
        counts.append(counts[-1] - gone)
    done = tapped(new_journal(), counts, lost)
    assert gap_findings(gaps(done, now=new_journal.at(99), longest_s={}, final=True)) == ()


@given(histories(), st.floats(0, 30))
def test_while_running_no_more_birds_are_missed_than_at_closing(new_journal, history, minute):
    done = tapped(new_journal(), *history)
    running = gaps(done, now=new_journal.at(minute), longest_s=FIVE_MINUTES)
    closed = gaps(done, now=new_journal.at(minute), longest_s={}, final=True)
    for now, then in zip(running, closed, strict=True):
        assert min(0, then.unaccounted) <= now.unaccounted <= max(0, then.unaccounted)


def test_every_counted_station_has_words():
    assert set(PLACES) == set(COUNTED)


@pytest.mark.parametrize("longest", [0.0, 60.0, math.inf])
def test_waiting_longer_never_finds_fewer_missing_birds(journal, longest):
    for minute in range(6):
        journal.tally("kill", minute)
    done = journal.progress()
    missing = [
        between(gaps(done, now=journal.at(m), longest_s={"kill": longest}), "kill").unaccounted
        for m in range(6, 12)
    ]
    assert missing == sorted(missing)
