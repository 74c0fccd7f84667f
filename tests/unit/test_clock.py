import datetime as dt

import pytest

from pinfeather import clock
from pinfeather.errors import InputError


def test_the_present_moment_is_aware_and_in_utc():
    moment = clock.now()
    assert moment.utcoffset() == dt.timedelta(0)
    assert clock.now() >= moment


def test_a_zone_knows_its_summer_time():
    zone = clock.zone("America/Chicago")
    assert dt.datetime(2026, 7, 1, tzinfo=zone).utcoffset() == dt.timedelta(hours=-5)
    assert dt.datetime(2026, 12, 1, tzinfo=zone).utcoffset() == dt.timedelta(hours=-6)


@pytest.mark.parametrize("name", ["Middle/Nowhere", "", "../etc/passwd", "/etc/localtime", "a\0b"])
def test_a_name_that_is_no_zone_is_refused_with_an_example(name):
    with pytest.raises(InputError, match="America/Chicago") as caught:
        clock.zone(name)
    assert caught.value.value == name


def test_today_is_the_date_on_the_farms_wall_not_in_utc(monkeypatch):
    late = dt.datetime(2026, 9, 13, 3, 0, tzinfo=dt.UTC)
    monkeypatch.setattr(clock, "now", lambda: late)
    assert clock.today("America/Chicago") == dt.date(2026, 9, 12)
    assert clock.today("Asia/Tokyo") == dt.date(2026, 9, 13)
