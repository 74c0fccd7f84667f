"""The cold page: what to do first, the curve under it, the source one tap away."""

from __future__ import annotations

import datetime as dt
import re

import pytest

from pinfeather.actions import farm
from pinfeather.actions.day import closing, days, running, shopfloor
from pinfeather.actions.day.chill_numbers import own_chill_numbers
from pinfeather.records import models


@pytest.fixture
def write(running_day, frozen):
    def reading(what, written, minutes_ago, **more):
        running.write(
            "reading",
            {
                "what": what,
                "place": "North tank",
                "written": written,
                "instrument": "Blue probe",
                **more,
            },
            day_id=running_day,
            who="Odile",
            at=frozen - dt.timedelta(minutes=minutes_ago),
        )

    return reading


@pytest.fixture
def cold(client, running_day, frozen):
    def asked() -> str:
        return client.get(f"/days/{running_day}/cold/").content.decode()

    return asked


def words(text: str) -> str:
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", text)).replace("\u202f", " ")


def test_the_page_says_first_how_the_day_stands(cold) -> None:
    text = words(cold())
    assert "0 of 1 batch is proved." in text
    assert text.index("Still to prove") < text.index("Should be cold by")
    assert text.index("Should be cold by") < text.index("Where this comes from")


def test_without_readings_the_time_comes_from_the_plan_and_is_no_proof(cold) -> None:
    text = words(cold())
    assert "From the plan: a bird of" in text
    assert "never counts as proof" in text
    assert "eight times in ten; not proof" in text


def test_two_readings_of_one_bird_are_said_to_be_the_basis(cold, write) -> None:
    write("bath", "34 F", 40)
    write("bird", "72 F", 38, mass="4.8 lb")
    write("bird", "58 F", 8, mass="4.8 lb")
    text = words(cold())
    assert "From your two readings" in text
    assert "taken to be of the same bird" not in text  # they say so themselves


def test_warm_water_says_how_much_ice(cold, write) -> None:
    write("bath", "39 F", 5)
    text = words(cold())
    assert re.search(r"Add \d+ lb of ice now: the water is at 39\.0 °F", text)
    assert "North tank needs you now." in text


def test_a_proved_batch_shows_its_reading_and_asks_for_nothing(cold, write) -> None:
    write("bird", "37 F", 3)
    text = words(cold())
    assert "Yes. Every batch is proved cold." in text
    assert "Proved cold at" in text
    assert "Probe a bird" not in text


def test_each_batch_has_a_curve_for_wide_and_narrow_screens(cold) -> None:
    assert cold().count('<svg xmlns="http://www.w3.org/2000/svg" class="cold-curve"') == 2


def test_names_of_tanks_are_shown_as_text(client, running_day, frozen) -> None:
    running.write(
        "tally",
        {"station": "chill", "birds": 1, "place": "<script>x</script>"},
        day_id=running_day,
        who="Odile",
        at=frozen,
    )
    page = client.get(f"/days/{running_day}/cold/").content.decode()
    assert "<script>x" not in page


def test_a_closed_day_shows_the_verdict_it_was_closed_with(client, demo_farm) -> None:
    day_id = demo_farm["closed"]
    text = words(client.get(f"/days/{day_id}/cold/").content.decode())
    record = closing.record_chill(dict(days.day(day_id).record or {}))
    for verdict in record:
        assert verdict.finding.sentence.replace("\u202f", " ") in text
    assert "Probe a bird" not in text
    assert "Bring in a logger" not in text


def test_a_day_without_birds_in_a_tank_says_so(client, planned_day, frozen) -> None:
    text = words(client.get(f"/days/{planned_day}/cold/").content.decode())
    assert "No bird is in a tank yet." in text


# --- the bird's weight, and what is learned from it


def test_a_weight_with_a_reading_is_kept_as_written_and_in_kilograms(
    client, running_day, frozen
) -> None:
    form = {
        "what": "bird",
        "place": "North tank",
        "written": "58 F",
        "instrument": "Blue probe",
        "mass": "5.2 lb",
    }
    assert client.post(f"/days/{running_day}/reading/", form).status_code == 302
    payload = models.Entry.objects.get(kind="reading").payload
    assert payload["mass"] == "5.2 lb"
    assert payload["mass_kg"] == pytest.approx(5.2 * 0.45359237)
    (one,) = shopfloor.floor(running_day, now=frozen).readings
    assert one.reading.mass_kg == payload["mass_kg"]


def test_a_reading_without_a_weight_is_as_before(client, running_day, frozen) -> None:
    form = {"what": "bird", "place": "North tank", "written": "58 F", "instrument": "Blue probe"}
    client.post(f"/days/{running_day}/reading/", {**form, "mass": ""})
    assert "mass" not in models.Entry.objects.get(kind="reading").payload


@pytest.mark.parametrize("mass", ["5.2", "5,2 lb", "900 lb", "heavy"])
def test_a_weight_that_cannot_be_is_told_beside_its_field(
    client, running_day, frozen, parse, mass
) -> None:
    form = {"what": "bird", "written": "58 F", "instrument": "Blue probe", "mass": mass}
    response = client.post(f"/days/{running_day}/reading/", form)
    assert response.status_code == 422
    assert parse(response).fault("mass")
    assert parse(response).fields()["mass"] == mass
    assert not models.Entry.objects.filter(kind="reading").exists()


def closed_day(day_id, *, seal, readings):
    """Close a day as it stands, judged or not, with readings of weighed birds."""
    for what, written, minute, mass in readings:
        running.write(
            "reading",
            {"what": what, "place": "North tank", "written": written, "instrument": "Blue probe",
             "mass": mass},
            day_id=day_id,
            who="Odile",
            at=days.day(day_id).start + dt.timedelta(minutes=minute),
        )  # fmt: skip
    newest = models.Entry.objects.order_by("-seq").first()
    models.Day.objects.filter(pk=day_id).update(
        status=models.Day.Status.CLOSED,
        seal=seal,
        sealed_seq=newest.seq,
        sealed_at=newest.received_at,
    )


PROBED = [
    ("bath", "33.8 F", 40, ""),
    *(
        reading
        for mass, first, second in (
            ("4.2 lb", "52 F", "39 F"),
            ("4.6 lb", "54 F", "40 F"),
            ("5.0 lb", "57 F", "42 F"),
        )
        for reading in (("bird", first, 70, mass), ("bird", second, 100, mass))
    ),
]


def test_closed_days_teach_the_next_plan(client, running_day, frozen) -> None:
    before = days.day(running_day)
    closed_day(running_day, seal="a" * 64, readings=PROBED)
    later = {**before.mapping, "date": "2026-06-24"}
    day_id = days.save_plan(later, days=4, change_days=0)
    text = words(client.get(f"/days/{day_id}/numbers/").content.decode())
    assert "your last 1 day, 3 probed birds, 6 readings" in text
    (old, new) = (d.plan.classes[-1].stay_s for d in (before, days.day(day_id)))
    assert new < old  # those birds cooled faster than the handbook's


def test_a_day_never_learns_from_itself_or_from_later_days(running_day, frozen) -> None:
    closed_day(running_day, seal="b" * 64, readings=PROBED)
    assert own_chill_numbers(before=days.day(running_day).date).groups == {}
    assert own_chill_numbers(before=days.day(running_day).date + dt.timedelta(days=1)).groups


def test_the_numbers_page_shows_prior_data_and_what_it_makes(client, running_day, frozen) -> None:
    empty = words(client.get("/farm/numbers/").content.decode())
    assert "Nothing learned yet." in empty
    closed_day(running_day, seal="c" * 64, readings=PROBED)
    text = words(client.get("/farm/numbers/").content.decode())
    assert "Used in plans" in text
    assert "Your last 1 day, 3 probed birds, 6 readings." in text
    assert "40.0 mm" in text  # the handbook
    assert re.search(r"\d+ %", text)
    assert "Carslaw and Jaeger" in text
    assert "4.20 lb" in text


def test_a_metric_farm_sees_celsius(client, cold, running_day, write) -> None:
    home = farm.farm()
    farm.save_farm({name: getattr(home, name) for name in farm.FARM_FIELDS} | {"units": "metric"})
    write("bath", "39 F", 5)
    text = words(cold())
    assert "the water is at 3.9 °C" in text
    assert "kg of ice" in text
