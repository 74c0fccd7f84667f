"""What the record of a sale has to say, and how cold a freezer has to be."""

import pytest

from pinfeather.errors import InputError
from pinfeather.finding import Severity
from pinfeather.rules.build import SALE_FIELDS
from pinfeather.rules.frozen_store import storage_findings
from pinfeather.rules.profile import available, load
from pinfeather.rules.sale import FIELD_WORDS, sale_record_findings
from pinfeather.units import to_si

FEDERAL = load("us-federal")


def degF(value):
    return to_si(value, "F", "temperature")


def test_colorado_stops_a_sale_without_the_buyers_address_and_federal_rules_only_advise():
    said = set(SALE_FIELDS) - {"buyer_address"}
    (stop,) = sale_record_findings(load("us-co"), said=said)
    assert stop.severity is Severity.STOP
    assert "8 CCR 1202-16" in stop.citation
    (note,) = sale_record_findings(FEDERAL, said=said)
    assert note.severity is Severity.NOTE
    assert sale_record_findings(load("us-or"), said=said) == ()


@pytest.mark.parametrize("one", available(), ids=lambda one: one.profile_id)
def test_every_profile_says_what_a_sale_has_to_say_and_where_that_stands(one):
    profile = load(one.profile_id)
    assert profile.records.sale_fields
    assert profile.records.sale_duty.citation
    assert sale_record_findings(profile, said=SALE_FIELDS) == ()
    assert set(SALE_FIELDS) == set(FIELD_WORDS)


@pytest.mark.parametrize(
    ("air_F", "frozen", "codes"),
    [
        (-5.0, True, []),
        (0.0, True, ["storage.not_frozen"]),  # with an accuracy of 1 F it may be warmer
        (20.0, True, ["storage.not_frozen"]),
        (45.0, True, ["storage.warm"]),
        (34.0, False, []),
        (45.0, False, ["storage.warm"]),
    ],
)
def test_the_thermometers_accuracy_counts_against_the_reading(air_F, frozen, codes):
    found = storage_findings(
        FEDERAL, air_degC=degF(air_F), uncertainty_K=5 / 9, frozen=frozen, where="Barn"
    )
    assert [one.code for one in found] == codes
    assert all(one.citation for one in found)


def test_what_is_no_temperature_is_refused():
    with pytest.raises(InputError):
        storage_findings(
            FEDERAL, air_degC=float("nan"), uncertainty_K=0.0, frozen=True, where="Barn"
        )
