"""Holding times and thermometers against published numbers."""

import pathlib
import tomllib

import numpy as np
import pytest

from pinfeather.heat.boiling import boiling_degC
from pinfeather.heat.thermometer import corrected_degC
from pinfeather.hygiene.curve import read_curve
from pinfeather.hygiene.lethality import cook, dwell_s, set_limit_degC
from pinfeather.units import from_si, to_si

DATA = pathlib.Path(__file__).parent / "data"


def source(name):
    return tomllib.loads((DATA / f"hygiene_{name}.toml").read_text(encoding="utf-8"))


COOKING = source("fsis_cooking_2021")
THERMOMETERS = source("thermometers")


def degF(value):
    return to_si(value, "F", "temperature")


@pytest.mark.parametrize(
    "row", COOKING["rows"], ids=lambda r: f"{r['bird']}-{r['fat_frac']}-{r['temp_F']}"
)
def test_rows_of_the_holding_table(row):
    found_s = dwell_s(degF(row["temp_F"]), bird=row["bird"], fat_frac=row["fat_frac"])
    expected_s = to_si(row["answer"], row["unit"], "time")
    assert found_s == pytest.approx(expected_s, rel=row["tolerance"])


def test_holding_times_at_160_lie_in_the_printed_range():
    row = COOKING["range_160F"]
    found = [dwell_s(degF(160), bird=b, fat_frac=0.01) for b in ("chicken", "turkey")]
    assert min(found) == pytest.approx(row["low_s"])
    assert max(found) <= row["high_s"]


def test_one_tenfold_is_a_seventh_of_the_holding_time():
    row = COOKING["tenfold"]
    tenfold_min = dwell_s(degF(row["temp_F"]), bird="chicken", fat_frac=0.01) / 7 / 60
    assert tenfold_min == pytest.approx(row["answer_min"], abs=row["tolerance"])


def test_two_holds_add_up():
    row = COOKING["summed"]
    first_s, second_s = (60 * m for m in row["minutes"])
    t_s = [0, first_s, first_s, first_s + second_s]
    temps = np.repeat([degF(t) for t in row["temps_F"]], 2)
    kill = cook(read_curve(t_s, temps), bird="chicken", fat_frac=row["fat_frac"])
    assert kill.log10 == pytest.approx(row["answer_log10"], abs=row["tolerance"])
    assert kill.findings[0].code == "cook.short"


def test_a_thermometer_good_to_a_degree_moves_165_to_166():
    row = COOKING["guard"]
    limit_degC = set_limit_degC(
        degF(row["limit_F"]),
        accuracy_K=to_si(row["accuracy_F"], "F", "temperature difference"),
        side="hot",
    )
    assert from_si(limit_degC, "F", "temperature") == pytest.approx(row["answer_F"])


def test_a_reading_is_corrected_by_the_ice_check():
    row = THERMOMETERS["ice"]
    true_degC = corrected_degC(degF(row["reading_F"]), ice_reading_degC=degF(row["ice_reading_F"]))
    assert from_si(true_degC, "F", "temperature") == pytest.approx(row["answer_F"])


@pytest.mark.parametrize("row", THERMOMETERS["boiling"], ids=lambda r: f"{r['altitude_ft']}ft")
def test_water_boils_at_the_printed_temperature(row):
    found = boiling_degC(altitude_m=to_si(row["altitude_ft"], "ft", "length"))
    assert from_si(found, "F", "temperature") == pytest.approx(
        row["answer_F"], abs=row["tolerance"]
    )
