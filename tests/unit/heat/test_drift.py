import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pinfeather.errors import InputError
from pinfeather.finding import Severity
from pinfeather.heat.drift import IceCheck, drift


def codes(found):
    return {finding.code for finding in found.findings}


def test_never_checked_is_said():
    found = drift([])
    assert found.offset_K is None
    assert codes(found) == {"thermometer.never_checked"}
    assert found.offset_on_K(10.0) == 0.0


@given(slope=st.floats(-0.01, 0.01), start=st.floats(-0.5, 0.5))
def test_a_steady_drift_is_found(slope, start):
    checks = [IceCheck(day, start + slope * day) for day in (0.0, 7.0, 20.0, 41.0)]
    found = drift(checks[::-1])
    assert found.per_day_K == pytest.approx(slope, abs=1e-9)
    assert found.offset_on_K(10.0) == pytest.approx(start + slope * 51.0, abs=1e-9)


def test_one_bad_check_does_not_upset_it():
    checks = [IceCheck(float(day), 0.001 * day) for day in range(0, 70, 7)]
    checks[4] = IceCheck(28.0, 0.9)
    assert drift(checks).per_day_K == pytest.approx(0.001, abs=1e-4)


def test_days_until_it_is_off_by_too_much():
    found = drift([IceCheck(0.0, 0.0), IceCheck(10.0, 0.1), IceCheck(20.0, 0.2)], allowed_K=1.0)
    assert found.good_for_days == pytest.approx(80.0)
    steady = drift([IceCheck(float(day), 0.3) for day in range(4)])
    assert steady.good_for_days is None


def test_off_and_jumped_are_said():
    found = drift([IceCheck(0.0, 0.1), IceCheck(5.0, 1.6)])
    assert codes(found) == {"thermometer.off", "thermometer.jumped"}
    assert max(f.severity for f in found.findings) is Severity.STOP
    assert found.per_day_K is None


def test_exactly_two_fahrenheit_degrees_off_is_still_allowed():
    two = np.float64(2 * 5 / 9)
    assert "thermometer.off" not in codes(drift([IceCheck(0.0, float(two))]))


def test_two_checks_at_once_are_refused():
    with pytest.raises(InputError):
        drift([IceCheck(1.0, 0.1), IceCheck(1.0, 0.2)])
