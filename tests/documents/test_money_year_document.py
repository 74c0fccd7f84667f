"""The year in money on paper: three sheets, the answer first, the same bytes again."""

from __future__ import annotations

import dataclasses
import datetime as dt
import io
import xml.etree.ElementTree as ET

import pypdf
import pytest

from pinfeather.errors import InputError
from pinfeather.finding import Finding, Severity
from pinfeather.reports.cost_stack import CostBar, CostStack, stack_sentence, stack_svg
from pinfeather.reports.money_year import MoneyTable, MoneyYearSheet, money_year_pdf
from pinfeather.reports.sheet_parts import Answer
from pinfeather.reports.tornado import Bar, Tornado, tornado_svg

PRINTED = dt.datetime(2026, 12, 31, 18, 5, tzinfo=dt.UTC)
STACK = CostStack(
    ("Chicks", "Feed", "Raising", "Processing", "Equipment", "Overhead", "Labour"),
    tuple(
        CostBar(f"B{n}", (50.0, 140.0 + n, 25.0, 60.0, 30.0, 40.0, 180.0), 525 + n)
        for n in range(9)
    ),
    625,
)
ROWS = tuple((f"Line {n}", f"${n}.00", "$0.10") for n in range(24))


def sheet(**changes):
    table = MoneyTable("Where it comes from", ("What", "Sum", "A bird"), ROWS, last_is_total=True)
    cash = MoneyTable("Cash by month", ("Month", "In", "Out"), ROWS[:13], note="A note below.")
    fields = {
        "farm": "Juniper Hollow Farm",
        "title": "The year 2026 in money",
        "subtitle": "240 birds dressed, 1,044.0 lb packed",
        "answers": (Answer("A pound costs", "$5.29"), Answer("It brought", "$6.25")),
        "findings": (Finding("money.unsold", Severity.NOTE, "Some is #unsold* $yet."),),
        "stack": STACK,
        "first": (MoneyTable("By lot", ("Lot", "Birds", "All"), ROWS[:10]),),
        "second": (table, dataclasses.replace(cash, title="Break-even", rows=ROWS[:4])),
        "third": (cash,),
        "notes": ("It is not audited, and no tax or legal advice.",),
    }
    return MoneyYearSheet(**(fields | changes))


def pages(pdf):
    return [" ".join(p.extract_text().split()) for p in pypdf.PdfReader(io.BytesIO(pdf)).pages]


@pytest.mark.parametrize("paper", ["us-letter", "a4"])
def test_it_is_three_sheets_and_the_answer_comes_first(paper):
    read = pages(money_year_pdf(sheet(), printed_at=PRINTED, paper=paper))
    assert len(read) == 3
    order = ["The year 2026", "A pound costs", "$5.29", "Some is #unsold* $yet.", "By lot"]
    places = [read[0].index(words) for words in order]
    assert places == sorted(places)
    assert "Where it comes from" in read[1]
    assert "no tax or legal advice" in read[2]


def test_the_same_year_gives_the_same_bytes():
    assert money_year_pdf(sheet(), printed_at=PRINTED) == money_year_pdf(
        sheet(), printed_at=PRINTED
    )


def test_a_year_without_birds_is_printed_too():
    empty = sheet(answers=(), stack=None, first=(), second=())
    assert len(pages(money_year_pdf(empty, printed_at=PRINTED))) == 3


def test_pretend_birds_are_called_so_on_every_sheet():
    read = pages(money_year_pdf(sheet(demo=True), printed_at=PRINTED))
    assert all("DEMO" in text for text in read)


@pytest.mark.parametrize("width", [340, 760])
def test_the_stack_has_a_title_numbers_for_its_colours_and_no_style(width):
    svg = stack_svg(STACK, width=width)
    root = ET.fromstring(svg)
    names = [e.tag.rsplit("}", 1)[-1] for e in root.iter()]
    assert "style" not in svg.replace("font-style", "")
    assert names.count("title") == 1
    texts = ["".join(e.itertext()) for e in root.iter() if e.tag.endswith("text")]
    assert {"1", "2", "7", "Feed", "B0", "price $6.25", "$5.25"} <= set(texts)
    assert stack_sentence(STACK) in svg.replace("&amp;", "&")


def test_the_length_of_a_bar_is_its_cost():
    root = ET.fromstring(stack_svg(STACK, width=760))
    rects = [e for e in root.iter() if e.tag.endswith("rect") and e.get("height") == "30"]
    widths = [float(e.get("width")) for e in rects]
    first, second = widths[:7], widths[7:14]
    assert first[1] / first[0] == pytest.approx(140 / 50, rel=0.01)
    assert second[1] > first[1]
    price = next(e for e in root.iter() if e.get("stroke-dasharray"))
    x = float(price.get("d").split()[0][1:])
    assert x / sum(first) == pytest.approx(625 / 525, rel=0.005)


def test_nothing_to_draw_is_refused():
    with pytest.raises(InputError):
        stack_svg(dataclasses.replace(STACK, bars=()))
    with pytest.raises(InputError):
        stack_svg(STACK, width=100)
    with pytest.raises(InputError):
        tornado_svg(Tornado((), 0))


def test_a_tornado_tells_both_ends_by_a_shape():
    drawing = Tornado((Bar("Price", -5000, 9000), Bar("Feed", 4000, 1000)), 2000)
    root = ET.fromstring(tornado_svg(drawing, width=340))
    texts = ["".join(e.itertext()) for e in root.iter() if e.tag.endswith("text")]
    assert {"▼ −$50", "▲ $90", "▼ $40", "▲ $10", "$20.00"} <= set(texts)
