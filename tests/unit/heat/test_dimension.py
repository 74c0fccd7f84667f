import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pinfeather.errors import InputError
from pinfeather.heat.conduction import time_to_ratio
from pinfeather.heat.dimension import cooling_time_s, equivalent

GIVEN = {
    "ratio": 0.1,
    "half_m": 0.05,
    "conductivity_W_per_mK": 0.47,
    "diffusivity_m2_per_s": 1.279e-7,
}


@pytest.mark.parametrize(
    ("lump", "b1", "b2"),
    [("slab", math.inf, math.inf), ("cylinder", 1.0, math.inf), ("sphere", 1.0, 1.0)],
)
@pytest.mark.parametrize("biot", [0.1, 1.0, 10.0, 100.0])
def test_slab_cylinder_and_ball_come_out_within_two_percent(lump, b1, b2, biot):
    surface = biot * 0.47 / 0.05
    found = cooling_time_s(lump, surface_W_per_m2K=surface, b1=b1, b2=b2, **GIVEN)
    exact = time_to_ratio(lump, 0.1, biot=biot) * 0.05**2 / 1.279e-7
    assert found == pytest.approx(exact, rel=0.02)


@given(biot=st.floats(0.05, 200.0), stretch=st.floats(1.0, 4.0))
def test_a_longer_egg_cools_in_fewer_dimensions(biot, stretch):
    short = equivalent("ellipsoid", biot, b1=1.0, b2=stretch)
    long = equivalent("ellipsoid", biot, b1=1.0, b2=stretch + 0.5)
    # the fit's exponential makes tiny bumps
    assert 0.9 < long.dimensions <= short.dimensions + 0.05
    assert np.isfinite(long.lag)


def test_other_lumps_have_sensible_dimensions():
    assert 1.0 < equivalent("brick", 1.0, b1=2.0, b2=3.0).dimensions < 3.0
    assert 1.0 < equivalent("ellipse", 1.0, b1=2.0, b2=math.inf).dimensions < 2.0
    assert 1.0 < equivalent("squat cylinder", 1.0, b1=1.3, b2=1.0).dimensions <= 3.0


def test_nonsense_is_refused():
    with pytest.raises(InputError):
        equivalent("cone", 1.0)
    with pytest.raises(InputError):
        equivalent("ellipsoid", 0.0)
    with pytest.raises(InputError):
        equivalent("ellipsoid", 1.0, b1=0.5)
