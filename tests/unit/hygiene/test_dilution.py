import pytest
from hypothesis import given
from hypothesis import strategies as st

from pinfeather.errors import InputError
from pinfeather.finding import Severity
from pinfeather.hygiene.dilution import (
    MIXING_CAUTIONS,
    YEAR_S,
    bleach_strength,
    dilute,
    spoon_measures,
    tablespoon_per_gallon,
)
from pinfeather.units import to_si

GALLON_M3 = to_si(1, "gal", "volume")
LIMIT_FRAC = to_si(200, "ppm", "strength")

strengths = st.floats(1e-3, 0.2)


@given(stock=strengths, weaker=st.floats(1e-4, 0.9), volume_m3=st.floats(1e-4, 5))
def test_what_goes_in_equals_what_is_wanted(stock, weaker, volume_m3):
    done = dilute(stock_frac=stock, target_frac=stock * weaker, volume_m3=volume_m3, age_s=0)
    assert done.stock_m3 * stock == pytest.approx(volume_m3 * stock * weaker)
    assert done.stock_m3 + done.water_m3 == pytest.approx(volume_m3)
    assert done.mixed_frac.value == pytest.approx(stock * weaker)
    assert not done.findings


@given(stock=strengths, years=st.floats(0, 5), more=st.floats(0, 5))
def test_bleach_only_weakens(stock, years, more):
    young = bleach_strength(label_frac=stock, age_s=years * YEAR_S)
    old = bleach_strength(label_frac=stock, age_s=(years + more) * YEAR_S)
    assert old.value <= young.value <= stock
    assert old.low <= young.low
    assert young.basis.status == "second hand"


def test_a_jug_a_year_old_makes_a_weak_mix_and_says_so():
    done = dilute(
        stock_frac=0.0825, target_frac=100e-6, volume_m3=GALLON_M3, age_s=YEAR_S, max_frac=200e-6
    )
    (old,) = (f for f in done.findings if f.code == "sanitizer.old")
    assert old.measured == pytest.approx(80)
    assert old.severity is Severity.CHECK
    assert done.aged_stock_m3.value == pytest.approx(done.stock_m3 / 0.8)


def test_a_jug_of_unknown_age_asks_for_a_strip():
    done = dilute(stock_frac=0.06, target_frac=50e-6, volume_m3=0.1)
    assert [f.code for f in done.findings] == ["sanitizer.age"]
    assert done.mixed_frac.low < done.mixed_frac.value == pytest.approx(50e-6)


def test_a_mix_above_the_limit_stops():
    done = dilute(
        stock_frac=0.0525, target_frac=201e-6, volume_m3=0.1, age_s=0, max_frac=LIMIT_FRAC
    )
    assert [f.code for f in done.findings] == ["sanitizer.strong"]
    at_limit = dilute(
        stock_frac=0.0525, target_frac=LIMIT_FRAC, volume_m3=0.1, age_s=0, max_frac=LIMIT_FRAC
    )
    assert not at_limit.findings


@pytest.mark.parametrize(
    ("percent", "warned"), [(5.25, False), (6, True), (7.5, True), (8.25, True)]
)
def test_the_old_tablespoon_rule_is_warned_about_for_stronger_bleach(percent, warned):
    finding = tablespoon_per_gallon(stock_frac=percent / 100, max_frac=LIMIT_FRAC)
    assert (finding is not None) is warned


def test_the_dose_is_written_as_spoons():
    done = dilute(stock_frac=0.0825, target_frac=200e-6, volume_m3=GALLON_M3, age_s=0)
    assert done.measures == spoon_measures(done.stock_m3)
    assert [text.replace("\u202f", " ") for text in done.measures] == [
        "9.18 mL",
        "1.86 tsp",
        "0.62 tbsp",
        "0.31 fl oz",
    ]


def test_the_cautions_name_acid_ammonia_gloves_and_the_label():
    text = " ".join(MIXING_CAUTIONS)
    for word in ("acid", "ammonia", "into the water", "gloves", "label", "fresh"):
        assert word in text.lower()


@pytest.mark.parametrize(
    "wrong",
    [
        {"stock_frac": 8.25},
        {"stock_frac": 0},
        {"stock_frac": float("nan")},
        {"target_frac": 0.0825},
        {"target_frac": -1e-6},
        {"volume_m3": 0},
        {"volume_m3": float("inf")},
        {"age_s": -1},
        {"max_frac": 200},
    ],
)
def test_impossible_doses_are_refused(wrong):
    with pytest.raises(InputError):
        dilute(**{"stock_frac": 0.0825, "target_frac": 1e-4, "volume_m3": 1e-2} | wrong)
