"""Pick list, receipt, card and trace on paper, read back."""

from __future__ import annotations

import datetime as dt
import io
from decimal import Decimal

import pytest
from pypdf import PdfReader

from pinfeather.errors import InputError
from pinfeather.reports.bird_card import BirdCard, bird_cards_pdf
from pinfeather.reports.labels import ICONS, SafeHandling, SafeHandlingLine
from pinfeather.reports.sheet_parts import Answer
from pinfeather.reports.table_sheet import TICK, SheetTable, TableSheet, table_sheet_pdf

HANDS = (
    "Keep raw meat and poultry separate from other foods. Wash working surfaces (including cutting "
    "boards), utensils, and hands after touching raw meat or poultry."
)
STATEMENTS = (
    "Keep refrigerated or frozen. Thaw in refrigerator or microwave.",
    HANDS,
    "Cook thoroughly.",
    "Keep hot foods hot. Refrigerate leftovers immediately or discard.",
)
BLOCK = SafeHandling(
    "Safe Handling Instructions",
    "Some food products may contain bacteria that could cause illness if the product is mishandled "
    "or cooked improperly. For your protection, follow these safe handling instructions.",
    tuple(SafeHandlingLine(icon, text) for icon, text in zip(ICONS, STATEMENTS, strict=True)),
)
"""9 CFR 381.125(b), wording for product that is exempt from inspection."""


def words(pdf: bytes) -> str:
    text = " ".join(page.extract_text() for page in PdfReader(io.BytesIO(pdf)).pages)
    return " ".join(text.split())


def pages(pdf: bytes) -> int:
    return len(PdfReader(io.BytesIO(pdf)).pages)


def sheet(**changed) -> TableSheet:
    values = {
        "farm": "Juniper Hollow Farm",
        "title": "Pick list",
        "kind": "Orders",
        "answers": (Answer("Packages", "2"),),
        "tables": (
            SheetTable(
                "By place",
                ("", "Place", "Net"),
                ((TICK, "Barn #1 *left* $basket", "4.06 lb"), (TICK, "Porch", "4.15 lb")),
                right=(2,),
            ),
        ),
        "signatures": ("Taken by",),
    }
    return TableSheet(**{**values, **changed})


def test_a_sheet_says_what_it_was_given_and_signs_are_only_signs(printed) -> None:
    text = words(table_sheet_pdf(sheet(), printed_at=printed))
    for said in ("Pick list", "Barn #1 *left* $basket", "4.15 lb", "Taken by", "Packages"):
        assert said in text


def test_the_same_sheet_gives_the_same_bytes(printed) -> None:
    assert table_sheet_pdf(sheet(), printed_at=printed) == table_sheet_pdf(
        sheet(), printed_at=printed
    )


def test_pretend_birds_are_marked_on_every_page(printed) -> None:
    rows = tuple((TICK, f"Place {n}", "4.00 lb") for n in range(120))
    long = SheetTable("By place", ("", "Place", "Net"), rows)
    pdf = table_sheet_pdf(sheet(tables=(long,), demo=True), printed_at=printed)
    assert pages(pdf) > 2
    for page in PdfReader(io.BytesIO(pdf)).pages:
        assert "DEMO" in page.extract_text()


def test_a_row_that_does_not_fit_its_table_is_refused(printed) -> None:
    wrong = SheetTable("By place", ("", "Place"), ((TICK,),))
    with pytest.raises(InputError):
        table_sheet_pdf(sheet(tables=(wrong,)), printed_at=printed)


def card(**changed) -> BirdCard:
    values = {
        "name": "Ruth Calloway",
        "product": "Whole chicken",
        "net_lb": Decimal("4.06"),
        "facts": "lot 2026-09-12 B3 T1, package 6",
        "thaw": ("In the refrigerator: 1 to 3 days.", "Never on the counter."),
        "cook": "Cook until the thickest part reads 165 °F (74 °C).",
        "safe_handling": BLOCK,
        "source": "Times: as published.",
    }
    return BirdCard(**{**values, **changed})


def test_the_card_carries_the_safe_handling_words_verbatim_and_165(printed) -> None:
    pdf = bird_cards_pdf([card()], farm="Juniper Hollow Farm", demo=False, printed_at=printed)
    text = words(pdf)
    for said in (BLOCK.heading, BLOCK.rationale, *(line.text for line in BLOCK.statements)):
        assert said in text
    assert "165 °F" in text
    assert "4.06 lb" in text


def test_two_cards_share_a_page_and_none_is_refused(printed) -> None:
    how = {"farm": "Juniper Hollow Farm", "demo": False, "printed_at": printed}
    assert [pages(bird_cards_pdf([card()] * n, **how)) for n in (1, 2, 3)] == [1, 1, 2]
    with pytest.raises(InputError):
        bird_cards_pdf([], **how)


def test_a_long_name_and_many_lines_still_fit_on_half_a_page(printed) -> None:
    long = card(
        name="The Brandt and Whitlock Families of Old Ferry Road",
        thaw=("In the refrigerator, at 40 °F (4 °C) or colder, on a tray: 5 to 6 days. " * 2,) * 4,
    )
    pdf = bird_cards_pdf([long, long], farm="Farm", demo=True, printed_at=printed)
    assert pages(pdf) == 1


def test_the_documents_of_the_demo_farm(demo_farm, frozen) -> None:
    from pinfeather.actions.stock import documents as paper
    from pinfeather.actions.stock import tracing

    until = frozen.date() + dt.timedelta(days=10)
    picking = words(paper.pick_list_pdf(until, now=frozen))
    assert "Ruth Calloway" in picking
    assert "giblets" in picking
    coming = words(paper.pickup_sheet_pdf(until, now=frozen))
    assert "16:00–18:00" in coming
    receipt = words(paper.receipt_pdf("demosale1", now=frozen))
    assert "Samir Haddad, 45 Orchard Street" in receipt
    assert "Quarry Bend Road" in receipt
    trace = words(paper.trace_pdf(tracing.trace(tracing.thing_from("B2")), now=frozen))
    assert "Joan Whitlock" in trace
    assert "555-0125" in trace
    assert "100.0%" in trace
