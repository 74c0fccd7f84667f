"""A day's sum kept up entry by entry is the sum of the whole journal."""

from __future__ import annotations

import datetime as dt

from hypothesis import given
from hypothesis import strategies as st

from pinfeather.day.events import COUNTED, Event
from pinfeather.day.progress import RunningSum, progress

START = dt.datetime(2027, 5, 1, 12, tzinfo=dt.UTC)


@st.composite
def journals(draw: st.DrawFn) -> list[Event]:
    """Draw taps out of order, tasks, and corrections of anything, even of what comes later."""
    size = draw(st.integers(0, 25))
    found = []
    for seq in range(1, size + 1):
        kind = draw(st.sampled_from(["tally", "tally", "tally", "done", "correction", "note"]))
        payload: dict[str, object] = {"text": "rain"}
        if kind == "tally":
            payload = {
                "station": draw(st.sampled_from(COUNTED[:-1])),
                "birds": draw(st.integers(1, 3)),
                "place": draw(st.sampled_from(["", "Tank 1", "Tank 2"])),
            }
        elif kind == "done":
            payload = {"task": "stir", "place": draw(st.sampled_from(["Tank 1", "Tank 2"]))}
        elif kind == "correction":
            payload = {"of": f"e{draw(st.integers(1, size))}", "reason": "tapped twice"}
        at = START + dt.timedelta(seconds=draw(st.integers(0, 20)))
        found.append(Event(seq, f"e{seq}", kind, payload, "Mae", at))
    return found


@given(journal=journals(), data=st.data())
def test_taken_in_pieces_it_is_the_same_as_taken_whole(
    journal: list[Event], data: st.DataObject
) -> None:
    bit_by_bit = RunningSum()
    left = list(journal)
    while left:
        size = data.draw(st.integers(1, len(left)))
        bit_by_bit.take(left[:size])
        left = left[size:]
        bit_by_bit.progress()  # looking at it in between changes nothing
    assert bit_by_bit.progress() == progress(journal)


@given(journal=journals())
def test_its_counts_are_those_of_the_taps_that_stand(journal: list[Event]) -> None:
    done = progress(journal)
    for station in COUNTED[:-1]:
        taps = [t for t in done.tallies if t.station == station]
        assert done.count(station) == sum(t.birds for t in taps)
        assert done.times(station) == tuple(sorted(t.at for t in taps for _ in range(t.birds)))
        for place in ("", "Tank 1", "Tank 2"):
            assert done.times_at(station, place) == tuple(
                sorted(t.at for t in taps if t.place == place)
            )


def test_a_correction_that_arrives_before_its_tap_still_takes_it_back() -> None:
    whole = RunningSum()
    whole.take([Event(1, "undo", "correction", {"of": "late"}, "Mae", START)])
    whole.take([Event(2, "late", "tally", {"station": "pick", "birds": 1}, "Mae", START)])
    assert whole.progress().count("pick") == 0
