"""The plan's form: keeps everything typed, puts each sentence beside its field, needs no script."""

from __future__ import annotations

from functools import partial

import pytest

from pinfeather.actions.day import days


@pytest.fixture(autouse=True)
def quick(monkeypatch):
    """Plan with few simulated days."""
    monkeypatch.setattr(days, "save_plan", partial(days.save_plan, days=2, change_days=0))


def flat(value, path: str = "") -> dict:
    """Write a nested mapping as the form's field names."""
    if isinstance(value, dict):
        found = {}
        for name, inner in value.items():
            found |= flat(inner, f"{path}.{name}" if path else name)
        return found
    if isinstance(value, list) and value and isinstance(value[0], dict):
        found = {}
        for number, inner in enumerate(value):
            found |= flat(inner, f"{path}[{number}]")
        return found
    return {path: value}


@pytest.fixture
def typed(day_mapping) -> dict:
    return flat(day_mapping())


def test_a_plan_is_worked_out_and_shown(farm, client, parse, typed) -> None:
    response = client.post("/days/new/", typed, follow=True)

    assert response.status_code == 200
    text = parse(response).one("main").text
    assert "17 June 2026: 6 birds" in text
    assert "All packed by" in text
    (line,) = days.days()
    assert days.day(line.id).plan.birds == 6


def test_the_form_sent_back_unchanged_is_the_form_that_was_sent(farm, client, parse, typed) -> None:
    response = client.post("/days/new/", {**typed, "do": "add nothing"})

    kept = parse(response).fields()
    assert {name: kept.get(name) for name in typed} == typed


def test_a_saved_plan_opens_with_what_was_typed_and_saves_again(
    planned_day, client, parse, typed
) -> None:
    page = parse(client.get(f"/days/{planned_day}/change/"))
    kept = page.fields()
    assert {name: kept.get(name) for name in typed} == typed

    again = client.post(f"/days/{planned_day}/change/", {**kept, "do": "save"})

    assert again.status_code == 302
    assert days.day(planned_day).version == 2


FAULTS = {
    "date": ("the 32nd", "date"),
    "start": ("late", "time"),
    "deadline": ("08:00", "after it starts"),
    "air": ("68", "no unit"),
    "altitude": ("700 lb", "not a unit"),
    "lots[0].code": ("k7", "capital letters"),
    "lots[0].count": ("six", ""),
    "lots[0].mean": ("4,5 lb", "comma"),
    "lots[0].spread": ("9 lb", ""),
    "people[0].to": ("08:00", "later than the beginning"),
    "people[1].pace": ("fast", ""),
    "equipment.cones": ("0", ""),
    "equipment.scalder": ("30", "no unit"),
    "equipment.burner": ("hot", ""),
    "equipment.tanks[0].volume": ("50 lb", "not a unit"),
    "sanitiser.bleach": ("strong", ""),
}


@pytest.mark.parametrize("name", FAULTS)
def test_a_sentence_stands_beside_its_field(farm, client, parse, typed, name) -> None:
    wrong, words = FAULTS[name]

    response = client.post("/days/new/", {**typed, name: wrong})

    page = parse(response)
    assert response.status_code == 422
    assert page.fault(name).endswith((".", "”."))
    assert words in page.fault(name)
    kept = page.fields()
    assert {n: kept.get(n) for n in typed} == {**typed, name: wrong}
    assert page.one("section", role="alert")
    marked = [e.attrs["name"] for e in page.elements if e.attrs.get("aria-invalid") == "true"]
    assert name in marked
    assert days.days() == ()


def test_all_faults_are_told_at_once_each_beside_its_field(farm, client, parse, typed) -> None:
    several = ("start", "lots[0].mean", "equipment.scalder", "sanitiser.bleach")
    wrong = {name: FAULTS[name][0] for name in several}

    page = parse(client.post("/days/new/", {**typed, **wrong}))

    assert all(page.fault(name) for name in several)
    alert = page.one("section", role="alert").text
    assert "4 things need another look" in alert


def test_faults_of_no_one_field_stand_at_the_top(farm, client, parse, typed) -> None:
    typed["people[1].stations"] = ["draw"]

    page = parse(client.post("/days/new/", typed))

    assert "Nobody can do: rinse" in page.one("section", role="alert").text


@pytest.mark.parametrize(
    ("what", "first_field"), [("lots", "code"), ("people", "name"), ("tanks", "name")]
)
def test_rows_are_added_and_taken_off_without_script(
    farm, client, parse, typed, what, first_field
) -> None:
    prefix = "equipment.tanks" if what == "tanks" else what
    start = parse(client.post("/days/new/", {**typed, "do": "nothing"})).fields()
    rows = len({n.split("].")[0] for n in start if n.startswith(f"{prefix}[")})

    more = client.post("/days/new/", {**typed, "do": f"add {what}"})
    kept = parse(more).fields()
    assert more.status_code == 200
    assert f"{prefix}[{rows}].{first_field}" in kept
    assert {n: kept.get(n) for n in typed} == typed

    kept[f"{prefix}[{rows}].{first_field}"] = "NEW"
    fewer = parse(client.post("/days/new/", {**kept, "do": f"remove {what} 0"})).fields()
    assert f"{prefix}[{rows}].{first_field}" not in fewer
    assert fewer[f"{prefix}[{rows - 1}].{first_field}"] == "NEW"


def test_the_form_sends_its_main_button_when_enter_is_pressed(farm, client, parse) -> None:
    page = parse(client.get("/days/new/"))

    first = next(one for one in page.all("button") if one.attrs.get("type") != "button")
    assert (first.attrs["name"], first.attrs["value"]) == ("do", "save")


def test_of_two_who_change_a_plan_the_second_keeps_what_was_typed(
    planned_day, client, parse, typed
) -> None:
    url = f"/days/{planned_day}/change/"
    first = parse(client.get(url)).fields()
    client.post(url, {**first, "start": "10:00", "do": "save"})

    second = client.post(url, {**first, "start": "11:00", "do": "save"})

    page = parse(second)
    assert second.status_code == 422
    assert "Somebody else changed this plan" in page.one("section", role="alert").text
    assert page.fields()["start"] == "11:00"


def test_weights_one_by_one_are_kept(farm, client, parse, typed) -> None:
    weights = "4 lb 3 oz; 4.6 lb; 2 kg"
    typed |= {"lots[0].count": "", "lots[0].mean": "", "lots[0].weights": weights}

    assert client.post("/days/new/", typed).status_code == 302
    (line,) = days.days()
    assert line.birds == 3
    kept = parse(client.get(f"/days/{line.id}/change/")).fields()
    assert kept["lots[0].weights"] == weights

    typed["lots[0].weights"] = "4 lb 3 oz; heavy"
    faulty = parse(client.post("/days/new/", typed))
    assert faulty.fields()["lots[0].weights"] == "4 lb 3 oz; heavy"
    assert "heavy" in faulty.one("main").text


@pytest.mark.parametrize(
    "odd",
    [
        pytest.param({"lots": "abc"}),
        pytest.param({"people": "x"}),
        pytest.param({"equipment": "x"}),
        pytest.param({"equipment.tanks": "x"}),
        pytest.param({"sanitiser": "x"}),
        pytest.param({"lots[0]": "x"}),
        {"lots[99999999].code": "Z9"},
        {"lots[0].code[1].x": "y"},
        {"": "x"},
        {"a.b.c.d.e": "x"},
        pytest.param({"version": "abc"}),
        pytest.param({"do": "remove lots ²"}),
        {"do": "remove people 99"},
        {"do": "add roof"},
        {"people[0].breaks": "always"},
        {"people[0].stations": "roof"},
    ],
)
def test_a_form_nobody_would_send_is_never_a_crash(farm, client, typed, odd) -> None:
    client.raise_request_exception = False

    response = client.post("/days/new/", {**typed, **odd})

    assert response.status_code < 500
