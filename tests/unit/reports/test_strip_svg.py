from __future__ import annotations

import datetime as dt
import itertools
import re
import time
from xml.etree import ElementTree as ET

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pinfeather.errors import InputError
from pinfeather.reports.strip import Strip, StripPoint, StripThread
from pinfeather.reports.strip_svg import MOST_THREADS, STRIP_CSS, strip_svg
from pinfeather.reports.svg_text import text_width

START = dt.datetime(2026, 9, 12, 9, 0, tzinfo=dt.UTC)
STATIONS = ("Crate", "Bleed", "Scald", "Pick", "Draw", "Rinse", "Chill")
SVG = "{http://www.w3.org/2000/svg}"


def thread(number, *, takt_s=170.0, last_s=None, late=False):
    points, at = [], number * takt_s
    for station in range(7):
        if last_s is not None and at > last_s:
            break
        chill = station == 6
        begin, finish = at + (8 if station == 4 else 0), at + (9000 if chill else 90)
        cut = last_s is not None and finish > last_s
        points.append(
            StripPoint(station, at, begin, None if cut else finish, None if cut else finish)
        )
        at = finish + 10
    return StripThread(str(number + 1), tuple(points), late=late)


def strip(birds=42, *, now_min=74, late=(17,), **changes):
    last_s = None if now_min is None else now_min * 60.0
    fields = {
        "stations": STATIONS,
        "planned": tuple(thread(n) for n in range(birds)),
        "actual": ()
        if now_min is None
        else tuple(
            thread(n, takt_s=176.0, last_s=last_s, late=n in late)
            for n in range(birds)
            if n * 176.0 <= last_s
        ),
        "start": START,
        "now": None if now_min is None else START + dt.timedelta(minutes=now_min),
        "until": START + dt.timedelta(minutes=birds * 3 + 40),
        "deadline": START + dt.timedelta(minutes=birds * 3),
        "chill_station": 6,
    }
    return Strip(**{**fields, **changes})


def words(root):
    return [node.text for node in root.iter(f"{SVG}text")]


@pytest.mark.parametrize("palette", ["screen", "print"])
@pytest.mark.parametrize("width", [280, 360, 760, 1120])
@pytest.mark.parametrize("birds", [1, 5, 42, 200])
def test_every_size_is_well_formed_and_needs_no_inline_style(palette, width, birds):
    svg = strip_svg(strip(birds), palette=palette, width=width)

    root = ET.fromstring(svg)
    assert root.get("viewBox").split()[2] == str(width)
    assert all("style" not in node.attrib for node in root.iter())
    assert not any(node.tag in {f"{SVG}style", f"{SVG}script"} for node in root.iter())
    assert all(name in " ".join(words(root)) for name in STATIONS)


def test_screen_colours_are_custom_properties_and_print_colours_are_not():
    screen, printed = strip_svg(strip()), strip_svg(strip(), palette="print")

    colours = set(re.findall(r'(?:stroke|fill)="([^"]+)"', screen)) - {"none"}
    assert all(colour.startswith("var(--") for colour in colours)
    assert "var(" not in printed
    assert set(re.findall(r"var\(--([a-z]+)", screen)) <= {
        "ink", "soft", "rule", "plan", "paper", "late", "go",
    }  # fmt: skip


def test_a_screen_reader_hears_a_title_and_a_sentence():
    root = ET.fromstring(strip_svg(strip(), ident="today"))

    title, desc = root.find(f"{SVG}title"), root.find(f"{SVG}desc")
    assert root.get("role") == "img"
    assert root.get("aria-labelledby").split() == [title.get("id"), desc.get("id")]
    assert title.get("id") == "today-title"
    assert "42 birds planned." in desc.text
    assert "1 overdue" in desc.text


def test_working_waiting_moving_and_chilling_look_different():
    root = ET.fromstring(strip_svg(strip()))

    looks = {}
    for path in root.iter(f"{SVG}path"):
        kind = (path.get("class") or "").split()
        if kind[:1] == ["act"] and "late" not in path.get("stroke"):
            looks[kind[1]] = (
                float(path.get("stroke-width")), path.get("stroke-dasharray"), path.get("stroke"),
            )  # fmt: skip
    assert set(looks) == {"work", "wait", "move", "chill"}
    assert len(set(looks.values())) == 4
    assert looks["work"][0] > 2 * looks["wait"][0]
    assert looks["wait"][1] is not None
    assert looks["chill"][2] != looks["work"][2]


def test_an_overdue_bird_has_a_colour_a_shape_and_its_name():
    root = ET.fromstring(strip_svg(strip(late=(17,))))

    marks = [node for node in root.iter() if node.get("class") == "late"]
    assert {node.tag for node in marks} == {f"{SVG}path", f"{SVG}text"}
    assert "18" in words(root)
    assert "diamond: overdue" in words(root)
    assert "18, overdue" in [node.text for node in root.iter(f"{SVG}title")]


def test_nothing_is_overdue_where_nothing_is_late():
    svg = strip_svg(strip(late=(), deadline=None))

    assert "overdue" not in svg.replace("0 overdue", "")
    assert "--late" not in svg


def test_threads_that_reach_now_stand_on_lines_of_their_own():
    """The sketch let them run into one point; each waits on a line of its own instead."""
    held = tuple(StripThread(str(n), (StripPoint(3, 0, 0, 60.0 + n, 60.0 + n),)) for n in range(9))
    day = strip(planned=(), actual=held, now_min=20)

    root = ET.fromstring(strip_svg(day))
    now_x = float(next(n for n in root.iter(f"{SVG}line") if n.get("class") == "now").get("x1"))

    ends = []
    for path in root.iter(f"{SVG}path"):
        if path.get("class") == "act wait":
            for _x, y, to in re.findall(r"M([\d.]+) ([\d.]+)H([\d.]+)", path.get("d")):
                if float(to) == pytest.approx(now_x, abs=0.2):
                    ends.append(float(y))
    assert len(ends) == 9
    assert len(set(ends)) == 9


@pytest.mark.parametrize("width", [280, 360, 760, 1120])
@pytest.mark.parametrize("now_min", [1, 74, 150])
def test_no_label_is_cut_at_an_edge_and_no_two_times_touch(width, now_min):
    day = strip(42, now_min=now_min, deadline_words="last bird in the tank by")

    root = ET.fromstring(strip_svg(day, width=width))

    ticks = []
    for node in root.iter(f"{SVG}text"):
        x, size = float(node.get("x")), 13.0
        bold = node.get("font-weight") is not None
        wide = text_width(node.text, size, bold=bold)
        left = {"middle": x - wide / 2, "end": x - wide}.get(node.get("text-anchor"), x)
        assert left >= -0.5, node.text
        assert left + wide <= width + 0.5, node.text
        if node.get("class") == "tick":
            ticks.append((left, left + wide))
    assert len(ticks) >= 2
    assert all(a[1] < b[0] for a, b in itertools.pairwise(ticks))


def test_the_words_for_now_and_for_the_deadline_do_not_cover_each_other():
    day = strip(deadline=START + dt.timedelta(minutes=75))

    root = ET.fromstring(strip_svg(day))

    boxes = [
        (float(r.get("y")), float(r.get("y")) + float(r.get("height")))
        for r in root.iter(f"{SVG}rect")
        if r.get("rx")
    ]
    assert boxes[0][1] <= boxes[1][0]


def test_many_birds_are_thinned_and_the_picture_says_so():
    few, many = strip_svg(strip(MOST_THREADS)), strip_svg(strip(200, late=(10,)))

    assert "one bird in" not in few
    assert "one bird in 3" in many
    assert "11, overdue" in many


def test_thinning_leaves_everybodys_work():
    def bars(birds):
        root = ET.fromstring(strip_svg(strip(birds, now_min=None)))
        work = [p for p in root.iter(f"{SVG}path") if p.get("class") == "plan work"]
        return sum(p.get("d").count("M") for p in work)

    assert bars(90) == 90 * 6


def test_counts_without_starts_are_dots():
    counted = tuple(
        StripThread(
            t.label, tuple(StripPoint(p.station, None, None, p.finish_s, None) for p in t.points)
        )
        for t in strip(5, now_min=20).actual
    )

    root = ET.fromstring(strip_svg(strip(5, now_min=20, actual=counted)))

    dots = [node for node in root.iter() if node.get("class") == "act count"]
    known = [p for t in counted for p in t.points if p.finish_s is not None]
    assert len(dots) == len(known) > 10
    assert "dot: counted" in words(root)


def test_long_station_names_leave_the_gutter_and_are_shortened_only_at_the_edge():
    names = tuple(f"{name} at the long table beside the barn door" for name in STATIONS)

    root = ET.fromstring(strip_svg(strip(stations=names), width=1120))
    narrow = ET.fromstring(strip_svg(strip(stations=names), width=280))

    assert set(names) <= set(words(root))
    assert any(text.endswith("…") for text in words(narrow))


@given(st.text(st.characters(exclude_categories=["Cs"], exclude_characters="\ufffe\uffff")))
@settings(max_examples=50)
def test_any_name_makes_well_formed_markup(name):
    day = strip(2, now_min=5, stations=(name or "x", *STATIONS[1:]))

    ET.fromstring(strip_svg(day))


def test_the_same_day_gives_the_same_picture():
    assert strip_svg(strip()) == strip_svg(strip())


def test_it_is_drawn_in_well_under_a_twentieth_of_a_second():
    day = strip(42)
    spent = []
    for _round in range(5):
        begin = time.process_time()
        strip_svg(day)
        spent.append(time.process_time() - begin)

    assert min(spent) < 0.05


def test_a_picture_too_narrow_to_read_is_refused():
    with pytest.raises(InputError, match="280"):
        strip_svg(strip(), width=200)


def test_the_stylesheet_asks_only_for_classes_the_picture_has():
    svg = strip_svg(strip())
    for name in re.findall(r"\.(thread|move|wait|work)\b", STRIP_CSS):
        assert re.search(rf'class="[^"]*\b{name}\b', svg)
