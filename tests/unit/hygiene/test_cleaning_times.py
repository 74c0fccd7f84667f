import datetime as dt

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pinfeather.errors import InputError
from pinfeather.hygiene.cleaning_times import RoomReading, next_cleaning, overdue_finding
from pinfeather.rules.profile import load
from pinfeather.units import to_si

FEDERAL = load("us-federal")
AT = dt.datetime(2026, 9, 12, 8, 0, tzinfo=dt.UTC)
HOUR = dt.timedelta(hours=1)


def room(value_F, *, after_h=0.5):
    return RoomReading(AT + after_h * HOUR, to_si(value_F, "F", "temperature"))


@pytest.mark.parametrize(
    ("room_F", "hours"),
    [
        (33, 24), (41, 24), (41.1, 20), (45, 20), (45.1, 16), (50, 16), (50.1, 10), (55, 10),
        (55.1, 4), (90, 4),
    ],
)  # fmt: skip
def test_each_interval_holds_up_to_and_at_its_edge(room_F, hours):
    due = next_cleaning(FEDERAL, AT, [room(room_F)])

    assert due.due_at == AT + hours * HOUR
    assert due.interval_s == hours * 3600
    assert "4-602.11" in due.citation
    assert due.status == "read"


def test_5_C_is_41_F():
    assert next_cleaning(FEDERAL, AT, [RoomReading(AT, 5.0)]).interval_s == 24 * 3600


def test_a_room_that_was_not_read_gets_the_shortest_time():
    due = next_cleaning(FEDERAL, AT, [])

    assert due.interval_s == 4 * 3600
    assert due.room_degC is None


def test_the_warmest_reading_since_the_cleaning_counts():
    due = next_cleaning(FEDERAL, AT, [room(40), room(52, after_h=2), room(44, after_h=3)])

    assert due.interval_s == 10 * 3600


def test_of_the_readings_before_the_cleaning_only_the_last_counts():
    due = next_cleaning(FEDERAL, AT, [room(70, after_h=-3), room(40, after_h=-1)])

    assert due.interval_s == 24 * 3600


def test_a_temperature_that_is_no_number_is_refused():
    with pytest.raises(InputError):
        next_cleaning(FEDERAL, AT, [RoomReading(AT, float("nan"))])


@given(st.floats(20, 110), st.floats(20, 110))
def test_a_warmer_room_is_never_cleaned_later(first_F, second_F):
    cold, warm = sorted((first_F, second_F))

    assert (
        next_cleaning(FEDERAL, AT, [room(warm)]).due_at
        <= next_cleaning(FEDERAL, AT, [room(cold)]).due_at
    )


@pytest.mark.parametrize("room_F", [41, 45, 50, 55, 70])
def test_the_very_moment_is_in_time_and_a_second_later_is_not(room_F):
    due = next_cleaning(FEDERAL, AT, [room(room_F)])

    assert overdue_finding(due, now=due.due_at) is None
    late = overdue_finding(due, now=due.due_at + dt.timedelta(seconds=1))
    assert late is not None
    assert late.code == "sanitary.cleaning_overdue"
    assert late.limit == due.interval_s / 3600
    assert late.measured > late.limit


def test_an_unread_room_is_named_as_the_reason():
    due = next_cleaning(FEDERAL, AT, [])
    late = overdue_finding(due, now=AT + 5 * HOUR)

    assert "not written down" in late.reason


def test_a_moment_without_zone_is_refused():
    due = next_cleaning(FEDERAL, AT, [])
    with pytest.raises(InputError):
        overdue_finding(due, now=dt.datetime(2026, 9, 12))  # noqa: DTZ001 - that is the point
