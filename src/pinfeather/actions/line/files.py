"""Answers about a line, a crew or windows from a file, without the farm's store."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any, Final

import numpy as np

from pinfeather.day.line_files import line_file, windows_file
from pinfeather.errors import ConvergenceError, InputError, InputFaultsError
from pinfeather.line.assign import compare, fixed_posts, hand_times
from pinfeather.line.choose import choose_flow
from pinfeather.line.replicate import bottleneck, replicate
from pinfeather.line.shifts import plan_crew
from pinfeather.line.simulate import planned_work, simulate
from pinfeather.line.stations import DIRTY_SIDE
from pinfeather.line.waits import waits
from pinfeather.line.windows import Split, split_birds, ways_to_split
from pinfeather.words import gettext as _

_BIRD_DAYS: Final = 6000
_FEWEST_DAYS: Final = 4
_MOST_DAYS: Final = 100
_FOUND_S: Final = 5.0


def _finite(value: float) -> float | None:
    return float(value) if math.isfinite(value) else None


def line_answer(mapping: Mapping[str, object], *, seed: int) -> dict[str, Any]:
    """Say when a line is done, what paces it, and how long birds wait.

    Raises
    ------
    InputFaultsError
        With every fault in the file, or if nobody can begin with the first bird.
    """
    asked = line_file(mapping)
    work = planned_work(asked.stations, asked.birds)
    choice = choose_flow(asked.stations, asked.people, work_s=work)
    table = simulate(asked.stations, asked.people, work_s=work, limits=choice.limits)
    if np.isnan(table.phase_start_s).all():
        nobody = _("Nobody is there long enough to begin with the first bird. Check the hours.")
        raise InputFaultsError([InputError("people", None, nobody)])
    days = max(_FEWEST_DAYS, min(_MOST_DAYS, _BIRD_DAYS // asked.birds))
    spread = replicate(
        asked.stations, asked.people, birds=asked.birds, n=days, seed=seed, limits=choice.limits
    )
    held = bottleneck(table, asked.stations, asked.people)
    found = waits(table, asked.stations)
    return {
        "birds": asked.birds,
        "start": f"{asked.start:%H:%M}",
        "finish_s": spread.finish.p50_s,
        "finish_low_s": spread.finish.p10_s,
        "finish_high_s": spread.finish.p90_s,
        "finish_half_width_s": _finite(spread.finish.half_width_s),
        "line_end_s": spread.line.p50_s,
        "days": spread.finish.n,
        "unfinished": table.unfinished,
        "bottleneck": {"kind": held.kind, "name": held.name, "utilisation": held.utilisation},
        "utilisation": {code: float(table.utilisation[k]) for k, code in enumerate(table.codes)},
        "waits": {
            name: {"mean_s": _mean(values), "longest_s": _longest(values)}
            for name, values in (
                ("caught", found.caught_s),
                ("bleed", found.bleed_s),
                ("hung", found.hung_s),
                ("soaked", found.soaked_s),
                ("warm", found.warm_s),
                ("cut_to_drawn", found.drawn_s),
            )
        },
    }


def _mean(values: np.ndarray[Any, np.dtype[np.float64]]) -> float | None:
    return None if np.isnan(values).all() else float(np.nanmean(values))


def _longest(values: np.ndarray[Any, np.dtype[np.float64]]) -> float | None:
    return None if np.isnan(values).all() else float(np.nanmax(values))


def crew_answer(mapping: Mapping[str, object]) -> dict[str, Any]:
    """Say who should stand where.

    Raises
    ------
    InputFaultsError
        With every fault in the file, or if no plan was found.
    """
    asked = line_file(mapping)
    times_s, codes = hand_times(asked.stations, asked.people)
    fixed = fixed_posts(times_s, dirty=[code in DIRTY_SIDE for code in codes])
    pace = compare(asked.stations, asked.people)
    try:
        plan = plan_crew(asked.stations, asked.people, until_s=asked.until_s, effort_s=_FOUND_S)
    except ConvergenceError as error:
        raise InputFaultsError([InputError("people", None, str(error))]) from error
    names = [one.name for one in asked.people]
    return {
        "birds_wanted": asked.birds,
        "birds": plan.birds,
        "gap_frac": plan.gap_frac,
        "fixed": None
        if fixed is None
        else {
            "birds_per_h": pace.fixed_bph,
            "cycle_s": fixed.cycle_s,
            "posts": {
                name: [codes[k] for k in mine]
                for name, mine in zip(names, fixed.stations, strict=True)
            },
        },
        "moving_birds_per_h": pace.walled_bph,
        "moving_without_washing_birds_per_h": pace.free_bph,
        "gain_frac": _finite(pace.gain_frac),
        "parts": [
            {
                "from_s": part.from_s,
                "to_s": part.to_s,
                "birds": part.birds,
                "people": [
                    {
                        "name": name,
                        "side": "dirty" if part.dirty[i] else "clean",
                        "wash": part.washes[i],
                        "time_s": {
                            code: float(part.time_s[i, k])
                            for k, code in enumerate(plan.codes)
                            if part.time_s[i, k] > 1.0
                        },
                    }
                    for i, name in enumerate(names)
                    if part.dirty[i] is not None
                ],
            }
            for part in plan.parts
        ],
    }


def windows_answer(mapping: Mapping[str, object]) -> dict[str, Any]:
    """Share birds out among windows.

    Raises
    ------
    InputFaultsError
        With every fault in the file.
    """
    asked = windows_file(mapping)
    chosen = split_birds(
        asked.birds,
        asked.windows,
        work=asked.work,
        store_birds=asked.store_birds,
        fewest=asked.fewest,
        longest_s=asked.longest_s,
    )
    ways = ways_to_split(
        asked.birds,
        asked.windows,
        work=asked.work,
        store_birds=asked.store_birds,
        fewest=asked.fewest,
    )

    def told(split: Split) -> dict[str, Any]:
        return {
            "days": split.days,
            "birds": {
                window.name: birds for window, birds in zip(asked.windows, split.birds, strict=True)
            },
            "total_s": split.total_s,
            "longest_s": split.longest_s,
        }

    return {
        "fits": chosen is not None,
        "chosen": None if chosen is None else told(chosen),
        "ways": [told(way) for way in ways if way.longest_s <= asked.longest_s],
    }
