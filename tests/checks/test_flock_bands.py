"""How well the bands of single birds hold, as the guide tells it: counted on single weights."""

import pathlib
import re
import tomllib

import numpy as np
import pytest

from pinfeather.flock.curves import reference_curve
from pinfeather.flock.forecast import Sample, Seen, forecast
from pinfeather.flock.spread import band_kg

HERE = pathlib.Path(__file__).parent
GUIDE = HERE.parents[1] / "docs" / "guide" / "calculations" / "growth.md"
HOLDS = (0.80, 0.90)


def source(name):
    return tomllib.loads((HERE / "data" / f"flock_{name}.toml").read_text(encoding="utf-8"))


CHICKS = source("crowder_hand_1990")
BECKER = source("variation")["becker"]["weights_g"]
FLOCK = source("riazoshams_2009")["bands"]


def told(birds, weighed=""):
    """Percent for both bands from the guide's table."""
    for line in GUIDE.read_text(encoding="utf-8").splitlines():
        if line.startswith(f"| {birds}") and weighed in line:
            return [int(n) for n in re.findall(r"(\d+) %", line)[-2:]]
    raise AssertionError(birds)


def sample(age, grams):
    kg = np.array(grams) / 1000
    return Sample(age, float(kg.mean()), len(kg), float(kg.std(ddof=1) / kg.mean()))


def inside(samples, age, grams, holds):
    seen = Seen(reference_curve("nrc_1984"), tuple(samples))
    low, high = band_kg(forecast([seen], float(age)), holds)
    kg = np.array(grams) / 1000
    return (kg >= low[0]) & (kg <= high[0])


def share_of_chicks(holds):
    held = []
    for diet in CHICKS["diets"]:
        samples = [sample(day, diet[f"day_{day}_g"]) for day in CHICKS["sampled"]]
        for day in CHICKS["predicted"]:
            held += list(inside(samples, day, diet[f"day_{day}_g"], holds))
    return float(np.mean(held))


def share_of_white_rocks(holds):
    held = []
    for turn in range(len(BECKER)):
        order = BECKER[turn:] + BECKER[:turn]
        held += list(inside([sample(56, order[:20])], 56, order[20:], holds))
    return float(np.mean(held))


@pytest.mark.parametrize(("place", "holds"), list(enumerate(HOLDS)))
def test_fifty_chicks_that_nothing_was_set_on(place, holds):
    found = share_of_chicks(holds)
    assert round(100 * found) == told("50 chicks")[place]
    assert found >= holds - 0.12  # too narrow for them, and the guide says by how much


@pytest.mark.parametrize(("place", "holds"), list(enumerate(HOLDS)))
def test_forty_five_white_rocks_that_nothing_was_set_on(place, holds):
    found = share_of_white_rocks(holds)
    assert round(100 * found) == told("45 White Rock")[place]
    assert found >= holds


@pytest.mark.parametrize("row", FLOCK, ids=lambda r: f"{r['sampled'][0]}-{r['holds']}")
def test_the_guide_tells_what_was_found_on_the_510_weights(row):
    first, last = row["sampled"][0], row["sampled"][-1]
    name = "510 broilers" if first == 29 else "the same"
    shown = told(name, f"days {first} to {last}")
    assert shown[HOLDS.index(row["holds"])] == round(100 * row["found"])


def test_single_weights_are_those_of_the_published_day_means():
    """Means of all chicks by day as published with the fits (read there)."""
    means = source("growth_fits")["chick_means"]
    for day in (10, 12, 14, 18, 20, 21):
        each = [g for diet in CHICKS["diets"] for g in diet[f"day_{day}_g"]]
        published = means["weights"][means["ages"].index(day)]
        assert float(np.mean(each)) == pytest.approx(published, abs=0.001)
