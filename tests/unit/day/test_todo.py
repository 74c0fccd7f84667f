import dataclasses

import pytest

from pinfeather.day.todo import FEED_OFF_S, TankTimes, todo_list

EAST = TankTimes("East tank", 640.0, 5150.0, 12600.0, 14400.0, stirred=True)
WEST = TankTimes("West tank", 5300.0, 6500.0, 11200.0, 18800.0, stirred=False)


def written(**changes):
    given = {
        "light_before_s": 5100.0,
        "tanks": (EAST, WEST),
        "renew_s": (12000.0,),
        "line_end_s": 6480.0,
        "end_s": 12700.0,
        "set_up_s": 3600.0,
        "clean_up_s": 3000.0,
        "mix_words": "Mix 18 mL.",
        "ice_words": "Ice: 90 lb.",
    }
    return todo_list(**{**given, **changes})


def of(todo, code, place=""):
    return [item for item in todo if item.code == code and item.place == place]


def test_the_list_is_in_order_of_time():
    times = [item.at_s for item in written()]
    assert times == sorted(times)


def test_every_task_has_words_and_a_place_only_where_a_tank_is_meant():
    for item in written():
        assert item.words.endswith(".")
        assert item.place in {"", "East tank", "West tank"}


def test_the_feed_goes_ten_hours_before_the_first_bird():
    (feed,) = of(written(), "feed")
    assert feed.at_s == -FEED_OFF_S
    assert "state veterinarian" in feed.caution


@pytest.mark.parametrize(
    ("code", "word"),
    [
        ("burner", "Cylinder upright"),
        ("sanitiser", "Never with acid, ammonia"),
        ("read_scalder", "burns in seconds"),
        ("setup", "ground-fault"),
    ],
)
def test_what_can_hurt_somebody_carries_its_caution(code, word):
    assert word in of(written(), code)[0].caution


def test_the_burner_is_lit_in_time_and_not_at_all_if_it_never_gets_hot():
    (burner,) = of(written(), "burner")
    assert burner.at_s == -5100.0
    assert of(written(light_before_s=None), "burner") == []


def test_the_first_mix_says_the_amounts_and_each_renewal_is_on_the_list():
    mixes = of(written(renew_s=(12000.0, 26400.0)), "sanitiser")
    assert [item.at_s for item in mixes] == [-2400, 12000.0, 26400.0]
    assert mixes[0].words == "Mix 18 mL."
    assert "mix fresh" in mixes[1].words


def test_the_ice_goes_in_half_an_hour_before_the_first_bird():
    (ice,) = of(written(), "ice")
    assert (ice.at_s, ice.words) == (-1800, "Ice: 90 lb.")


def test_thermometers_are_checked_before_the_first_bird():
    assert of(written(), "ice_check")[0].at_s < 0


def test_setting_up_begins_by_its_own_time_but_before_the_thermometers_are_checked():
    (setup,) = of(written(), "setup")
    assert setup.at_s == -3600.0
    (quick,) = of(written(set_up_s=900.0), "setup")
    assert quick.at_s == -2700.0 == of(written(), "ice_check")[0].at_s


def test_tank_readings_repeat_until_the_birds_are_expected_cold():
    (reading,) = of(written(), "read_tank", "East tank")
    assert reading.at_s == EAST.first_in_s + 1800
    assert (reading.every_s, reading.until_s) == (1800, EAST.cold_s)


def test_the_scalder_is_read_every_half_hour_while_the_line_runs():
    (reading,) = of(written(), "read_scalder")
    assert (reading.at_s, reading.every_s, reading.until_s) == (1800, 1800, 6480.0)


def test_only_a_still_tank_is_stirred_by_hand():
    assert of(written(), "stir", "East tank") == []
    (stir,) = of(written(), "stir", "West tank")
    assert (stir.at_s, stir.every_s) == (WEST.first_in_s + 600, 600)


def test_the_probe_is_due_when_the_birds_are_expected_cold():
    (probe,) = of(written(), "probe", "West tank")
    assert probe.at_s == WEST.cold_s


def test_a_probe_is_never_later_than_half_an_hour_before_the_limit():
    slow = dataclasses.replace(EAST, cold_s=EAST.due_s + 3600)
    (probe,) = of(written(tanks=(slow,)), "probe", "East tank")
    assert probe.at_s == EAST.due_s - 1800


def test_a_probe_never_comes_before_the_last_bird_is_in():
    tight = dataclasses.replace(EAST, cold_s=20000.0, last_in_s=14000.0)
    (probe,) = of(written(tanks=(tight,)), "probe", "East tank")
    assert probe.at_s == 14000.0


def test_the_limit_itself_is_on_the_list():
    (due,) = of(written(), "due", "East tank")
    assert due.at_s == EAST.due_s
    assert due.words == "Latest time for East tank to be proved cold."


def test_the_day_ends_with_cleaning_up_and_closing():
    (end,), (clean,), (close,) = (of(written(), c) for c in ("line_end", "clean_up", "close"))
    assert (end.at_s, clean.at_s, close.at_s) == (6480.0, 12700.0, 15700.0)
