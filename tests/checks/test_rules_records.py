"""What the texts count, against what the records and a written profile make of it."""

import datetime as dt
import pathlib
import tomllib

import pytest

from pinfeather.actions.day import days, running
from pinfeather.records import models
from pinfeather.rules.count import headroom
from pinfeather.rules.profile import read, template

DATA = pathlib.Path(__file__).parent / "data"


def rows(name):
    return tomllib.loads((DATA / f"rules_{name}.toml").read_text(encoding="utf-8"))["rows"]


def killed(date, birds, *, count_birds, day_mapping):
    mapping = day_mapping(date=date)
    mapping["lots"][0]["count"] = str(birds)
    day_id = days.save_plan(mapping, days=2, change_days=0)
    models.Day.objects.filter(pk=day_id).update(status=models.Day.Status.RUNNING)
    first = dt.datetime.fromisoformat(f"{date}T15:00:00+00:00")
    count_birds(day_id, {"kill": birds}, first=first)
    return day_id


def test_a_bird_counts_in_the_year_of_its_slaughter(farm, count_birds, day_mapping):
    row = rows("records")[0]
    for date, birds in row["days"]:
        killed(date, birds, count_birds=count_birds, day_mapping=day_mapping)
    for year, expected in row["answer"].items():
        assert days.counted_before(dt.date(int(year), 12, 31)) == {"chicken": expected}


def test_the_dead_before_slaughter_do_not_count_and_the_condemned_do(
    farm, count_birds, day_mapping, now
):
    row = rows("records")[1]
    assert row["placed"] - row["dead_before"] == row["slaughtered"]
    day_id = killed(
        "2026-06-17", row["slaughtered"], count_birds=count_birds, day_mapping=day_mapping
    )
    running.write(
        "explained",
        {"after": "pick", "cause": "condemned", "birds": row["condemned"], "note": "bruised"},
        day_id=day_id,
        who="Odile",
    )
    assert days.counted_before(dt.date(2026, 12, 31)) == {"chicken": row["answer"]}


@pytest.mark.parametrize("row", rows("small_quantity"), ids=lambda row: str(row["birds"]))
def test_under_ten_thousand_leaves_out_ten_thousand_itself(row):
    text = template().replace("cap = { value = 100,", "cap = { value = 10000,")
    text = text.replace("cap_inclusive = true ", "cap_inclusive = false ")
    room = headroom(
        read(text, profile_id="elsewhere"), "small", counted={"chicken": row["birds"]}, planned={}
    )
    assert (room.left_after >= 0) is row["small"]
