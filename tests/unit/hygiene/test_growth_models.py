import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pinfeather.errors import InputError, OutOfRangeError
from pinfeather.hygiene.growth_models import (
    ecoli_model,
    growth_model,
    model_codes,
    pseudomonas_model,
)

codes = st.sampled_from(model_codes())
FORMS = {
    "salmonella_oscar_2002",
    "salmonella_oscar_2002_modified",
    "salmonella_oscar_2002_cardinal",
    "salmonella_juneja_2007",
}


def test_every_model_carries_a_citation_a_status_and_a_note():
    assert set(model_codes()) >= FORMS
    for code in model_codes():
        model = growth_model(code)
        assert model.citation
        assert model.note
        assert model.status in {"read", "second hand", "unverified", "disputable"}
        assert model.fitted_degC[0] < model.fitted_degC[1]


def test_the_ecoli_coefficients_are_marked_unverified():
    assert growth_model("ecoli_ross_2003").status == "unverified"


@given(codes, st.floats(0, 200))
def test_nothing_grows_at_or_beyond_its_limits(code, away_K):
    model = growth_model(code)
    assert model.rate(model.min_degC - away_K).per_s == 0
    if model.form not in {"square root", "none"}:
        assert model.rate(model.max_degC + away_K).per_s == 0


@given(codes, st.floats(-60, 120))
def test_a_rate_is_never_negative_and_always_a_number(code, temp_degC):
    rate = growth_model(code).rate(temp_degC).per_h
    assert np.isfinite(rate)
    assert rate >= 0


@given(codes, st.lists(st.floats(-20, 60), min_size=1, max_size=30))
def test_a_whole_array_gives_what_each_temperature_gives(code, temps_degC):
    model = growth_model(code)
    together = model.rate(temps_degC).per_h
    alone = [float(model.rate(t).per_h) for t in temps_degC]
    assert together == pytest.approx(alone, rel=1e-12)


@given(st.floats(8, 34), st.floats(0.01, 4))
def test_warmer_is_faster_below_the_optimum(temp_degC, more_K):
    for code in FORMS:
        model = growth_model(code)
        assert model.rate(temp_degC).per_s < model.rate(temp_degC + more_K).per_s


@given(st.floats(10, 42))
def test_the_quicker_alternative_is_quicker(temp_degC):
    fast = growth_model("salmonella_juneja_2007").rate(temp_degC).per_s
    assert fast > growth_model("salmonella_oscar_2002").rate(temp_degC).per_s


def test_campylobacter_does_not_grow_in_the_chill_room():
    assert not growth_model("campylobacter").rate(np.linspace(-5, 50, 12)).per_s.any()


def test_acid_dry_and_sour_meat_slows_e_coli():
    plain = ecoli_model().rate(20).per_s
    assert ecoli_model(ph=5.6).rate(20).per_s < plain
    assert ecoli_model(water_activity=0.96).rate(20).per_s < plain
    assert ecoli_model(lactate_mM=150).rate(20).per_s < plain
    assert ecoli_model(lactate_mM=500, ph=4.5).rate(20).per_s == 0


@pytest.mark.parametrize(
    "wrong", [{"ph": 8.5}, {"water_activity": 1.0}, {"lactate_mM": -1}, {"ph": float("nan")}]
)
def test_meat_outside_the_data_is_refused(wrong):
    with pytest.raises(OutOfRangeError):
        ecoli_model(**wrong)


def test_pseudomonas_needs_water():
    with pytest.raises(OutOfRangeError):
        pseudomonas_model(water_activity=0.947)
    dry, wet = pseudomonas_model(water_activity=0.96), pseudomonas_model(water_activity=0.999)
    assert dry.rate(4).per_s < wet.rate(4).per_s


def test_an_unknown_model_is_refused():
    with pytest.raises(InputError):
        growth_model("yeti")
