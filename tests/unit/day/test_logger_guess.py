import pytest

from pinfeather.day.logger_guess import guess, mapping_from
from pinfeather.errors import InputError
from pinfeather.heat.logger import read_log

GERMAN = (
    "Gerät;X12\nDatum;Uhrzeit;Temp °C;Feuchte %\n"
    "17.06.2026;10:00:00;38,2;50,1\n17.06.2026;10:05:00;37,1;50,2\n"
)
AMERICAN = "#,Date Time,Probe (°F)\n1,06/17/26 10:00:00 AM,101.2\n2,06/17/26 10:05:00 AM,99.0\n"
BARE = "when,a,b\n2026-06-17 10:00,1,38.2\n2026-06-17 10:05,2,37.9\n"
AMBIGUOUS = "Date Time,Probe (°F)\n06/05/26 10:00,101.2\n06/05/26 10:05,99.0\n"


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "cp1252"])
def test_a_german_file_is_understood_in_every_way_of_writing_it(encoding):
    found = guess(GERMAN.encode(encoding), zone="Europe/Berlin")
    assert (found.time, found.clock, found.value) == ("Datum", "Uhrzeit", "Temp °C")
    assert (found.unit, found.order, found.separator, found.point) == ("C", "dmy", ";", ",")
    assert found.rows[0] == ("17.06.2026", "10:00:00", "38,2", "50,1")


def test_an_american_file_is_understood():
    found = guess(AMERICAN.encode(), zone="America/Chicago")
    assert (found.time, found.clock, found.value) == ("Date Time", "", "Probe (°F)")
    assert (found.unit, found.order, found.zone) == ("F", "mdy", "America/Chicago")


def test_what_the_file_does_not_say_is_left_open():
    assert guess(BARE.encode(), zone="UTC").unit == ""  # 38.2 might be either
    assert guess(BARE.encode(), zone="UTC").value == "b"
    assert guess(AMBIGUOUS.encode(), zone="UTC").order == ""


@pytest.mark.parametrize(
    ("heading", "zone"),
    [
        ("Date Time UTC", "UTC"),
        ("Date Time GMT-05:00", "Etc/GMT+5"),
        ("Date Time GMT+02:00", "Etc/GMT-2"),
        ("Date Time", "America/Chicago"),
    ],
)
def test_a_zone_named_in_the_heading_goes_before_the_farms(heading, zone):
    text = AMERICAN.replace("Date Time", heading)
    found = guess(text.encode(), zone="America/Chicago")
    assert found.zone == zone


def test_a_guess_reads_its_own_file():
    found = guess(GERMAN.encode(), zone="Europe/Berlin")
    columns = mapping_from(
        {
            name: getattr(found, name)
            for name in ("time", "clock", "value", "unit", "zone", "order", "separator", "point")
        }
    )
    log = read_log(GERMAN.encode(), mapping=columns)
    assert log.degC.tolist() == [38.2, 37.1]
    assert log.interval_s == 300


@pytest.mark.parametrize(
    ("change", "name"),
    [
        ({"time": ""}, "time"),
        ({"value": ""}, "value"),
        ({"unit": ""}, "unit"),
        ({"unit": "K"}, "unit"),
        ({"order": "ydm"}, "order"),
        ({"point": ";"}, "point"),
    ],
)
def test_a_choice_that_is_missing_or_none_of_those_offered_is_named(change, name):
    good = {"time": "a", "value": "b", "unit": "F", "zone": "UTC", "order": "", "point": ""}
    with pytest.raises(InputError) as caught:
        mapping_from({**good, **change})
    assert caught.value.name == name


def test_a_file_that_is_no_text_is_refused_with_a_sentence():
    with pytest.raises(InputError, match="CSV"):
        guess(b"PK\x03\x04\x00\x00\x00", zone="UTC")
