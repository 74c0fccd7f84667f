import datetime as dt
import random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pinfeather.day.events import COUNTED
from pinfeather.day.progress import progress


def test_an_empty_journal_has_nothing():
    found = progress([])
    assert found.last_seq == 0
    assert [found.count(code) for code in found.stations] == [0] * 6
    assert found.explained_after("pick") == 0
    assert found.count("scald") == 0


def test_a_basket_counts_for_each_bird_in_it(journal):
    journal.tally("pick", 1, birds=5)
    journal.tally("pick", 2)
    found = journal.progress()
    assert found.count("pick") == 6
    assert len(found.tallies) == 2
    assert found.times("pick") == (journal.at(1),) * 5 + (journal.at(2),)


def test_every_kind_of_entry_is_read_with_all_it_says(journal):
    tally = journal.tally("chill", 1, birds=2, place="East tank", lot="H2")
    reading = journal.reading("bath", 2, 33.8, place="East tank")
    ice = journal.ice(3, 32.4)
    did = journal.did("stir", 4, place="East tank")
    gone = journal.explain("pick", 5, birds=2, cause="condemned")
    package = journal.package(6, number=7)
    action = journal.write("action", 7, finding="chill.late", where="East tank", text="Iced.")
    journal.write("note", 8, text="Windy.")
    found = journal.progress()
    assert (found.tallies[0].id, found.tallies[0].place, found.tallies[0].lot) == (
        tally,
        "East tank",
        "H2",
    )
    assert (found.readings[0].id, found.readings[0].written) == (reading, "33.8 F")
    assert found.readings[0].si == pytest.approx(1.0)
    assert (found.ice_points[0].id, found.ice_points[0].reading_degC) == (
        ice,
        pytest.approx(0.2222, abs=1e-4),
    )
    assert (found.done[0].id, found.done[0].task) == (did, "stir")
    assert (found.explained[0].id, found.explained[0].cause) == (gone, "condemned")
    assert found.explained_after("pick") == 2
    assert (found.packages[0].id, found.packages[0].number) == (package, 7)
    assert (found.actions[0].id, found.actions[0].finding) == (action, "chill.late")
    assert found.count("bag") == 1
    assert found.last_seq == 8


def test_a_probed_birds_weight_is_kept_where_it_was_said(journal):
    journal.write(
        "reading", 1, what="bird", written="41 F", unit="F", si=5.0, mass_kg="2.1", place="T"
    )
    journal.reading("bird", 2, 40)
    assert [one.mass_kg for one in journal.progress().readings] == [2.1, None]


def test_a_loggers_file_is_noted_with_where_it_lay(journal):
    note = journal.write(
        "logger",
        1,
        sha256="ab" * 32,
        file=3,
        what="bird",
        place="East tank",
        instrument="red probe",
        name="probe.csv",
    )
    (found,) = journal.progress().loggers
    assert (found.id, found.file, found.place) == (note, 3, "East tank")
    journal.take_back(note, 2)
    assert journal.progress().loggers == ()


def test_a_package_of_several_birds_counts_them_and_one_of_parts_counts_none(journal):
    journal.package(1, birds=2)
    journal.package(2, birds=0)
    found = journal.progress()
    assert found.count("bag") == 2
    assert len(found.packages) == 2


def test_a_tally_taken_back_is_not_counted_and_the_correction_is_listed(journal):
    journal.tally("kill", 1)
    wrong = journal.tally("kill", 2)
    journal.take_back(wrong, 3)
    found = journal.progress()
    assert found.count("kill") == 1
    assert (found.corrections[0].of, found.corrections[0].reason) == (wrong, "tapped twice")
    assert found.corrections[0].who == "Odile"


@pytest.mark.parametrize("kind", ["reading", "ice", "did", "explain", "package", "action"])
def test_any_entry_can_be_taken_back(journal, kind):
    written = {
        "reading": lambda: journal.reading("bath", 1, 34, place="East tank"),
        "ice": lambda: journal.ice(1, 32),
        "did": lambda: journal.did("stir", 1),
        "explain": lambda: journal.explain("pick", 1),
        "package": lambda: journal.package(1),
        "action": lambda: journal.write("action", 1, finding="a", text="b"),
    }[kind]()
    journal.take_back(written, 2)
    found = journal.progress()
    assert not any(
        (
            found.readings,
            found.ice_points,
            found.done,
            found.explained,
            found.packages,
            found.actions,
        )
    )
    assert found.count("bag") == 0


def test_a_correction_taken_back_lets_the_entry_stand_again(journal):
    bird = journal.tally("kill", 1)
    correction = journal.take_back(bird, 2)
    journal.take_back(correction, 3)
    found = journal.progress()
    assert found.count("kill") == 1
    assert [one.of for one in found.corrections] == [correction]


def test_taking_back_what_never_was_changes_nothing(journal):
    journal.tally("kill", 1)
    journal.take_back("nothing", 2)
    assert journal.progress().count("kill") == 1


def test_a_correction_written_after_closing_is_marked_late(journal):
    bird = journal.tally("kill", 1)
    journal.take_back(bird, 2)
    events = journal.events
    events[1] = type(events[1])(
        events[1].seq,
        events[1].client_id,
        events[1].kind,
        events[1].payload,
        events[1].who,
        events[1].at,
        late=True,
    )
    assert progress(events).corrections[0].late


def test_counts_that_arrive_late_are_put_where_they_belong_in_time(journal):
    journal.tally("kill", 5)
    journal.tally("kill", 2)
    found = journal.progress()
    assert found.times("kill") == (journal.at(2), journal.at(5))
    assert [tally.at for tally in found.tallies] == [journal.at(2), journal.at(5)]


HISTORIES = st.lists(
    st.one_of(
        st.tuples(st.just("tally"), st.sampled_from(COUNTED[:-1]), st.integers(1, 6)),
        st.tuples(st.just("package"), st.just("bag"), st.integers(0, 2)),
        st.tuples(st.just("explain"), st.sampled_from(COUNTED[:-1]), st.integers(1, 2)),
        st.tuples(st.just("take back"), st.integers(0, 60), st.just(0)),
    ),
    max_size=40,
)


def write(journal, history):
    """Write a history; return the entries that stand, worked out one by one."""
    standing, order = {}, []
    for minute, (kind, what, birds) in enumerate(history):
        if kind == "tally":
            one = journal.tally(what, minute, birds=birds)
            standing[one] = (kind, what, birds)
        elif kind == "package":
            one = journal.package(minute, birds=birds)
            standing[one] = (kind, what, birds)
        elif kind == "explain":
            one = journal.explain(what, minute, birds=birds)
            standing[one] = (kind, what, birds)
        elif order:
            of = order[what % len(order)]
            journal.take_back(of, minute)
            standing.pop(of, None)
            continue
        else:
            continue
        order.append(one)
    return standing


@settings(max_examples=50, deadline=None)
@given(HISTORIES)
def test_after_any_history_the_counts_are_those_of_the_entries_that_stand(new_journal, history):
    journal = new_journal()
    standing = write(journal, history)
    found = journal.progress()
    for code in COUNTED:
        heads = sum(n for kind, at, n in standing.values() if at == code and kind != "explain")
        gone = sum(n for kind, at, n in standing.values() if at == code and kind == "explain")
        assert found.count(code) == len(found.times(code)) == heads
        assert found.explained_after(code) == gone


@settings(max_examples=50, deadline=None)
@given(HISTORIES, st.randoms(use_true_random=False))
def test_the_order_in_which_entries_are_handed_over_does_not_matter(new_journal, history, shuffle):
    journal = new_journal()
    write(journal, history)
    mixed = list(journal.events)
    shuffle.shuffle(mixed)
    assert progress(mixed) == journal.progress()


def test_times_are_in_order_whatever_was_tapped_when(new_journal):
    journal = new_journal()
    minutes = list(range(50))
    random.Random(3).shuffle(minutes)
    for minute in minutes:
        journal.tally("draw", minute)
    times = journal.progress().times("draw")
    assert list(times) == sorted(times)
    assert times[-1] - times[0] == dt.timedelta(minutes=49)
