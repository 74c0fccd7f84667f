"""The farm's own times, and where a closed day's plan was wrong."""

from __future__ import annotations

from pinfeather.actions.day import days
from pinfeather.actions.line import numbers as line_numbers
from pinfeather.actions.line import what_if
from pinfeather.day.practice import Practice
from pinfeather.estimate import Basis, Estimate, Origin
from pinfeather.line.learning import LearnedRate


def test_before_the_first_closed_day_it_says_so(client, parse, planned_day) -> None:
    text = parse(client.get("/farm/line-numbers/")).one("main").text
    assert "No closed day yet" in text


def test_prior_data_and_posterior_stand_side_by_side(client, parse, demo_farm) -> None:
    text = parse(client.get("/farm/line-numbers/")).one("main").text
    for words in ("Handbook", "Your taps", "Next plan", "your last 2 days", "Chicken", "Turkey"):
        assert words in text


def test_a_closed_day_tells_where_its_plan_was_wrong(client, parse, demo_farm) -> None:
    day_id = next(line.id for line in days.days() if line.lots == "B2")
    page = parse(client.get(f"/days/{day_id}/hindsight/"))
    text = page.one("main").text
    assert "The last bird went into the chill" in text
    assert "Drawing" in text
    assert "Planned in gray, counted in black" in text
    order = [e.tag for e in page.elements if e.tag in {"svg", "table"}]
    assert order == ["svg", "svg", "table"]
    links = {a.attrs["href"] for a in parse(client.get(f"/days/{day_id}/")).all("a")}
    assert f"/days/{day_id}/hindsight/" in links


def test_a_pace_nobody_has_learned_is_not_taken(client, demo_farm) -> None:
    assert client.post("/farm/line-numbers/", {"name": "Nobody"}).status_code == 422


def test_the_next_plan_of_a_kind_uses_the_learned_times(demo_farm, day_mapping) -> None:
    saved = days.save_plan(day_mapping(date="2026-06-20"), days=2, change_days=0)
    own = {(one.station, one.phase): one.time_s for one in days.day(saved).plan.own_times}
    request = days.day(saved).request
    assert own == line_numbers.learned_times(request)
    assert "your last 2 days" in own["draw", "draw"].basis.note


def test_a_day_of_two_kinds_is_planned_from_the_handbook(demo_farm, day_mapping) -> None:
    mapping = day_mapping()
    mapping["lots"].append({"code": "D1", "species": "duck", "count": "2", "mean": "5 lb"})
    saved = days.save_plan(mapping, days=2, change_days=0)
    assert days.day(saved).plan.own_times == ()


def test_first_days_at_the_table_stand_with_prior_data_and_both(
    client, parse, demo_farm, monkeypatch
) -> None:
    own = Basis(Origin.OWN, "30 birds", "measured")
    rate = LearnedRate(
        Estimate(0.9, 0.83, 0.98, Basis(Origin.HANDBOOK, "assumed", "assumed")),
        Estimate(0.8, 0.74, 0.86, own),
        Estimate(0.82, 0.77, 0.88, own),
    )
    rows = (
        Practice("Tilda", 1, 30, rate, 3.7),
        Practice("Ansel", 5, 150, rate, 5.9),
    )
    monkeypatch.setattr(
        line_numbers,
        "learn_practice",
        lambda days, species: rows if species == "chicken" else (),
    )
    text = parse(client.get("/farm/line-numbers/")).one("main").text
    for words in ("Tilda", "0.90", "0.80", "0.82", "times as quick", "past the first days"):
        assert words in text


def test_a_plan_takes_a_beginners_practice_and_what_if_plays_the_same(
    client, parse, demo_farm, day_mapping, monkeypatch
) -> None:
    plain = days.save_plan(day_mapping(date="2026-06-20"), days=2, change_days=0)
    quick = Estimate(1.2, 1.1, 1.25, Basis(Origin.OWN, "Bram: 30 birds drawn on one day"))
    monkeypatch.setattr(line_numbers, "learned_speeds", lambda request, skip=None: {"Bram": quick})
    saved = days.save_plan(day_mapping(date="2026-06-21"), days=2, change_days=0)
    plan = days.day(saved).plan
    assert [(one.name, one.speed) for one in plan.practised] == [("Bram", quick)]
    assert plan.line_end_s < days.day(plain).plan.line_end_s
    stands = what_if.as_it_stands(days.day(saved))
    assert abs(stands.table.line_end_s - plan.line_end_s) < 1.0
    assert "quicker than so far" in parse(client.get(f"/days/{saved}/numbers/")).one("main").text
