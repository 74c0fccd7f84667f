import numpy as np
import pytest

from pinfeather.errors import InputError
from pinfeather.line.crew import Person
from pinfeather.line.posts import Team, replicate_posts, team_times, what_if_posts
from pinfeather.line.recursion import day_ends
from pinfeather.line.sampling import sample_work
from pinfeather.line.simulate import FlowLimits, simulate
from pinfeather.line.stations import handbook_stations

LINE = handbook_stations("chicken", cones=4, scald_places=1, drum_birds=1, draw_places=2)
CLEAN = LINE[4:]
TEAMS = (
    Team(("draw",), 2),
    Team(("rinse",), 1),
    Team(("chill",), 500),
    Team(("bag", "weigh", "store"), 1),
)


def test_teams_at_single_stations_are_the_event_simulation_with_the_same_people():
    teams = (Team(("draw",), 2), Team(("rinse",), 1))
    line = LINE[4:6]
    people = [
        Person("a", frozenset({"draw"}), 0.0, 1e6),
        Person("b", frozenset({"draw"}), 0.0, 1e6),
        Person("c", frozenset({"rinse"}), 0.0, 1e6),
    ]
    posted = replicate_posts(line, teams, birds=30, n=5, seed=1)
    work = sample_work(line, birds=30, draws=5, seed=1)
    limits = FlowLimits(until="rinse")
    ends = [simulate(line, people, work_s=one, limits=limits).end_s for one in work]
    np.testing.assert_allclose(posted.end_s, ends)


def test_the_quick_ends_are_the_ends():
    posted = replicate_posts(CLEAN, TEAMS, birds=25, n=40, seed=2)
    work = sample_work(CLEAN, birds=25, draws=40, seed=2)
    posts, times = team_times(CLEAN, TEAMS, work_s=work)
    np.testing.assert_allclose(day_ends(posts, times), posted.end_s)
    assert posted.finish.n == 40


def test_one_more_of_anything_is_ranked_by_what_it_saves():
    gains = what_if_posts(CLEAN, TEAMS, birds=25, n=20, seed=2)
    assert {gain.station for gain in gains} == {"draw", "rinse", "bag"}
    values = [gain.minutes_saved_s.value for gain in gains]
    assert values == sorted(values, reverse=True)
    assert values[0] > 0


def test_a_station_without_a_team_is_refused():
    with pytest.raises(InputError, match="one team"):
        replicate_posts(CLEAN, TEAMS[1:], birds=5, n=2, seed=1)
