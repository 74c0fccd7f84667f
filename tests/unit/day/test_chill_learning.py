import datetime as dt

import numpy as np
import pytest

from pinfeather.day.chill_learning import (
    FEWEST_BIRDS,
    ProbedBird,
    own_numbers,
    probed_birds,
)
from pinfeather.day.chill_proof import batches
from pinfeather.day.cold import bird_chill_times
from pinfeather.day.instruments import trusted
from pinfeather.estimate import Origin
from pinfeather.heat.breast import MEAT_M2_PER_S, MEAT_W_PER_M_K
from pinfeather.heat.conduction import centre_ratio
from pinfeather.heat.learning import Probed
from pinfeather.rules.profile import load

FEDERAL = load("us-federal")
BATH = 1.0
TIMES = np.array([1800.0, 3600.0, 5400.0])


def readings_of(mass_kg, *, thickness_of_1_kg_m, surface, times=TIMES, bath=BATH):
    """Temperatures of a breast by the exact slab series."""
    half = thickness_of_1_kg_m * mass_kg ** (1 / 3) / 2
    left = centre_ratio(
        "slab", MEAT_M2_PER_S * times / half**2, biot=surface * half / MEAT_W_PER_M_K
    )
    return bath + (38.0 - bath) * left


def farm(birds, *, thickness_of_1_kg_m=0.034, surface=160.0, group=("broad", "stirred"), days=3):
    rng = np.random.default_rng(9)
    found = []
    for number in range(birds):
        mass_kg = 1.8 + 0.1 * (number % 6)
        values = readings_of(mass_kg, thickness_of_1_kg_m=thickness_of_1_kg_m, surface=surface)
        probed = Probed(mass_kg, BATH, TIMES, values + rng.normal(0, 0.3, len(TIMES)))
        date = dt.date(2026, 6, 1) + dt.timedelta(days=number % days)
        found.append(ProbedBird(date, "East tank", group, probed))
    return found


# --- learning


def test_without_birds_nothing_is_learned():
    numbers = own_numbers([])
    assert numbers.groups == {}
    assert numbers.estimates(2.0, build="broad", bath="stirred") is None


def test_thin_breasts_are_found_and_the_band_gets_narrower():
    own = own_numbers(farm(12)).groups["broad", "stirred"]
    learned = own.learned.thickness_of_1_kg_m
    assert learned.low < 0.034 < learned.high
    assert abs(learned.value - 0.034) < abs(own.prior_thickness_m.value - 0.034) / 3
    assert own.learned.narrower_frac > 0.3
    assert own.surface_narrower_frac > 0
    assert own.usable


def test_more_birds_know_better():
    few, many = (own_numbers(farm(n)).groups["broad", "stirred"] for n in (3, 24))
    assert many.learned.narrower_frac > few.learned.narrower_frac
    assert many.surface_narrower_frac > few.surface_narrower_frac


def test_the_basis_names_days_birds_and_readings():
    own = own_numbers(farm(6)).groups["broad", "stirred"]
    for estimate in (own.learned.thickness_of_1_kg_m, own.learned.surface_W_per_m2K):
        assert estimate.basis.origin is Origin.OWN
        assert estimate.basis.note == "your last 3 days, 6 probed birds, 18 readings"


def test_too_few_birds_do_not_change_a_plan():
    numbers = own_numbers(farm(FEWEST_BIRDS - 1))
    assert not numbers.groups["broad", "stirred"].usable
    assert numbers.estimates(2.0, build="broad", bath="stirred") is None


def test_readings_that_fit_no_line_do_not_change_a_plan():
    rng = np.random.default_rng(2)
    wild = [
        ProbedBird(
            dt.date(2026, 6, 1),
            "East tank",
            ("broad", "stirred"),
            Probed(2.0, BATH, TIMES, np.abs(rng.normal(20, 12, 3)) + 1.5),
        )
        for _ in range(6)
    ]
    assert not own_numbers(wild).groups["broad", "stirred"].usable


def test_each_kind_of_bird_and_tank_learns_for_itself():
    numbers = own_numbers([*farm(4), *farm(4, group=("lean", "still"))])
    assert set(numbers.groups) == {("broad", "stirred"), ("lean", "still")}
    assert numbers.estimates(2.0, build="broad", bath="still") is None
    assert numbers.estimates(2.0, build="lean", bath="still") is not None


def test_a_plan_takes_the_farms_own_numbers(day_request):
    lot = next(lot for lot in day_request.lots if lot.build == "broad")
    numbers = own_numbers(farm(12))
    book = bird_chill_times(lot, stirred=True, profile=FEDERAL)
    own = bird_chill_times(lot, stirred=True, profile=FEDERAL, chill_numbers=numbers)
    assert own[0].thickness_m.basis.note.startswith("your last 3 days")
    assert all(a.time_s < b.time_s for a, b in zip(own, book, strict=True))  # thinner breasts
    ratio = [a.high_s / a.low_s for a in (own[0], book[0])]
    assert ratio[0] < ratio[1]


def test_a_plan_in_a_still_tank_leaves_numbers_of_stirred_ones(day_request):
    lot = day_request.lots[0]
    numbers = own_numbers(farm(12))
    book = bird_chill_times(lot, stirred=False, profile=FEDERAL)
    own = bird_chill_times(lot, stirred=False, profile=FEDERAL, chill_numbers=numbers)
    assert own == book


# --- picking the birds of a day


@pytest.fixture
def probed(journal, day_request):
    journal.tally("kill", 10, birds=5)
    journal.tally("chill", 40, birds=5, place="East tank")

    def picked():
        done = journal.progress()
        masses = {lot.code: lot.masses_kg for lot in day_request.lots}
        held = batches(done, masses_kg=masses, profile=FEDERAL)
        readings = trusted(done.readings, done.ice_points, accuracies_K={})
        return probed_birds(day_request, held, readings)

    return picked


def bird(journal, minute, value, *, mass_kg=None, note="", place="East tank"):
    journal.reading("bird", minute, value, place=place)
    payload = journal.events[-1].payload
    payload["note"] = note
    if mass_kg is not None:
        payload["mass_kg"] = mass_kg


def test_a_weighed_bird_with_its_water_read_is_picked(journal, probed):
    journal.reading("bath", 60, 33.8, place="East tank")
    bird(journal, 80, 60.0, mass_kg=2.3)
    bird(journal, 110, 45.0, mass_kg=2.3)
    (one,) = probed()
    assert one.probed.mass_kg == 2.3
    assert one.probed.times_s.tolist() == [40 * 60.0, 70 * 60.0]
    assert one.probed.bath_degC == pytest.approx(1.0)
    assert one.group[0] == "broad"


def test_the_weight_may_stand_in_the_note(journal, probed):
    journal.reading("bath", 60, 33.8, place="East tank")
    bird(journal, 80, 60.0, note="5.2 lb")
    (one,) = probed()
    assert one.probed.mass_kg == pytest.approx(5.2 * 0.45359237)


@pytest.mark.parametrize("note", ["", "a big one", "5.2", "-1 lb"])
def test_a_bird_nobody_weighed_is_left_out(journal, probed, note):
    journal.reading("bath", 60, 33.8, place="East tank")
    bird(journal, 80, 60.0, note=note)
    assert probed() == ()


def test_a_bird_whose_water_nobody_read_is_left_out(journal, probed):
    bird(journal, 80, 60.0, mass_kg=2.3)
    journal.reading("bath", 90, 33.8, place="East tank")  # after its last reading
    assert probed() == ()


def test_a_bird_colder_than_its_water_is_left_out(journal, probed):
    journal.reading("bath", 60, 39.0, place="East tank")
    bird(journal, 80, 38.0, mass_kg=2.3)
    assert probed() == ()


def test_a_reading_before_the_last_bird_went_in_is_left_out(journal, probed):
    journal.reading("bath", 45, 33.8, place="East tank")
    bird(journal, 35, 90.0, mass_kg=2.3)
    assert probed() == ()


def test_two_weights_are_two_birds(journal, probed):
    journal.reading("bath", 60, 33.8, place="East tank")
    bird(journal, 80, 60.0, mass_kg=2.3)
    bird(journal, 81, 55.0, mass_kg=2.0)
    assert [one.probed.mass_kg for one in probed()] == [2.3, 2.0]
