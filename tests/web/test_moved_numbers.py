"""The page on which every planning number says where it comes from and how it moved."""

from __future__ import annotations

import csv
import datetime as dt
import io

from pinfeather.actions.learned.moved import planning_numbers
from pinfeather.estimate import Basis, Estimate, Origin
from pinfeather.line.stations import handbook_phase
from pinfeather.reports.moved import MovedPicture, moved_sentence, moved_svg


def test_a_new_farm_plans_by_the_handbook(farm, client):
    answer = client.get("/farm/where-from/")
    assert answer.status_code == 200
    assert answer.content.decode().count("plans use the handbook") == 3


def test_after_a_closed_day_each_number_stands_beside_the_handbooks(demo_farm, client):
    found = planning_numbers(today=dt.date(2100, 1, 1))
    draw = next(one for one in found if one.name == "draw")
    assert draw.handbook == handbook_phase("chicken", "draw", "draw").time_s
    page = client.get("/farm/where-from/").content.decode()
    assert "How it moved" in page
    assert f"{draw.now.value:.0f}\u202fs" in page
    rows = list(
        csv.DictReader(io.StringIO(client.get("/farm/where-from.csv").content.decode("utf-8-sig")))
    )
    assert {row["after"] for row in rows} >= {"handbook"}
    assert sum(row["after"] == "handbook" for row in rows) == len(found)
    assert sum(row["after"] != "handbook" for row in rows) == sum(len(one.steps) for one in found)


def test_the_picture_says_in_words_what_it_shows_and_begins_at_nought():
    book = Estimate(240.0, 90.0, 420.0, Basis(Origin.HANDBOOK, "a guess", "assumed"))
    own = Estimate(267.0, 243.0, 294.0, Basis(Origin.OWN, "your last 2 days", "measured"))
    shown = MovedPicture("Draw <b>", "s", book, [(dt.date(2026, 11, 4), own)])
    assert "handbook 240 s, after 4 November 2026 267 s (243 to 294)" in moved_sentence(shown)
    svg = moved_svg(shown)
    assert "<b>" not in svg
    assert ">0</text>" in svg
