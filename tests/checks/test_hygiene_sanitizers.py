"""Doses, solution conditions and ceilings against published numbers."""

import pathlib
import tomllib

import pytest

from pinfeather.finding import Severity, worst
from pinfeather.hygiene.dilution import dilute, tablespoon_per_gallon
from pinfeather.hygiene.rinse import judge_peracid_rinse
from pinfeather.quantity import parse
from pinfeather.rules.profile import load
from pinfeather.rules.sanitiser import strength_verdict
from pinfeather.units import to_si

DATA = pathlib.Path(__file__).parent / "data"
FEDERAL = load("us-federal")
CODES = {
    ("chlorine", "hypochlorite"): "chlorine",
    ("chlorine", "isocyanurate"): "chlorine_tablets",
    ("iodine", "any"): "iodine",
    ("quat", "any"): "quat",
    ("peracetic acid", "any"): "peracetic",
    ("chlorine dioxide", "any"): "chlorine_dioxide",
}
PLACES = {"food processing": "food processing", "public eating place": "public eating"}


def source(name):
    return tomllib.loads((DATA / f"hygiene_{name}.toml").read_text(encoding="utf-8"))


def ppm(value):
    return to_si(value, "ppm", "strength")


def named(row):
    return "-".join(str(v) for v in list(row.values())[:3])


@pytest.mark.parametrize("row", source("dilution")["rows"], ids=named)
def test_doses_of_bleach(row):
    done = dilute(
        stock_frac=row["stock_pct"] / 100,
        target_frac=ppm(row["target_ppm"]),
        volume_m3=parse(row["volume"], "volume").si,
        age_s=0,
    )
    assert done.stock_m3 * 1e6 == pytest.approx(row["answer_mL"], abs=row["tolerance"])


@pytest.mark.parametrize("row", source("dilution")["tablespoon"], ids=named)
def test_a_tablespoon_per_gallon_of_stronger_bleach_is_too_much(row):
    finding = tablespoon_per_gallon(stock_frac=row["stock_pct"] / 100, max_frac=ppm(200))
    assert finding.measured == pytest.approx(row["answer_ppm"], abs=row["tolerance"])


@pytest.mark.parametrize("row", source("food_code")["rows"], ids=named)
def test_each_cell_of_the_solution_table_is_the_edge(row):
    def verdict(temp_F, contact_s):
        return worst(
            strength_verdict(
                FEDERAL,
                row["chemical"],
                row["ppm"],
                temperature_degC=to_si(temp_F, "F", "temperature"),
                pH=row["ph"],
                contact_s=contact_s,
                yardstick="food_code_current",
            )
        )

    assert verdict(row["min_F"], row["contact_s"]) is Severity.NOTE
    assert verdict(row["min_F"] - 1, row["contact_s"]) is Severity.STOP
    assert verdict(row["min_F"], row["contact_s"] - 1) is Severity.STOP


@pytest.mark.parametrize("row", source("cfr_180_940")["rows"], ids=named)
def test_ceilings_without_a_rinse(row):
    code, place = CODES[row["chemical"], row["source"]], PLACES[row["surface"]]

    def strong(value):
        return [
            f
            for f in strength_verdict(FEDERAL, code, value, place=place)
            if f.code == "sanitiser.strong"
        ]

    assert strong(row["answer_ppm"]) == []
    (finding,) = strong(row["answer_ppm"] * (1 + 1e-6))
    assert finding.severity is Severity.STOP
    assert finding.limit == row["answer_ppm"]


@pytest.mark.parametrize("row", source("cfr_173_370")["rows"], ids=named)
def test_peracetic_acid_on_carcasses(row):
    (finding,) = judge_peracid_rinse(ppm(row["peracetic_ppm"]))
    assert (finding.severity is Severity.STOP) is row["over"]
    assert finding.limit == row["limit_ppm"]


def test_the_other_parts_of_a_peracid_rinse():
    limits = source("cfr_173_370")["limits"]
    findings = judge_peracid_rinse(0.0, peroxide_frac=0.0, hedp_frac=0.0)
    assert [f.limit for f in findings[1:]] == [limits["peroxide_ppm"], limits["hedp_ppm"]]
