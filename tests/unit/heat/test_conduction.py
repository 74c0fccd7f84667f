import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.special import j0, j1

from pinfeather.errors import InputError
from pinfeather.heat.conduction import (
    centre_ratio,
    fade,
    lag_factors,
    mean_factors,
    mean_ratio,
    ratio_at,
    roots,
    time_to_ratio,
    together,
)

SHAPES = ("slab", "cylinder", "sphere")
BIOTS = st.floats(-9, 9).map(lambda power: 10.0**power)


@settings(deadline=None)
@given(shape=st.sampled_from(SHAPES), biot=BIOTS)
def test_the_first_roots_satisfy_their_equations_for_any_biot_number(shape, biot):
    mu = roots(shape, biot, count=6)
    assert np.all(np.diff(mu) > 0)
    for root in mu.tolist():
        if shape == "slab":
            left, right = root * math.sin(root), biot * math.cos(root)
        elif shape == "cylinder":
            left, right = root * j1(root), biot * j0(root)
        else:
            left, right = math.sin(root) - root * math.cos(root), biot * math.sin(root)
        assert left == pytest.approx(right, rel=1e-5, abs=1e-9 * max(1.0, biot))


@settings(deadline=None)
@given(biot=BIOTS)
def test_roots_grow_with_surface_cooling(biot):
    for shape in SHAPES:
        assert roots(shape, biot)[0] < roots(shape, biot * 1.5)[0]


@pytest.mark.parametrize(("shape", "lump"), [("slab", 1.0), ("cylinder", 2.0), ("sphere", 3.0)])
def test_hardly_cooled_bodies_are_lumps(shape, lump):
    assert roots(shape, 1e-6)[0] ** 2 == pytest.approx(lump * 1e-6, rel=1e-5)
    assert lag_factors(shape, roots(shape, 1e-6))[0] == pytest.approx(1.0, abs=1e-5)
    assert mean_factors(shape, roots(shape, 1e-6))[0] == pytest.approx(1.0, abs=1e-5)


@pytest.mark.parametrize("shape", SHAPES)
def test_endless_cooling_is_allowed(shape):
    assert roots(shape, math.inf)[0] == pytest.approx(roots(shape, 1e12)[0], rel=1e-9)
    assert roots(shape, 1e300)[0] == pytest.approx(roots(shape, math.inf)[0], rel=1e-12)


@pytest.mark.parametrize("shape", SHAPES)
@pytest.mark.parametrize("biot", [0.05, 1.0, 20.0])
def test_the_terms_add_up_to_one_at_the_start(shape, biot):
    mu = roots(shape, biot, count=400)
    # averages over the body: sum of j x mean = 1
    assert float(lag_factors(shape, mu) @ mean_factors(shape, mu)) == pytest.approx(1.0, abs=2e-3)


@pytest.mark.parametrize("shape", SHAPES)
def test_ratios_fall_from_one_towards_nothing(shape):
    fourier = np.linspace(0.0, 3.0, 300)
    for ratio in (
        centre_ratio(shape, fourier, biot=2.0),
        mean_ratio(shape, fourier, biot=2.0),
        ratio_at(shape, fourier[1:], biot=2.0, position_frac=1.0),
    ):
        assert np.all(np.diff(ratio) <= 1e-12)
        assert 0 <= ratio[-1] < 0.05
    assert centre_ratio(shape, np.array([0.0]), biot=2.0)[0] == 1.0


def test_the_slab_agrees_with_the_half_space_early_on():
    # Carslaw and Jaeger, section 2.5: at Fo = 0.01 both faces are still strangers
    half_space = math.erf(1.0 / (2 * math.sqrt(0.01)))
    assert centre_ratio("slab", np.array([0.01]), biot=1e9)[0] == pytest.approx(
        2 * half_space - 1, abs=1e-9
    )


@settings(deadline=None)
@given(
    shape=st.sampled_from(SHAPES),
    biot=st.floats(0.01, 1000.0),
    ratio=st.floats(1e-6, 0.9999),
)
def test_time_to_ratio_inverts_the_series(shape, biot, ratio):
    fourier = time_to_ratio(shape, ratio, biot=biot)
    assert centre_ratio(shape, np.array([fourier]), biot=biot)[0] == pytest.approx(
        ratio, rel=1e-6, abs=1e-9
    )


def test_a_ratio_of_one_is_reached_at_once():
    assert time_to_ratio("slab", 1.0, biot=1.0) == 0.0
    assert time_to_ratio("slab", 1.7, biot=1.0) == 0.0


def test_the_cooling_line_is_the_late_series():
    line = fade(
        "cylinder",
        half_thickness_m=0.05,
        surface_W_per_m2K=300.0,
        conductivity_W_per_mK=0.47,
        diffusivity_m2_per_s=1.28e-7,
    )
    biot = 300 * 0.05 / 0.47
    fourier = time_to_ratio("cylinder", 0.05, biot=biot)
    assert line.time_s(0.05) == pytest.approx(fourier * 0.05**2 / 1.28e-7, rel=1e-6)


def test_a_brick_cools_faster_than_each_of_its_slabs():
    slabs = [
        fade(
            "slab",
            half_thickness_m=half,
            surface_W_per_m2K=100.0,
            conductivity_W_per_mK=0.47,
            diffusivity_m2_per_s=1.28e-7,
        )
        for half in (0.02, 0.03, 0.05)
    ]
    brick = together(slabs)
    assert brick.f_s < min(slab.f_s for slab in slabs)
    assert brick.j == pytest.approx(math.prod(slab.j for slab in slabs))


@pytest.mark.parametrize("biot", [0.0, -1.0, math.nan])
def test_no_cooling_at_all_is_refused(biot):
    with pytest.raises(InputError):
        roots("slab", biot)


def test_other_bodies_and_counts_are_refused():
    with pytest.raises(InputError):
        roots("cone", 1.0)
    with pytest.raises(InputError):
        roots("slab", 1.0, count=0)


def test_the_common_polynomial_fit_is_good_only_away_from_biot_50():
    # Lacroix and Castaigne (1987), slab, as printed in the ASHRAE Refrigeration handbook
    def fit(biot):
        l = math.log(biot)  # noqa: E741
        return (
            0.860972
            + 0.312133 * l
            + 0.007986 * l**2
            - 0.016192 * l**3
            - 0.001190 * l**4
            + 0.000581 * l**5
        )

    assert fit(1.0) == pytest.approx(roots("slab", 1.0)[0], abs=1e-3)
    assert abs(fit(50.0) / roots("slab", 50.0)[0] - 1) == pytest.approx(0.033, abs=0.003)
