from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pinfeather.errors import InputError
from pinfeather.heat.bytefields import numbers, split
from pinfeather.heat.logger import Log, Mapping, headings, judge, read_log

CHICAGO = ZoneInfo("America/Chicago")
PLAIN = Mapping("time", "temp", "C", "UTC")


def file(*rows, head="time,temp"):
    return "\n".join((head, *rows)).encode()


def codes(log):
    return {finding.code for finding in log.findings}


def at(*parts, zone=UTC):
    return datetime(*parts, tzinfo=zone).timestamp()


def test_a_plain_file_is_read():
    log = read_log(
        file("2026-07-14 08:00:00,8.0", "2026-07-14 08:05:00,5.5", "2026-07-14 08:10:00,-1.25"),
        mapping=PLAIN,
    )
    assert log.times_s.tolist() == [at(2026, 7, 14, 8, 5 * k) for k in range(3)]
    assert log.degC.tolist() == [8.0, 5.5, -1.25]
    assert log.interval_s == 300.0
    assert log.findings == ()


@pytest.mark.parametrize(
    ("written", "order"),
    [
        ("2026-07-14T08:05:09", None),
        ("2026/07/14 08:05:09", None),
        ("07/14/2026 08:05:09", None),
        ("7/14/26 8:05:09 AM", "mdy"),
        ("14.07.2026 08:05:09", None),
        ("2026-07-14T08:05:09.000", None),
        ("2026-07-14T08:05:09Z", None),
        ("2026-07-14T03:05:09-05:00", None),
        ("2026-07-14T13:35:09+0530", None),
        ("2026-07-14T08:05:09.000+00:00", None),
    ],
)
def test_every_way_of_writing_a_time(written, order):
    mapping = Mapping("time", "temp", "C", "UTC", order=order)
    log = read_log(file(f"{written},4.0", f"{written},4.0"), mapping=mapping)
    assert log.times_s.tolist() == [at(2026, 7, 14, 8, 5, 9)]


def test_noon_and_midnight_on_a_twelve_hour_clock():
    log = read_log(
        file("7/14/2026 12:00 AM,1", "7/14/2026 12:30 PM,2", "7/14/2026 1:00 PM,3"), mapping=PLAIN
    )
    hours = (log.times_s - at(2026, 7, 14)) / 3600
    assert hours.tolist() == [0.0, 12.5, 13.0]


def test_day_and_month_that_cannot_be_told_are_asked_for():
    with pytest.raises(InputError) as caught:
        read_log(file("01/02/2026 08:00,1", "01/02/2026 09:00,1"), mapping=PLAIN)
    assert caught.value.name == "mapping.order"


def test_comma_decimals_semicolons_and_another_encoding():
    text = "Gerät 7\nZeit;Temp °C\n14.07.2026 08:00;4,5\n14.07.2026 08:05;4,25\n"
    for encoding in ("utf-8", "utf-8-sig", "utf-16", "cp1252"):
        log = read_log(text.encode(encoding), mapping=Mapping("Zeit", "Temp °C", "C", "UTC"))
        assert log.degC.tolist() == [4.5, 4.25]
        assert ("log.encoding" in codes(log)) == (encoding == "cp1252")


def test_fahrenheit_meets_the_limit_exactly():
    log = read_log(
        file("2026-07-14 08:00,40.0", "2026-07-14 08:05,40.0"),
        mapping=Mapping("time", "temp", "F", "UTC"),
    )
    limit = (40 - 32) * (5 / 9)
    assert judge(log, limit_degC=limit).first_cold_s == log.times_s[0]
    assert judge(log, limit_degC=limit).above_s == 0.0


def test_date_and_time_of_day_in_two_columns():
    log = read_log(
        file("2026-07-14,08:00:00,4.0", "2026-07-14,08:05:00,3.0", head="day,clock,temp"),
        mapping=Mapping("day", "temp", "C", "UTC", clock="clock"),
    )
    assert log.times_s.tolist() == [at(2026, 7, 14, 8, 0), at(2026, 7, 14, 8, 5)]


def test_local_clocks_are_put_right_through_the_end_of_summer_time():
    start = datetime(2026, 11, 1, 5, 0, tzinfo=UTC)  # midnight in Chicago, summer time
    moments = [start + timedelta(minutes=10 * k) for k in range(30)]
    rows = [f"{m.astimezone(CHICAGO):%Y-%m-%d %H:%M:%S},{k / 10}" for k, m in enumerate(moments)]
    log = read_log(file(*rows), mapping=Mapping("time", "temp", "C", "America/Chicago"))
    assert log.times_s.tolist() == [m.timestamp() for m in moments]
    assert log.degC.tolist() == [k / 10 for k in range(30)]
    assert "log.clock_back" not in codes(log)


def test_rows_that_are_no_readings_are_counted_not_hidden():
    log = read_log(
        file(
            "2026-07-14 08:00,4.0",
            "2026-07-14 08:05,---",
            "LOW BATTERY",
            "2026-07-14 08:10,4.1",
            "2026-13-14 08:15,4.1",
            "2026-07-14 08:20,-127.0",
            "",
        ),
        mapping=PLAIN,
    )
    assert log.degC.tolist() == [4.0, 4.1]
    found = {finding.code: finding.measured for finding in log.findings}
    assert found["log.unreadable"] == 3
    assert found["log.impossible"] == 1


def test_doubles_conflicts_gaps_and_a_clock_set_back():
    log = read_log(
        file(
            "2026-07-14 08:00,4.0",
            "2026-07-14 08:05,4.1",
            "2026-07-14 08:05,4.1",
            "2026-07-14 08:10,4.2",
            "2026-07-14 08:10,9.9",
            "2026-07-14 10:00,4.3",
            "2026-07-14 09:30,4.4",
            "2026-07-14 09:35,4.5",
        ),
        mapping=PLAIN,
    )
    assert {"log.doubles", "log.conflicts", "log.gaps", "log.clock_back"} <= codes(log)
    assert np.all(np.diff(log.times_s) > 0)
    assert 9.9 not in log.degC.tolist()


def test_leaps_power_on_and_stuck_probes():
    rows = [f"2026-07-14 {h:02d}:{m:02d},4.0" for h in range(8, 14) for m in range(0, 60, 10)]
    log = read_log(file(*rows, "2026-07-14 14:00,85.0"), mapping=PLAIN)
    assert {"log.leaps", "log.power_on", "log.stuck"} <= codes(log)


def test_judging_interpolates_and_leaves_gaps_out():
    log = Log(
        np.array([0.0, 100.0, 200.0, 300.0, 5000.0]),
        np.array([8.0, 6.0, 2.0, 2.0, 6.0]),
        100.0,
        (),
    )
    found = judge(log, limit_degC=4.0)
    assert found.first_cold_s == pytest.approx(150.0)
    assert found.above_s == pytest.approx(150.0)
    assert found.unseen_s == pytest.approx(4700.0)
    assert found.stays_cold_s is None
    assert (found.warmest_degC, found.coldest_degC) == (8.0, 2.0)
    with pytest.raises(InputError):
        judge(log, limit_degC=float("nan"))


def test_a_log_that_stays_cold_says_from_when():
    log = Log(np.array([0.0, 100.0, 200.0]), np.array([6.0, 6.0, 2.0]), 100.0, ())
    assert judge(log, limit_degC=4.0).stays_cold_s == pytest.approx(150.0)
    warm = Log(np.array([0.0, 100.0]), np.array([6.0, 6.0]), 100.0, ())
    assert judge(warm, limit_degC=4.0).first_cold_s is None


@given(
    st.lists(st.decimals(min_value=-60, max_value=150, places=2), min_size=2, max_size=30),
    st.sampled_from([".", ","]),
)
def test_numbers_come_out_as_python_reads_them(values, point):
    text = "\n".join(str(v).replace(".", point) + " C" for v in values).encode()
    fields = split(text, separator=";", columns=1)
    found, good = numbers(fields.column(0), point=point)
    assert good.all()
    assert found.tolist() == pytest.approx([float(v) for v in values], abs=1e-12)


def test_words_are_no_numbers():
    fields = split(b"n/a\n1.2.3\n--4\n5 6\n\xc2\xb0\n", separator=",", columns=1)
    assert not numbers(fields.column(0))[1].any()


def test_wrong_files_and_mappings_are_refused():
    good = file("2026-07-14 08:00,4.0", "2026-07-14 08:05,4.0")
    for data, mapping in (
        (b"PK\x03\x04\x00\x00\x00", PLAIN),
        (b"just words\nno columns\n", PLAIN),
        (good, Mapping("when", "temp", "C", "UTC")),
        (good, Mapping("time", "temp", "K", "UTC")),
        (good, Mapping("time", "temp", "C", "Mars/Olympus")),
        (file("2026-07-14 08:00,x", "2026-07-14 08:05,y"), PLAIN),
    ):
        with pytest.raises(InputError):
            read_log(data, mapping=mapping)


def test_headings_are_found_below_a_preamble():
    data = b"Logger 12\r\nSerial 99\r\n\r\nDate,Probe 1,Probe 2\r\n2026-07-14 08:00,4.0,5.0\r\n"
    assert headings(data) == ("Date", "Probe 1", "Probe 2")
