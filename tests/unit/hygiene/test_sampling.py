import itertools

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from pinfeather.errors import InputError
from pinfeather.hygiene.sampling import (
    miss_chance,
    most_missed,
    probe_plan,
    probes_needed,
    probes_needed_large,
    share_interval,
)

lots = st.integers(1, 300)


@given(lots, st.data())
def test_the_chance_of_missing_is_the_hypergeometric_zero_class(lot, data):
    warm, probed = data.draw(st.integers(0, lot)), data.draw(st.integers(0, lot))
    expected = stats.hypergeom.pmf(0, lot, warm, probed)
    assert miss_chance(lot=lot, warm=warm, probed=probed) == pytest.approx(expected, abs=1e-9)


def test_the_chance_of_missing_is_what_counting_every_handful_gives():
    handfuls = list(itertools.combinations(range(9), 3))
    missed = sum(1 for handful in handfuls if not set(handful) & {0, 1})
    assert miss_chance(lot=9, warm=2, probed=3) == pytest.approx(missed / len(handfuls))


@given(lots, st.data(), st.floats(0.5, 0.999))
def test_the_number_needed_is_the_smallest_that_does(lot, data, confidence):
    warm = data.draw(st.integers(1, lot))
    need = probes_needed(warm=warm, lot=lot, confidence=confidence)
    assert miss_chance(lot=lot, warm=warm, probed=need) <= 1 - confidence
    assert miss_chance(lot=lot, warm=warm, probed=need - 1) > 1 - confidence


@given(lots, st.data(), st.floats(0.5, 0.999))
def test_the_most_missed_is_the_largest_not_ruled_out(lot, data, confidence):
    probed = data.draw(st.integers(0, lot))
    most = most_missed(lot=lot, probed=probed, confidence=confidence)
    assert miss_chance(lot=lot, warm=most, probed=probed) > 1 - confidence
    if most < lot - probed:
        assert miss_chance(lot=lot, warm=most + 1, probed=probed) <= 1 - confidence


@given(st.floats(0.001, 0.9))
def test_a_large_lot_needs_no_fewer_than_a_small_one(share):
    large = probes_needed_large(share_frac=share)
    assert probes_needed(warm=max(round(share * 1000), 1), lot=1000) <= large * 1.6 + 1
    assert (1 - share) ** large <= 0.05 + 1e-12 < (1 - share) ** (large - 1) + 1e-9


@given(st.lists(st.floats(0.5, 15), min_size=1, max_size=120))
def test_a_plan_always_takes_the_heaviest_the_first_and_the_last(weights_kg):
    plan = probe_plan(weights_kg)
    assert {0, len(weights_kg) - 1} <= set(plan.always)
    assert weights_kg.index(max(weights_kg)) in plan.always
    assert plan.count == len(plan.always) + plan.at_random <= len(weights_kg)
    assert plan.count >= min(5, len(weights_kg))
    assert plan.count * 10 >= len(weights_kg)
    assert plan.most_missed <= len(weights_kg) - plan.count


def test_a_plan_says_what_it_cannot_prove():
    plan = probe_plan([2.0] * 40)
    assert plan.count == 5
    assert f"up to {plan.most_missed} of the others" in plan.sentence
    assert plan.most_missed == 34
    assert "all 3" in probe_plan([2.0] * 3).sentence


@given(st.integers(1, 80), st.data())
def test_an_interval_holds_the_share_that_was_found(of, data):
    found = data.draw(st.integers(0, of))
    for exact in (True, False):
        interval = share_interval(found=found, of=of, exact=exact)
        assert interval.low_frac - 1e-12 <= found / of <= interval.high_frac + 1e-12


WRONG = {
    "more warm than birds": lambda: miss_chance(lot=5, warm=6, probed=1),
    "more probed than birds": lambda: most_missed(lot=5, probed=6),
    "no birds": lambda: probe_plan([]),
    "no warm bird": lambda: probes_needed(warm=0, lot=5),
    "certainty": lambda: probes_needed(warm=1, lot=5, confidence=1),
    "no share": lambda: probes_needed_large(share_frac=0),
    "a bird without weight": lambda: probe_plan([2.0, 0.0]),
    "more found than looked at": lambda: share_interval(found=2, of=1),
}


@pytest.mark.parametrize("wrong", WRONG.values(), ids=WRONG.keys())
def test_impossible_samples_are_refused(wrong):
    with pytest.raises(InputError):
        wrong()
