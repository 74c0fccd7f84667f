"""The picture of a lot's growth: everything in it, inside its frame, in both palettes."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET

import pytest

from pinfeather.errors import InputError
from pinfeather.reports.growth_curve import (
    GrowthCurve,
    GrowthPoint,
    WeighedMean,
    growth_rows,
    growth_sentence,
    growth_svg,
)

POINTS = tuple(
    GrowthPoint(d, 0.05 * d, 0.04 * d, 0.06 * d, 0.037 * d, 0.063 * d, 0.048 * d)
    for d in map(float, range(1, 57))
)
CURVE = GrowthCurve(
    "B3 & Co <1>",
    POINTS,
    (WeighedMean(21.0, 1.0, 20, 0.8, 1.3), WeighedMean(35.0, 1.7, 10, 1.7, 1.7)),
    38.0,
    49.0,
)


@pytest.mark.parametrize("palette", ["screen", "print"])
@pytest.mark.parametrize("width", [280, 340, 900])
def test_nothing_is_drawn_outside_the_picture(width, palette) -> None:
    root = ET.fromstring(growth_svg(CURVE, palette=palette, width=width))
    _x, _y, wide, high = map(float, root.attrib["viewBox"].split())
    for element in root.iter():
        for name, limit in (("x", wide), ("x1", wide), ("x2", wide), ("cx", wide),
                            ("y", high), ("y1", high), ("y2", high), ("cy", high)):  # fmt: skip
            if name in element.attrib:
                assert 0 <= float(element.attrib[name]) <= limit
        if "points" in element.attrib:
            for pair in element.attrib["points"].split():
                x, y = map(float, pair.split(","))
                assert 0 <= x <= wide
                assert 0 <= y <= high


def test_each_weighing_is_a_dot_and_single_birds_have_their_range() -> None:
    root = ET.fromstring(growth_svg(CURVE, width=900))
    dots = [e for e in root.iter() if e.tag.endswith("circle")]
    assert len(dots) == 2 + 1  # and the one that is explained
    text = "".join(root.itertext())
    for words in ("today", "the day", "the table", "eight and nine birds in ten"):
        assert words in text


def test_there_is_no_style_and_no_script_in_it() -> None:
    drawn = growth_svg(CURVE)
    assert not re.search(r"style=|<script|<style|on\w+=", drawn)


def test_print_asks_the_page_for_nothing() -> None:
    assert "var(" not in growth_svg(CURVE, palette="print")


def test_the_sentence_says_today_and_the_last_weighing() -> None:
    said = growth_sentence(CURVE, unit="kg")
    assert "1.90 kg expected at 38 days" in said
    assert "Last weighed at 35 days: 1.70 kg." in said


def test_the_table_has_every_week_each_weighing_and_the_end() -> None:
    rows = growth_rows(CURVE, unit="kg")
    assert [row[0] for row in rows] == ["7", "14", "21", "28", "35", "42", "49", "56"]
    assert rows[2] == ("21", "1.01", "1.05", "0.84–1.26", "0.78–1.32", "1.00 (20)")
    assert rows[0][-1] == ""


def test_a_picture_without_weighings_or_table_is_drawn_too() -> None:
    bare = GrowthCurve("X", tuple(GrowthPoint(p.age_d, p.mean_kg, p.low80_kg, p.high80_kg,
                       p.low90_kg, p.high90_kg) for p in POINTS), (), 10.0)  # fmt: skip
    text = "".join(ET.fromstring(growth_svg(bare, width=900)).itertext())
    assert "weighed" not in text
    assert "the table" not in text


@pytest.mark.parametrize(
    ("curve", "width"), [(CURVE, 200), (GrowthCurve("X", POINTS[:1], (), 1.0), 400)]
)
def test_what_cannot_be_drawn_is_refused(curve, width) -> None:
    with pytest.raises(InputError):
        growth_svg(curve, width=width)
