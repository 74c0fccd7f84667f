"""The farm's own page: what is kept, and what is refused in a sentence."""

from __future__ import annotations

import datetime as dt

import pytest

from pinfeather.actions import farm as farms
from pinfeather.actions.rules.choices import profile_choices, tier_choices
from pinfeather.errors import InputError, InputFaultsError, RecordNotFoundError
from pinfeather.records import models


def test_an_empty_store_has_an_unnamed_farm(store) -> None:
    assert not farms.farm().ready
    assert farms.people() == farms.lots() == farms.instruments() == ()


def test_what_is_saved_is_read_back(farm) -> None:
    assert farm.ready
    assert farm.name == "Sorrel Bank Farm"
    assert farm.water_test == dt.date(2026, 4, 2)
    assert not farm.demo


def test_saving_again_changes_the_one_farm(farm) -> None:
    values = {name: getattr(farm, name) for name in farms.FARM_FIELDS}

    changed = farms.save_farm({**values, "phone": "555-0100", "units": "metric"})

    assert (changed.phone, changed.units, changed.name) == ("555-0100", "metric", farm.name)
    assert models.Farm.objects.count() == 1


def test_all_faults_of_the_farm_are_told_at_once(farm) -> None:
    with pytest.raises(InputFaultsError) as told:
        farms.save_farm({"name": "", "altitude": "high", "zone": "Middle/Nowhere"})

    assert [f.name for f in told.value.faults] == ["name", "altitude", "zone"]
    assert all(f.problem.endswith(".") for f in told.value.faults)
    assert farms.farm() == farm


def test_a_person_saved_again_changes_what_they_do(farm) -> None:
    farms.save_person(" Bram ", ["draw"], pace=0.7)

    (bram,) = (p for p in farms.people() if p.name == "Bram")
    assert (bram.stations, bram.pace) == (("draw",), 0.7)


@pytest.mark.parametrize(
    ("name", "stations", "at_fault"),
    [
        ("", ["draw"], {"name"}),
        ("Bram", [], {"stations"}),
        ("Bram", ["chill"], {"stations"}),
        (" ", ["roof"], {"name", "stations"}),
    ],
)
def test_a_person_needs_a_name_and_known_stations(farm, name, stations, at_fault) -> None:
    with pytest.raises(InputFaultsError) as told:
        farms.save_person(name, stations)

    assert {f.name for f in told.value.faults} == at_fault


def test_lots_stand_youngest_first_and_are_changed_by_their_code(farm) -> None:
    def save(code: str, hatched: dt.date | None, head: int = 5) -> None:
        farms.save_lot(code, species="duck", build="lean", hatched=hatched, head=head)

    save("OLD", dt.date(2026, 1, 2))
    save("NEW", dt.date(2026, 5, 30))
    save("NEW", dt.date(2026, 5, 30), head=9)

    assert [(lot.code, lot.head) for lot in farms.lots()] == [("NEW", 9), ("K7", 30), ("OLD", 5)]


@pytest.mark.parametrize(("code", "head"), [("", 3), ("  ", 3), ("B1", -1), ("B1", 10**20)])
def test_a_lot_needs_a_code_and_a_number_of_birds(farm, code, head) -> None:
    with pytest.raises(InputError):
        farms.save_lot(code, species="chicken", build="broad", hatched=None, head=head)

    assert [lot.code for lot in farms.lots()] == ["K7"]


def test_a_thermometer_needs_its_stated_accuracy(farm) -> None:
    with pytest.raises(InputFaultsError) as told:
        farms.save_instrument("", kind="thermometer", accuracy="2")

    assert [f.name for f in told.value.faults] == ["name", "accuracy"]


def test_stated_accuracy_is_a_difference_not_a_temperature(farm) -> None:
    farms.save_instrument("Dial", kind="thermometer", accuracy="2 F")

    assert farms.instrument("Dial").accuracy_K == pytest.approx(2 / 1.8)
    with pytest.raises(RecordNotFoundError, match="no instrument called “Gone”"):
        farms.instrument("Gone")


def test_every_profile_on_offer_has_a_tier_on_offer(farm) -> None:
    choices = profile_choices()

    assert "us-federal" in dict(choices)
    for profile_id, name in choices:
        assert name
        assert tier_choices(profile_id), profile_id
    assert tier_choices("nowhere") == []
