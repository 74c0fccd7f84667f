"""The binder: contents lead to the right pages, everything said stands there, signs stay signs."""

from __future__ import annotations

import datetime as dt
import io
import re

import pypdf
import pytest

from pinfeather.errors import InputError
from pinfeather.finding import Finding, Severity
from pinfeather.reports.binder import (
    Binder,
    Drawing,
    Facts,
    Found,
    Leaf,
    Said,
    Seal,
    Section,
    Specimen,
    Specimens,
    Verdicts,
    binder_pdf,
)
from pinfeather.reports.day_record import ActedFinding, Verdict
from pinfeather.reports.labels import labels_pdf
from pinfeather.reports.sheet_parts import Answer
from pinfeather.reports.shop_plan import ShopStation, shop_plan_sentence, shop_plan_svg
from pinfeather.reports.table_sheet import SheetTable
from pinfeather.reports.typeset import page_count

STATIONS = (
    ShopStation("Cone", "dirty", ("4 cones",)),
    ShopStation("Pick", "dirty", ("drum",)),
    ShopStation("Draw", "clean", ("2 places",)),
    ShopStation("Chill", "clean", ("Blue tank", "60 gal")),
)
HOSTILE = '#set page(width: 1cm) *bold* $x^2$ <script> "]) \\ @cite'
ENTRY = re.compile(r"^(.+?)[ .]*?(\d+)$")


def text_of(page: pypdf.PageObject) -> str:
    return " ".join(page.extract_text().split())


def pages(pdf: bytes) -> list[str]:
    return [text_of(page) for page in pypdf.PdfReader(io.BytesIO(pdf)).pages]


def readings(rows: int) -> SheetTable:
    return SheetTable(
        "Readings",
        ("Time", "Where", "Read"),
        tuple((f"{n}", "water in the blue tank", "33.6 °F") for n in range(rows)),
        right=(0, 2),
    )


def build(make_label=None, **changed) -> Binder:
    finding = Finding("chill.late", Severity.STOP, "Tank 2 was late.", citation="9 CFR 381.66")
    days = tuple(
        Leaf(f"Saturday {n} May 2026", (readings(30 + 7 * n), Seal("ab" * 32, "Seal of the day")),
             fresh=True)
        for n in range(1, 13)
    )  # fmt: skip
    verdict = Verdict("Cold in time", "Tank 2", "not met", "44 °F", "40 °F in 4 h", "9 CFR", "read")
    values = {
        "farm": "Juniper Hollow Farm",
        "address": ("1180 Quarry Bend Road", "Hollis Creek"),
        "phone": "555-0142",
        "period": "1 January 2026 to 25 November 2026",
        "rules": "Rules: federal. Tier: own birds.",
        "answers": (Answer("Closed days", "12"),),
        "seal": Seal("0123456789abcdef" * 4, "The journal had 560 entries."),
        "missing": (Finding("binder.water", Severity.CHECK, "No water test in this period."),),
        "sections": (
            Section("Tier and head count", "Counted.", (Facts((Answer("Birds", "612"),)),)),
            Section("Plan of the shop", "", (
                Drawing(shop_plan_svg(STATIONS), shop_plan_sentence(STATIONS)),), fresh=False),
            Section("Day records", "As sealed.", (
                Verdicts((verdict,)), Found((ActedFinding(finding, "Kept. Ines"),))), days),
            Section("Water", "", (SheetTable("Tests", ("Date", "Result"), ()),)),
            Section("Sales", "", (readings(200),)),
            Section("Duties", "", (Said("None", "Licence", "rule"),), fresh=False),
        ),
    }  # fmt: skip
    return Binder(**{**values, **changed})


@pytest.mark.parametrize("paper", ["us-letter", "a4"])
def test_each_line_of_the_contents_names_the_page_where_its_heading_stands(printed, paper) -> None:
    made = build()
    pdf = binder_pdf(made, printed_at=printed, paper=paper)
    reader = pypdf.PdfReader(io.BytesIO(pdf))
    lines = [
        [" ".join(line.split()) for line in page.extract_text().splitlines()]
        for page in reader.pages
    ]
    days = [leaf.title for section in made.sections for leaf in section.leaves]
    titles = ["What is missing in this period", *(one.title for one in made.sections), *days]
    told = {}
    for line in lines[1]:
        found = ENTRY.match(" ".join(line.replace(".", " ").split()))
        if found and found[1].strip() in titles:
            told[found[1].strip()] = int(found[2])
    assert set(told) == set(titles)
    for title, number in told.items():
        assert title in lines[number - 1], (title, number)
    for day in days:  # nowhere else: a section's name stands in the running header, too
        assert [n for n, page in enumerate(lines, start=1) if day in page] == [told[day]]
    bookmarks = [one for one in reader.outline if not isinstance(one, list)]
    assert [one.title for one in bookmarks] == [t for t in titles if t not in days]
    for one in bookmarks:
        assert reader.get_destination_page_number(one) + 1 == told[one.title]


def test_every_page_says_its_number_of_how_many_and_the_running_header_its_section(printed) -> None:
    pdf = binder_pdf(build(), printed_at=printed)
    texts = pages(pdf)
    assert page_count(pdf) == len(texts) > 15
    for number, text in enumerate(texts, start=1):
        assert f"page {number} of {len(texts)}" in text
    assert "Juniper Hollow Farm · 1 January 2026 to 25 November 2026" in texts[5]
    assert texts[-1].count("Sales") == 1  # the last page goes on with what began before


def test_everything_said_stands_on_the_paper(printed, make_label) -> None:
    label = labels_pdf([make_label()], "4x3", printed_at=printed)
    shown = Section("Labels", "", (Specimens((Specimen("Whole", label, "Label of a bird"),)),))
    made = build()
    pdf = binder_pdf(build(sections=(*made.sections, shown)), printed_at=printed)
    text = " ".join(pages(pdf))
    for said in ("1180 Quarry Bend Road", "555-0142", "No water test in this period.", "612",
                 "Dirty side", "Clean side", "Blue tank", "not met", "Tank 2 was late.",
                 "Kept. Ines", "Nothing in this period.", "The journal had 560 entries.",
                 "01234567 89abcdef", "Licence", "Young chicken, whole"):  # fmt: skip
        assert said in text, said


def test_where_nothing_is_missing_it_says_so(printed) -> None:
    text = " ".join(pages(binder_pdf(build(missing=()), printed_at=printed)))
    assert "Nothing that this program looks for is missing." in text


def test_hostile_text_stays_text_everywhere(printed) -> None:
    said = Said(HOSTILE, HOSTILE, HOSTILE)
    table = SheetTable(HOSTILE, (HOSTILE, "b"), ((HOSTILE, "x" * 400),), note=HOSTILE)
    found = Found((ActedFinding(Finding("a.b", Severity.STOP, HOSTILE), HOSTILE),), HOSTILE)
    station = (ShopStation(HOSTILE, "dirty", (HOSTILE,)),)
    drawn = Drawing(shop_plan_svg(station), HOSTILE)
    facts = Facts((Answer(HOSTILE, HOSTILE, HOSTILE, HOSTILE),))
    blocks = (said, table, found, drawn, facts, Seal("ab", HOSTILE))
    made = build(
        farm=HOSTILE, address=(HOSTILE,), phone=HOSTILE, period=HOSTILE, rules=HOSTILE,
        sections=(Section(HOSTILE, HOSTILE, blocks, (Leaf(HOSTILE, blocks),)),),
    )  # fmt: skip
    pdf = binder_pdf(made, printed_at=printed)
    reader = pypdf.PdfReader(io.BytesIO(pdf))
    width = float(reader.pages[0].mediabox.width)
    assert {float(page.mediabox.width) for page in reader.pages} == {width}
    text = " ".join(pages(pdf))
    for part in ("#set page(width: 1cm)", "*bold*", "$x^2$", "<script>", "@cite"):
        assert text.count(part) >= 8, part
    assert reader.metadata.author == HOSTILE


def test_the_same_binder_gives_the_same_bytes_and_another_moment_others(printed) -> None:
    first = binder_pdf(build(), printed_at=printed)
    assert first == binder_pdf(build(), printed_at=printed)
    assert first != binder_pdf(build(), printed_at=printed + dt.timedelta(minutes=1))


def test_pretend_birds_are_marked_on_every_page(printed) -> None:
    for text in pages(binder_pdf(build(demo=True), printed_at=printed)):
        assert "DEMO" in text


def test_a_row_that_does_not_fit_its_table_is_refused(printed) -> None:
    wrong = SheetTable("Readings", ("a", "b"), (("only one",),))
    with pytest.raises(InputError):
        binder_pdf(build(sections=(Section("A", "", (wrong,)),)), printed_at=printed)


def test_the_plan_of_the_shop_runs_from_the_dirty_side_to_the_clean_one() -> None:
    svg = shop_plan_svg(STATIONS)
    assert svg.index("Cone") < svg.index("Pick") < svg.index("Clean side") < svg.index(">Draw<")
    assert svg.count("marker-end") == 3  # two rows of two, and once through the wall
    sentence = shop_plan_sentence(STATIONS)
    assert sentence.index("Pick") < sentence.index("Draw")
    with pytest.raises(InputError):
        shop_plan_svg(STATIONS[::-1])
    with pytest.raises(InputError):
        shop_plan_svg(())
