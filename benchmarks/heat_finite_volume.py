"""Time per carcass: all bodies stepped together, against solve_ivp one body after the other.

Both solve the same 20 shells through the same changing bath. solve_ivp gets a tridiagonal sparsity
pattern and the loosest tolerance at which it is as accurate as the batch, judged against a tight
run of its own.

Run: python benchmarks/heat_finite_volume.py [bodies]
"""

import sys
import time

import numpy as np
from scipy.integrate import solve_ivp
from scipy.sparse import diags_array

from pinfeather.heat.breast import MEAT_J_PER_KG_K, MEAT_KG_PER_M3, MEAT_W_PER_M_K
from pinfeather.heat.finite_volume import Field, solve
from pinfeather.heat.food import composition
from pinfeather.heat.material import Material, constant_material, freezing_material

SHELLS = 20


def alone(
    times: np.ndarray,
    *,
    power: int,
    half: float,
    surface: np.ndarray,
    bath: np.ndarray,
    start: float,
    material: Material,
    tolerance: float,
) -> np.ndarray:
    """Centre temperature of one body by solve_ivp."""
    faces = np.linspace(0.0, 1.0, SHELLS + 1)
    volume = np.diff(faces**power)
    width = half / SHELLS
    area = power * faces[1:] ** (power - 1) / (half * material.density_kg_per_m3)

    def change(t: float, heat: np.ndarray) -> np.ndarray:
        temperature, _, k = material.at(heat)
        u, outside = np.interp(t, times, surface), np.interp(t, times, bath)
        between = 2 * k[:-1] * k[1:] / (k[:-1] + k[1:]) * area[:-1] / width
        across = between * np.diff(temperature)
        leaving = area[-1] * (temperature[-1] - outside) / (1 / u + width / 2 / k[-1])
        gain = np.zeros(SHELLS)
        gain[:-1] += across
        gain[1:] -= across
        gain[-1] -= leaving
        return gain / volume

    heat = np.full(SHELLS, float(material.heat_J_per_kg(start)))
    pattern = diags_array(
        [np.ones(SHELLS - 1), np.ones(SHELLS), np.ones(SHELLS - 1)], offsets=[-1, 0, 1]
    )
    found = solve_ivp(
        change,
        (times[0], times[-1]),
        heat,
        method="BDF",
        t_eval=times,
        rtol=tolerance,
        atol=tolerance * 1e5,
        max_step=float(np.diff(times).max() * 4),
        jac_sparsity=pattern,
    )
    temperature = material.at(found.y)[0]
    return temperature[0] + (temperature[0] - temperature[1]) / 8


def compare(name: str, shape: str, material: Material, *, bodies: int, sample: int) -> None:
    rng = np.random.default_rng(3)
    if name == "chill":
        times = np.linspace(0.0, 4 * 3600.0, 49)
        half = rng.uniform(0.018, 0.04, bodies)
        surface = rng.uniform(80.0, 220.0, bodies)
        bath = 1.0 + 1.5 * np.sin(times / 3000.0)
        start, span = np.full(bodies, 38.0), 38.0
    else:
        times = np.linspace(0.0, 48 * 3600.0, 97)
        half = rng.uniform(0.06, 0.11, bodies)
        surface = rng.uniform(5.0, 20.0, bodies)
        bath = -18.0 + 2.0 * np.sin(times / 9000.0)
        start, span = np.full(bodies, 4.0), 24.0
    started = time.perf_counter()
    field: Field = solve(
        times,
        shape=shape,
        half_thickness_m=half,
        surface_W_per_m2K=surface,
        bath_degC=bath,
        start_degC=start,
        material=material,
        shells=SHELLS,
    )
    ours = (time.perf_counter() - started) / bodies
    power = {"slab": 1, "cylinder": 2, "sphere": 3}[shape]

    def run(k: int, tolerance: float) -> np.ndarray:
        return alone(
            times,
            power=power,
            half=half[k],
            surface=np.full(len(times), surface[k]),
            bath=bath,
            start=start[k],
            material=material,
            tolerance=tolerance,
        )

    picked = rng.choice(bodies, size=sample, replace=False)
    tight = {k: run(k, 1e-9) for k in picked}
    error = max(np.abs(field.centre_degC[:, k] - tight[k]).max() for k in picked) / span
    for tolerance in (1e-2, 3e-3, 1e-3, 3e-4, 1e-4, 3e-5, 1e-5, 3e-6, 1e-6):
        started = time.perf_counter()
        loose = {k: run(k, tolerance) for k in picked}
        theirs = (time.perf_counter() - started) / sample
        other = max(np.abs(loose[k] - tight[k]).max() for k in picked) / span
        if other <= max(error, 2e-4):
            break
    print(
        f"{name}: {bodies} bodies, {ours * 1e3:.3f} ms each (error {error:.1e} of the span); "
        f"solve_ivp {theirs * 1e3:.1f} ms each at rtol {tolerance:.0e} (error {other:.1e}); "
        f"ratio {theirs / ours:.0f}"
    )


def main() -> None:
    bodies = int(sys.argv[1]) if len(sys.argv) > 1 else 1000
    meat = constant_material(
        density_kg_per_m3=MEAT_KG_PER_M3,
        specific_heat_J_per_kgK=MEAT_J_PER_KG_K,
        conductivity_W_per_mK=MEAT_W_PER_M_K,
    )
    compare("chill", "slab", meat, bodies=bodies, sample=12)
    compare("freeze", "sphere", freezing_material(composition("chicken")), bodies=bodies, sample=6)


if __name__ == "__main__":
    main()
