"""Every calculator: complete, worked out from its own example, faults all at once."""

from __future__ import annotations

import json
import shlex
import string

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pinfeather.actions.calc.catalogue import as_json, calculation, calculations, work_out
from pinfeather.errors import InputFaultsError, RecordNotFoundError
from pinfeather.finding import Severity
from pinfeather.heat.breast import LIVE_BIRD_DEGC
from pinfeather.units import to_si

NAMES = [
    "chill",
    "bath",
    "ice",
    "freeze",
    "thaw",
    "parts",
    "pre-chill",
    "ice-stock",
    "scald",
    "propane",
    "boil",
    "shrink-pot",
    "dilute",
    "strip",
    "rinse",
    "water",
    "thermometer",
    "sample",
    "chart",
    "probe",
    "growth",
    "lethality",
    "shelf",
    "index",
    "positives",
    "net-weight",
    "lot-test",
    "label-check",
    "code",
    "compost",
    "left-overs",
    "manure",
    "medicated-feed",
    "stun",
    "growth-of-flock",
    "order",
    "feed",
    "weigh-plan",
    "ration",
    "best-day",
    "cost",
    "price",
    "annuity",
    "payback",
    "cut-up",
    "joint",
]
KEYS = {
    "chill": {"time_s", "low_s", "high_s"},
    "bath": {"time_s", "ice_kg"},
    "ice": {"ice_kg"},
    "freeze": {"time_s", "low_s", "high_s"},
    "thaw": {"low_s", "high_s"},
    "scald": {"low_s", "high_s"},
    "propane": {"time_s", "propane_kg"},
    "boil": {"boiling_degC"},
    "dilute": {"stock_mL"},
    "thermometer": {"corrected_degC"},
    "sample": {"n"},
    "chart": {"n"},
    "growth": {"log10_growth"},
    "lethality": {"time_s"},
    "compost": {"ratio_CN"},
    "parts": {"time_s", "low_s", "high_s"},
    "pre-chill": {"ice_saved_kg", "mean_degC", "centre_degC"},
    "ice-stock": {"short_kg", "stock_kg", "made_kg", "freezer_kg"},
    "shrink-pot": {"boiling_degC", "reachable", "warms_K"},
    "strip": {"strength_frac", "limit_frac", "good"},
    "rinse": {"strength_frac", "limit_frac", "allowed"},
    "water": {"coliform_due", "nitrate_due", "nitrate_N_mg_per_L"},
    "probe": {"time_s", "bath_degC", "f_s", "j"},
    "shelf": {"time_s", "low_s", "high_s", "relative_rate"},
    "index": {"index_log10", "finished"},
    "net-weight": {"net_kg", "net_lb", "declaration", "total_USD"},
    "lot-test": {"passes", "mean_kg", "limit_kg"},
    "label-check": {"required", "stops"},
    "code": {"data", "symbol"},
    "positives": {"n", "accept", "pass_chance_frac"},
    "left-overs": {"left_kg", "offal_kg", "blood_L", "feathers_kg", "water_L"},
    "manure": {"wait_d", "harvest_from"},
    "medicated-feed": {"share_frac", "withdrawal_d"},
    "stun": {"least_A", "least_s"},
    "growth-of-flock": {"mean_kg", "low_kg", "high_kg"},
    "order": {"n", "chance_frac"},
    "feed": {"feed_kg"},
    "weigh-plan": {"n"},
    "ration": {"cents_per_kg"},
    "best-day": {"margin_cents"},
    "cost": {"full_bird_cents", "full_cents_per_lb", "low_cents_per_lb", "high_cents_per_lb"},
    "price": {"break_even_cents_per_lb", "asking_cents_per_lb"},
    "annuity": {"annuity_cents", "straight_line_cents"},
    "payback": {"payback_years", "present_cents"},
    "cut-up": {"gain_cents", "needed_cents_per_lb"},
    "joint": {"joint_cents", "ways"},
}
CAN_HURT = {
    "scald", "propane", "boil", "dilute", "lethality", "compost", "growth", "thaw", "feed",
    "ration", "shrink-pot", "strip", "rinse", "water", "shelf", "index", "positives", "left-overs",
    "manure", "medicated-feed", "stun",
}  # fmt: skip
STATUSES = {
    "read", "second hand", "unverified", "disputable", "common practice", "assumed", "computed",
    "derived", "measured",
}  # fmt: skip
LOG = b"time,temp (F)\n" + b"".join(
    f"2026-06-17 09:{m:02d},{34 + 66 * 0.96**m:.1f}\n".encode() for m in range(0, 60, 5)
)


def example(name: str) -> dict[str, str | bytes]:
    """What a calculator's example writes."""
    words = shlex.split(calculation(name).example)
    written: dict[str, str | bytes] = {}
    if not words[0].startswith("--"):
        file = next(ask for ask in calculation(name).inputs if ask.kind == "file")
        written[file.name], words = (LOG if file.name == "log" else file.default), words[1:]
    options = zip(words[::2], words[1::2], strict=True)
    return written | {option.removeprefix("--"): value for option, value in options}


def answer(name: str, **written: str | bytes):
    return work_out(calculation(name), {n.rstrip("_"): v for n, v in written.items()})


def test_the_calculators_are_those_that_were_promised():
    assert sorted(one.name for one in calculations()) == sorted(NAMES)


@pytest.mark.parametrize("name", NAMES)
def test_every_calculator_says_what_it_rests_on(name):
    one = calculation(name)

    assert one.question.endswith("?")
    assert len(one.formula) > 30
    assert len(one.valid_range) > 30
    assert one.sources
    assert {source.status for source in one.sources} <= STATUSES
    assert bool(one.cautions) == (name in CAN_HURT)
    assert len({ask.name for ask in one.inputs}) == len(one.inputs)
    for ask in one.inputs:
        assert (ask.kind == "choice") == bool(ask.options)


@pytest.mark.parametrize("units", ["us", "metric"])
@pytest.mark.parametrize("name", NAMES)
def test_every_example_is_answered_in_si_and_in_words(name, units):
    result = work_out(calculation(name), example(name), units=units)
    document = as_json(calculation(name), result)

    assert KEYS[name] | {"findings"} <= set(document)
    assert json.loads(json.dumps(document, allow_nan=False)) == document
    assert result.shown
    assert all(row.label and row.value for row in result.shown)
    assert {source.status for source in result.sources} <= STATUSES


@pytest.mark.parametrize("name", NAMES)
def test_every_calculator_answers_what_first_stands_in_its_form(name):
    asked = {
        "growth": {"log": LOG},
        "index": {"log": LOG},
        "boil": {"altitude": "0 ft"},
        "shrink-pot": {"altitude": "0 ft"},
    }
    written = asked.get(name, {})

    for units in ("us", "metric"):
        assert work_out(calculation(name), written, units=units).shown


def test_the_same_answer_is_the_same_in_both_units():
    us, metric = (
        work_out(calculation("ice"), {**example("ice"), "air": "70 F"}, units=units)
        for units in ("us", "metric")
    )

    assert us.values == metric.values
    assert "lb" in us.shown[0].value
    assert "kg" in metric.shown[0].value


def test_the_start_is_a_live_birds_where_nothing_is_written():
    ask = calculation("chill").input("start")

    assert to_si(float(ask.default.split()[0]), "F", "temperature") == pytest.approx(
        LIVE_BIRD_DEGC, abs=1e-9
    )


def test_all_faults_come_at_once_under_the_names_of_their_fields():
    with pytest.raises(InputFaultsError) as caught:
        answer("chill", mass="4", water="34", build="fat", limit="4 lb", thickness="x")

    assert [fault.name for fault in caught.value.faults] == [
        "mass", "build", "water", "limit", "thickness",
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("name", "written", "field"),
    [
        ("chill", {"mass": "90 lb"}, "mass"),
        ("bath", {"span": "900 h"}, "span"),
        ("bath", {"volume": "0 gal"}, "volume"),
        ("bath", {"birds": "9999999", "build": "lean"}, "birds"),
        ("bath", {"water": "300 F"}, "water"),
        ("ice", {"mass": "0 lb"}, "mass"),
        ("propane", {"air": "200 F"}, "air"),
        ("propane", {"burner": "0 W"}, "burner"),
        ("propane", {"share": "0 %"}, "share"),
        ("propane", {"span": "0 h"}, "span"),
        ("freeze", {"mass": "0 lb"}, "mass"),
        ("thaw", {"mass": "70 lb"}, "mass"),
        ("boil", {}, "altitude"),
        ("boil", {"altitude": "40000 ft"}, "altitude"),
        ("boil", {"pressure": "0 hPa"}, "pressure"),
        ("thermometer", {"ice": "70 F"}, "ice"),
        ("thermometer", {"boil": "212 F", "ice": "32 F"}, "altitude"),
        ("thermometer", {"boil": "150 F", "ice": "32 F", "altitude": "0 ft"}, "boil"),
        ("sample", {"warm": "50"}, "warm"),
        ("sample", {"lot": "20000"}, "lot"),
        ("sample", {"confidence": "100 %"}, "confidence"),
        ("sample", {"lot": "4.5"}, "lot"),
        ("chart", {"readings": "38 F"}, "readings"),
        ("chart", {"readings": "38 F; 38 F; 38 F"}, "readings"),
        ("chart", {"readings": ""}, "readings"),
        ("dilute", {"target": "9 %"}, "target"),
        ("dilute", {"volume": "0 gal"}, "volume"),
        ("dilute", {"age": "99999999999 d"}, "age"),
        ("compost", {"with": "broiler_litter"}, "with"),
        ("compost", {"ratio": "lots"}, "ratio"),
        ("compost", {"mass": "0 lb"}, "mass"),
        ("lethality", {"fat": "30 %"}, "fat"),
        ("lethality", {"temp": ""}, "temp"),
        ("growth", {"log": b"nothing"}, "log"),
        ("growth", {"log": ""}, "log"),
        ("scald", {"species": "quail", "kind": "hard"}, "species"),
        ("dilute", {"share": "1"}, "share"),
        ("parts", {"thick": "0 in"}, "thick"),
        ("parts", {"what": "pack-air", "thick": "9 ft"}, "thick"),
        ("parts", {"what": "bird-tied", "mass": "90 lb"}, "mass"),
        ("parts", {"what": "bird-hung", "mass": "0 lb"}, "mass"),
        ("pre-chill", {"tap": "110 F"}, "tap"),
        ("pre-chill", {"span": "9 d"}, "span"),
        ("pre-chill", {"mass": "90 lb"}, "mass"),
        ("pre-chill", {"birds": "0"}, "birds"),
        ("ice-stock", {"start": "900 lb"}, "start"),
        ("ice-stock", {"bin": "0 lb"}, "bin"),
        ("ice-stock", {"rated": "-5 lb"}, "rated"),
        ("ice-stock", {"freezer": "-5 lb"}, "freezer"),
        ("ice-stock", {"draws": "60 lb"}, "draws"),
        ("ice-stock", {"draws": "3 h: -60 lb"}, "draws"),
        ("ice-stock", {"draws": ""}, "draws"),
        ("shrink-pot", {"altitude": "40000 ft"}, "altitude"),
        ("shrink-pot", {"altitude": "0 ft", "mass": "0 lb"}, "mass"),
        ("strip", {"strength": "9 %"}, "strength"),
        ("strip", {"strength": "-9 ppm"}, "strength"),
        ("strip", {"ph": "15"}, "ph"),
        ("strip", {"contact": "-9 s"}, "contact"),
        ("strip", {"hardness": "-9 ppm"}, "hardness"),
        ("strip", {"with": "hot_water", "temp": ""}, "temp"),
        ("rinse", {"strength": "-9 ppm"}, "strength"),
        ("rinse", {"peroxide": "-9 ppm"}, "peroxide"),
        ("rinse", {"hedp": "-9 ppm"}, "hedp"),
        ("rinse", {"with": "chlorine", "ph": "15"}, "ph"),
        ("water", {"coliform-tested": "10 April"}, "coliform-tested"),
        ("water", {"nitrate-tested": "2026-06-18", "today": "2026-06-17"}, "nitrate-tested"),
        ("water", {"today": "soon"}, "today"),
        ("water", {"nitrate": "-1"}, "nitrate"),
        ("probe", {"readings": ""}, "readings"),
        ("probe", {"readings": "80 F"}, "readings"),
        ("probe", {"readings": "0 min: 80 F; 10 min: 90 F"}, "readings"),
        ("probe", {"readings": "90 h: 80 F"}, "readings"),
        ("probe", {"water": "110 F"}, "water"),
        ("shelf", {"temp": "120 F"}, "temp"),
        ("shelf", {"start": "8"}, "start"),
        ("shelf", {"start": "-1"}, "start"),
        ("index", {"log": ""}, "log"),
        ("index", {"log": LOG, "earlier": "low"}, "earlier"),
        ("positives", {"positives": "60"}, "positives"),
        ("left-overs", {"birds": "0"}, "birds"),
        ("left-overs", {"live": "0 lb"}, "live"),
        ("left-overs", {"yield": "95 %"}, "yield"),
        ("left-overs", {"per-bird": "-1 gal"}, "per-bird"),
        ("left-overs", {"bleed": "20 s"}, "bleed"),
    ],
)
def test_a_fault_the_domain_finds_stands_beside_the_field_that_caused_it(name, written, field):
    with pytest.raises(InputFaultsError) as caught:
        answer(name, **written)

    (fault,) = caught.value.faults
    assert fault.name == field
    assert fault.problem.endswith((".", "?"))


def test_an_unknown_calculator_is_not_found():
    with pytest.raises(RecordNotFoundError):
        calculation("weather")


@settings(max_examples=60, deadline=None)
@given(st.sampled_from(NAMES), st.text(alphabet=string.printable + "°½٣", max_size=12))
def test_whatever_is_written_is_answered_or_told_to_be_wrong(name, text):
    one = calculation(name)
    for ask in one.inputs:
        try:
            work_out(one, {ask.name: text})
        except InputFaultsError as error:
            assert error.faults  # noqa: PT017 - either outcome is right


def test_a_dose_over_the_ceiling_is_a_stop_with_its_source():
    (stop,) = (
        finding
        for finding in answer("dilute", target="210 ppm").findings
        if finding.severity is Severity.STOP
    )

    assert stop.limit == pytest.approx(200)
    assert "40 CFR 180.940" in stop.citation
    assert all(f.severity < Severity.STOP for f in answer("dilute", target="200 ppm").findings)
