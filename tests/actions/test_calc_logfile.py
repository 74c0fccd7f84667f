"""A curve out of any maker's file, with nothing guessed from the size of a number."""

from __future__ import annotations

import numpy as np
import pytest

from pinfeather.actions.calc.catalogue import calculation, work_out
from pinfeather.actions.calc.logfile import read_curve_from
from pinfeather.errors import InputError, InputFaultsError

FALL = [100.0, 84.0, 68.0, 54.0, 44.0, 40.0, 38.0, 36.0]


def stamped(heading: str, separator: str = ",", comma: bool = False) -> bytes:
    rows = []
    for i, value in enumerate(FALL):
        hour, minute = divmod(10 * i, 60)
        written = f"{value:.1f}".replace(".", "," if comma else ".")
        rows.append(f"2026-06-17 {9 + hour:02d}:{minute:02d}{separator}{written}")
    return ("\n".join((heading, *rows)) + "\n").encode()


def degF(curve) -> list[float]:
    return list(np.round(curve.temp_degC * 1.8 + 32, 6))


@pytest.mark.parametrize(
    "heading",
    ["Time,Temperature (°F)", "Date/Time,temp F", "timestamp,probe_degF", "Date Time,Fahrenheit"],
)
def test_columns_and_unit_are_read_from_the_headings(heading):
    curve, findings = read_curve_from(stamped(heading))

    assert degF(curve) == FALL
    assert curve.length_s == 70 * 60
    assert findings == ()


def test_a_semicolon_file_with_decimal_commas_is_read():
    curve, _findings = read_curve_from(stamped("Datum Zeit;Temp [°F]", ";", comma=True))

    assert degF(curve) == FALL


@pytest.mark.parametrize(
    ("heading", "step", "factor"),
    [("elapsed (min)", 10, 60), ("minutes", 10, 60), ("time_s", 600, 1), ("hours", 0.25, 3600)],
)
def test_time_since_the_start_is_read_by_its_heading(heading, step, factor):
    text = f"{heading},temp_degC\n" + "".join(f"{step * i},{v / 10}\n" for i, v in enumerate(FALL))

    curve, _findings = read_curve_from(text.encode())

    assert curve.t_s[1] == pytest.approx(step * factor)
    assert curve.temp_degC[0] == pytest.approx(10.0)


def test_a_unit_nobody_wrote_is_asked_for():
    data = stamped("time,temp")

    with pytest.raises(InputError) as caught:
        read_curve_from(data)
    assert caught.value.name == "unit"
    assert degF(read_curve_from(data, unit="F")[0]) == FALL


def test_of_two_probes_one_must_be_named():
    rows = "".join(f"2026-06-17 09:{i:02d},{40 + i},{50 + i}\n" for i in range(9))
    data = ("time,temp breast F,temp bath F\n" + rows).encode()

    with pytest.raises(InputError) as caught:
        read_curve_from(data)
    assert caught.value.name == "column"
    assert "temp bath F" in caught.value.problem
    assert degF(read_curve_from(data, column="temp bath F")[0])[0] == 50
    with pytest.raises(InputError):
        read_curve_from(data, column="temp tank F")


def test_a_line_without_a_number_is_told_with_its_place():
    with pytest.raises(InputError) as caught:
        read_curve_from(b"minutes,temp F\n0,100\n5,warm\n10,80\n")

    assert "Line 3" in caught.value.problem


def test_trouble_in_the_file_is_among_the_findings():
    data = stamped("time,temp F") + b"2026-06-17 10:20,\n"

    result = work_out(calculation("growth"), {"log": data})

    assert "log.unreadable" in {f.code for f in result.findings}


def test_growth_and_cold_are_read_off_the_curve():
    result = work_out(calculation("growth"), {"log": stamped("time,temp F")})

    assert result.values["time_s"] == pytest.approx(50 * 60)
    assert 0 < result.values["log10_growth_with_lag"] < result.values["log10_growth"] < 1


@pytest.mark.parametrize(
    "organism", [o for o, _w in calculation("growth").input("organism").options]
)
def test_every_bacterium_has_its_model(organism):
    result = work_out(calculation("growth"), {"log": stamped("time,temp F"), "organism": organism})

    assert result.values["log10_growth"] >= 0
    assert result.sources[0].citation


def test_a_bird_left_warm_is_held():
    rows = "".join(f"{30 * i},98\n" for i in range(20))
    result = work_out(calculation("growth"), {"log": f"minutes,temp F\n{rows}".encode()})

    assert {"growth.hold", "time.cumulative"} <= {
        f.code for f in result.findings if f.severity.code == "stop"
    }
    assert result.values["time_s"] is None


def test_a_logged_cook_is_judged():
    hot, cool = (
        work_out(
            calculation("lethality"),
            {"log": f"minutes,temp F\n0,40\n30,120\n60,{top}\n70,{top}\n".encode()},
        )
        for top in (166, 130)
    )

    assert hot.values["instant"] is True
    assert cool.values["log10_kill"] == 0
    assert [f.code for f in cool.findings if f.severity.code == "stop"] == ["cook.short"]


def test_a_file_that_is_no_text_is_refused_beside_its_field():
    with pytest.raises(InputFaultsError) as caught:
        work_out(calculation("growth"), {"log": b"PK\x03\x04" + bytes(300)})

    assert [fault.name for fault in caught.value.faults] == ["log"]


def test_a_log_of_years_is_refused_rather_than_added_up():
    with pytest.raises(InputError) as caught:
        read_curve_from(b"minutes,temp F\n0,100\n10,60\n99999999,40\n")

    assert caught.value.name == "log"
