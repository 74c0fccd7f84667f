"""Sampling, control charts and standards against independent and published numbers."""

import datetime as dt
import pathlib
import tomllib

import pytest

from pinfeather.hygiene.control_chart import capability, individuals_chart
from pinfeather.hygiene.sampling import (
    miss_chance,
    probes_needed,
    probes_needed_large,
    share_interval,
)
from pinfeather.hygiene.standards import (
    framework_in_force,
    judge_positives,
    pass_chance,
    standards,
)
from pinfeather.hygiene.tables import table
from pinfeather.units import from_si, to_si

DATA = pathlib.Path(__file__).parent / "data"


def source(name):
    return tomllib.loads((DATA / f"hygiene_{name}.toml").read_text(encoding="utf-8"))


SAMPLING = source("sampling")
STANDARDS = source("fsis_standards")


def named(row):
    return "-".join(str(v) for v in list(row.values())[:3])


@pytest.mark.parametrize("row", SAMPLING["large"], ids=named)
def test_birds_to_check_over_a_season(row):
    found = probes_needed_large(share_frac=row["share"], confidence=row["confidence"])
    assert found == row["answer"]


@pytest.mark.parametrize("row", SAMPLING["finite"], ids=named)
def test_birds_to_probe_in_a_batch(row):
    assert probes_needed(warm=row["warm"], lot=row["lot"]) == row["answer"]


@pytest.mark.parametrize("row", SAMPLING["missed"], ids=named)
def test_chance_to_miss_the_warm_ones(row):
    found = miss_chance(lot=row["lot"], warm=row["warm"], probed=row["probed"])
    assert found == pytest.approx(row["answer"], abs=row["tolerance"])


@pytest.mark.parametrize("row", SAMPLING["intervals"], ids=named)
def test_range_of_a_share(row):
    found = share_interval(found=row["found"], of=row["of"], exact=row["exact"])
    assert found.low_frac * 100 == pytest.approx(row["low_pct"], abs=row["tolerance"])
    assert found.high_frac * 100 == pytest.approx(row["high_pct"], abs=row["tolerance"])


def test_the_control_chart_of_ten_chills():
    row = source("control_chart")
    chart = individuals_chart([to_si(v, "F", "temperature") for v in row["values_F"]])
    for name in ("centre", "upper", "lower"):
        found = from_si(getattr(chart, name), "F", "temperature")
        assert found == pytest.approx(row[f"{name}_F"], abs=row["tolerance"])
    for name, key in (("range_centre", "range_F"), ("range_upper", "range_upper_F")):
        found = from_si(getattr(chart, name), "F", "temperature difference")
        assert found == pytest.approx(row[key], abs=row["tolerance"])
    able, _ = capability(chart, upper_limit=to_si(row["limit_F"], "F", "temperature"))
    assert able.cpu == pytest.approx(row["cpu"], abs=row["tolerance"])
    assert able.share_over_frac * 100 == pytest.approx(
        row["share_over_pct"], abs=row["share_tolerance"]
    )


@pytest.mark.parametrize("row", STANDARDS["rows"], ids=named)
def test_standards_as_a_share(row):
    (standard,) = (
        s for s in standards() if (s.samples, s.accept) == (row["samples"], row["accept"])
    )
    assert standard.share_frac * 100 == pytest.approx(row["answer_pct"], abs=row["tolerance"])


@pytest.mark.parametrize("row", STANDARDS["chances"], ids=named)
def test_chance_to_pass_a_set(row):
    found = pass_chance(samples=row["samples"], accept=row["accept"], share_frac=row["share"])
    assert found == pytest.approx(row["answer"], abs=row["tolerance"])


def test_six_of_fifty_one_fails():
    row = STANDARDS["fail"]
    (standard,) = (
        s for s in standards() if (s.samples, s.accept) == (row["samples"], row["accept"])
    )
    assert judge_positives(standard, positives=row["positives"]).code == "pathogen.over"
    assert judge_positives(standard, positives=row["accept"]).code == "pathogen.within"


def test_the_salmonella_framework_was_withdrawn():
    row = STANDARDS["framework"]
    kept = table("standards")["framework"]
    assert kept["withdrawn"] == row["withdrawn"] == dt.date(2025, 4, 25)
    assert row["citation"] in kept["citation"]
    assert not framework_in_force(row["withdrawn"])
