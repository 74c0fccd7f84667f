"""What a lot has made of its feed, and what it left on the ground."""

from __future__ import annotations

import datetime as dt

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pinfeather.flock.balance import head_balance
from pinfeather.flock.curves import reference_curve
from pinfeather.flock.feed import daily_feed_kg, usual_phases
from pinfeather.flock.forecast import Seen, growth_path
from pinfeather.flock.lot import (
    Arrived,
    FeedDelivered,
    FeedLeft,
    Life,
    Lost,
    Moved,
    Processed,
    SoldLive,
)
from pinfeather.flock.progress import feed_so_far, manure_nitrogen_kg, pens_now

HATCH = dt.date(2026, 4, 1)
SEEN = Seen(reference_curve("nrc_1984"))


def on(age_d: int) -> dt.date:
    return HATCH + dt.timedelta(days=age_d)


def life(*events) -> Life:
    return Life("A1", HATCH, (Arrived(on(0), "Brooder", 100), *events))


def test_feed_over_the_weight_of_birds_that_are_there() -> None:
    path = growth_path(SEEN, 42)
    lot = life(FeedDelivered(on(0), 400.0), FeedLeft(on(42), 100.0))

    found = feed_so_far(lot, SEEN, on(50))

    assert (found.on, found.eaten_kg, found.left_known) == (on(42), 300.0, True)
    assert found.per_gain == pytest.approx(300.0 / (100 * (path[42] - path[0])))


def test_birds_taken_out_alive_count_with_the_weight_they_had() -> None:
    path = growth_path(SEEN, 42)
    went = (Processed(on(35), "Brooder", 20), SoldLive(on(28), "Brooder", 10))
    lot = life(*went, FeedDelivered(on(0), 400.0), FeedLeft(on(42), 100.0))

    gain = 70 * path[42] + 20 * path[35] + 10 * path[28] - 100 * path[0]

    assert feed_so_far(lot, SEEN, on(42)).per_gain == pytest.approx(300.0 / gain)


def test_the_dead_count_in_the_growth_but_not_in_the_ratio() -> None:
    path = growth_path(SEEN, 42)
    lot = life(Lost(on(21), "Brooder", 10), FeedDelivered(on(0), 400.0), FeedLeft(on(42), 100.0))

    found = feed_so_far(lot, SEEN, on(42))

    alive = 90 * (path[42] - path[0])
    assert found.per_gain == pytest.approx(300.0 / alive)
    assert found.gain_kg == pytest.approx(alive + 10 * (path[21] - path[0]))


def test_without_a_note_of_what_is_left_all_counts_as_eaten_and_it_says_so() -> None:
    found = feed_so_far(life(FeedDelivered(on(0), 400.0)), SEEN, on(42))
    assert (found.eaten_kg, found.left_known, found.on) == (400.0, False, on(42))


@pytest.mark.parametrize("events", [(), (FeedDelivered(on(1), 5.0),)])
def test_a_few_days_or_no_feed_say_nothing(events) -> None:
    assert feed_so_far(life(*events), SEEN, on(5)).per_gain is None


def test_the_fullest_pen_stands_first_and_empty_ones_are_left_out() -> None:
    lot = life(Moved(on(20), "Brooder", "Grass 1", 40), Moved(on(21), "Brooder", "Grass 2", 60))
    balance = head_balance(lot)

    assert pens_now(balance, on(20)) == (("Brooder", 60), ("Grass 1", 40))
    assert pens_now(balance, on(30)) == (("Grass 2", 60), ("Grass 1", 40))
    assert pens_now(balance, on(-1)) == ()


def test_nitrogen_is_what_the_feed_held_less_what_the_birds_kept() -> None:
    """Patterson et al. 1998: 51 % stays in the bird; 6.25 kg of protein hold 1 kg of nitrogen."""
    found = manure_nitrogen_kg(life(), SEEN, on(42), from_d=28)

    feed = daily_feed_kg(growth_path(SEEN, 42), "chicken")[28:42] * 100
    phases = usual_phases("chicken")
    protein = [
        max((p for p in phases if p.from_d <= day), key=lambda p: p.from_d).crude_protein
        for day in range(28, 42)
    ]
    assert found == pytest.approx(float(0.49 * np.dot(feed, protein) / 6.25))


def test_before_they_came_onto_the_ground_nothing_is_left_there() -> None:
    assert manure_nitrogen_kg(life(), SEEN, on(20), from_d=21) == 0.0


@settings(deadline=None, max_examples=40)
@given(st.integers(15, 60), st.integers(0, 14))
def test_nitrogen_adds_up_over_two_stretches(last, cut) -> None:
    whole = manure_nitrogen_kg(life(), SEEN, on(last), from_d=0)
    later = manure_nitrogen_kg(life(), SEEN, on(last), from_d=cut)
    assert 0 <= later <= whole
    if cut:
        first = manure_nitrogen_kg(life(), SEEN, on(cut), from_d=0)
        assert first + later == pytest.approx(whole, rel=0.05)
