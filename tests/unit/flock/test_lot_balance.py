import datetime as dt

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pinfeather.errors import InputError
from pinfeather.finding import Severity
from pinfeather.flock.balance import head_balance, heads_on
from pinfeather.flock.lot import (
    Arrived,
    Cause,
    Counted,
    FeedDelivered,
    FeedLeft,
    Life,
    Lost,
    Moved,
    Processed,
    SoldLive,
    daily_losses,
    feed_eaten_kg,
    losses_by_cause,
)

HATCH = dt.date(2026, 4, 1)


def on(day):
    return HATCH + dt.timedelta(days=day)


def life(*events):
    return Life("Lot 3", HATCH, events)


def test_a_lot_from_arrival_to_the_last_bird():
    balance = head_balance(
        life(
            Arrived(on(2), "brooder", 100, spares=2, dead=1),
            Lost(on(4), "brooder", 2, Cause.FOUND_DEAD),
            Moved(on(22), "brooder", "pen 1", 50),
            Moved(on(22), "brooder", "pen 2", 49),
            SoldLive(on(40), "pen 1", 4),
            Processed(on(55), "pen 1", 46),
            Processed(on(56), "pen 2", 49),
        )
    )
    assert (balance.arrived, balance.lost, balance.processed, balance.sold) == (101, 2, 95, 4)
    assert balance.heads == 0
    assert balance.findings == ()
    assert heads_on(balance, on(1)) == 0
    assert heads_on(balance, on(30)) == 99


def test_a_pen_below_nothing_says_by_how_many_and_since_when():
    balance = head_balance(
        life(Arrived(on(2), "a", 10), Moved(on(20), "a", "b", 12), Lost(on(25), "a", 1))
    )
    (finding,) = balance.findings
    assert finding.severity is Severity.STOP
    assert "2 birds" in finding.sentence
    assert "21 April 2026" in finding.sentence


def test_a_count_that_differs_says_by_how_many_and_since_when():
    balance = head_balance(
        life(
            Arrived(on(2), "a", 50),
            Counted(on(10), "a", 50),
            Lost(on(12), "a", 1),
            Counted(on(20), "a", 46),
            Counted(on(21), "a", 46),
        )
    )
    (finding,) = balance.findings
    assert finding.code == "lot.count"
    assert "3 birds are missing on 21 April 2026" in finding.sentence
    assert "right on 11 April 2026" in finding.sentence
    assert (finding.measured, finding.limit) == (46, 49)
    assert balance.unexplained == 3


def test_more_birds_than_the_book_are_told_too():
    balance = head_balance(life(Arrived(on(2), "a", 50), Counted(on(10), "a", 51)))
    assert "1 bird more than the book" in balance.findings[0].sentence
    assert balance.unexplained == -1


def test_a_loss_written_before_the_move_of_the_same_day_is_no_trouble():
    balance = head_balance(
        life(Arrived(on(0), "a", 5), Lost(on(9), "b", 1), Moved(on(9), "a", "b", 5))
    )
    assert balance.findings == ()


def test_a_pen_put_right_by_a_count_can_go_wrong_again():
    balance = head_balance(
        life(
            Arrived(on(0), "a", 1),
            Lost(on(1), "a", 2),
            Counted(on(2), "a", 0),
            Lost(on(3), "a", 1),
        )
    )
    assert [f.code for f in balance.findings] == [
        "lot.below_nothing",
        "lot.count",
        "lot.below_nothing",
    ]


@pytest.mark.parametrize(
    "event",
    [Arrived(on(0), "a", -1), Arrived(on(0), "a", 5, dead=6), Lost(on(0), "a", -2)],
    ids=["ordered", "dead", "lost"],
)
def test_numbers_that_cannot_be_are_refused(event):
    with pytest.raises(InputError):
        head_balance(life(event))


PENS = st.sampled_from(["a", "b", "c"])
DAYS = st.integers(0, 60).map(on)
SOME = st.integers(0, 30)
EVENTS = st.one_of(
    st.builds(Arrived, DAYS, PENS, SOME, spares=st.integers(0, 3)),
    st.builds(Moved, DAYS, PENS, PENS, SOME),
    st.builds(Lost, DAYS, PENS, SOME),
    st.builds(Processed, DAYS, PENS, SOME),
    st.builds(SoldLive, DAYS, PENS, SOME),
    st.builds(Counted, DAYS, PENS, SOME),
)


@given(st.lists(EVENTS, max_size=20))
def test_heads_are_conserved_whatever_happens(events):
    balance = head_balance(life(*events))
    gone = balance.lost + balance.processed + balance.sold + balance.unexplained
    assert balance.arrived == balance.heads + gone
    for day in balance.days:
        assert day.heads == sum(n for _pen, n in day.pens)


@given(st.lists(EVENTS, max_size=12), st.randoms(use_true_random=False))
def test_the_order_of_writing_does_not_matter_for_the_end(events, random):
    # except counts: two counts of one pen on one day have no order but that of writing
    once = [e for e in events if not isinstance(e, Counted)]
    shuffled = list(once)
    random.shuffle(shuffled)
    assert head_balance(life(*once)).heads == head_balance(life(*shuffled)).heads


@given(st.lists(EVENTS, max_size=20))
def test_a_book_without_findings_never_goes_below_nothing(events):
    balance = head_balance(life(*events))
    below = any(n < 0 for day in balance.days for _pen, n in day.pens)
    assert below == any(f.code == "lot.below_nothing" for f in balance.findings)


def test_feed_is_what_came_less_what_is_left():
    lot = life(
        FeedDelivered(on(0), 50.0),
        FeedDelivered(on(20), 100.0),
        FeedLeft(on(30), 20.0),
        FeedDelivered(on(31), 80.0),
    )
    assert feed_eaten_kg(lot) == 130.0
    assert feed_eaten_kg(lot, on(25)) == 150.0


def test_losses_by_cause_and_by_day():
    events = (Lost(on(3), "a", 1), Lost(on(3), "b", 2, Cause.PREDATOR), Lost(on(9), "a", 1))
    assert losses_by_cause(events) == {Cause.UNKNOWN: 2, Cause.PREDATOR: 2}
    assert daily_losses(life(*events), on(4)) == (0, 0, 0, 3, 0)
