"""Every published or independently computed heat number, each from its own file."""

import math
import tomllib
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from scipy.optimize import brentq

from pinfeather.estimate import Basis, Estimate, Origin
from pinfeather.heat import (
    boiling,
    carcass,
    conduction,
    dimension,
    finite_volume,
    food,
    freezer,
    frozen,
    hotwater,
    ice,
    livebirds,
    material,
    scalder,
    thaw,
    thermometer,
)
from pinfeather.units import J_PER_BTU, KG_PER_LB, M3_PER_GALLON, from_si, to_si

FILES = sorted((Path(__file__).parent / "data").glob("heat_*.toml"))
FIELDS = {"title", "author", "year", "edition", "place", "status", "note", "rows"}
STATUSES = {
    "read",
    "second hand",
    "unverified",
    "disputable",
    "common practice",
    "computed",
}
BTU_PER_H = J_PER_BTU / 3600
FT2 = 0.3048**2


def degC(value_F: float) -> float:
    return to_si(value_F, "F", "temperature")


def degF(value_degC: float) -> float:
    return from_si(value_degC, "F", "temperature")


def exactly(value: float) -> Estimate:
    return Estimate(value, value, value, Basis(Origin.TYPED, "check", "measured"))


def body_time(
    *,
    shape: conduction.Shape,
    half_m: float,
    surface_W_per_m2K: float,
    conductivity_W_per_mK: float,
    diffusivity_m2_per_s: float,
    start_degC: float,
    bath_degC: float,
    centre_degC: float,
) -> float:
    ratio = (centre_degC - bath_degC) / (start_degC - bath_degC)
    biot = surface_W_per_m2K * half_m / conductivity_W_per_mK
    fourier = conduction.time_to_ratio(shape, ratio, biot=biot)
    return fourier * half_m**2 / diffusivity_m2_per_s


def slab_surface_time(
    *,
    thickness_m: float,
    surface_W_per_m2K: float,
    conductivity_W_per_mK: float,
    diffusivity_m2_per_s: float,
    start_degC: float,
    bath_degC: float,
    surface_degC: float,
) -> float:
    half = thickness_m / 2
    biot = surface_W_per_m2K * half / conductivity_W_per_mK
    want = (surface_degC - bath_degC) / (start_degC - bath_degC)

    def above(fourier: float) -> float:
        return (
            conduction.ratio_at("slab", np.array([fourier]), biot=biot, position_frac=1.0)[0] - want
        )

    return brentq(above, 0.05, 50.0) * half**2 / diffusivity_m2_per_s


def sphere_surface(
    *,
    half_m: float,
    surface_W_per_m2K: float,
    conductivity_W_per_mK: float,
    diffusivity_m2_per_s: float,
    start_degC: float,
    bath_degC: float,
    centre_degC: float,
) -> float:
    biot = surface_W_per_m2K * half_m / conductivity_W_per_mK
    ratio = (centre_degC - bath_degC) / (start_degC - bath_degC)
    fourier = conduction.time_to_ratio("sphere", ratio, biot=biot)
    there = conduction.ratio_at("sphere", np.array([fourier]), biot=biot, position_frac=1.0)
    return bath_degC + (start_degC - bath_degC) * float(there[0])


def chicken_coefficient(
    *,
    mass_lb: float,
    density_lb_per_ft3: float,
    conductivity_Btu_per_h_ft_F: float,
    diffusivity_ft2_per_h: float,
    start_F: float,
    bath_F: float,
    centre_F: float,
    surface_F: float,
) -> float:
    radius_ft = (3 * mass_lb / density_lb_per_ft3 / (4 * math.pi)) ** (1 / 3)
    ratio = (centre_F - bath_F) / (start_F - bath_F)

    def above(biot: float) -> float:
        fourier = conduction.time_to_ratio("sphere", ratio, biot=biot)
        there = conduction.ratio_at("sphere", np.array([fourier]), biot=biot, position_frac=1.0)
        return bath_F + (start_F - bath_F) * float(there[0]) - surface_F

    return brentq(above, 0.05, 5.0) * conductivity_Btu_per_h_ft_F / radius_ft


def chill_minutes(*, mass_kg: float, build: carcass.Build, surface_W_per_m2K: float, **rest: Any):
    found = carcass.chill_time(
        mass_kg, build=build, bath="stirred", surface_W_per_m2K=exactly(surface_W_per_m2K), **rest
    )
    assert found.time_s is not None
    return found.time_s / 60


def chill_minutes_by_bath(*, mass_lb: float, **rest: Any) -> float:
    found = carcass.chill_time(mass_lb * KG_PER_LB, **rest)
    assert found.time_s is not None
    return found.time_s / 60


def measured_breast(
    *, thickness_mm: float, surface_W_per_m2K: float, bath_degC: float, limit_degC: float
) -> float:
    found = carcass.chill_time(
        1.8,
        build="broad",
        bath="stirred",
        bath_degC=bath_degC,
        limit_degC=limit_degC,
        thickness_m=thickness_mm / 1000,
        surface_W_per_m2K=exactly(surface_W_per_m2K),
    )
    assert found.time_s is not None
    return found.time_s / 60


def closed_cavity_factor() -> float:
    given: dict[str, Any] = {
        "build": "lean",
        "bath": "stirred",
        "bath_degC": 0.5,
        "limit_degC": 4.4,
        "start_degC": 32.0,
    }
    closed = carcass.chill_time(1.25, cavity_open=False, **given).time_s
    flooded = carcass.chill_time(1.25, **given).time_s
    assert closed is not None
    assert flooded is not None
    return closed / flooded


def glycol(*, mass_kg: float, surface_W_per_m2K: float, cold_degC: float, slush_degC: float):
    times = [
        chill_minutes(
            mass_kg=mass_kg,
            build="lean",
            surface_W_per_m2K=surface_W_per_m2K,
            start_degC=32.0,
            limit_degC=4.4,
            bath_degC=bath,
        )
        for bath in (cold_degC, slush_degC)
    ]
    return times[0] / times[1]


def two_readings(*, apart_min: float, **rest: Any) -> carcass.TwoReadings:
    return carcass.two_reading_time(
        rest.pop("first_degC"), rest.pop("second_degC"), apart_s=apart_min * 60, **rest
    )


def chiller_kW(
    *,
    birds_per_h: float,
    mass_kg: float,
    specific_heat_J_per_kgK: float,
    start_degC: float,
    end_degC: float,
    gain_W: float,
) -> float:
    # our own balance with the book's specific heat scaled out
    need = ice.ice_need(
        birds_kg=birds_per_h * mass_kg,
        species="chicken",
        start_degC=start_degC,
        end_degC=end_degC,
        fill_m3=0.0,
        fill_degC=10.0,
        gains_W=gain_W,
        duration_s=3600.0,
        water_end_degC=0.0,
    )
    ours = ice.specific_heat("chicken").value
    heat = need.birds_kg * specific_heat_J_per_kgK / ours + need.gains_kg
    return heat * 333.6 / 3600


def ice_per_kg(*, species: str, start_degC: float, end_degC: float) -> float:
    return ice.ice_need(
        birds_kg=1.0,
        species=species,
        start_degC=start_degC,
        end_degC=end_degC,
        fill_m3=0.0,
        fill_degC=10.0,
        gains_W=0.0,
        duration_s=0.0,
    ).total_kg


def gallon_ice_lb(*, from_F: float, to_F: float) -> float:
    need = ice.ice_need(
        birds_kg=0.0,
        species="chicken",
        start_degC=1.0,
        end_degC=1.0,
        fill_m3=M3_PER_GALLON,
        fill_degC=degC(from_F),
        gains_W=0.0,
        duration_s=0.0,
        water_end_degC=degC(to_F),
    )
    return need.total_kg / KG_PER_LB


def tank(
    *,
    birds: int,
    bird_lb: float,
    start_degC: float,
    end_degC: float,
    fill_gal: float,
    fill_F: float,
    gains_W: float,
    hours: float,
) -> ice.IceNeed:
    return ice.ice_need(
        birds_kg=birds * bird_lb * KG_PER_LB,
        species="chicken",
        start_degC=start_degC,
        end_degC=end_degC,
        fill_m3=fill_gal * M3_PER_GALLON,
        fill_degC=degC(fill_F),
        gains_W=gains_W,
        duration_s=hours * 3600,
    )


def warm_up_heat(*, gallons: float, from_F: float, to_F: float) -> float:
    found = scalder.warm_up(
        volume_m3=gallons * M3_PER_GALLON,
        from_degC=degC(from_F),
        to_degC=degC(to_F),
        burner_W=15e3,
        air_degC=15.0,
    )
    return found.heat_J / J_PER_BTU


def straight_line_minutes(
    *,
    gallons: float,
    from_F: float,
    to_F: float,
    useful_Btu_per_h: float,
    loss_Btu_per_h_F: float,
) -> float:
    capacity = gallons * M3_PER_GALLON * 999.3 * 4190.0
    per_K = loss_Btu_per_h_F * BTU_PER_H * 1.8
    found = scalder.heating_time_s(
        capacity,
        lambda t: per_K * (t - degC(from_F)),
        from_degC=degC(from_F),
        to_degC=degC(to_F),
        useful_W=useful_Btu_per_h * BTU_PER_H,
    )
    assert found is not None
    return found / 60


def corrected_F(*, reading_F: float, ice_F: float, boil_F: float, feet: float) -> float:
    return degF(
        thermometer.corrected_degC(
            degC(reading_F),
            ice_reading_degC=degC(ice_F),
            boil_reading_degC=degC(boil_F),
            boil_true_degC=boiling.boiling_degC(altitude_m=feet * 0.3048),
        )
    )


def cylinder_J(pounds: float) -> float:
    return pounds * KG_PER_LB * scalder.PROPANE_J_PER_KG


ALPHA = 0.47 / 1050 / 3500
HAM = {"b1": 1.618, "b2": 2.735}


def ham() -> dimension.Equivalent:
    return dimension.equivalent("ellipsoid", 48 * 0.051 / 0.379, **HAM)


def lump_minutes(
    *, start_degC: float, bath_degC: float, centre_degC: float, lump: dimension.Lump, **rest: float
) -> float:
    ratio = (centre_degC - bath_degC) / (start_degC - bath_degC)
    given = {"conductivity_W_per_mK": 0.47, "diffusivity_m2_per_s": ALPHA, **rest}
    return dimension.cooling_time_s(lump, ratio=ratio, **given) / 60


def carcass_heat(
    *, degC: float, water_frac: float, protein_frac: float, freezing_degC: float
) -> float:
    found = frozen.enthalpy_chen(
        degC,
        water_frac=water_frac,
        bound_water_frac=0.4 * protein_frac,
        freezing_degC=freezing_degC,
    )
    return float(found) / 1e3


def carcass_freezing_kJ(
    *, from_degC: float, to_degC: float, mass_kg: float, **rest: float
) -> float:
    ends = [carcass_heat(degC=degC, **rest) for degC in (from_degC, to_degC)]
    return mass_kg * (ends[0] - ends[1])


PORK = food.Composition("pork", 0.7263, 0.1955, 0.0714, 0.0102, -2.2)


def chang_tao(*, from_degC: float, to_degC: float) -> float:
    freezing = frozen.chang_tao_freezing_degC(0.66)
    below = frozen.enthalpy_chang_tao(freezing, water_frac=0.66)
    below -= frozen.enthalpy_chang_tao(to_degC, water_frac=0.66)
    return below + (from_degC - freezing) * frozen.chen_specific_heat_J_per_kgK(0.34)


def freeze_chicken(*, all_water: bool = False, **given: float) -> float:
    return frozen.heat_to_freeze_J_per_kg(food.composition("chicken"), all_water=all_water, **given)


def staged_kJ(*, mass_kg: float, unfrozen: float, frozen: float, latent: float, **rest: float):
    stuff = freezer.Freezable(1000.0, 1000.0, unfrozen, frozen, latent, 1.0)
    return sum(freezer.staged_heat_J(mass_kg, stuff=stuff, **rest)) / 1e3


def pham_slab_hours() -> float:
    stuff = freezer.Freezable(1050.0, 1000.0, 3349.0, 1800.0, 247e3, 1.4)
    return (
        freezer.pham_s(
            "slab",
            thickness_m=0.10,
            stuff=stuff,
            start_degC=5.0,
            centre_degC=-18.0,
            air_degC=-35.0,
            surface_W_per_m2K=1 / (1 / 20 + 0.01),
        )
        / 3600
    )


def turkey_in_brine(
    *,
    radius_m: float,
    surface_W_per_m2K: float,
    brine_degC: float,
    start_degC: float,
    depth_m: float,
    end_degC: float,
) -> float:
    times = np.linspace(0.0, 6 * 3600.0, 361)
    found = finite_volume.solve(
        times,
        shape="sphere",
        half_thickness_m=radius_m,
        surface_W_per_m2K=surface_W_per_m2K,
        bath_degC=brine_degC,
        start_degC=start_degC,
        material=material.freezing_material(food.composition("turkey")),
        shells=30,
    )
    radii = (np.arange(30) + 0.5) / 30 * radius_m
    there = [np.interp(radius_m - depth_m, radii, shells[:, 0]) for shells in found.shells_degC]
    return float(np.interp(-end_degC, -np.array(there), times)) / 60


def lentz(*, mass_kg: float) -> float:
    times = np.linspace(0.0, 9 * 3600.0, 541)
    found = finite_volume.solve(
        times,
        shape="sphere",
        half_thickness_m=frozen.ball_radius_m(mass_kg, density_kg_per_m3=1038.0),
        surface_W_per_m2K=150.0,
        bath_degC=degC(0.0),
        start_degC=4.0,
        material=material.freezing_material(food.composition("chicken")),
    )
    end = float(np.interp(17.0, -found.centre_degC[:, 0], times))
    out = found.out_J_per_kg[:, 0]
    return float(np.interp(0.9 * np.interp(end, times, out), out, times)) / end


def bird_hours(*, mass_kg: float, surface_W_per_m2K: float, centre_degC: float, pham: bool = False):
    found = freezer.bird_freeze_time(
        mass_kg,
        air_degC=-18.0 if pham else degC(0.0),
        centre_degC=centre_degC,
        surface_W_per_m2K=exactly(surface_W_per_m2K),
    )
    time_s = found.safe_s if pham else found.time_s
    assert time_s is not None
    return time_s / 3600


def new_food(ft3: float) -> Estimate:
    return freezer.freezer_load(birds_kg=1.0, volume_m3=ft3 * 0.3048**3).per_day_kg


def freezer_watts(pounds_per_day: float) -> float:
    load = freezer.freezer_load(birds_kg=pounds_per_day * KG_PER_LB, volume_m3=15 * 0.3048**3)
    assert load.days == 1
    return load.power_W


def property_of(what: str, item: str) -> Callable[..., float]:
    return lambda degC: getattr(food.properties(food.composition(item), degC), what)


PROPERTIES = {
    "specific heat": "specific_heat_J_per_kgK",
    "density": "density_kg_per_m3",
    "conductivity": "parallel_W_per_mK",
    "diffusivity": "diffusivity_m2_per_s",
}

WAYS: dict[str, Callable[..., float]] = {
    "first root": lambda shape, biot: conduction.roots(shape, biot)[0],
    "lag factor": lambda shape, biot: conduction.lag_factors(shape, conduction.roots(shape, biot))[
        0
    ],
    "body time to centre temperature": body_time,
    "slab time to surface temperature": slab_surface_time,
    "sphere surface when centre": sphere_surface,
    "sphere coefficient from centre and surface, Btu/h ft2 F": chicken_coefficient,
    "chiller duty, kW": chiller_kW,
    "chiller water, kg/s": lambda rise_K, **given: chiller_kW(**given) / (4.18 * rise_K),
    "chill minutes": chill_minutes,
    "chill minutes by bath": chill_minutes_by_bath,
    "measured breast minutes": measured_breast,
    "closed cavity factor": closed_cavity_factor,
    "glycol against slush": glycol,
    "two readings, f in minutes": lambda **given: two_readings(**given).f_s / 60,
    "two readings, minutes left": lambda **given: (two_readings(**given).remaining_s or 0) / 60,
    "ice per kg of bird": ice_per_kg,
    "ice for a gallon of fill water, lb": gallon_ice_lb,
    "mixture temperature": lambda **given: ice.mix(**given).temperature_degC,
    "mixture ice left": lambda **given: ice.mix(**given).ice_left_kg,
    "ice for a tank, lb": lambda **given: tank(**given).total_kg / KG_PER_LB,
    "birds' share of the ice": lambda **given: tank(**given).birds_kg / tank(**given).total_kg,
    "ice melted per hour": ice.ice_melted_kg_per_h,
    "evaporation, Btu/h": lambda area_ft2, water_F, air_F: (
        hotwater.evaporation_W_per_m2(degC(water_F), air_degC=degC(air_F))
        * area_ft2
        * FT2
        / BTU_PER_H
    ),
    "tank loss, Btu/h": lambda surface_ft2, wall_ft2, water_F, air_F: (
        (
            surface_ft2 * hotwater.surface_loss_W_per_m2(degC(water_F), air_degC=degC(air_F))
            + wall_ft2 * hotwater.wall_loss_W_per_m2(degC(water_F), air_degC=degC(air_F))
        )
        * FT2
        / BTU_PER_H
    ),
    "warm-up heat, Btu": warm_up_heat,
    "warm-up propane without losses, lb": lambda efficiency, **given: (
        scalder.propane_kg(warm_up_heat(**given) * J_PER_BTU, efficiency_frac=efficiency)
        / KG_PER_LB
    ),
    "warm-up minutes with a straight-line loss": straight_line_minutes,
    "heat in a cylinder of propane, Btu": lambda pounds: cylinder_J(pounds) / J_PER_BTU,
    "gallons in a cylinder of propane": lambda pounds: (
        pounds * KG_PER_LB / scalder.PROPANE_KG_PER_M3 / M3_PER_GALLON
    ),
    "hours from a cylinder of propane": lambda pounds, burner_Btu_per_h: (
        cylinder_J(pounds) / (burner_Btu_per_h * BTU_PER_H) / 3600
    ),
    "heat taken by a broiler, Btu": lambda mass_kg, **given: (
        scalder.bird_heat_J(mass_kg, **given) / J_PER_BTU
    ),
    "boiling point, F, by height in feet": lambda feet: degF(
        boiling.boiling_degC(altitude_m=feet * 0.3048)
    ),
    "pressure, kPa, by height in feet": lambda feet: boiling.pressure_Pa(feet * 0.3048) / 1e3,
    "boiling point, F, by station pressure in inHg": lambda inHg: degF(
        boiling.boiling_degC(pressure_Pa=to_si(inHg, "inHg", "pressure"))
    ),
    "saturation temperature, K, by pressure in MPa": lambda MPa: (
        boiling.boiling_degC(pressure_Pa=MPa * 1e6) + 273.15
    ),
    "corrected, F": corrected_F,
    **{
        f"{name} of {item}": property_of(what, item)
        for name, what in PROPERTIES.items()
        for item in ("chicken", "turkey", "duck", "goose", "chicken light", "chicken dark")
    },
    "conductivity of fat": lambda degC: float(food.component("conductivity_W_per_mK", "fat", degC)),
    "specific heat from solids": frozen.chen_specific_heat_J_per_kgK,
    "heat to freeze chicken": freeze_chicken,
    "heat to freeze chicken, all water": lambda **given: freeze_chicken(all_water=True, **given),
    "heat to freeze chicken, Chang and Tao": chang_tao,
    "white meat, measured": lambda degC: float(food.white_meat_conductivity_W_per_mK(degC)),
    "ice share, Tchigeov": lambda degC, **given: float(frozen.ice_tchigeov(degC, **given)),
    "ice in a carcass, kg": lambda degC, mass_kg, **given: (
        mass_kg * float(frozen.ice_tchigeov(degC, **given))
    ),
    "heat in a carcass, kJ/kg": carcass_heat,
    "heat to freeze a carcass, kJ": carcass_freezing_kJ,
    "pork, ice share": lambda degC: float(
        frozen.ice_tchigeov(degC, water_frac=PORK.water_frac, freezing_degC=PORK.freezing_degC)
    ),
    "pork, density": lambda degC: float(frozen.frozen_properties(PORK, degC).density_kg_per_m3),
    "pork, parallel conductivity": lambda degC: float(
        frozen.frozen_properties(PORK, degC).parallel_W_per_mK
    ),
    "pork, series conductivity": lambda degC: float(
        frozen.frozen_properties(PORK, degC).series_W_per_mK
    ),
    "Earle, specific heat": lambda water_frac: food.earle(water_frac).specific_heat_J_per_kgK,
    "Earle, latent heat": lambda water_frac: food.earle(water_frac).latent_J_per_kg,
    "Earle, conductivity": lambda water_frac: food.earle(water_frac).conductivity_W_per_mK,
    "staged heat, kJ": staged_kJ,
    "lump minutes": lump_minutes,
    "ham, dimensions": lambda: ham().dimensions,
    "ham, lag": lambda: ham().lag,
    "ham, seconds": lambda: dimension.cooling_time_s(
        "ellipsoid",
        ratio=11 / 73,
        half_m=0.051,
        surface_W_per_m2K=48.0,
        conductivity_W_per_mK=0.379,
        diffusivity_m2_per_s=0.379 / 1080 / 3740,
        **HAM,
    ),
    "Plank, hours": lambda shape, **given: freezer.plank_s(shape, **given) / 3600,
    "Pham slab, hours": pham_slab_hours,
    "turkey in brine, minutes": turkey_in_brine,
    "share of time for nine tenths of the heat": lentz,
    "bird freezing, hours": bird_hours,
    "bird freezing by Pham, hours": lambda **given: bird_hours(pham=True, **given),
    "Pham's middle temperature": lambda centre_degC, air_degC: freezer.pham_middle_degC(
        centre_degC, air_degC=air_degC
    ),
    "freezer cooling, W": freezer_watts,
    "new food, lb a day, low": lambda ft3: new_food(ft3).low / KG_PER_LB,
    "new food, lb a day, high": lambda ft3: new_food(ft3).high / KG_PER_LB,
    "thaw days, low": lambda pounds: thaw.thaw_card(pounds * KG_PER_LB).refrigerator_low_s / 86400,
    "thaw days, high": lambda pounds: (
        thaw.thaw_card(pounds * KG_PER_LB).refrigerator_high_s / 86400
    ),
    "thaw hours in water": lambda pounds: thaw.thaw_card(pounds * KG_PER_LB).water_s / 3600,
    "heat index": lambda dry, wet, air: livebirds.heat_index_degC(dry, wet, air_m_per_s=air),
    "Carrier, Btu/h ft2": lambda water_F: (
        hotwater.evaporation_in_wind_W_per_m2(degC(water_F), wind_m_per_s=0.0)
        / hotwater.W_PER_M2_PER_BTU_H_FT2
    ),
}


def rows() -> list[Any]:
    return [
        pytest.param(row, id=f"{path.stem}-{number}")
        for path in FILES
        for number, row in enumerate(tomllib.loads(path.read_text("utf-8"))["rows"])
    ]


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_every_file_says_where_its_numbers_come_from(path):
    source = tomllib.loads(path.read_text("utf-8"))
    assert set(source) == FIELDS
    assert source["status"] in STATUSES
    assert source["rows"]


@pytest.mark.parametrize("row", rows())
def test_the_number_comes_out(row):
    found = WAYS[row["what"]](**row["inputs"])
    within = row["tolerance"] if "tolerance" in row else abs(row["answer"]) * row["relative"]
    assert found == pytest.approx(row["answer"], abs=within), row["reason"]
