from __future__ import annotations

import datetime as dt
import itertools
import math
import re
import xml.etree.ElementTree as ET

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pinfeather.errors import InputError
from pinfeather.reports.season_ribbon import (
    RibbonRoom,
    lot_header,
    lot_table,
    parts_of,
    ribbon_of,
    ribbon_sentence,
    room_table,
    window,
)
from pinfeather.reports.season_ribbon_svg import season_ribbon_svg

TODAY = dt.date(2026, 6, 17)
SVG = "{http://www.w3.org/2000/svg}"


@pytest.fixture
def plan(season_made):
    return season_made["plan"]()


@pytest.fixture
def ribbon(plan):
    return ribbon_of(plan, today=TODAY)


def room(used, limit, unit="birds"):
    weeks = tuple(dt.date(2026, 6, 15) + dt.timedelta(weeks=n) for n in range(len(used)))
    return RibbonRoom("Brooder", unit, weeks, tuple(used), tuple(limit))


def test_a_season_begins_on_a_monday_and_ends_on_a_sunday(ribbon) -> None:
    assert ribbon.first.weekday() == 0
    assert ribbon.last.weekday() == 6


def test_a_plan_without_lots_has_no_ribbon(season_made) -> None:
    assert ribbon_of(season_made["impossible"](), today=TODAY) is None


def test_birds_leave_the_farm_on_their_batches_and_none_are_left(ribbon) -> None:
    b5 = next(lot for lot in ribbon.lots if lot.code == "B5")
    assert b5.alive.dates == (dt.date(2026, 7, 16), dt.date(2026, 9, 5), dt.date(2026, 9, 19))
    assert b5.alive.birds == (71.0, 31.0, 0.0)


def test_frozen_birds_wait_for_their_pickup_and_fresh_ones_never_lie_in_the_freezer(ribbon) -> None:
    b5 = next(lot for lot in ribbon.lots if lot.code == "B5")
    t1 = next(lot for lot in ribbon.lots if lot.code == "T1")
    held = dict(zip(b5.frozen.dates, b5.frozen.birds, strict=True))
    assert held[dt.date(2026, 9, 5)] == 30.0
    assert held[dt.date(2026, 9, 19)] == pytest.approx(41.0)  # 11 for the shop, 20 go fresh
    assert b5.frozen.birds[-1] == 0.0
    assert t1.frozen.dates == ()


def test_the_shop_sells_first_what_came_first(ribbon) -> None:
    b4 = next(lot for lot in ribbon.lots if lot.code == "B4")
    assert b4.frozen.birds[0] == 36.0
    assert list(b4.frozen.birds) == sorted(b4.frozen.birds, reverse=True)
    sold_by_september = 50.0 / 75.6 * 36.0
    assert b4.frozen.birds[1] == pytest.approx(36.0 - sold_by_september)


def test_a_room_over_its_limit_says_so_in_a_word() -> None:
    over = room([10, 30], [20, 20])
    assert over.over == (1,)
    assert over.told() == "30 of 20 birds in the week of 22 June: over the limit"


def test_a_room_within_its_limit_says_what_is_left() -> None:
    assert room([10, 15], [20, 20]).told() == (
        "fullest in the week of 22 June: 15 of 20 birds, 5 left"
    )


def test_a_room_without_a_limit_and_one_not_used_say_so() -> None:
    assert room([3], [math.inf]).told() == "at most 3 birds; no limit is written"
    assert room([0], [20]).told() == "not used"


@given(
    st.lists(
        st.tuples(st.floats(0, 1e5), st.floats(0, 1e5) | st.just(math.inf)), min_size=1, max_size=8
    )
)
def test_a_room_is_over_exactly_where_more_is_used_than_there_is(weeks) -> None:
    one = room([used for used, _ in weeks], [limit for _, limit in weeks])
    surely = {i for i, (used, limit) in enumerate(weeks) if used > limit * 1.001}
    perhaps = {i for i, (used, limit) in enumerate(weeks) if used > limit}
    assert surely <= set(one.over) <= perhaps
    assert one.told()


def test_parts_cover_every_week_once(ribbon) -> None:
    parts = parts_of(ribbon, 13)
    assert parts[0].first == ribbon.first
    assert parts[-1].last >= ribbon.last
    for before, after in itertools.pairwise(parts):
        assert after.first == before.last + dt.timedelta(days=1)
    assert sum(len(part.days) for part in parts) == len(ribbon.days)


def test_a_window_leaves_out_what_lies_outside(ribbon) -> None:
    part = window(ribbon, dt.date(2026, 6, 15), dt.date(2026, 6, 28))
    assert {lot.code for lot in part.lots} == {"B4", "B5", "T1"}
    assert part.days == ()


def test_the_sentence_names_lots_days_and_rooms_over_their_limit(season_made) -> None:
    crowded = ribbon_of(season_made["plan"](over=True), today=None)
    words = ribbon_sentence(crowded)
    assert words.startswith("3 lots and 4 processing days from ")
    assert words.endswith("Over the limit: Freezer.")
    assert ("Freezer", "over") in [(name, word) for name, _told, word in room_table(crowded)]


def test_the_table_has_a_row_for_each_lot(plan) -> None:
    rows = lot_table(plan)
    assert {row[0] for row in rows} == {"B4", "B5", "T1"}
    assert all(len(row) == len(lot_header()) for row in rows)
    assert next(row for row in rows if row[0] == "B4")[3] == "there already"


@pytest.mark.parametrize("width", [280, 328, 1080])
@pytest.mark.parametrize("palette", ["screen", "print"])
def test_the_picture_is_whole_named_and_inside_its_box(season_made, width, palette) -> None:
    crowded = ribbon_of(season_made["plan"](over=True), today=TODAY)
    text = season_ribbon_svg(crowded, width=width, palette=palette, ident="r1")
    tree = ET.fromstring(text)
    assert tree.get("role") == "img"
    assert tree.get("aria-labelledby") == "r1-title r1-desc"
    assert tree.find(f"{SVG}desc").text == ribbon_sentence(crowded)
    assert "style=" not in text
    assert "<script" not in text
    height = float(tree.get("viewBox").split()[3])
    for rect in tree.iter(f"{SVG}rect"):
        if not rect.get("class"):
            continue
        x, wide = float(rect.get("x")), float(rect.get("width"))
        assert -4 <= x <= x + wide <= width + 4
        assert 0 <= float(rect.get("y")) <= height
    used = set(re.findall(r"url\(#([\w-]+)\)", text))
    assert used <= {pattern.get("id") for pattern in tree.iter(f"{SVG}pattern")}


def test_over_a_limit_is_a_triangle_a_pattern_and_a_word(season_made) -> None:
    fine = season_ribbon_svg(ribbon_of(season_made["plan"](), today=TODAY))
    crowded = season_ribbon_svg(ribbon_of(season_made["plan"](over=True), today=TODAY))
    assert 'fill="url(#ribbon-over)"' in crowded
    assert 'fill="url(#ribbon-over)"' not in fine
    assert "over the limit" in crowded
    assert crowded.count('<path class="over"') == fine.count('<path class="over"') + 1


def test_names_cannot_break_the_picture(season_made) -> None:
    made = season_made["plan"]()
    from dataclasses import replace

    rude = replace(made, lots=(replace(made.lots[1], name='<b>"&'),))
    assert ET.fromstring(season_ribbon_svg(ribbon_of(rude, today=None))) is not None


def test_the_same_ribbon_gives_the_same_text(ribbon) -> None:
    assert season_ribbon_svg(ribbon) == season_ribbon_svg(ribbon)


def test_a_picture_too_narrow_is_refused(ribbon) -> None:
    with pytest.raises(InputError, match="280"):
        season_ribbon_svg(ribbon, width=200)
