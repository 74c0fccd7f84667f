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


def test_a_bucket_of_giblets_misses_the_two_hours_and_loose_ones_do_not():
    loose = answer("parts", what="giblets-loose", thick="1.75 in")
    bucket = answer("parts", what="giblets-bucket", thick="8 in")

    assert not codes(loose)
    assert loose.values["time_s"] < loose.values["limit_s"] < bucket.values["time_s"]
    assert codes(bucket) == {"chill.giblets_slow"}
    assert "parts.never" in stops(answer("parts", what="pack-air", water="45 F"))


def test_a_bag_slows_a_bird_and_a_tied_one_more_and_a_fan_helps():
    tight, tied = (
        answer("parts", what=w, start="100 F").values["time_s"]
        for w in ("bird-vacuum", "bird-tied")
    )
    bare = answer("chill", bath="stirred", start="100 F").values["time_s"]
    airs = [
        answer("parts", what="bird-hung", air=a).values["time_s"]
        for a in ("still", "gentle", "fan", "strong", "blast")
    ]

    assert bare < tight < tied
    assert airs == sorted(airs, reverse=True)


def test_longer_in_tap_water_saves_more_ice_and_never_more_than_the_tap_can():
    short, long = (answer("pre-chill", span=s).values for s in ("10 min", "600 min"))

    assert 0 < short["ice_saved_kg"] < long["ice_saved_kg"]
    assert long["centre_degC"] == pytest.approx(58 * 5 / 9 - 32 * 5 / 9, abs=0.1)


def test_ice_is_neither_made_nor_lost_on_paper():
    found = answer("ice-stock", start="100 lb", rated="0 lb", draws="0 h: 60 lb; 2 h: 70 lb")
    short = answer("ice-stock", start="100 lb", rated="0 lb", draws="0 h: 170 lb", freezer="0 lb")
    lb = 0.45359237

    assert found.values["freezer_kg"] == pytest.approx(10 * lb)  # 40 in the freezer, 30 short
    assert codes(found) == {"ice.freezer"}
    assert short.values["short_kg"] == pytest.approx(70 * lb)
    assert codes(short) == {"ice.short"}
    assert "70\u202flb" in short.findings[0].sentence


def test_a_pot_cannot_be_hotter_than_boiling():
    low, high = (answer("shrink-pot", wanted="200 F", altitude=a) for a in ("0 ft", "9000 ft"))

    assert low.values["reachable"] is True
    assert high.values["reachable"] is False
    assert "shrink.boils_first" in codes(high)


@pytest.mark.parametrize(
    ("written", "stopped"),
    [
        ({"with": "peracetic", "strength": "220 ppm"}, set()),
        ({"with": "peracetic", "strength": "221 ppm"}, {"rinse.peracetic"}),
        ({"with": "peracetic", "peroxide": "111 ppm", "hedp": "14 ppm"},
         {"rinse.peroxide", "rinse.hedp"}),
        ({"with": "chlorine", "strength": "50 ppm", "ph": "6.5"}, set()),
        ({"with": "chlorine", "strength": "51 ppm"}, {"rinse.chlorine"}),
    ],
)  # fmt: skip
def test_a_rinse_is_stopped_over_its_limit_and_not_at_it(written, stopped):
    found = answer("rinse", **written)

    assert stops(found) == stopped
    assert found.values["allowed"] is not bool(stopped)


def test_a_strip_is_judged_with_all_that_was_measured():
    warm = {"temp": "75 F", "ph": "7.5"}
    good = answer("strip", **warm, room="60 F")

    assert good.values["good"] is True
    assert good.values["renew_s"] == 4 * 3600
    assert stops(answer("strip", **warm, strength="205 ppm")) == {"sanitiser.strong"}
    assert stops(answer("strip", **warm, surface="fixed", strength="80 ppm")) == {"sanitiser.weak"}
    assert stops(answer("strip", **warm, contact="20 s")) == {"sanitiser.short"}
    hard = answer("strip", **{"with": "quat"}, temp="75 F", strength="200 ppm", hardness="600 ppm")
    assert "sanitiser.hard_water" in codes(hard)
    hot = {"with": "hot_water", "contact": "30 s"}
    assert answer("strip", **hot, temp="170 F").values["good"] is True
    assert stops(answer("strip", **hot, temp="169 F")) == {"sanitiser.cold"}


def test_a_water_test_is_due_by_the_calendar_and_a_bad_result_stops():
    asked = {"today": "2026-06-17", "nitrate-tested": "2023-06-18"}
    fine = answer("water", **asked, **{"coliform-tested": "2026-01-31"}, coliform="none")
    late = answer("water", **asked, **{"coliform-tested": "2025-12-16"})
    bad = answer("water", **asked, coliform="found", nitrate="44.4", reported="nitrate")

    assert fine.values["coliform_due"] == "2026-07-31"
    assert fine.values["nitrate_due"] == "2026-06-18"
    assert not stops(fine)
    assert stops(late) == {"water.due"}
    assert {"water.coliform", "water.nitrate"} <= stops(bad)  # 44.4 / 4.427 = 10.03
    assert not stops(answer("water", **asked, **{"coliform-tested": "2026-01-31"}, nitrate="10"))


def test_blood_feathers_and_guts_make_up_what_is_left():
    found = answer("left-overs", birds="100", live="6 lb").values
    lb = 0.45359237

    assert found["left_kg"] == pytest.approx(168 * lb)
    assert found["blood_kg"] + found["feathers_kg"] + found["offal_kg"] == pytest.approx(168 * lb)
    assert found["water_L"] == pytest.approx(2650, abs=0.5)
    own = answer("left-overs", **{"per-bird": "3 gal"}, species="duck")
    assert own.values["low_water_L"] == own.values["high_water_L"]
    assert own.values["left_kg"] == pytest.approx(600 * lb * 0.42)


def test_a_warm_history_leaves_less_time_and_ageing_is_four_times_at_ten_degrees():
    rows = "hours,temp (C)\n" + "".join(f"{h},{10 if h < 24 else 2}\n" for h in range(30))
    cold = answer("shelf", temp="2 C")
    used = answer("shelf", temp="2 C", log=rows.encode())

    assert answer("shelf", temp="10 C").values["relative_rate"] == pytest.approx(4)
    assert cold.values["low_s"] <= cold.values["time_s"] <= cold.values["high_s"]
    assert 0 < used.values["time_left_s"] < cold.values["low_s"]
    assert used.values["time_on_ice_s"] > used.values["length_s"]


def test_a_slow_chill_has_a_larger_index_and_earlier_loads_count():
    def log(hours: int) -> bytes:
        return ("hours,temp (C)\n" + "".join(
            f"{h},{38 - 34 * min(h / hours, 1):.2f}\n" for h in range(hours + 3)
        )).encode()  # fmt: skip

    slow, quick = (answer("index", log=log(h)) for h in (24, 6))
    assert slow.values["index_log10"] > quick.values["index_log10"]
    assert "refrigeration.largest" in {
        f.code for f in answer("index", log=log(24)).findings if f.severity is Severity.CHECK
    }
    both = answer("index", log=log(6), earlier="0.2; 2.6")
    assert both.values["n"] == 3
    cut = answer("index", log=b"hours,temp (C)\n0,38\n1,30\n2,25\n")
    assert cut.values["finished"] is False
    assert "refrigeration.unfinished" in codes(cut)


def test_positives_over_the_standard_are_a_check_and_bind_no_exempt_farm():
    within, over = (answer("positives", positives=n) for n in ("5", "6"))

    assert codes(within) == {"pathogen.within"}
    assert codes(over) == {"pathogen.over"}
    assert not stops(over)
    assert any("no pathogen standard binds" in note for note in over.notes)
    assert answer("positives", share="0 %").values["pass_chance_frac"] == pytest.approx(1)


def test_a_probe_finds_the_bath_and_the_moment_that_made_its_readings():
    def at(minutes: float) -> float:
        return 1 + 1.25 * (38 - 1) * 10 ** (-minutes / 60)

    rows = [(0, 38.0), *((m, at(m)) for m in range(15, 100, 5))]
    text = "; ".join(f"{m} min: {t:.3f} C" for m, t in rows)
    found = answer("probe", readings=text).values
    ready = 3600 * math.log10(1.25 * 37 / (40 / 9 - 1))  # 40 F is 40/9 C

    assert found["bath_degC"] == pytest.approx(1, abs=0.05)
    assert found["f_s"] == pytest.approx(3600, rel=0.01)
    assert found["j"] == pytest.approx(1.25, rel=0.01)
    assert found["time_s"] == pytest.approx(ready, rel=0.01)
    log = "minutes,temp (C)\n" + "".join(f"{m},{t:.3f}\n" for m, t in rows)
    assert answer("probe", log=log.encode()).values["f_s"] == pytest.approx(found["f_s"], rel=0.01)
    assert "probe.never" in stops(answer("probe", readings=text, limit="33 F"))
