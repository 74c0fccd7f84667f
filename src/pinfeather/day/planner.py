"""Working out a plan: the line, the cold, the heat, the law and the list, together."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Mapping, Sequence
from itertools import pairwise
from typing import Final

import numpy as np
from numpy.typing import NDArray

from pinfeather.day import cold, hot, numbers
from pinfeather.day.chill_learning import ChillNumbers
from pinfeather.day.events import COUNTED
from pinfeather.day.flow import NEVER_S, Flow, flow
from pinfeather.day.luck import CHANGE_DAYS, DAYS, Luck, gains, luck
from pinfeather.day.plan import (
    DayPlan,
    OwnTime,
    PersonPlan,
    Practised,
    SanitiserPlan,
    SizeClassPlan,
    StationPlan,
    Stretch,
    Thread,
)
from pinfeather.day.practice import practised
from pinfeather.day.request import DayRequest
from pinfeather.day.supplies import supplies
from pinfeather.day.todo import TankTimes, todo_list
from pinfeather.errors import InputError, InputFaultsError
from pinfeather.estimate import Basis, Estimate, Origin
from pinfeather.finding import Finding, Severity, by_severity
from pinfeather.heat.carcass import ChillTime
from pinfeather.hygiene.dilution import Dilution, dilute
from pinfeather.line.capacity import cones_needed
from pinfeather.line.choose import WaitLimits, choose_flow
from pinfeather.line.findings import LineLimits, line_findings
from pinfeather.line.ready import clean_up_time_s, set_up_time_s
from pinfeather.line.replicate import Band, bottleneck, line_busy_s
from pinfeather.line.simulate import Timetable, simulate
from pinfeather.line.stations import DIRTY_SIDE, PACKING
from pinfeather.quantity import show
from pinfeather.rules.count import Headroom, headroom
from pinfeather.rules.model import Profile
from pinfeather.rules.profile import load
from pinfeather.rules.sanitiser import renew_interval_s, strength_verdict
from pinfeather.words import gettext as _
from pinfeather.words import ngettext

_FILL_BEFORE_S: Final = 1800.0
"""The tanks are filled this long before the first bird [s]. Assumed."""
_JOIN_S: Final = 1200.0
"""Gaps in one person's work on one side shorter than this are joined on their card [s]."""
_PPM: Final = 1e6
_WITHOUT_BREAK_S: Final = 3 * 3600.0
_PAUSE_S: Final = 900.0
"""A quarter of an hour without work counts as a pause [s]. Assumed."""
_PATIENCE: Final = 1.5
_ONE_IN_TEN: Final = 0.1
"""From this share of days with birds left over on it is said [1]. Assumed."""
_SHORTEST_ALARM_S: Final = 300.0
"""A bird is not called lost sooner than this [s]. Assumed."""


def plan_day(
    request: DayRequest,
    *,
    seed: int = 1,
    days: int = DAYS,
    change_days: int = CHANGE_DAYS,
    times: Mapping[tuple[str, str], Estimate] | None = None,
    chill_numbers: ChillNumbers | None = None,
    quicker: Mapping[str, Estimate] | None = None,
    mass_unit: str = "lb",
    temp_unit: str = "F",
) -> DayPlan:
    """Plan one processing day.

    Parameters
    ----------
    request : DayRequest
        What was asked for.
    seed : int
        For the simulated days; the same seed gives the same plan.
    days, change_days : int
        Simulated days for the finish, and for each change.
    times : mapping or None
        The farm's own station times, by (station, phase).
    chill_numbers : ChillNumbers or None
        The farm's own chill numbers; None takes the handbook's.
    quicker : mapping or None
        How much quicker beginners are by now than on their days so far, by name [1].
    mass_unit, temp_unit : str
        Units for sentences (``"lb"`` or ``"kg"``, ``"F"`` or ``"C"``).

    Returns
    -------
    DayPlan
        All times in seconds from the first bird.

    Raises
    ------
    InputFaultsError
        If the rules or the tier are not known, or nobody is there to begin the first bird.

    References
    ----------
    The rooms it combines, each with its own sources.
    """
    profile, room = _rules(request)
    stirred = all(tank.stirred for tank in request.equipment.tanks)
    chills = [
        cold.bird_chill_times(lot, stirred=stirred, profile=profile, chill_numbers=chill_numbers)
        for lot in request.lots
    ]
    day = flow(practised(request, quicker or {}), chills, times=times)
    allowed = WaitLimits(
        warm_s=profile.timing.pick_to_chill.si, drawn_s=profile.timing.cut_to_drawn.si
    )
    choice = choose_flow(day.stations, day.people, work_s=day.work_s, allowed=allowed)
    table = simulate(day.stations, day.people, work_s=day.work_s, limits=choice.limits)
    if np.isnan(table.phase_start_s).all():
        nobody = _("Nobody is there long enough to begin with the first bird. Check the hours.")
        raise InputFaultsError([InputError("people", None, nobody)])
    spread = luck(day, limits=choice.limits, seed=seed, days=days)
    finish_s = _finish(table, spread.finish)

    into = table.start_s[:, table.at("chill")]
    order = [int(i) for i in np.argsort(np.nan_to_num(into, nan=np.inf), kind="stable")]
    places = dict(
        zip(
            order,
            cold.share_out([day.birds[i].mass_kg for i in order], request.equipment.tanks),
            strict=True,
        )
    )
    tank_names = [request.equipment.tanks[places[i]].name for i in range(len(day.birds))]
    tanks = cold.tank_plans(
        request,
        species=[day.birds[i].species for i in order],
        masses_kg=[day.birds[i].mass_kg for i in order],
        places=[places[i] for i in order],
        stay_s=_FILL_BEFORE_S + min(table.end_s, NEVER_S),
    )
    classes, class_findings = _classes(request, day, table=table, chills=chills, profile=profile)
    tank_times = _tank_times(request, day, table=table, tanks=tank_names, profile=profile)
    scald = hot.scald_plan(request, line_s=table.line_end_s, temp_unit=temp_unit)
    mix, sanitiser, mix_findings = _sanitiser(request, profile, end_s=finish_s.value)
    present = _present(day, end_s=table.end_s)
    set_up_s = set_up_time_s(day.stations, people=present[0])
    clean_up_s = clean_up_time_s(day.stations, people=present[1])
    todo = todo_list(
        light_before_s=scald.light_before_s,
        tanks=tank_times,
        renew_s=sanitiser.renew_s,
        line_end_s=table.line_end_s,
        end_s=min(table.end_s, NEVER_S),
        set_up_s=set_up_s.value,
        clean_up_s=clean_up_s.value,
        mix_words=_mix_words(request, mix),
        ice_words=_ice_words(tanks, mass_unit=mass_unit),
    )
    ice_kg = sum(tank.ice_kg for tank in tanks)
    findings = (
        *_no_break(day, table),
        *_unlucky(table, spread),
        *(
            finding
            for finding in line_findings(
                table,
                day.stations,
                people=day.people,
                limits=LineLimits(
                    warm_s=allowed.warm_s,
                    drawn_s=allowed.drawn_s,
                    deadline_s=_deadline_s(request),
                ),
                finish=spread.finish,
            )
            if finding.code != "line.no_break"
        ),
        *class_findings,
        *(f for one in chills for chill in one for f in chill.findings),
        *cold.cold_findings(request, tanks, mass_unit=mass_unit),
        *scald.findings,
        *mix_findings,
        *room.findings,
    )
    return DayPlan(
        birds=len(day.birds),
        stations=table.codes,
        threads=_threads(day, table, tanks=tank_names),
        end_s=table.end_s,
        line_end_s=table.line_end_s,
        finish_s=finish_s,
        half_width_s=spread.finish.half_width_s,
        replications=spread.finish.n,
        unfinished=table.unfinished,
        bottleneck=bottleneck(table, day.stations, day.people),
        station_plans=_station_plans(table),
        longest_s=_longest_s(table),
        gains=gains(day, limits=choice.limits, seed=seed, days=change_days),
        wip_limit=choice.limits.wip_limit,
        cones_needed=_cones(day, table),
        scald=scald,
        classes=classes,
        tanks=tanks,
        tank_times=tank_times,
        ice_kg=ice_kg,
        birds_kg=sum(bird.mass_kg for bird in day.birds),
        store_room_kg=cold.store_room_kg(request),
        sanitiser=sanitiser,
        cap_words="" if room.cap is None else str(room.cap),
        headroom_after=room.left_after,
        counted_before=room.counted,
        supplies=supplies(
            birds=len(day.birds),
            people=len(request.people),
            day_s=set_up_s.value + finish_s.value + clean_up_s.value,
            mixes=1 + len(sanitiser.renew_s),
            stock_m3=mix.stock_m3,
            propane_kg=scald.propane_kg,
            ice_kg=ice_kg,
            mass_unit=mass_unit,
        ),
        todo=todo,
        people=_people(day, table),
        numbers=numbers.planning_numbers(
            day,
            chills,
            scald=scald,
            ready=(set_up_s, clean_up_s),
            quicker=quicker or {},
            temp_unit=temp_unit,
            length_unit="in" if mass_unit == "lb" else "mm",
        ),
        findings=by_severity(_once(findings)),
        cross=choice.limits.cross,
        own_times=tuple(OwnTime(*name, time_s) for name, time_s in (times or {}).items()),
        practised=tuple(Practised(*one) for one in (quicker or {}).items()),
    )


def _present(day: Flow, *, end_s: float) -> tuple[int, int]:
    """Count who is there at the first bird, and who is still there when all is put away."""
    before = sum(person.from_s <= 0 for person in day.people)
    after = sum(person.to_s >= end_s for person in day.people)
    return max(1, before), max(1, after)


def _unlucky(table: Timetable, spread: Luck) -> tuple[Finding, ...]:
    """Say on how many days birds are left over although the planned day has none."""
    share = spread.unfinished_frac
    if table.unfinished or share < _ONE_IN_TEN:
        return ()
    return (
        Finding(
            code="line.unfinished_days",
            severity=Severity.CHECK,
            sentence=_("On {n} % of the simulated days birds are left over.").format(
                n=round(100 * share)
            ),
            reason=_("The hours are just enough. Plan fewer birds, or let somebody stay longer."),
            where="line",
            measured=share,
            limit=_ONE_IN_TEN,
            unit="1",
            status="assumed",
        ),
    )


def _rules(request: DayRequest) -> tuple[Profile, Headroom]:
    planned = Counter[str]()
    for lot in request.lots:
        planned[lot.species] += lot.count
    try:
        profile = load(request.profile)
        room = headroom(profile, request.tier, counted=request.counted, planned=planned)
    except InputError as fault:
        raise InputFaultsError([fault]) from fault
    return profile, room


def _finish(table: Timetable, finish: Band) -> Estimate:
    low, middle, high = finish.p10_s, finish.p50_s, finish.p90_s
    note = ngettext("one simulated day", "{n} simulated days", finish.n).format(n=finish.n)
    basis = Basis(Origin.COMPUTED, note)
    if not math.isfinite(middle):
        return Estimate(table.end_s, table.end_s, table.end_s, basis)
    return Estimate(middle, low, high, basis)


def _threads(day: Flow, table: Timetable, *, tanks: Sequence[str]) -> tuple[Thread, ...]:
    def row(values: NDArray[np.float64]) -> tuple[float | None, ...]:
        return tuple(None if math.isnan(v) else round(float(v), 1) for v in values)

    return tuple(
        Thread(
            lot=bird.lot,
            tank=tanks[i],
            mass_kg=bird.mass_kg,
            arrive_s=row(table.arrive_s[i]),
            start_s=row(table.start_s[i]),
            finish_s=row(table.finish_s[i]),
            depart_s=row(table.depart_s[i]),
        )
        for i, bird in enumerate(day.birds)
    )


def _classes(
    request: DayRequest,
    day: Flow,
    *,
    table: Timetable,
    chills: Sequence[Sequence[ChillTime]],
    profile: Profile,
) -> tuple[tuple[SizeClassPlan, ...], tuple[Finding, ...]]:
    """Find for each lot and weight class when its birds are cold, and when they must be."""
    found = cold.size_classes(request.lots, chills, profile=profile)
    cut = table.start_s[:, table.at("kill")]
    into = table.start_s[:, table.at("chill")]
    plans, colds, highs, cuts = [], [], [], []
    for one in found:
        mine = [
            i
            for i, bird in enumerate(day.birds)
            if bird.lot == one.lot and one.lightest_kg <= bird.mass_kg <= one.heaviest_kg
        ]
        reached = [i for i in mine if not math.isnan(into[i])]
        slowest = max(
            reached, key=lambda i: into[i] + day.birds[i].chill_s - cut[i], default=mine[0]
        )
        bird = day.birds[slowest]
        start = float(np.nan_to_num(into[slowest], nan=NEVER_S))
        cold_s = start + bird.chill_s
        high_s = None if bird.chill_high_s is None else start + bird.chill_high_s
        cut_s = float(np.nan_to_num(cut[slowest], nan=0.0))
        last = max((float(into[i]) + day.birds[i].chill_s for i in reached), default=cold_s)
        last_high = [
            None if (h := day.birds[i].chill_high_s) is None else float(into[i]) + h
            for i in reached
        ]
        never = one.chill.time_s is None
        colds.append(cold_s)
        highs.append(high_s)
        cuts.append(cut_s)
        plans.append(
            SizeClassPlan(
                lot=one.lot,
                label=one.label,
                birds=one.birds,
                lightest_kg=one.lightest_kg,
                heaviest_kg=one.heaviest_kg,
                stay_s=one.chill.time_s,
                stay_low_s=one.chill.low_s,
                stay_high_s=one.chill.high_s,
                cold_s=None if never else last,
                cold_high_s=None
                if not last_high or None in last_high
                else max(h for h in last_high if h is not None),
                due_s=min((float(cut[i]) for i in reached), default=cut_s) + one.limit.within_s,
                limit_words=_("{target} in {hours:g} h").format(
                    target=one.limit.target, hours=one.limit.hours
                ),
                citation=one.limit.citation,
                status=one.limit.status,
            )
        )
    findings = cold.late_cold_findings(found, cold_s=colds, high_s=highs, cut_s=cuts)
    return tuple(plans), findings


def _tank_times(
    request: DayRequest,
    day: Flow,
    *,
    table: Timetable,
    tanks: Sequence[str],
    profile: Profile,
) -> tuple[TankTimes, ...]:
    from pinfeather.rules.chill import chill_limit

    cut = table.start_s[:, table.at("kill")]
    into = table.start_s[:, table.at("chill")]
    found = []
    for tank in request.equipment.tanks:
        mine = [i for i, name in enumerate(tanks) if name == tank.name and not math.isnan(into[i])]
        if not mine:
            continue
        found.append(
            TankTimes(
                name=tank.name,
                first_in_s=min(float(into[i]) for i in mine),
                last_in_s=max(float(into[i]) for i in mine),
                cold_s=min(max(float(into[i]) + day.birds[i].chill_s for i in mine), NEVER_S),
                due_s=min(
                    float(cut[i]) + chill_limit(profile, day.birds[i].mass_kg).within_s
                    for i in mine
                ),
                stirred=tank.stirred,
            )
        )
    return tuple(found)


def _sanitiser(
    request: DayRequest, profile: Profile, *, end_s: float
) -> tuple[Dilution, SanitiserPlan, tuple[Finding, ...]]:
    asked = request.sanitiser
    most = profile.sanitation.sanitisers["chlorine"].most.si
    mix = dilute(
        stock_frac=asked.bleach_frac,
        target_frac=asked.target_frac,
        volume_m3=asked.volume_m3,
        max_frac=most,
    )
    every = renew_interval_s(profile, request.air_degC)
    renew_s = tuple(np.arange(every.interval_s - 2400.0, end_s, every.interval_s).tolist())
    plan = SanitiserPlan(
        stock_m3=mix.stock_m3,
        measures=mix.measures,
        mixed_ppm=Estimate(
            mix.mixed_frac.value * _PPM,
            mix.mixed_frac.low * _PPM,
            mix.mixed_frac.high * _PPM,
            mix.mixed_frac.basis,
        ),
        renew_s=renew_s,
        every_s=every.interval_s,
        citation=every.citation,
        status=every.status,
    )
    strength = strength_verdict(profile, "chlorine", asked.target_frac * _PPM, how="dose")
    wrong = tuple(f for f in strength if f.code not in {"sanitiser.measure", "sanitiser.right"})
    return mix, plan, (*mix.findings, *wrong)


def _mix_words(request: DayRequest, mix: Dilution) -> str:
    unit = "gal" if request.sanitiser.volume_m3 > 0.002 else "L"  # noqa: PLR2004 - small mixes read better in litres
    return _("Mix sanitiser: {stock} of bleach into {volume} of water; read a strip.").format(
        stock=_(" or ").join(mix.measures[:3:2]),
        volume=show(request.sanitiser.volume_m3, unit, "volume"),
    )


def _ice_words(tanks: Sequence[cold.TankPlan], *, mass_unit: str) -> str:
    parts = [
        _("{ice} into {tank}").format(
            ice=show(tank.ice_kg, mass_unit, "mass", decimals=0), tank=tank.name
        )
        for tank in tanks
    ]
    return _("Fill the tanks a third with the coldest water. Ice: {parts}.").format(
        parts=", ".join(parts)
    )


def _cones(day: Flow, table: Timetable) -> int:
    """Cones that keep up with the line's own pace, bleeding and loading counted."""
    kill = day.stations[table.at("kill")]
    if not table.line_end_s:
        return 1
    cut, bleed = kill.phases[0], kill.phases[-1]
    return cones_needed(
        len(day.birds) / table.line_end_s * 3600,
        bleed_s=bleed.time_s.value,
        handling_s=cut.time_s.value,
    )


def _deadline_s(request: DayRequest) -> float | None:
    if request.deadline is None:
        return None
    start, deadline = request.start, request.deadline
    return (deadline.hour - start.hour) * 3600.0 + (deadline.minute - start.minute) * 60.0


def _longest_s(table: Timetable) -> dict[str, float]:
    """Take, between two counted stations, half as long again as the slowest planned bird."""
    found = {}
    for first, second in pairwise(COUNTED):
        a, b = table.at(first), table.at(second)
        begin = table.start_s[:, a] if first in ("kill", "chill") else table.finish_s[:, a]
        end = table.start_s[:, b] if second in ("kill", "chill") else table.finish_s[:, b]
        lags = end - begin
        slowest = float(np.nanmax(lags)) if np.isfinite(lags).any() else 0.0
        found[first] = max(_SHORTEST_ALARM_S, _PATIENCE * slowest)
    return found


def _station_plans(table: Timetable) -> tuple[StationPlan, ...]:
    plans = []
    for at, code in enumerate(table.codes):
        work = table.finish_s[:, at] - table.start_s[:, at]
        waits = np.maximum(table.start_s[:, at] - table.arrive_s[:, at], 0.0)
        if not at:
            waits = np.zeros_like(waits)  # birds wait for the first station in their crates
        if np.isnan(work).all():
            continue
        plans.append(
            StationPlan(
                code=code,
                busy_frac=float(table.utilisation[at]),
                work_s=float(np.nanmedian(work)),
                wait_mean_s=float(np.nanmean(waits)),
                wait_longest_s=float(np.nanmax(waits)),
                first_s=float(np.nanmin(table.start_s[:, at])),
                last_s=float(np.nanmax(table.finish_s[:, at])),
            )
        )
    return tuple(plans)


def _people(day: Flow, table: Timetable) -> tuple[PersonPlan, ...]:
    return tuple(
        PersonPlan(
            name=person.name,
            busy_s=float(table.person_busy_s[index]),
            line_busy_s=line_busy_s(table, index),
            washes=int(table.washes[index]),
            stretches=_stretches(table, index),
        )
        for index, person in enumerate(day.people)
    )


def _stretches(table: Timetable, person: int) -> tuple[Stretch, ...]:
    """Join one person's pieces of work into stretches on one side of the shop."""
    found: list[Stretch] = []
    of_phase = [
        code
        for code, at in zip(table.codes, table.phase_at, strict=True)
        for _ in range(at.start, at.stop)
    ]
    pieces = sorted(
        (float(table.phase_start_s[bird, at]), float(table.phase_finish_s[bird, at]), of_phase[at])
        for bird, at in zip(*np.nonzero(table.phase_person == person), strict=True)
        if not math.isnan(table.phase_finish_s[bird, at])
    )
    for begin, end, code in pieces:
        side = _side(code)
        last = found[-1] if found else None
        if last and _side(last.stations[0]) == side and begin - last.until_s <= _JOIN_S:
            stations = tuple(c for c in table.codes if c in {*last.stations, code})
            found[-1] = Stretch(stations, last.from_s, max(end, last.until_s))
        else:
            found.append(Stretch((code,), begin, end))
    return tuple(found)


def _no_break(day: Flow, table: Timetable) -> tuple[Finding, ...]:
    """Say who would work too long without a pause, by the work planned for them."""
    findings = []
    for index, person in enumerate(day.people):
        longest_s, begin_s, last_s = 0.0, None, 0.0
        rows = table.phase_person == index
        pieces = sorted(
            zip(
                table.phase_start_s[rows].tolist(), table.phase_finish_s[rows].tolist(), strict=True
            )
        )
        for start, end in pieces:
            if begin_s is None or start - last_s > _PAUSE_S:
                begin_s = start
            last_s = max(last_s, end)
            longest_s = max(longest_s, last_s - begin_s)
        if longest_s > _WITHOUT_BREAK_S:
            findings.append(
                Finding(
                    code="line.no_break",
                    severity=Severity.CHECK,
                    sentence=_("{name} would work {hours:.1f} h without a pause.").format(
                        name=person.name, hours=longest_s / 3600
                    ),
                    reason=_("Tired hands cut themselves and tear guts. Plan a short break."),
                    where=f"people[{index}]",
                    measured=longest_s / 3600,
                    limit=_WITHOUT_BREAK_S / 3600,
                    unit="h",
                    status="assumed",
                )
            )
    return tuple(findings)


def _side(code: str) -> str:
    if code in PACKING:
        return "pack"
    return "dirty" if code in DIRTY_SIDE else "clean"


def _once(findings: Sequence[Finding]) -> tuple[Finding, ...]:
    """Leave out a finding that has been said in the same words already."""
    return tuple(dict.fromkeys(findings))
