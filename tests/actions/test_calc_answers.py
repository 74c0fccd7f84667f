"""What single calculators answer, against worked figures and against themselves."""

from __future__ import annotations

import math

import pytest

from pinfeather.actions.calc.catalogue import calculation, work_out
from pinfeather.errors import InputFaultsError
from pinfeather.finding import Severity


def answer(name: str, **written: str | bytes):
    return work_out(calculation(name), written)


def codes(result) -> set[str]:
    return {finding.code for finding in result.findings}


def stops(result) -> set[str]:
    return {f.code for f in result.findings if f.severity is Severity.STOP}


def test_a_bath_warmer_than_the_limit_never_gets_there():
    found = answer("chill", water="42 F")

    assert found.values["time_s"] is None
    assert found.values["low_s"] is None
    assert found.shown[0].value == "never"
    assert stops(found)


def test_a_measured_thickness_goes_before_the_build():
    thick = answer("chill", build="lean", thickness="50 mm")

    assert thick.values["thickness_m"] == pytest.approx(0.05)
    assert thick.values == answer("chill", build="broad", thickness="50 mm").values


def test_a_closed_cavity_takes_more_than_twice_as_long():
    is_open, closed = (answer("chill", cavity=c).values["time_s"] for c in ("open", "closed"))

    assert 2.2 < closed / is_open < 2.5


def test_a_tank_without_enough_ice_is_told_when_to_add_some():
    short = answer("bath", ice="60 lb")
    enough = answer("bath", ice="200 lb")

    assert short.values["time_s"] is None
    assert "bath.never" in stops(short)
    assert short.values["ice_kg"] > 0
    assert enough.values["ice_kg"] == 0
    assert not stops(enough)
    assert enough.values["ice_left_kg"] > 0
    assert [step["ice_kg"] for step in short.values["advice"]]


def test_ice_adds_up():
    found = answer("ice").values

    parts = ("birds_kg", "water_kg", "gains_kg", "reserve_kg")
    assert sum(found[part] for part in parts) == pytest.approx(found["ice_kg"])
    assert found["low_kg"] < found["ice_kg"] < found["high_kg"]


def test_a_freezer_that_is_not_cold_enough_never_freezes():
    found = answer("freeze", air="20 F")

    assert found.values["time_s"] is None
    assert stops(found) == {"freeze.never"}


def test_a_freezer_without_volume_answers_the_time_alone():
    assert "per_day_kg" not in answer("freeze", volume="").values
    assert answer("freeze", volume="20 ft3").values["days"] == 3


def test_a_20_lb_bird_thaws_in_cold_water_in_ten_hours():
    assert answer("thaw", mass="20 lb").values["water_s"] == pytest.approx(36000)


def test_water_outside_the_band_is_to_be_looked_at():
    assert codes(answer("scald", water="146 F", dip="60 s")) == set()
    assert codes(answer("scald", water="160 F", dip="5 s")) == {
        "scald.outside_band",
        "scald.outside_time",
    }


def test_a_burner_too_weak_never_heats_the_scalder():
    weak = answer("propane", burner="3000 Btu/h")

    assert weak.values["time_s"] is None
    assert weak.values["propane_kg"] is None
    assert stops(weak) == {"scald.never_hot"}


def test_propane_is_warming_up_and_holding():
    found = answer("propane").values

    assert found["propane_kg"] == pytest.approx(found["warm_up_kg"] + found["holding_kg"])


def test_water_boils_lower_on_the_mountain_and_as_the_pressure_says():
    assert answer("boil", altitude="5000 ft").values["boiling_degC"] == pytest.approx(
        94.9, abs=0.05
    )
    by_pressure = answer("boil", altitude="5000 ft", pressure="1013.25 hPa")
    assert by_pressure.values["boiling_degC"] == pytest.approx(99.974, abs=0.001)


def test_a_shrink_pot_cannot_be_hotter_than_boiling():
    assert codes(answer("boil", altitude="9000 ft", wanted="200 F")) == {"shrink.boils_first"}


def test_a_cup_of_dilution_arithmetic():
    found = answer("dilute", bleach="8.25 %", target="200 ppm", volume="1 gal").values

    assert found["stock_mL"] == pytest.approx(9.18, abs=0.01)
    assert found["stock_mL"] / 1000 + found["water_L"] == pytest.approx(3.785411784)


def test_an_old_jug_is_told_to_be_weak():
    assert "sanitizer.old" in codes(answer("dilute", age="400 d"))


@pytest.mark.parametrize(
    ("reading", "verdict", "severity"),
    [
        ("38 F", "yes", Severity.NOTE),
        ("39.8 F", "not proven", Severity.CHECK),
        ("45 F", "no", Severity.STOP),
    ],
)
def test_a_reading_proves_only_what_its_doubt_allows(reading, verdict, severity):
    found = answer("thermometer", reading=reading, ice="32 F", accuracy="1 F", limit="40 F")

    assert found.values["verdict"] == verdict
    assert max(f.severity for f in found.findings) is severity


def test_two_checks_make_a_straight_line():
    found = answer("thermometer", reading="122 F", ice="33 F", boil="213 F", altitude="0 ft").values

    assert found["corrected_degC"] == pytest.approx((122 - 33) / 180 * 99.974, abs=0.01)


def test_an_unchecked_or_coarse_thermometer_is_told():
    assert codes(answer("thermometer", accuracy="4 F")) == {
        "thermometer.coarse",
        "thermometer.unchecked",
    }


def test_how_many_to_probe_is_the_smallest_number_that_is_sure_enough():
    found = answer("sample", lot="40", warm="4", probed="5").values
    n = found["n"]

    def miss(probed: int) -> float:
        return math.comb(36, probed) / math.comb(40, probed)

    assert miss(n) <= 0.05 < miss(n - 1)
    assert found["most_missed"] == 17


def test_a_jump_on_the_chart_is_found_and_named_by_its_place():
    steady = "38.0 F; 38.2 F; 37.9 F; 38.1 F; 38.0 F; 38.2 F; 37.9 F; 38.1 F"
    found = answer("chart", readings=f"{steady}\n42.5 F")

    assert "chart.jump" in codes(found)
    assert any(f.sentence.startswith("Reading 9:") for f in found.findings)
    assert found.values["n"] == 9


def test_every_reading_that_is_none_is_told():
    with pytest.raises(InputFaultsError) as caught:
        answer("chart", readings="38 F; warm; 39; 38.5 F")

    assert [fault.name for fault in caught.value.faults] == ["readings", "readings"]


@pytest.mark.parametrize(
    ("temp", "time_s"), [("165 F", 0.0), ("140 F", 25.2 * 60), ("130 F", None)]
)
def test_holding_times_are_the_tables(temp, time_s):
    found = answer("lethality", temp=temp, fat="1 %")

    assert found.values["time_s"] == (None if time_s is None else pytest.approx(time_s))
    assert bool(stops(found)) == (time_s is None)


def test_a_compost_mix_reaches_what_was_asked():
    found = answer("compost", ratio="25", moisture="60 %").values

    assert found["ratio_CN"] == pytest.approx(25)
    assert found["moisture_frac"] == pytest.approx(0.6)
    assert found["amendment_kg"] / 0.45359237 == pytest.approx(157.9, abs=0.2)
    assert found["water_kg"] / 0.45359237 == pytest.approx(132.9, abs=0.2)


def test_a_mix_outside_the_good_range_is_told():
    assert codes(answer("compost", ratio="60")) == {"compost.ratio"}
    assert "compost.wet" in codes(answer("compost", moisture="20 %"))
