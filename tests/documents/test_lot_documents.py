"""A lot on paper: everything that was written is there, struck lines too, the same each time."""

from __future__ import annotations

import io
import re

import icalendar
import pytest
from pypdf import PdfReader

from pinfeather.actions.flock import books as flocks
from pinfeather.actions.flock import document as flock_document


def pages(content: bytes) -> list[str]:
    return [page.extract_text() for page in PdfReader(io.BytesIO(content)).pages]


def text_of(content: bytes) -> str:
    return re.sub(r"\s+", " ", " ".join(pages(content))).replace("\u202f", " ")


def test_the_sheet_tells_the_whole_life_on_two_pages(demo_farm, now) -> None:
    content = flock_document.lot_pdf("B4", printed_at=now)
    text = text_of(content)

    assert len(pages(content)) <= 2
    assert "Lot B4" in text
    assert "61 came alive = 56 there now + 5 lost" in text
    assert "60 ordered, 2 spare, 1 dead" in text
    assert "Medicine for coccidiosis" in text
    assert "7 days of withdrawal" in text
    assert "first day they may be slaughtered" in text
    assert "Found dead 4" in text
    assert "Still needed" in text
    assert "DEMO" in text
    for entry in flocks.book("B4").entries:
        assert entry.title in text


def test_a_struck_line_is_on_the_sheet_with_its_reason(demo_farm, now) -> None:
    line = flocks.book("B4").kept("lost")[0]
    flocks.strike_out("B4", line.id, reason="Counted twice.", who="Mae")
    text = text_of(flock_document.lot_pdf("B4", printed_at=now))
    assert "struck out: Counted twice." in text
    assert line.words in text


@pytest.mark.parametrize("code", ["B3", "B5", "C1", "D1", "T1", "T2"])
def test_every_lot_has_its_sheet_and_its_card(demo_farm, now, code) -> None:
    assert f"Lot {code}" in text_of(flock_document.lot_pdf(code, printed_at=now))
    assert len(pages(flock_document.card_pdf(code, printed_at=now))) == 1


def test_the_same_lot_at_the_same_moment_gives_the_same_bytes(demo_farm, now) -> None:
    for make in (flock_document.lot_pdf, flock_document.card_pdf):
        assert make("B4", printed_at=now) == make("B4", printed_at=now)


def test_the_card_says_what_to_write_and_when_to_stop(demo_farm, now) -> None:
    text = text_of(flock_document.card_pdf("B4", printed_at=now))
    for words in ("Lost", "Cause", "Feed put in", "Feed left", "Grass pen 2", "Not before"):
        assert words in text
    assert "call the state veterinarian" in text


def test_words_with_signs_of_markup_are_printed_as_they_are(demo_farm, now) -> None:
    typed = {"on": "2026-06-10", "note": "#strike[x] $y$ *bold* \\ @ref"}
    flocks.add_event("B4", "note", typed, who="Ines")
    assert "#strike[x] $y$ *bold* \\ @ref" in text_of(flock_document.lot_pdf("B4", printed_at=now))


def test_the_calendar_has_the_lots_dates_from_today_on(demo_farm, now) -> None:
    calendar = icalendar.Calendar.from_ical(flock_document.lot_ics("B4", stamp=now))
    found = {str(e["summary"]): e["dtstart"].dt.date() for e in calendar.walk("VEVENT")}

    assert "B4: Withdrawal is over; may be slaughtered" in found
    assert "B4: Processing, not planned yet" in found
    assert "B4: Weigh birds" in found
    assert all(day >= now.date() for day in found.values())

    chicks = flock_document.lot_ics("C1", stamp=now).decode()
    assert "C1: Out of the brooder" in chicks
    assert "C1: Brooder clean and free" in chicks
    assert "T2: Warm the brooder" in flock_document.lot_ics("T2", stamp=now).decode()
    assert flock_document.lot_ics("B4", stamp=now) == flock_document.lot_ics("B4", stamp=now)
