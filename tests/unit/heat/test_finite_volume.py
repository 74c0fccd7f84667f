import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import solve_ivp
from scipy.sparse import diags_array

from pinfeather.errors import InputError
from pinfeather.heat.conduction import centre_ratio, mean_ratio
from pinfeather.heat.finite_volume import solve
from pinfeather.heat.food import composition
from pinfeather.heat.frozen import conductivity_W_per_mK, enthalpy_chen
from pinfeather.heat.material import constant_material, freezing_material

SHAPES = ("slab", "cylinder", "sphere")
MEAT = constant_material(
    density_kg_per_m3=1050.0, specific_heat_J_per_kgK=3500.0, conductivity_W_per_mK=0.47
)
CHICKEN = composition("chicken")
FREEZING = freezing_material(CHICKEN)
ALPHA = 0.47 / 1050 / 3500


@pytest.mark.parametrize("shape", SHAPES)
@pytest.mark.parametrize("surface", [20.0, 200.0, 2000.0])
def test_it_agrees_with_the_series(shape, surface):
    half = 0.025
    times = np.linspace(0.0, 1.2, 13) * half**2 / ALPHA
    found = solve(
        times,
        shape=shape,
        half_thickness_m=half,
        surface_W_per_m2K=surface,
        bath_degC=1.0,
        start_degC=38.0,
        material=MEAT,
    )
    fourier, biot = times * ALPHA / half**2, surface * half / 0.47
    centre = 1.0 + 37.0 * centre_ratio(shape, fourier, biot=biot)
    mean = 1.0 + 37.0 * mean_ratio(shape, fourier, biot=biot, terms=100)
    assert np.abs(found.centre_degC[:, 0] - centre).max() < 0.002 * 37
    assert np.abs(found.mean_degC[1:, 0] - mean[1:]).max() < 0.002 * 37


def reference(case, *, shells=36):
    """Another program: temperature or heat by solve_ivp, its own grid and its own properties."""
    power = {"slab": 1, "cylinder": 2, "sphere": 3}[case["shape"]]
    times, half = case["times"], case["half"]
    faces = np.linspace(0.0, half, shells + 1)
    volume = np.diff(faces**power) / power
    area = faces ** (power - 1)
    width = half / shells
    if case["freezing"]:
        density = 1038.0400810623676
        solids, free, tf = (
            1 - CHICKEN.water_frac,
            CHICKEN.water_frac - CHICKEN.bound_water_frac,
            CHICKEN.freezing_degC,
        )
        frozen, melt = 1550 + 1260 * solids, free * 333.6e3 * tf / 40.0
        at_freezing = (tf + 40) * (frozen + melt / tf)
        unfrozen = 4190 - 2300 * solids - 628 * solids**3

        grid = np.concatenate((np.linspace(-40, tf, 3000), np.linspace(tf + 1e-6, 45, 300)))
        conductivities = conductivity_W_per_mK(CHICKEN, grid)

        def stuff(heat):
            # Chen's equation solved for T: frozen T^2 + (melt + 40 frozen - H) T + 40 melt = 0
            b = melt + 40 * frozen - heat
            root = (-b - np.sqrt(np.maximum(b * b - 160 * frozen * melt, 0.0))) / (2 * frozen)
            temperature = np.where(heat < at_freezing, root, tf + (heat - at_freezing) / unfrozen)
            return temperature, np.interp(temperature, grid, conductivities)

        start = enthalpy_chen(
            case["start"],
            water_frac=CHICKEN.water_frac,
            bound_water_frac=CHICKEN.bound_water_frac,
            freezing_degC=tf,
        )
    else:
        density = 1050.0

        def stuff(heat):
            return heat / 3500.0, np.full(shells, 0.47)

        start = 3500.0 * case["start"]

    def change(time, heat):
        temperature, k = stuff(heat)
        u = np.interp(time, times, case["surface"])
        bath = np.interp(time, times, case["bath"])
        between = 2 / (1 / k[:-1] + 1 / k[1:]) / width
        flow = np.zeros(shells + 1)
        flow[1:-1] = area[1:-1] * between * (temperature[:-1] - temperature[1:])
        flow[-1] = area[-1] * (temperature[-1] - bath) / (1 / u + width / 2 / k[-1])
        return (flow[:-1] - flow[1:]) / (volume * density)

    ones = np.ones(shells)
    found = solve_ivp(
        change,
        (0.0, times[-1]),
        np.full(shells, float(start)),
        method="BDF",
        t_eval=times,
        rtol=1e-6,
        atol=0.1,
        max_step=float(np.diff(times).max()),
        jac_sparsity=diags_array([ones[1:], ones, ones[1:]], offsets=[-1, 0, 1]),
    )
    temperature = np.array([stuff(column)[0] for column in found.y.T])
    return temperature[:, 0] + (temperature[:, 0] - temperature[:, 1]) / 8


def random_case(number):
    rng = np.random.default_rng(number)
    freezing = number % 2 == 1
    hours = 30.0 if freezing else 3.0
    times = np.linspace(0.0, hours * 3600, 25)
    steps = np.cumsum(rng.normal(size=25))
    if freezing:
        bath = -22.0 + np.clip(steps, -6, 6) * 0.5
        return {
            "shape": SHAPES[number % 3],
            "freezing": True,
            "times": times,
            "half": rng.uniform(0.03, 0.07),
            "surface": rng.uniform(7, 25) * (1 + 0.2 * np.sin(steps)),
            "bath": bath,
            "start": rng.uniform(2.0, 10.0),
        }
    return {
        "shape": SHAPES[number % 3],
        "freezing": False,
        "times": times,
        "half": rng.uniform(0.015, 0.05),
        "surface": rng.uniform(50, 250) * (1 + 0.2 * np.sin(steps)),
        "bath": 1.5 + np.clip(steps, -3, 3) * 0.4,
        "start": rng.uniform(20.0, 40.0),
    }


@pytest.mark.parametrize("number", range(20))
def test_it_agrees_with_solve_ivp_on_random_bodies(number):
    case = random_case(number)
    found = solve(
        case["times"],
        shape=case["shape"],
        half_thickness_m=case["half"],
        surface_W_per_m2K=case["surface"][:, None],
        bath_degC=case["bath"][:, None],
        start_degC=case["start"],
        material=FREEZING if case["freezing"] else MEAT,
        shells=30,
    ).centre_degC[:, 0]
    other = reference(case)
    assert np.abs(found - other).max() < 0.002 * np.ptp(other)


finite_bodies = st.lists(st.floats(0.01, 0.1), min_size=1, max_size=4)


@settings(max_examples=50, deadline=None)
@given(
    shape=st.sampled_from(SHAPES),
    halves=finite_bodies,
    surface=st.lists(st.floats(2.0, 2000.0), min_size=6, max_size=6),
    bath=st.lists(st.floats(-35.0, 35.0), min_size=6, max_size=6),
    start=st.floats(-30.0, 40.0),
    step=st.floats(60.0, 3600.0),
    freezes=st.booleans(),
)
def test_heat_is_neither_made_nor_lost(shape, halves, surface, bath, start, step, freezes):
    times = np.arange(6) * 1800.0
    found = solve(
        times,
        shape=shape,
        half_thickness_m=np.array(halves),
        surface_W_per_m2K=np.array(surface)[:, None],
        bath_degC=np.array(bath)[:, None],
        start_degC=start,
        material=FREEZING if freezes else MEAT,
        shells=12,
        largest_step_s=step,
    )
    lost = found.heat_J_per_kg[0] - found.heat_J_per_kg
    assert np.all(np.isfinite(found.shells_degC))
    size = np.abs(found.heat_J_per_kg).max() + np.abs(lost).max()
    assert np.abs(lost - found.out_J_per_kg).max() <= 1e-9 * size
    # and no shell is ever colder or warmer than everything around it has been
    assert found.shells_degC.max() <= max(start, *bath) + 2.0
    assert found.shells_degC.min() >= min(start, *bath) - 2.0


@settings(max_examples=25, deadline=None)
@given(
    shape=st.sampled_from(SHAPES),
    half=st.floats(0.025, 0.08),
    surface=st.floats(5.0, 300.0),
    bath=st.floats(-30.0, 3.0),
    start=st.floats(5.0, 40.0),
)
def test_a_warmer_bath_start_or_thicker_body_is_never_colder(shape, half, surface, bath, start):
    times = np.linspace(0.0, 2 * 3600.0, 9)

    def centre(half, bath, start):
        return solve(
            times,
            shape=shape,
            half_thickness_m=half,
            surface_W_per_m2K=surface,
            bath_degC=bath,
            start_degC=start,
            material=FREEZING,
            shells=8,
            largest_step_s=20.0,
        ).centre_degC[:, 0]

    here = centre(half, bath, start)
    slack = 0.3  # steps differ between the runs
    assert np.all(centre(half, bath + 1.0, start) >= here - slack)
    assert np.all(centre(half, bath, start + 1.0) >= here - slack)
    assert np.all(centre(half * 1.1, bath, start) >= here - slack)


def test_many_bodies_together_are_each_as_alone():
    times = np.linspace(0.0, 3600.0, 7)
    halves, starts = np.array([0.02, 0.03, 0.05]), np.array([38.0, 30.0, 25.0])
    given_all = {"shape": "slab", "bath_degC": 1.0, "material": MEAT, "largest_step_s": 20.0}
    together = solve(
        times,
        half_thickness_m=halves,
        surface_W_per_m2K=np.array([100.0, 150.0, 200.0]),
        start_degC=starts,
        **given_all,
    )
    for k in range(3):
        alone = solve(
            times,
            half_thickness_m=halves[k],
            surface_W_per_m2K=[100.0, 150.0, 200.0][k],
            start_degC=starts[k],
            **given_all,
        )
        assert together.centre_degC[:, k] == pytest.approx(alone.centre_degC[:, 0], abs=1e-9)


def test_material_tables_read_both_ways():
    degC = np.array([-39.0, -18.0, -5.0, -2.9, -2.0, 4.0, 38.0, 80.0])
    heat = FREEZING.heat_J_per_kg(degC)
    assert FREEZING.at(heat)[0] == pytest.approx(degC, abs=1e-9)
    exact = enthalpy_chen(
        degC,
        water_frac=CHICKEN.water_frac,
        bound_water_frac=CHICKEN.bound_water_frac,
        freezing_degC=CHICKEN.freezing_degC,
    )
    assert heat == pytest.approx(exact, rel=2e-3)


GOOD = {
    "shape": "slab",
    "half_thickness_m": 0.02,
    "surface_W_per_m2K": 100.0,
    "bath_degC": 1.0,
    "start_degC": 38.0,
    "material": MEAT,
}


@pytest.mark.parametrize(
    "wrong",
    [
        {"shape": "cone"},
        {"half_thickness_m": 0.0},
        {"surface_W_per_m2K": 0.0},
        {"bath_degC": np.nan},
        {"start_degC": np.array([1.0, np.inf])},
        {"shells": 2},
        {"largest_step_s": 0.0},
        {"half_thickness_m": np.array([0.02, 0.03]), "bath_degC": np.array([1.0, 2.0])},
        {"half_thickness_m": np.array([0.02, 0.03]), "start_degC": np.array([1.0, 2.0, 3.0])},
    ],
)
def test_nonsense_is_refused(wrong):
    with pytest.raises(InputError):
        solve(np.array([0.0, 60.0]), **{**GOOD, **wrong})


def test_times_have_to_increase():
    with pytest.raises(InputError):
        solve(np.array([0.0, 60.0, 60.0]), **GOOD)
