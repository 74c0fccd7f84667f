import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pinfeather.errors import InputError
from pinfeather.line.queues import (
    erlang_c,
    kingman_wait_s,
    open_tandem,
    pollaczek_khinchine,
    random_line_pace,
    steady_arrivals_factor,
    two_stations,
    worst_pace,
)

uses = st.floats(0.05, 0.97)


@given(uses, st.integers(1, 6), st.floats(0.1, 20))
def test_littles_law_holds_for_every_line(use, servers, service):
    found = erlang_c(use * servers * service, service_rate=service, servers=servers)
    rate = use * servers * service
    assert found.utilisation == pytest.approx(use)
    assert found.waiting == pytest.approx(rate * found.wait_s)
    assert found.inside == pytest.approx(rate * found.stay_s)
    assert 0 <= found.delayed_frac <= 1
    assert 0 < found.empty_frac < 1


@given(uses)
def test_random_work_is_the_same_by_both_formulas(use):
    by_spread = pollaczek_khinchine(use, time_s=1.0, sd_s=1.0)
    assert by_spread.wait_s == pytest.approx(erlang_c(use, service_rate=1.0).wait_s)
    rule = kingman_wait_s(use, time_s=1.0, arrival_cv2=1.0, work_cv2=1.0)
    assert rule == pytest.approx(by_spread.wait_s)


@given(st.floats(0.2, 5), st.floats(0.2, 5), st.integers(0, 3))
def test_two_stations_are_the_chain_of_two(first, second, places):
    pace = two_stations(first, second, places=places)
    assert pace == pytest.approx(random_line_pace([first, second], places=places), rel=1e-9)
    assert pace < min(first, second)
    assert pace == pytest.approx(two_stations(second, first, places=places))


def test_room_never_slows_a_line_and_more_stations_never_speed_it():
    paces = [random_line_pace([1.0, 1.3, 0.9], places=n) for n in range(4)]
    assert paces == sorted(paces)
    assert random_line_pace([1.0] * 4) < random_line_pace([1.0] * 3) < 1


def test_one_station_alone_works_without_a_stop():
    assert random_line_pace([0.7]) == pytest.approx(0.7)


def test_steadier_arrivals_wait_less_and_random_ones_need_no_correction():
    assert steady_arrivals_factor(0.8, arrival_cv2=1.0, work_cv2=0.5) == 1
    assert steady_arrivals_factor(0.8, arrival_cv2=0.0, work_cv2=0.0) == 1
    assert 0 < steady_arrivals_factor(0.8, arrival_cv2=0.2, work_cv2=0.5) < 1


def test_many_birds_under_way_come_near_the_slowest_station():
    assert worst_pace(10_000, bottleneck_rate=0.5, time_s=8.0).rate == pytest.approx(0.5, rel=1e-3)
    assert math.isclose(worst_pace(1, bottleneck_rate=0.5, time_s=8.0).stay_s, 8.0)


def test_a_station_that_cannot_keep_up_is_refused():
    with pytest.raises(InputError):
        open_tandem(10.0, [12.0, 10.0])


@pytest.mark.parametrize(("first", "places"), [(0.0, 1), (1.0, -1)])
def test_impossible_pairs_are_refused(first, places):
    with pytest.raises(InputError):
        two_stations(first, 1.0, places=places)


@pytest.mark.parametrize("rates", [[], [1.0] * 9, [1.0, 0.0]])
def test_impossible_lines_are_refused(rates):
    with pytest.raises(InputError):
        random_line_pace(rates)


def test_negative_rates_are_refused():
    with pytest.raises(InputError):
        erlang_c(-1.0, service_rate=1.0)
