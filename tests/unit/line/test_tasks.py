import itertools

import pytest

from pinfeather.line.crew import Person
from pinfeather.line.simulate import FlowLimits, planned_work, simulate
from pinfeather.line.stations import STATION_CODES, handbook_stations
from pinfeather.line.tasks import pieces_of_work

LINE = handbook_stations("chicken", cones=4, scald_by_hand=False)
PEOPLE = [Person(n, frozenset(STATION_CODES), 0.0, 1e6) for n in ("Wren", "Ash")]


def test_pieces_are_all_the_work_of_the_day_in_order_and_never_two_at_once():
    birds = 12
    work = planned_work(LINE, birds)
    day = simulate(LINE, PEOPLE, work_s=work, limits=FlowLimits(wip_limit=6))
    done = []
    for i in range(2):
        pieces = pieces_of_work(day, LINE, person=i)
        done += pieces
        for one, after in itertools.pairwise(pieces):
            assert one.to_s <= after.from_s + 1e-6
        wash_s = float(day.washes[i]) * 240.0
        spent_s = sum(piece.to_s - piece.from_s for piece in pieces)
        assert spent_s + wash_s == pytest.approx(day.person_busy_s[i])
    hands = sum(phase.attended for station in LINE for phase in station.phases)
    assert sum(len(piece.birds) for piece in done) == birds * hands


def test_nobody_lifts_birds_into_a_dipping_machine_that_are_not_loaded():
    day = simulate(LINE, PEOPLE, work_s=planned_work(LINE, 6))
    scald = day.phase_at[2]
    assert (day.phase_person[:, scald.start] >= 0).all()
    assert (day.phase_person[:, scald.start + 1] == -1).all()
