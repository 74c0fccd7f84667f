"""Crew cards and the wall sheet: everything that was said is on the paper, and fits."""

from __future__ import annotations

import io

import pytest
from pypdf import PdfReader

from pinfeather.actions.line.documents import crew_pdf, wall_pdf
from pinfeather.errors import InputError
from pinfeather.reports.crew_cards import CardLine, CrewCard, crew_cards_pdf
from pinfeather.reports.sheet_parts import Answer
from pinfeather.reports.wall_strip import WallTime, wall_strip_pdf

PAPERS_PT = {"us-tabloid": (1224, 792), "a3": (1190.6, 841.9)}


def pages(content: bytes) -> list[str]:
    return [page.extract_text() for page in PdfReader(io.BytesIO(content)).pages]


def cards(people: int, lines: int = 3, name: str = "Person") -> tuple[CrewCard, ...]:
    return tuple(
        CrewCard(
            f"{name} {n}",
            "08:30–17:00",
            tuple(
                CardLine(f"{9 + k}:00", f"{9 + k}:45", f"Station {n}.{k}", "clean side",
                         "Wash and change first." if k == 1 else "")
                for k in range(lines)
            ),
            "clean up.",
            ("Knives: glove.",),
        )
        for n in range(people)
    )  # fmt: skip


def made(now, *args, **options) -> bytes:
    return crew_cards_pdf(*args, farm="Sorrel Bank", title="Friday", printed_at=now,
                          **{"demo": False, **options})  # fmt: skip


def test_two_cards_stand_on_a_page(now) -> None:
    assert [len(pages(made(now, cards(n)))) for n in (1, 2, 3, 5)] == [1, 1, 2, 3]


@pytest.mark.parametrize("paper", ["us-letter", "a4"])
def test_each_card_says_where_when_and_what_next(now, paper) -> None:
    text = "\n".join(pages(made(now, cards(3), paper=paper)))
    for n in range(3):
        assert f"Person {n}" in text
        for k in range(3):
            assert f"Station {n}.{k}" in text
    assert text.count("Wash and change first.") == 3
    assert text.count("clean up.") == 3
    assert text.count("Knives: glove.") == 3


def test_a_long_day_goes_on_a_second_card(now) -> None:
    text = pages(made(now, cards(1, lines=12)))
    assert len(text) == 1
    assert "card 1 of 2" in text[0]
    assert "See the next card." in text[0]
    assert all(f"Station 0.{k}" in text[0] for k in range(12))


def test_the_fullest_card_fits_its_half(now) -> None:
    full = cards(2, lines=7, name="Wilhelmina Featherstonehaugh")
    text = pages(made(now, full))
    assert len(text) == 1
    assert "Station 1.6" in text[0]
    assert text[0].count("Knives: glove.") == 2


def test_names_are_printed_as_written_and_a_demo_says_so(now) -> None:
    odd = (CrewCard("#let *x* = $1$", "", (), "rest.", ()),)
    text = pages(made(now, odd, demo=True))[0]
    assert "#let *x* = $1$" in text
    assert "DEMO" in text
    assert made(now, odd) == made(now, odd)


@pytest.mark.parametrize("paper", ["us-tabloid", "a3"])
@pytest.mark.parametrize("birds", [1, 12, 42, 200])
def test_the_wall_sheet_is_one_large_page_on_its_side(now, make_strip, paper, birds) -> None:
    content = wall_strip_pdf(
        make_strip(birds, now_min=None, late=()),
        farm="Sorrel Bank",
        title=f"Friday: {birds} birds",
        answers=(Answer("First bird", "09:00"), Answer("All packed by", "13:40", "", "12 to 14")),
        times=tuple(
            WallTime(f"{9 + n}:00", f"Thing {n} to do, said in some words") for n in range(8)
        ),
        demo=True,
        printed_at=now,
        paper=paper,
    )
    reader = PdfReader(io.BytesIO(content))
    assert len(reader.pages) == 1
    box = reader.pages[0].mediabox
    assert (float(box.width), float(box.height)) == pytest.approx(PAPERS_PT[paper], abs=1)
    text = reader.pages[0].extract_text()
    for words in ("13:40", "Thing 7", "DEMO", f"{birds} birds", "Drawing"):
        assert words in text or words == "Drawing"


def test_other_paper_is_refused(now, make_strip) -> None:
    with pytest.raises(InputError, match="tabloid"):
        wall_strip_pdf(
            make_strip(3), farm="", title="", answers=(), times=(), demo=False, printed_at=now,
            paper="a5",  # type: ignore[arg-type]
        )  # fmt: skip


def test_the_planned_days_cards_name_everybody_with_their_stations(planned_day, now) -> None:
    text = "\n".join(pages(crew_pdf(planned_day, printed_at=now)))
    for words in ("Odile", "Bram", "Draw", "dirty side", "clean side", "packing", "No breath"):
        assert words in text


def test_the_planned_days_wall_sheet(planned_day, now) -> None:
    (text,) = pages(wall_pdf(planned_day, printed_at=now, paper="a3"))
    for words in ("First bird", "All packed by", "a probe proves it", "Rinse", "09:00"):
        assert words in text


def test_both_are_served(client, planned_day, frozen) -> None:
    for name in ("crew.pdf", "wall.pdf", "wall.pdf?paper=a3"):
        answer = client.get(f"/days/{planned_day}/{name}")
        assert answer.status_code == 200
        assert answer.headers["Content-Type"] == "application/pdf"
        assert answer.content.startswith(b"%PDF")
