"""The farm's own times, and where a closed day's plan was wrong."""

from __future__ import annotations

from pinfeather.actions import days, line_numbers


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
