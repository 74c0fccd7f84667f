"""The formulas stand beside the played day and agree with it where they are exact."""

from __future__ import annotations

import pytest

from pinfeather.day.line_formulas import flowing, line_stations, station_formulas
from pinfeather.day.what_if import set_up


@pytest.fixture(scope="module")
def side(day_request):
    return set_up(day_request)


def test_littles_law_holds_on_the_played_day(side) -> None:
    found = flowing(side.table, side.day.stations)
    assert found is not None
    assert found.by_law == pytest.approx(found.under_way, rel=1e-9)
    assert found.birds_per_h <= found.at_best_bph * 1.02


def test_only_stations_of_the_line_are_listed(side) -> None:
    codes = [one.code for one in station_formulas(side.table, side.day.stations)]
    assert codes == ["kill", "scald", "pick", "draw", "rinse"]
    assert len(line_stations(side.table, side.day.stations)) == len(codes)


def test_the_formulas_use_lies_near_the_played_use_of_the_table(side) -> None:
    draw = next(o for o in station_formulas(side.table, side.day.stations) if o.code == "draw")
    assert draw.load_frac == pytest.approx(draw.busy_frac, abs=0.15)
    assert draw.random_s is None  # two places


def test_waits_if_birds_came_at_random_are_longer_than_played_where_there_is_spare_room(
    side,
) -> None:
    rinse = next(o for o in station_formulas(side.table, side.day.stations) if o.code == "rinse")
    assert rinse.random_s is not None
    assert rinse.kingman_s is not None
    assert rinse.kingman_s <= rinse.random_s
