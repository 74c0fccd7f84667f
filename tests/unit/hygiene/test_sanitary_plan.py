import dataclasses

import pytest

from pinfeather.errors import InputError, InputFaultsError
from pinfeather.hygiene.corrective_action import corrective_action, parts, yardstick_words
from pinfeather.hygiene.hazards import hazard_analysis
from pinfeather.hygiene.sanitary_plan import (
    CAUTIONS,
    WHENS,
    Shop,
    Step,
    adjusted,
    interval_words,
    who_does,
    written_plan,
)
from pinfeather.hygiene.sanitary_strength import Mix, working_strength
from pinfeather.rules.profile import available, load
from pinfeather.units import to_si

FEDERAL = load("us-federal")
LINE = ("catch", "kill", "scald", "pick", "draw", "rinse", "chill", "bag", "weigh", "store")
GALLON_M3 = to_si(1, "gal", "volume")


def ppm(value):
    return to_si(value, "ppm", "strength")


BLEACH = Mix("chlorine", 0.0825, ppm(100), GALLON_M3, "1 gal")
PEOPLE = {"Ines": ("kill", "scald", "pick"), "Tobias": ("draw", "bag")}


def shop(**changes):
    return dataclasses.replace(Shop(LINE, "well", BLEACH, PEOPLE), **changes)


# ------------------------------------------------------------------------------------- strengths


def test_what_is_sprayed_needs_twice_what_is_dipped():
    dipped, fixed = (working_strength(FEDERAL, BLEACH, s) for s in ("dipped", "fixed"))

    assert dipped.least_frac == pytest.approx(ppm(50))
    assert fixed.least_frac == pytest.approx(ppm(100))
    assert dipped.most_frac == fixed.most_frac == pytest.approx(ppm(200))


def test_the_mix_for_spraying_is_raised_to_what_it_needs():
    weak = dataclasses.replace(BLEACH, target_frac=ppm(50))

    assert working_strength(FEDERAL, weak, "dipped").target_frac == pytest.approx(ppm(50))
    assert working_strength(FEDERAL, weak, "fixed").target_frac == pytest.approx(ppm(100))


def test_the_dose_for_a_gallon_stands_in_the_step():
    strong = dataclasses.replace(BLEACH, target_frac=ppm(200))
    text = working_strength(FEDERAL, strong, "dipped").text

    assert "9.18\u202fmL" in text  # 3785.4 mL x 200 / 82500
    assert "1.86\u202ftsp" in text
    assert "1 min" in text
    assert "75 °F" in text


@pytest.mark.parametrize(("target", "ok"), [(49.9, False), (50, True), (200, True), (200.1, False)])
def test_a_strength_outside_the_rules_is_refused_at_its_field(target, ok):
    mix = dataclasses.replace(BLEACH, target_frac=ppm(target))
    if ok:
        assert working_strength(FEDERAL, mix, "dipped").target_frac == pytest.approx(ppm(target))
        return
    with pytest.raises(InputFaultsError) as error:
        working_strength(FEDERAL, mix, "dipped")
    assert [fault.name for fault in error.value.faults] == ["target"]


def test_every_fault_of_a_mix_is_told_at_once():
    with pytest.raises(InputFaultsError) as error:
        working_strength(FEDERAL, Mix("chlorine", ppm(20), ppm(900), 0.0), "dipped")
    assert {fault.name for fault in error.value.faults} == {"target", "product", "volume"}


def test_an_unknown_chemical_is_refused_with_those_that_are_known():
    with pytest.raises(InputFaultsError) as error:
        working_strength(FEDERAL, Mix("soap", None, ppm(100), 1.0), "dipped")
    assert "iodine" in error.value.faults[0].problem


def test_tablets_are_dosed_by_their_label():
    found = working_strength(FEDERAL, Mix("chlorine_tablets", None, ppm(100), 1.0), "dipped")

    assert found.dose is None
    assert found.most_frac == pytest.approx(ppm(100))
    assert "label" in found.text


# ------------------------------------------------------------------------------------------ plan


def test_the_plan_goes_before_during_after():
    steps = written_plan(FEDERAL, shop())

    assert [s.when for s in steps] == sorted((s.when for s in steps), key=list(WHENS).index)
    assert {s.when for s in steps} == set(WHENS)
    assert len({s.code for s in steps}) == len(steps)
    assert all(s.what and s.how and s.often and s.citation and s.status for s in steps)


@pytest.mark.parametrize("profile", [one.profile_id for one in available()])
def test_every_jurisdiction_gives_a_plan_and_an_analysis(profile):
    assert written_plan(load(profile), shop())
    assert hazard_analysis(load(profile), LINE, BLEACH)


def test_a_shop_without_a_picker_has_no_step_for_one():
    codes = {s.code for s in written_plan(FEDERAL, shop(stations=("kill", "draw", "chill")))}

    assert "picker" not in codes
    assert "scalder" not in codes
    assert {"tanks", "water"} <= codes


def test_the_water_step_asks_for_the_proof_of_its_water():
    (well,) = (s for s in written_plan(FEDERAL, shop()) if s.code == "water")
    (town,) = (s for s in written_plan(FEDERAL, shop(water="town")) if s.code == "water")

    assert "6 months" in well.how
    assert "6 months" not in town.how


@pytest.mark.parametrize(
    ("room_F", "hours"), [(41, "24 h"), (42, "20 h"), (46, "16 h"), (51, "10 h"), (56, "4 h")]
)
def test_how_often_follows_the_room(room_F, hours):
    steps = written_plan(FEDERAL, shop(room_degC=to_si(room_F, "F", "temperature")))

    assert hours in next(s for s in steps if s.code == "clean").often


def test_danger_is_named_where_it_is():
    by_code = {s.code: s for s in written_plan(FEDERAL, shop())}

    assert "plug" in by_code["picker"].caution
    assert "ammonia" in by_code["mix"].caution
    assert "acid" in by_code["sanitise"].caution
    assert "scald" in by_code["scalder"].caution
    assert all("label" in CAUTIONS[name] for name in ("chemicals",))


def test_a_step_is_done_by_whoever_works_there():
    assert who_does(PEOPLE, ["pick"]) == "Ines"
    assert who_does(PEOPLE, ["weigh"]) == "Whoever works there"
    assert who_does(PEOPLE, []) == "Everybody at their own place"
    assert who_does({"Ines": ()}, []) == "Ines"


def test_own_words_replace_those_of_the_plan_and_the_rest_follows_the_rules():
    steps = written_plan(FEDERAL, shop())
    changed = adjusted(steps, {"mix": {"how": "Blue bucket.", "what": ""}})
    (old,), (new,) = ([s for s in found if s.code == "mix"] for found in (steps, changed))

    assert new.how == "Blue bucket."
    assert new.what == old.what
    assert new.strength == old.strength
    assert new.own
    assert sum(s.own for s in changed) == 1


def test_a_step_left_out_stays_with_its_reason_and_own_steps_join_their_part():
    mine = Step("own 1", "before", "Dog is in", "Look.", "Ines", "Before the first bird", own=True)
    changed = adjusted(
        written_plan(FEDERAL, shop()), {"picker": {"left_out": "Picked by hand."}}, [mine]
    )

    assert next(s for s in changed if s.code == "picker").left_out == "Picked by hand."
    before = [s.code for s in changed if s.when == "before"]
    assert before[-1] == "own 1"


def test_the_cleaning_table_in_words_has_no_gap():
    bands = FEDERAL.sanitation.cleaning
    words = [interval_words(b, a) for a, b in zip((None, *bands), bands, strict=False)]

    assert words[0] == "up to 41 °F"
    assert words[1] == "above 41 °F, up to 45 °F"
    assert words[-1] == "above 55 °F"


# --------------------------------------------------------------------------------------- hazards


def test_every_station_has_its_hazards_and_every_likely_one_a_control():
    found = hazard_analysis(FEDERAL, LINE, BLEACH)

    assert {one.station for one in found} == {*LINE, "cleaning"}
    assert all(one.control for one in found if one.likely)
    assert all(one.why and one.citation and one.status for one in found)


def test_limits_come_from_the_rules_in_force():
    found = {(h.station, h.kind): h for h in hazard_analysis(FEDERAL, LINE, BLEACH)}

    assert "40 °F" in found["chill", "biological"].limit
    assert "4 h" in found["chill", "biological"].limit
    assert found["cleaning", "chemical"].limit == "At most 200 ppm without a rinse"
    assert found["draw", "biological"].citation == "9 CFR 381.65(f)"


def test_a_station_the_shop_has_not_is_not_in_the_analysis():
    assert {h.station for h in hazard_analysis(FEDERAL, ("draw",), BLEACH)} == {"draw", "cleaning"}


# ------------------------------------------------------------------------------ corrective action


def test_the_form_has_the_four_parts_of_417_3_a():
    needed = [part for part in parts() if part.needed]

    assert [part.citation for part in needed] == [f"9 CFR 417.3(a)({n})" for n in (1, 2, 3, 4)]
    assert all(part.status == "read" for part in parts())


FILLED = {"cause": "worn", "control": "seen", "recurrence": "spare", "product": " none, before "}


def test_a_filled_form_is_read():
    done = corrective_action(FILLED)

    assert done.product == "none, before"
    assert done.unforeseen == ""


@pytest.mark.parametrize("missing", sorted(FILLED))
def test_each_part_is_needed(missing):
    with pytest.raises(InputFaultsError) as error:
        corrective_action({**FILLED, missing: "  "})
    assert [fault.name for fault in error.value.faults] == [missing]


def test_all_missing_parts_are_told_at_once():
    with pytest.raises(InputFaultsError) as error:
        corrective_action({})
    assert len(error.value.faults) == 4
    assert all(isinstance(fault, InputError) for fault in error.value.faults)


def test_an_exempt_shop_is_told_that_it_is_a_yardstick():
    assert "yardstick" in yardstick_words()
