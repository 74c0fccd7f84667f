from dataclasses import replace

import numpy as np
import pytest

from pinfeather.estimate import Basis, Estimate, Origin
from pinfeather.finding import Severity
from pinfeather.line.crew import Person
from pinfeather.line.findings import LineLimits, line_findings, minutes
from pinfeather.line.replicate import Band
from pinfeather.line.simulate import FlowLimits, planned_work, simulate
from pinfeather.line.stations import STATION_CODES, handbook_stations
from pinfeather.line.waits import cut_phase, waits

ALL = frozenset(STATION_CODES)
LINE = handbook_stations("chicken", cones=4, draw_places=3)
HOUR = 3600.0


def crew(count, hours=3.0):
    return [Person(f"p{i}", ALL, 0.0, hours * HOUR) for i in range(count)]


def played(people, birds=12, line=LINE, **limits):
    how = FlowLimits(wip_limit=6, **limits)
    return simulate(line, people, work_s=planned_work(line, birds), limits=how)


def codes(findings):
    return {finding.code for finding in findings}


def found(day, people=None, line=LINE, **limits):
    people = people if people is not None else crew(3, hours=6.0)
    how = LineLimits(**({"without_break_s": 12 * HOUR} | limits))
    return line_findings(day, line, people=people, limits=how)


def test_a_good_day_has_no_findings():
    assert found(played(crew(3, hours=6.0))) == ()


def test_a_bird_drawn_too_late_is_found_and_cited():
    day = played(crew(1, hours=24.0))
    (late,) = [f for f in found(day, drawn_s=600.0) if f.code == "line.late_draw"]
    assert late.severity is Severity.STOP
    assert late.measured > late.limit == 600.0
    assert late.status == "read"
    assert "5.3" in late.citation


@pytest.mark.parametrize(("drawn_s", "is_late"), [(61 * 60, True), (59 * 60, False), (3600, False)])
def test_sixty_minutes_from_cut_to_drawn_is_the_limit(drawn_s, is_late):
    day = played(crew(3, hours=6.0), birds=1)
    draw, cut = day.at("draw"), day.phase_at[1].start
    finish = day.finish_s.copy()
    finish[0, draw] = day.phase_start_s[0, cut] + drawn_s
    assert ("line.late_draw" in codes(found(replace(day, finish_s=finish)))) is is_late


def test_birds_that_lie_warm_are_found():
    day = played(crew(1, hours=24.0))
    assert "line.warm" in codes(found(day, warm_s=60.0))
    assert "line.warm" not in codes(found(day, warm_s=10 * HOUR))


def test_a_scald_before_the_bleed_is_over_is_found():
    kill = LINE[1]
    short = Estimate(60.0, 60.0, 60.0, Basis(Origin.TYPED, "test"))
    bleed = replace(kill.phases[1], time_s=short)
    line = (LINE[0], replace(kill, phases=(kill.phases[0], bleed)), *LINE[2:])
    (short_bleed,) = [
        f for f in found(played(crew(3, 6.0), line=line), line=line) if f.code == "line.short_bleed"
    ]
    assert short_bleed.severity is Severity.STOP
    assert short_bleed.limit == 180.0


def test_a_bird_that_waits_in_the_hand_for_the_cut_is_found():
    people = [
        Person("catcher", frozenset({"catch"}), 0.0, 6 * HOUR),
        Person("killer", frozenset({"kill", "scald", "pick"}), 0.0, 6 * HOUR),
        Person("drawer", ALL - {"catch", "kill", "scald", "pick"}, 0.0, 6 * HOUR),
    ]
    assert "line.cone_wait" in codes(found(played(people), people))


def test_birds_not_reached_and_birds_left_lying_are_told_apart():
    few = played(crew(3, hours=2.0), birds=150)
    (left,) = [f for f in found(few) if f.code == "line.unfinished"]
    assert left.severity is Severity.STOP  # in the chill, and nobody packs them
    begun = few.unfinished - few.untouched
    assert f"{begun} bird" in left.sentence
    assert f"{few.untouched} more would not be reached" in left.sentence
    nobody = simulate(LINE, [], work_s=planned_work(LINE, 3))
    (none,) = [f for f in found(nobody, []) if f.code == "line.unfinished"]
    assert none.severity is Severity.STOP
    assert "3 birds would not be reached" in none.sentence
    assert none.measured == 3


def test_nobody_to_draw_is_found_where_it_keeps_birds_waiting():
    people = [
        Person("Wren", ALL - {"draw"}, 0.0, 6 * HOUR),
        Person("Ash", frozenset({"draw"}), 0.0, 6 * HOUR, breaks=((900.0, 1800.0),)),
    ]
    day = played(people, hold_for_gaps=False)
    (gap,) = [f for f in found(day, people) if f.code == "line.nobody"]
    assert gap.where == "draw"
    assert 0 < gap.measured <= 900
    held = played(people, hold_for_gaps=True)
    assert "line.nobody" not in codes(found(held, people))


def test_a_stretch_without_a_break_is_found():
    people = crew(2, hours=5.0)
    day = played(people)
    assert "line.no_break" in codes(found(day, people, without_break_s=3 * HOUR))
    rested = [replace(who, breaks=((2.5 * HOUR, 2.75 * HOUR),)) for who in people]
    assert "line.no_break" not in codes(found(day, rested, without_break_s=3 * HOUR))


def test_a_deadline_is_judged_by_nine_days_in_ten():
    day = played(crew(3, 6.0))
    band = Band(day.end_s - 60, day.end_s, day.end_s + 600, 10.0, 50)
    between = LineLimits(deadline_s=day.end_s + 300, without_break_s=12 * HOUR)
    people = crew(3, 6.0)
    (risk,) = line_findings(day, LINE, people=people, limits=between, finish=band)
    assert (risk.code, risk.severity) == ("line.deadline", Severity.CHECK)
    assert line_findings(day, LINE, people=people, limits=between) == ()
    early = replace(between, deadline_s=day.end_s - 300)
    (late,) = line_findings(day, LINE, people=people, limits=early)
    assert late.severity is Severity.STOP


def test_the_cut_is_the_last_thing_done_before_the_bleeding():
    assert cut_phase(LINE[1]) == 0
    load, bleed = LINE[1].phases
    three = replace(LINE[1], phases=(load, replace(load, name="cut"), bleed))
    assert cut_phase(three) == 1
    assert cut_phase(replace(LINE[1], phases=(bleed,))) == 0


def test_waits_are_differences_of_the_timetable():
    day = played(crew(2, 12.0))
    seen = waits(day, LINE)
    assert np.nanmin(seen.bleed_s) >= 180
    np.testing.assert_allclose(seen.hung_s, seen.bleed_s - 180)
    np.testing.assert_allclose(seen.caught_s, 0, atol=1e-6)
    assert np.all(seen.drawn_s > seen.warm_s)


def test_a_line_without_those_stations_has_no_waits():
    line = LINE[4:6]
    day = simulate(line, crew(1), work_s=planned_work(line, 2))
    assert np.isnan(waits(day, line).drawn_s).all()
    assert found(day, crew(1, 6.0), line=line) == ()


@pytest.mark.parametrize(("time_s", "text"), [(0, "0 s"), (119, "119 s"), (120, "2 min")])
def test_times_are_told_in_seconds_or_minutes(time_s, text):
    assert minutes(time_s) == text
