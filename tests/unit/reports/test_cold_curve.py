from __future__ import annotations

import datetime as dt
import json
import re
from xml.etree import ElementTree as ET

import pytest

from pinfeather.errors import InputError
from pinfeather.reports.cold_curve import (
    BandPoint,
    ColdCurve,
    MetTime,
    ProbeReading,
    cold_curve_spec,
    cold_curve_svg,
)
from pinfeather.reports.svg_text import text_width

START = dt.datetime(2026, 9, 12, 10, 10, tzinfo=dt.UTC)
PLOT_LEFT = 54
SVG = "{http://www.w3.org/2000/svg}"


def curve(**changes):
    fields = {
        "batch": "Tank 1",
        "place": "deep breast, largest bird",
        "start": START,
        "length_s": 6 * 3600.0,
        "limit": 40.0,
        "limit_unit": "F",
        "expected": tuple(
            BandPoint(n * 1800.0, 36 * 0.6**n, 38 * 0.66**n, 40 * 0.72**n) for n in range(13)
        ),
        "readings": (
            ProbeReading(1800, 26.0, "Red probe"),
            ProbeReading(5400, 12.0, "Blue <b>probe</b> & co"),
        ),
        "clock_limit_s": 4 * 3600.0,
        "met": MetTime(8000, 9500, 12000),
        "now": START + dt.timedelta(minutes=100),
    }
    return ColdCurve(**{**fields, **changes})


def texts(svg):
    return [node.text for node in ET.fromstring(svg).iter(f"{SVG}text")]


@pytest.mark.parametrize("palette", ["screen", "print"])
@pytest.mark.parametrize("unit", ["F", "C"])
@pytest.mark.parametrize("width", [280, 360, 720])
def test_every_form_is_well_formed_without_style_or_script(palette, unit, width):
    svg = cold_curve_svg(curve(), palette=palette, unit=unit, width=width)

    root = ET.fromstring(svg)
    assert root.get("width") == str(width)
    assert all("style" not in node.attrib for node in root.iter())
    assert not any(node.tag in {f"{SVG}style", f"{SVG}script"} for node in root.iter())
    assert ("var(" in svg) == (palette == "screen")


def test_only_custom_properties_colour_the_screen():
    svg = cold_curve_svg(curve())

    colours = set(re.findall(r' (?:stroke|fill)="([^"]+)"', svg)) - {"none", "transparent"}
    assert all(colour.startswith("var(--") for colour in colours)


def test_it_names_limit_clock_limit_expected_moment_now_and_each_instrument():
    said = texts(cold_curve_svg(curve()))

    for words in (
        "limit 40\u202f°F", "must be cold by 2:10 pm", "cold by 12:48 pm", "12:23 pm to 1:30 pm",
        "11:50 am now", "Red probe", "Blue <b>probe</b> & co", "expected, eight times in ten",
        "Tank 1: deep breast, largest bird",
    ):  # fmt: skip
        assert words in said


def test_an_expectation_past_the_clock_limit_says_too_late():
    said = texts(cold_curve_svg(curve(met=MetTime(14000, 15000, 16000))))

    assert "cold by 2:20 pm, too late" in said


def test_each_instrument_has_a_shape_of_its_own():
    layers = cold_curve_spec(curve())["layer"]

    shapes = [
        layer["mark"]["shape"]
        for layer in layers
        if layer["mark"]["type"] == "point" and "stroke" in layer["mark"]
    ]
    assert set(shapes[:2]) == {"circle", "square"}
    assert sorted(shapes[:2]) == sorted(shapes[2:])  # the legend uses the same two


@pytest.mark.parametrize(("unit", "ticks"), [("F", {20, 40, 60, 80, 100, 120}),
                                             ("C", {0, 10, 20, 30, 40, 50})])  # fmt: skip
def test_the_axis_is_in_the_asked_unit_and_shows_every_tick(unit, ticks):
    said = texts(cold_curve_svg(curve(), unit=unit))

    shown = {int(m[1]) for t in said if t and (m := re.fullmatch(rf"(-?\d+)\u202f°{unit}", t))}
    assert shown <= ticks
    assert len(shown) >= 5


def test_a_reading_on_the_limit_is_drawn_on_the_limits_line():
    limit = curve().limit_degC
    day = curve(readings=(ProbeReading(3600, limit, "Red probe"),))

    layers = cold_curve_spec(day)["layer"]
    rule = next(
        la for la in layers if la["mark"].get("strokeWidth") == 2 and "x2" in la["encoding"]
    )
    point = next(la for la in layers if la["mark"]["type"] == "point" and "stroke" in la["mark"])

    assert point["data"]["values"][0]["y"] == rule["data"]["values"][0]["y"]


@pytest.mark.parametrize("width", [280, 360, 720])
def test_no_words_stand_outside_the_picture(width):
    for now_min, clock_limit_s in ((1, 5.9 * 3600), (100, 2 * 3600), (355, 300)):
        day = curve(
            now=START + dt.timedelta(minutes=now_min),
            clock_limit_s=clock_limit_s,
            met=MetTime(20000, 21000, 21500),
        )
        root = ET.fromstring(cold_curve_svg(day, width=width))
        for node in root.iter(f"{SVG}text"):
            x = float(re.match(r"translate\(([-\d.]+)", node.get("transform"))[1]) + PLOT_LEFT
            wide = text_width(node.text or "", 13, bold=node.get("font-weight") == "700")
            left = {"middle": x - wide / 2, "end": x - wide}.get(node.get("text-anchor"), x)
            assert left >= -1, node.text
            assert left + wide <= width + 1, node.text


def test_an_empty_batch_still_has_its_axes_and_its_limit():
    svg = cold_curve_svg(curve(expected=(), readings=(), met=None, now=None, clock_limit_s=None))

    said = texts(svg)
    assert "limit 40\u202f°F" in said
    assert "12:00 pm" in said


def test_the_same_batch_gives_the_same_bytes_again_and_again():
    first = cold_curve_svg(curve())

    assert cold_curve_svg(curve(batch="Tank 2")) != first
    assert cold_curve_svg(curve()) == first


def test_two_curves_on_a_page_share_no_ids():
    ids = [
        set(re.findall(r' id="([^"]+)"', cold_curve_svg(curve(), ident=ident)))
        for ident in ("curve-1", "curve-2")
    ]

    assert len(ids[0]) == len(ids[1]) >= 3
    assert not ids[0] & ids[1]


def test_the_specification_is_plain_data():
    spec = cold_curve_spec(curve())

    assert json.loads(json.dumps(spec, allow_nan=False)) == spec


def test_a_picture_too_narrow_to_read_is_refused():
    with pytest.raises(InputError, match="280"):
        cold_curve_spec(curve(), width=200)
