"""A lot's life: written once, struck out with a reason, and read from closed days."""

from __future__ import annotations

import datetime as dt

import pytest

from pinfeather.actions.day import closing, days, running
from pinfeather.actions.flock import books as flocks
from pinfeather.actions.flock import plan as flock_plan
from pinfeather.actions.flock import setup as flock_setup
from pinfeather.actions.flock import view as flock_view
from pinfeather.actions.flock.lots import as_typed, save_lot
from pinfeather.errors import InputFaultsError, RecordConflictError, RecordNotFoundError
from pinfeather.finding import Severity
from pinfeather.flock.alerts import signs
from pinfeather.flock.lot import Cause, Lost, Processed, Weighed, losses_by_cause
from pinfeather.records import journal, models

ARRIVED = {"on": "2026-04-22", "pen": "Brooder", "ordered": "50", "spares": "1", "dead": "1"}
LOT = {
    "code": "M4", "species": "chicken", "build": "broad", "sex": "straight run", "curve": "",
    "setting": "usual", "hatched": "2026-04-20", "plan_on": "2026-06-24",
}  # fmt: skip


@pytest.fixture
def m4(farm, frozen) -> str:
    """A lot of fifty that came two days after hatch, eight weeks ago."""
    save_lot(LOT, new=True)
    flocks.add_event("M4", "arrived", ARRIVED, who="Odile")
    return "M4"


def add(code: str, kind: str, **typed: str) -> str:
    return flocks.add_event(code, kind, {"on": "2026-06-10", **typed}, who="Odile")


def faults(code: str, kind: str, **typed: str) -> dict[str, str]:
    with pytest.raises(InputFaultsError) as caught:
        add(code, kind, **typed)
    return {fault.name: fault.problem for fault in caught.value.faults}


def test_a_life_adds_up_and_every_line_is_in_the_journal(m4) -> None:
    add(m4, "moved", pen="Brooder", to="Grass 1", heads="49", on="2026-05-14")
    add(m4, "lost", pen="Brooder", heads="1", cause="found dead", on="2026-05-01")
    add(m4, "lost", pen="Grass 1", heads="2", cause="predator", on="2026-05-20")
    add(m4, "sold", pen="Grass 1", heads="3", on="2026-06-01")

    now = flock_view.lot_now(m4)

    assert (now.balance.arrived, now.heads, now.balance.lost, now.balance.sold) == (50, 44, 3, 3)
    assert now.pens == (("Grass 1", 44),)
    assert losses_by_cause(now.book.life.events) == {Cause.PREDATOR: 2, Cause.FOUND_DEAD: 1}
    assert models.Entry.objects.filter(kind="flock").count() == 5
    assert journal.broken_at() is None


def test_a_count_that_differs_says_by_how_many_and_since_when(m4) -> None:
    add(m4, "counted", pen="Brooder", heads="47")

    (finding,) = [f for f in flock_view.lot_now(m4).findings if f.code == "lot.count"]
    assert "3 birds are missing on 10 June 2026; the book was right on 22 April 2026" in (
        finding.sentence
    )


@pytest.mark.parametrize(
    ("kind", "typed", "expected"),
    [
        ("lost", {"pen": "", "heads": "many", "cause": "bored"}, {"pen", "heads", "cause"}),
        ("lost", {"pen": "Brooder", "cause": "culled", "on": "2026-06-18"}, {"on"}),
        ("arrived", {"pen": "B", "ordered": "3", "dead": "9"}, {"dead"}),
        ("moved", {"pen": "Brooder", "to": "Brooder", "heads": "3"}, {"to"}),
        ("moved", {"pen": "Brooder", "to": "", "heads": "0"}, {"to", "heads"}),
        ("weighed", {"weights": "4.1; 4 lb", "unit": ""}, {"weights"}),
        ("weighed", {"weights": "4 lb", "tare": "5 lb"}, {"tare"}),
        ("weighed", {"weights": "4 lb", "on": "2026-04-20"}, {"on"}),
        ("feed", {"mass": "three bags"}, {"mass"}),
        ("feed", {"mass": "0 lb"}, {"mass"}),
        ("medicine", {"medicine": "", "withdrawal_d": ""}, {"medicine", "withdrawal_d"}),
        ("medicine", {"medicine": "X", "withdrawal_d": "3", "last_on": "2026-06-01"}, {"last_on"}),
        ("signs", {}, {"signs"}),
        ("cleared", {"by": ""}, {"by"}),
        ("note", {"note": " "}, {"note"}),
        ("struck", {"of": "x"}, {"event"}),
        ("danced", {}, {"event"}),
    ],
)
def test_every_fault_is_told_at_once_under_its_field(m4, kind, typed, expected) -> None:
    before = models.Entry.objects.count()
    assert set(faults(m4, kind, **typed)) == expected
    assert models.Entry.objects.count() == before


def test_the_same_form_sent_twice_is_written_once(m4) -> None:
    typed = {"on": "2026-06-10", "pen": "Brooder", "heads": "1", "cause": "culled"}
    for _time in range(2):
        flocks.add_event(m4, "lost", typed, who="Odile", client_id="abc123")
    assert flock_view.lot_now(m4).balance.lost == 1


def test_a_wrong_line_is_struck_out_and_stays_readable(m4) -> None:
    wrong = add(m4, "lost", pen="Brooder", heads="5", cause="weather")

    flocks.strike_out(m4, wrong, reason="It was lot K7.", who="Bram")

    book = flocks.book(m4)
    (entry,) = [one for one in book.entries if one.id == wrong]
    assert (entry.struck, entry.struck_by) == ("It was lot K7.", "Bram")
    assert entry.words == "5 in Brooder: heat, cold or storm"
    assert not any(isinstance(e, Lost) for e in book.life.events)
    assert models.Entry.objects.filter(client_id=wrong).exists()
    assert journal.broken_at() is None
    with pytest.raises(RecordConflictError):
        flocks.strike_out(m4, wrong, reason="again", who="Bram")


def test_striking_out_needs_a_reason_and_a_line_of_this_lot(m4) -> None:
    line = add(m4, "note", note="Rain.")
    with pytest.raises(InputFaultsError):
        flocks.strike_out(m4, line, reason=" ", who="Bram")
    for code, entry in (("K7", line), (m4, "nothing")):
        with pytest.raises(RecordNotFoundError):
            flocks.strike_out(code, entry, reason="wrong", who="Bram")


def test_a_basket_is_weighed_less_the_basket(m4) -> None:
    add(m4, "weighed", weights="46 lb\n45 lb", birds_each="10", tare="3 lb")
    (event,) = [e for e in flocks.book(m4).life.events if isinstance(e, Weighed)]
    assert event.birds_each == 10
    assert sum(event.weights_kg) == pytest.approx(85 * 0.45359237, rel=1e-6)


def test_a_lot_with_only_a_number_counts_on_until_its_arrival_is_written(farm, frozen) -> None:
    assert flock_view.lot_now("K7").heads == 30
    assert flocks.book("K7").assumed_arrival

    add("K7", "arrived", **{**ARRIVED, "ordered": "28", "dead": "0"})

    assert flock_view.lot_now("K7").heads == 29
    assert not flocks.book("K7").assumed_arrival


@pytest.fixture
def closed(planned_day, count_birds, sent, now, frozen) -> int:
    """The planned day of six K7 birds, counted without naming the lot, packed and closed."""
    start = days.day(planned_day).start
    count_birds(
        planned_day, dict.fromkeys(("catch", "kill", "pick", "draw", "chill"), 6), first=start
    )
    package = {"lot": "K7", "tank": "North tank", "product": "Whole chicken", "gross": "4.55 lb",
               "tare": "0.03 lb", "net_lb": "4.52", "total": "24.86"}  # fmt: skip
    at = start + dt.timedelta(minutes=90)
    running.receive(
        planned_day,
        [
            sent("package", {**package, "number": n}, client_id=f"pk{n}", at=at)
            for n in range(1, 7)
        ],
        device="phone", sent_at=now, now=now,
    )  # fmt: skip
    for one in closing.judge(planned_day, now=now).unanswered:
        f = one.finding
        closing.answer(planned_day, finding=f.code, where=f.where, text="Done.", who="Odile")
    closing.close(planned_day, who="Odile", now=now)
    return planned_day


def test_a_closed_day_shows_in_its_lots_life_and_nobody_types_it_twice(closed) -> None:
    book = flocks.book("K7")

    assert [e for e in book.life.events if isinstance(e, Processed)] == [
        Processed(dt.date(2026, 6, 17), "", 6)
    ]
    (entry,) = [one for one in book.entries if one.day_id == closed]
    assert (entry.title, entry.who) == ("Processed", "Odile")
    assert flock_view.lot_now("K7").heads == 24
    assert not models.Entry.objects.filter(kind="flock").exists()


def test_a_closed_day_takes_the_birds_out_of_the_pens_they_were_in(closed) -> None:
    add("K7", "arrived", **{**ARRIVED, "ordered": "10", "spares": "0", "dead": "0"})
    add("K7", "moved", pen="Brooder", to="Grass 1", heads="4")

    now = flock_view.lot_now("K7")

    assert now.heads == 4
    assert now.balance.processed == 6
    assert not [f for f in now.findings if f.code == "lot.below_nothing"]


def test_more_birds_processed_than_the_book_has_is_a_finding(closed) -> None:
    add("K7", "arrived", **{**ARRIVED, "ordered": "4", "spares": "0", "dead": "0"})
    (finding,) = [f for f in flock_view.lot_now("K7").findings if f.code == "lot.below_nothing"]
    assert "2 birds more have left than ever came, since 17 June 2026" in finding.sentence


def test_a_plan_stops_where_a_medicine_is_still_in_the_birds(m4, day_mapping) -> None:
    medicine = {"medicine": "Medicine A", "last_on": "2026-06-15", "withdrawal_d": "5"}
    add(m4, "medicine", on="2026-06-12", **medicine)
    lot = {**day_mapping()["lots"][0], "code": "M4"}

    early = days.save_plan(day_mapping(date="2026-06-20", lots=[lot]), days=1, change_days=0)
    late = days.save_plan(day_mapping(date="2026-06-21", lots=[lot]), days=1, change_days=0)

    (finding,) = [f for f in days.day(early).plan.findings if f.code == "lot.withdrawal"]
    assert finding.severity is Severity.STOP
    assert "M4: not before 21 June 2026; Medicine A" in finding.sentence
    assert days.day(early).plan.findings[0].severity is Severity.STOP
    assert not [f for f in days.day(late).plan.findings if f.code == "lot.withdrawal"]


def test_a_medicine_given_after_the_plan_was_made_stops_it_too(m4, day_mapping) -> None:
    lot = {**day_mapping()["lots"][0], "code": "M4"}
    day_id = days.save_plan(day_mapping(date="2026-06-20", lots=[lot]), days=1, change_days=0)
    assert not [f for f in days.day(day_id).plan.findings if f.code.startswith("lot.")]

    entry = add(
        m4, "medicine", on="2026-06-16", medicine="A", last_on="2026-06-17", withdrawal_d="7"
    )
    assert [f.code for f in days.day(day_id).plan.findings if f.code.startswith("lot.")] == [
        "lot.withdrawal"
    ]

    flocks.strike_out(m4, entry, reason="Other lot.", who="Bram")
    assert not [f for f in days.day(day_id).plan.findings if f.code.startswith("lot.")]


def test_signs_of_sickness_stop_everything_until_somebody_clears_them(m4, day_mapping) -> None:
    lot = {**day_mapping()["lots"][0], "code": "M4"}
    day_id = days.save_plan(day_mapping(date="2026-06-20", lots=[lot]), days=1, change_days=0)
    seen = [next(iter(signs()))]
    flocks.add_event(m4, "signs", {"on": "2026-06-16", "signs": seen}, who="Odile")

    for findings in (flock_view.lot_now(m4).findings, days.day(day_id).plan.findings):
        (sick,) = [f for f in findings if f.code == "lot.sick"]
        assert sick.severity is Severity.STOP
        assert "call the state veterinarian" in sick.reason

    add(m4, "cleared", by="Dr. Wren", on="2026-06-17")
    assert not [f for f in flock_view.lot_now(m4).findings if f.code == "lot.sick"]
    assert not [f for f in days.day(day_id).plan.findings if f.code == "lot.sick"]


def test_more_birds_planned_than_there_are_is_told(m4, day_mapping) -> None:
    lot = {**day_mapping()["lots"][0], "code": "M4", "count": "51"}
    day_id = days.save_plan(day_mapping(date="2026-06-20", lots=[lot]), days=1, change_days=0)
    (finding,) = [f for f in days.day(day_id).plan.findings if f.code == "lot.more_than_there"]
    assert (finding.measured, finding.limit) == (51, 50)


def test_an_offer_rests_on_what_was_weighed_and_says_so(m4) -> None:
    guess = {o.code: o for o in flock_plan.offers(dt.date(2026, 6, 24))}[m4]
    add(m4, "weighed", weights="\n".join(["5.0", "5.4", "4.7", "5.2", "4.9", "5.6"] * 3), unit="lb")
    known = {o.code: o for o in flock_plan.offers(dt.date(2026, 6, 24))}[m4]

    assert "not weighed yet" in guess.words
    assert "18 birds weighed, the last at 51 days" in known.words
    assert known.row["mean"] != guess.row["mean"]
    pounds = float(known.row["mean"].split()[0])
    assert 0.65 * 5.13 < pounds < 5.13 * 1.2
    assert known.row["hatched"] == "2026-04-20"


def test_what_a_lot_is_can_be_changed_and_comes_back_as_typed(m4) -> None:
    changed = {**as_typed(flocks.lot(m4)), "sex": "males", "outlet": "Market", "plan_on": ""}
    save_lot(changed, new=False)
    assert as_typed(flocks.lot(m4)) == changed


@pytest.mark.parametrize(
    ("change", "names"),
    [
        ({"code": "new"}, {"code"}),
        ({"code": "a/b"}, {"code"}),
        ({"code": "K7"}, {"code"}),
        ({"species": "ostrich", "sex": "", "curve": "nothing"}, {"species", "sex", "curve"}),
        ({"hatched": "soon", "plan_on": "later"}, {"hatched", "plan_on"}),
        ({"plan_on": "2026-04-01"}, {"plan_on"}),
    ],
)
def test_a_lots_faults_are_told_all_at_once(farm, change, names) -> None:
    with pytest.raises(InputFaultsError) as caught:
        save_lot({**LOT, **change}, new=True)
    assert {fault.name for fault in caught.value.faults} == names


def test_a_breed_booklet_typed_in_is_used_for_its_lots(m4) -> None:
    rows = "7: 0.3 lb\n21: 1.5 lb\n42: 4.0 lb\n63: 6.5 lb"
    flock_setup.save_curve({"title": "Creek cross", "species": "chicken", "rows": rows})
    save_lot({**LOT, "curve": "own:Creek cross"}, new=False)

    now = flock_view.lot_now(m4)
    assert now.curve is not None
    assert now.curve.title == "Creek cross"
    look = flock_view.look(now, dt.date(2026, 6, 22))
    assert look is not None
    assert look.live_kg.value == pytest.approx(6.5 * 0.45359237)


def test_a_booklets_faults_are_told_beside_their_field(farm) -> None:
    with pytest.raises(InputFaultsError) as caught:
        flock_setup.save_curve({"title": "", "species": "fish", "rows": "one: two\n7: 3"})
    assert [f.name for f in caught.value.faults] == ["title", "species", "rows", "rows"]
    with pytest.raises(InputFaultsError) as caught:
        flock_setup.save_curve(
            {"title": "X", "species": "duck", "rows": "7: 1 lb\n14: 0.9 lb\n21: 2 lb"}
        )
    assert [f.name for f in caught.value.faults] == ["rows"]


def test_a_goose_lot_has_its_book_without_weights_to_expect(farm, frozen) -> None:
    save_lot({**LOT, "code": "G1", "species": "goose"}, new=True)
    flocks.add_event("G1", "arrived", ARRIVED, who="Odile")
    found = flock_view.detail("G1")
    assert found.now.heads == 50
    assert (found.now.outlook, found.feed_to_come, found.weigh) == (None, None, None)
