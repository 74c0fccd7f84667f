import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pinfeather.errors import InputError
from pinfeather.estimate import Origin
from pinfeather.heat.breast import MEAT_M2_PER_S, MEAT_W_PER_M_K
from pinfeather.heat.carcass import chill_time
from pinfeather.heat.conduction import centre_ratio
from pinfeather.heat.learning import Probed, learn
from pinfeather.heat.probe import identify

TIMES = np.arange(600.0, 7200.0, 600.0)


def made_up(mass, *, thickness, surface, bath=1.0, rng=None):
    half = thickness * mass ** (1 / 3) / 2
    left = centre_ratio(
        "slab", MEAT_M2_PER_S * TIMES / half**2, biot=surface * half / MEAT_W_PER_M_K
    )
    noise = 0.0 if rng is None else 0.5 * rng.standard_normal(len(TIMES))
    return Probed(mass, bath, TIMES, bath + 37.0 * left + noise)


@pytest.mark.parametrize("thickness", [0.033, 0.036, 0.043])
def test_the_farms_own_thickness_is_found(thickness):
    rng = np.random.default_rng(5)
    birds = [
        made_up(
            mass,
            thickness=thickness * float(np.exp(0.05 * rng.standard_normal())),
            surface=170.0,
            rng=rng,
        )
        for mass in rng.uniform(1.4, 2.8, 12)
    ]
    found = learn(birds, build="broad", bath="stirred")
    assert found.thickness_of_1_kg_m.low < thickness < found.thickness_of_1_kg_m.high
    assert found.thickness_of_1_kg_m.value == pytest.approx(thickness, rel=0.07)
    assert found.narrower_frac > 0.3
    assert found.thickness_of_1_kg_m.basis.origin is Origin.OWN
    assert "12 birds" in found.thickness_of_1_kg_m.basis.note
    assert found.scatter_K < 0.8
    default = chill_time(2.0, build="broad", bath="stirred", bath_degC=1.0, limit_degC=4.4)
    own = chill_time(
        2.0,
        build="broad",
        bath="stirred",
        bath_degC=1.0,
        limit_degC=4.4,
        thickness_m=found.thickness_m(2.0),
        surface_W_per_m2K=found.surface_W_per_m2K,
    )
    assert own.high_s - own.low_s < default.high_s - default.low_s


def test_without_birds_the_handbook_stands():
    found = learn([], build="broad", bath="still")
    assert found.thickness_of_1_kg_m.value == pytest.approx(0.040)
    assert found.thickness_of_1_kg_m.high == pytest.approx(0.040 * 1.28, rel=1e-6)
    assert found.surface_W_per_m2K.value == pytest.approx(100.0)
    assert found.narrower_frac == 0.0
    assert found.thickness_of_1_kg_m.basis.origin is Origin.HANDBOOK


def test_more_birds_never_widen_the_band():
    birds = [made_up(2.0, thickness=0.038, surface=180.0) for _ in range(8)]
    bands = [learn(birds[:n], build="broad", bath="stirred").narrower_frac for n in (0, 1, 2, 4, 8)]
    assert bands == sorted(bands)
    assert bands[-1] < 1.0


def test_birds_that_cannot_be_are_refused():
    good = made_up(2.0, thickness=0.04, surface=180.0)
    for wrong in (
        Probed(0.0, 1.0, good.times_s, good.degC),
        Probed(2.0, 40.0, good.times_s, good.degC),
        Probed(2.0, 1.0, good.times_s[:-1], good.degC),
        Probed(2.0, 1.0, good.times_s, good.degC * np.nan),
    ):
        with pytest.raises(InputError):
            learn([wrong], build="broad", bath="stirred")


@settings(max_examples=40, deadline=None)
@given(
    bath=st.floats(-1.0, 4.0),
    f_min=st.floats(30.0, 120.0),
    j=st.floats(1.05, 1.3),
    known=st.booleans(),
)
def test_a_cooling_line_is_found_again(bath, f_min, j, known):
    times = np.arange(0.0, 3.0 * f_min * 60, 120.0)
    line = bath + (38.0 - bath) * np.minimum(1.0, j * 10 ** (-times / (f_min * 60)))
    found = identify(times, line, bath_degC=bath if known else None)
    assert found.f_s == pytest.approx(f_min * 60, rel=0.02)
    assert found.bath_degC == pytest.approx(bath, abs=0.1)
    assert found.j == pytest.approx(j, rel=0.03)
    assert found.scatter_K < 0.05
    reach = found.time_to_s(bath + 3.0, start_degC=38.0)
    assert reach == pytest.approx(f_min * 60 * np.log10(j * (38.0 - bath) / 3.0), rel=0.03)
    assert found.time_to_s(bath - 1.0, start_degC=38.0) is None


def test_a_probe_that_was_moved_is_said():
    times = np.arange(0.0, 7200.0, 300.0)
    line = 1.0 + 37.0 * 10 ** (-times / 4000.0)
    line[12:] += 6.0
    assert "probe.poor_fit" in {f.code for f in identify(times, line, bath_degC=1.0).findings}


def test_a_short_piece_leaves_the_bath_in_doubt():
    times = np.arange(0.0, 1500.0, 60.0)
    line = 1.0 + 37.0 * 10 ** (-times / 6000.0)
    assert "probe.short" in {f.code for f in identify(times, line).findings}


def test_readings_that_say_nothing_are_refused():
    times = np.arange(10.0)
    for degC in (np.full(10, 5.0), np.arange(10.0), np.full(10, np.nan)):
        with pytest.raises(InputError):
            identify(times, degC)
    with pytest.raises(InputError):
        identify(times[::-1].copy(), np.linspace(38, 4, 10))
    with pytest.raises(InputError):
        identify(np.arange(3.0), np.array([38.0, 20.0, 10.0]))
