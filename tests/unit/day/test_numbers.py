import pytest

from pinfeather.day.cold import bird_chill_times
from pinfeather.day.flow import flow
from pinfeather.day.hot import scald_plan
from pinfeather.day.numbers import planning_numbers
from pinfeather.estimate import Basis, Estimate, Origin
from pinfeather.heat.breast import breast_thickness
from pinfeather.rules.profile import load
from pinfeather.units import to_si

FEDERAL = load("us-federal")


def numbers(request, *, times=None, temp_unit="F", length_unit="in"):
    chills = [bird_chill_times(lot, stirred=True, profile=FEDERAL) for lot in request.lots]
    found = planning_numbers(
        flow(request, chills, times=times),
        chills,
        scald=scald_plan(request, line_s=6500.0),
        temp_unit=temp_unit,
        length_unit=length_unit,
    )
    return {number.name: number for number in found}


def test_every_number_says_where_it_comes_from_and_how_sure_that_is(day_request):
    for number in numbers(day_request).values():
        assert number.basis.note
        assert number.basis.status


def test_every_stations_work_is_listed_but_the_computed_chill(day_request):
    names = numbers(day_request)
    assert names["kill: bleed"].value == "180\u202fs"
    assert names["kill: bleed"].band == "180–240\u202fs"
    assert names["kill: bleed"].basis.status == "common practice"
    assert "chill: chill" not in names


def test_setting_up_and_cleaning_stand_there_by_station(day_request):
    names = numbers(day_request)
    assert names["draw: clean up"].value == "25\u202fmin"
    assert names["draw: clean up"].basis.status == "assumed"
    assert names["chill: set up"].value == "20\u202fmin"
    assert "store: clean up" not in names


def test_everybodys_rest_allowance_stands_there_with_its_basis(request_with):
    found = numbers(request_with(lambda m: m["people"][0].update(allowance="12 %")))
    name = request_with().people[0].name
    given = found[f"{name}: rest allowance"]
    assert given.value == "12\u202f%"
    assert "given for this plan" in given.basis.note
    none = [one for key, one in found.items() if key.endswith("rest allowance")][1]
    assert none.value == "0\u202f%"
    assert "International Labour Office" in none.basis.note
    assert none.basis.status == "assumed"


def test_a_typed_time_has_no_band(day_request):
    number = numbers(day_request)["pick: run"]
    assert (number.value, number.band) == ("25\u202fs", "")
    assert number.basis.origin is Origin.TYPED


def test_the_farms_own_time_shows_as_its_own(day_request):
    own = Estimate(150.0, 120.0, 200.0, Basis(Origin.OWN, "your last 3 days", "measured"))
    number = numbers(day_request, times={("draw", "draw"): own})["draw: draw"]
    assert (number.value, number.band) == ("150\u202fs", "120–200\u202fs")
    assert number.basis == own.basis


@pytest.mark.parametrize(("unit", "value"), [("F", "145\u202f°F"), ("C", "63\u202f°C")])
def test_the_scald_water_is_shown_with_its_published_band(day_request, unit, value):
    number = numbers(day_request, temp_unit=unit)["Scald water"]
    assert number.value == value
    assert "–" in number.band


@pytest.mark.parametrize("heavy_first", [True, False])
def test_the_breast_shown_is_that_of_the_heaviest_bird(request_with, heavy_first):
    def change(written):
        written["lots"][0].update(spread="0 lb", mean="6 lb")
        if not heavy_first:
            written["lots"].reverse()

    number = numbers(request_with(change), length_unit="mm")["Breast of the heaviest bird"]
    thickness = breast_thickness(6 * 0.45359237, build="broad").value
    assert to_si(float(number.value.split()[0]), "mm", "length") == pytest.approx(
        thickness, abs=0.00015
    )


def test_the_heat_through_the_skin_has_a_band(day_request):
    number = numbers(day_request)["Heat through the skin into the water"]
    low, high = (float(end) for end in number.band.split("–"))
    assert low < float(number.value.split("\u202f")[0]) < high
