from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pinfeather.errors import InputError
from pinfeather.finding import Severity
from pinfeather.flock.feedstuffs import (
    Ingredient,
    Need,
    ingredient,
    ingredient_names,
    pearson_square,
    published_needs,
)
from pinfeather.flock.ration import cheapest_mix, content_of
from pinfeather.flock.ration_pitfalls import pitfalls

CORN = Ingredient("corn", Decimal(30), {"protein": 0.085, "energy": 14.0e6})
SOY = Ingredient("soy", Decimal(55), {"protein": 0.485, "energy": 10.2e6})


@settings(deadline=None)
@given(st.floats(0.05, 0.3), st.floats(0.31, 0.6), st.floats(0, 1))
def test_the_square_mixes_to_the_target(low, high, at):
    target = low + at * (high - low)
    a, b = pearson_square(low, high, target)
    assert a + b == pytest.approx(1)
    assert a * low + b * high == pytest.approx(target)


def test_the_square_refuses_what_two_feeds_cannot_reach():
    with pytest.raises(InputError):
        pearson_square(0.08, 0.44, 0.5)
    with pytest.raises(InputError):
        pearson_square(0.2, 0.2, 0.2)


@settings(deadline=None)
@given(st.floats(0.09, 0.48))
def test_with_two_feeds_the_cheapest_mix_is_the_square(target):
    mix = cheapest_mix([CORN, SOY], [Need("protein", target)])
    low, high = pearson_square(0.085, 0.485, target)
    assert mix.met
    assert mix.shares.get("corn", 0) == pytest.approx(low, abs=1e-6)
    assert mix.shares.get("soy", 0) == pytest.approx(high, abs=1e-6)


@settings(deadline=None)
@given(st.floats(0.12, 0.40), st.floats(0.005, 0.05))
def test_the_worth_of_a_need_is_what_a_little_more_costs(target, more):
    before = cheapest_mix([CORN, SOY], [Need("protein", target)])
    after = cheapest_mix([CORN, SOY], [Need("protein", target + more)])
    (worth,) = before.binding
    gap = float(after.cents_per_kg - before.cents_per_kg)
    assert gap == pytest.approx(worth.worth_cents_per_kg * more, abs=3e-5)


@settings(deadline=None)
@given(st.floats(0.10, 0.25), st.floats(0.26, 0.45))
def test_asking_more_never_costs_less(less, more):
    cheap = cheapest_mix([CORN, SOY], [Need("protein", less)])
    dear = cheapest_mix([CORN, SOY], [Need("protein", more)])
    assert dear.cents_per_kg >= cheap.cents_per_kg


def test_what_cannot_be_met_is_named_with_the_nearest_mix():
    mix = cheapest_mix([CORN, SOY], [Need("protein", 0.60), Need("energy", 9.0e6)])
    assert not mix.met
    short = mix.findings[0]
    assert (short.code, short.where, short.severity) == ("ration.short", "protein", Severity.STOP)
    assert short.measured == pytest.approx(0.485, abs=1e-4)
    over = cheapest_mix([SOY], [Need("protein", None, 0.2)])
    assert "over what is allowed" in over.findings[0].sentence


@pytest.mark.parametrize(
    "parts",
    [
        [],
        [CORN, CORN],
        [Ingredient("a", Decimal(1), {}, 0.2, 0.1)],
        [Ingredient("a", Decimal(1), {}, 0.0, 0.4)],
        [Ingredient("a", Decimal(-1), {})],
    ],
    ids=["none", "twice", "limits", "whole", "price"],
)
def test_ingredients_that_cannot_be_are_refused(parts):
    with pytest.raises(InputError):
        cheapest_mix(parts, [Need("protein", 0.1)])


def test_needs_that_contradict_themselves_are_refused():
    with pytest.raises(InputError):
        cheapest_mix([CORN], [Need("protein", 0.2, 0.1)])


@pytest.mark.parametrize("species", ["chicken", "turkey", "duck"])
def test_published_needs_are_shares_and_energy(species):
    phase = {"chicken": "starter", "turkey": "0 to 4 weeks", "duck": "0 to 2 weeks"}[species]
    needs = {n.nutrient: n for n in published_needs(species, phase)}
    assert 0.2 < needs["protein"].least < 0.3
    assert 11e6 < needs["energy"].least < 14e6
    assert needs["calcium"].most > needs["calcium"].least
    with pytest.raises(InputError):
        published_needs(species, "adult")


def test_ingredients_of_the_table():
    for name in ingredient_names():
        one = ingredient(name, Decimal(1))
        assert all(0 <= v <= 1 for k, v in one.content.items() if k != "energy")
    with pytest.raises(InputError):
        ingredient("gold", Decimal(1))


def test_the_content_of_a_mix_is_what_it_asks_for():
    mix = cheapest_mix([CORN, SOY], [Need("protein", 0.2)])
    assert mix.content["protein"] == pytest.approx(0.2)
    assert content_of({"corn": 1.0}, [CORN], ["fibre"]) == {"fibre": 0.0}


def test_pitfalls_are_named():
    codes = {f.code for f in pitfalls({"corn": 0.95, "lysine": 0.03, "salt": 0.002}, "duck")}
    assert codes == {
        "ration.synthetic",
        "ration.premix",
        "ration.small",
        "ration.duck",
        "ration.table",
    }
    assert pitfalls({"corn": 0.99, "premix": 0.01})[0].code == "ration.table"
