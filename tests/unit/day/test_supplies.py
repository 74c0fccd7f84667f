import pytest

from pinfeather.day.supplies import supplies


def listed(**changes):
    given = {
        "birds": 42,
        "people": 3,
        "day_s": 5.5 * 3600,
        "mixes": 2,
        "stock_m3": 18.4e-6,
        "propane_kg": 2.0,
        "ice_kg": 34.0,
    }
    return {item.name: item for item in supplies(**{**given, **changes})}


@pytest.mark.parametrize(("birds", "bags"), [(1, "2"), (10, "11"), (42, "47"), (1000, "1100")])
def test_there_is_a_bag_and_a_label_for_each_bird_and_a_tenth_spare(birds, bags):
    found = listed(birds=birds)
    assert found["Bags and ties"].amount == found["Labels"].amount == bags


def test_gloves_are_for_everybody_every_two_hours():
    found = listed()["Pairs of gloves"]
    assert found.amount == "9"
    assert "3 people" in found.reason
    assert listed(day_s=4 * 3600)["Pairs of gloves"].amount == "6"


def test_strips_and_bleach_go_with_the_number_of_mixes():
    found = listed()
    assert found["Test strips"].amount == "4"
    assert found["Bleach"].amount == "37\u202fmL"


def test_propane_and_ice_are_in_the_unit_asked_for():
    assert listed()["Ice"].amount == "75\u202flb"
    assert listed(mass_unit="kg")["Ice"].amount == "34\u202fkg"
    assert listed(mass_unit="kg")["Propane"].amount == "2.0\u202fkg"


def test_a_set_of_knives_for_each_person_and_a_first_aid_kit():
    found = listed()
    assert found["Knives, hones, cut-resistant gloves"].amount == "3"
    assert any(name.startswith("First-aid kit") for name in found)


def test_one_bird_is_one_bird_and_every_line_says_how_it_was_counted():
    found = listed(birds=1)
    assert found["Labels"].reason == "1 bird and a tenth spare"
    assert all(item.reason for item in found.values())
