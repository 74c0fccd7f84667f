"""Mixes against textbook answers, an independent solver run, and published diets."""

import pathlib
import tomllib
from decimal import Decimal

import pytest

from pinfeather.flock.feed import J_PER_KCAL
from pinfeather.flock.feedstuffs import (
    Ingredient,
    Need,
    ingredient,
    pearson_square,
    published_needs,
)
from pinfeather.flock.ration import cheapest_mix, content_of

DATA = pathlib.Path(__file__).parent / "data"


def source(name):
    return tomllib.loads((DATA / f"flock_{name}.toml").read_text(encoding="utf-8"))


MIXES = source("mixes")
FARM = MIXES["farm"]


@pytest.mark.parametrize("row", source("pearson")["rows"], ids=lambda r: str(r["target"]))
def test_the_square(row):
    low, high = pearson_square(row["low"], row["high"], row["target"])
    assert low * row["total_lb"] == pytest.approx(row["low_lb"], abs=0.01)
    assert high * row["total_lb"] == pytest.approx(row["high_lb"], abs=0.01)


def test_the_textbook_mix():
    row = MIXES["textbook"]
    parts = [Ingredient(n, Decimal(p), row["content"][n]) for n, p in row["price"].items()]
    needs = [
        Need("calcium", *row["calcium"]),
        Need("protein", row["protein_least"]),
        Need("fibre", None, row["fibre_most"]),
    ]
    mix = cheapest_mix(parts, needs)
    assert mix.shares == pytest.approx(row["shares"], abs=row["tolerance"])
    assert float(mix.cents_per_kg) == pytest.approx(row["cents"], abs=row["tolerance"])
    worth = {b.what: b for b in mix.binding}
    assert worth.keys() == {"calcium", "protein"}
    assert worth["calcium"].side == "most"
    assert worth["protein"].worth_cents_per_kg / 100 == pytest.approx(
        row["protein_point_cents"], abs=1e-4
    )


def test_a_diet_of_two_foods_beats_the_published_answer():
    # amounts, not shares: a filler that is free makes them shares of ten
    row = MIXES["two_variables"]
    parts = [
        Ingredient("x", Decimal(210), {"a": 70, "b": 9, "c": 7}),
        Ingredient("y", Decimal(70), {"a": 21, "b": 7, "c": 1}),
        Ingredient("air", Decimal(0), {}),
    ]
    needs = [Need("a", 16.8), Need("b", 2.7), Need("c", 1.4)]
    mix = cheapest_mix(parts, needs)
    assert mix.shares["x"] * 10 == pytest.approx(row["x"], abs=row["tolerance"])
    assert mix.shares["y"] * 10 == pytest.approx(row["y"], abs=row["tolerance"])
    assert float(mix.cents_per_kg) == pytest.approx(row["cost"], abs=row["tolerance"])
    assert float(mix.cents_per_kg) < row["wrong"]


def on_the_farm(most, *, without=()):
    return [
        ingredient(
            name,
            Decimal(price),
            least=FARM["premix"] if name == "premix" else 0.0,
            most=most.get(name, 1.0),
        )
        for name, price in FARM["price"].items()
        if name not in without
    ]


@pytest.mark.parametrize("row", FARM["phases"], ids=lambda r: r["phase"])
def test_corn_and_soy_diets(row):
    mix = cheapest_mix(on_the_farm(FARM["most"]), published_needs("chicken", row["phase"]))
    assert float(mix.cents_per_kg) * 10 == pytest.approx(row["dollars_per_t"], abs=0.001)
    assert mix.shares["corn"] * 100 == pytest.approx(row["corn"], abs=0.001)
    protein = next(b for b in mix.binding if b.what == "protein")
    # cents per kg and share of one -> dollars per ton and point
    assert protein.worth_cents_per_kg * 10 / 100 == pytest.approx(
        row["protein_point_dollars"], abs=0.006
    )


def test_less_energy_is_cheaper_by_the_published_amount():
    needs = published_needs(
        "chicken", "starter", energy_J_per_kg=FARM["leaner"]["energy_kcal"] * J_PER_KCAL
    )
    mix = cheapest_mix(on_the_farm(FARM["most"]), needs)
    assert float(mix.cents_per_kg) * 10 == pytest.approx(FARM["leaner"]["dollars_per_t"], abs=0.001)


def soy_free(extra):
    row = MIXES["soy_free"]
    needs = published_needs("chicken", "grower", energy_J_per_kg=row["energy_kcal"] * J_PER_KCAL)
    parts = on_the_farm({**row["most"], **extra}, without=("corn", "soybean meal 48.5"))
    return cheapest_mix(parts, needs)


def test_lysine_bought_as_protein_is_called_out():
    row = MIXES["soy_free"]
    mix = soy_free({})
    assert float(mix.cents_per_kg) * 10 == pytest.approx(row["uncapped_dollars"], abs=0.01)
    assert mix.shares["lysine"] * 100 == pytest.approx(row["uncapped_lysine"], abs=0.01)
    assert mix.findings[0].code == "ration.synthetic"


def test_with_a_cap_the_mix_is_dearer_and_quiet():
    row = MIXES["soy_free"]
    mix = soy_free({"lysine": row["cap"], "methionine": row["cap"]})
    assert float(mix.cents_per_kg) * 10 == pytest.approx(row["capped_dollars"], abs=0.001)
    assert "ration.synthetic" not in {f.code for f in mix.findings}


@pytest.mark.parametrize("row", source("published_diets")["rows"], ids=lambda r: r["name"])
def test_published_diets_from_the_packaged_table(row):
    parts = [ingredient(name, Decimal(0)) for name in row["mix"]]
    shares = {name: percent / 100 for name, percent in row["mix"].items()}
    found = content_of(shares, parts, ["protein", "energy", "lysine"])
    assert found["protein"] * 100 == pytest.approx(row["protein"], abs=0.5)
    assert found["energy"] / J_PER_KCAL == pytest.approx(row["energy_kcal"], rel=0.08)
    assert found["lysine"] * 100 == pytest.approx(row["lysine"], rel=0.08)
