"""The labels as they come out of the printer: sizes, words, letters, codes."""

from __future__ import annotations

import dataclasses
import hashlib
import io
import time
from decimal import Decimal

import numpy as np
import pypdf
import pypdfium2
import pytest
import zxingcpp

from pinfeather.errors import InputError
from pinfeather.reports.labels import DOTS_PER_INCH, SafeHandlingLine, labels_pdf

PAGES = {"4x3": (288, 216), "4x6": (288, 432), "letter": (612, 792)}
POINTS_PER_SIXTEENTH_INCH = 72 / 16


def words(pdf, page=0):
    text = pypdf.PdfReader(io.BytesIO(pdf)).pages[page].extract_text()
    return " ".join(text.replace("\u200b", "").replace("\u00a0", " ").split())


def squeezed(text):
    return "".join(text.replace("\u200b", "").split())


def image(pdf, page=0, dpi=DOTS_PER_INCH):
    document = pypdfium2.PdfDocument(pdf)
    return document[page].render(scale=dpi / 72).to_pil().convert("L")


def glyphs(pdf, page=0):
    """Each printed sign with its tight box: left, bottom, right, top [pt]."""
    text = pypdfium2.PdfDocument(pdf)[page].get_textpage()
    found = []
    for index in range(text.count_chars()):
        sign = text.get_text_range(index, 1)
        if sign.strip():
            found.append((sign, text.get_charbox(index)))
    return found


@pytest.mark.parametrize("size", list(PAGES))
def test_a_page_is_exactly_as_large_as_the_label(make_label, printed, size):
    pdf = labels_pdf([make_label()], size, printed_at=printed)

    (page,) = pypdf.PdfReader(io.BytesIO(pdf)).pages
    assert tuple(page.mediabox) == (0, 0, *PAGES[size])
    assert page.rotation == 0


@pytest.mark.parametrize("size", list(PAGES))
def test_everything_a_buyer_should_know_is_on_it(make_label, printed, size):
    text = words(labels_pdf([make_label()], size, printed_at=printed))

    for said in (
        "Young chicken, whole", "Net Wt.", "4.37 lb", "$6.50 per lb", "$28.41 total",
        "12 September 2026", "2026-09-12 B3 T1", "Juniper Hollow Farm", "418 Cold Spring Lane",
        "Millbrook Falls, VT 05999", "Keep Refrigerated", "Exempted—P.L. 90-492",
    ):  # fmt: skip
        assert said in text


@pytest.mark.parametrize("size", list(PAGES))
def test_the_safe_handling_block_is_verbatim(make_label, printed, size):
    """510 signs whose SHA-256 was worked out independently from the printed regulation."""
    text = words(labels_pdf([make_label()], size, printed_at=printed))

    block = make_label().safe_handling
    lines = [block.heading, block.rationale, *(line.text for line in block.statements)]
    digest = hashlib.sha256("\n".join(lines).encode()).hexdigest()
    assert digest == "70a41228ebe1563f41ff002d26c2ce86fe4c1c6b77cf2e17d5ae28388ed4f7c2"
    at = [text.index(line) for line in lines]
    assert at == sorted(at)


@pytest.mark.parametrize("size", list(PAGES))
def test_every_letter_of_the_block_is_a_sixteenth_of_an_inch_and_its_heading_is_larger(
    make_label, printed, size
):
    pdf = labels_pdf([make_label()], size, printed_at=printed)

    found = glyphs(pdf)
    text = "".join(sign for sign, _box in found)
    block = make_label().safe_handling
    start = text.index(squeezed(block.heading))
    end = text.index("leftoversimmediatelyordiscard.") + len("leftoversimmediatelyordiscard.")
    heights = {}
    for sign, (_left, bottom, _right, top) in found[start:end]:
        if sign.isalpha():
            heights.setdefault(sign, []).append(top - bottom)
    assert len(heights) > 20
    assert min(min(h) for h in heights.values()) >= POINTS_PER_SIXTEENTH_INCH
    heading = found[start][1]
    body = next(box for sign, box in found[start + len(squeezed(block.heading)) :] if sign == "S")
    assert heading[3] - heading[1] > 1.15 * (body[3] - body[1])


@pytest.mark.parametrize("size", list(PAGES))
def test_the_block_is_set_off_by_a_border_all_round(make_label, printed, size):
    dark = np.asarray(image(labels_pdf([make_label()], size, printed_at=printed))) < 128

    dark = dark[: dark.shape[0] if size != "letter" else 4 * DOTS_PER_INCH]
    dark = dark[:, : 4 * DOTS_PER_INCH + (0 if size != "letter" else DOTS_PER_INCH // 4)]
    rows = np.flatnonzero(dark.mean(axis=1) > 0.85)
    columns = np.flatnonzero(dark.sum(axis=0) > 0.85 * (rows.max() - rows.min()))
    assert rows.max() - rows.min() > DOTS_PER_INCH
    assert columns.max() - columns.min() > 3.4 * DOTS_PER_INCH


@pytest.mark.parametrize(("size", "least_in"), [("4x3", 1 / 8), ("4x6", 1 / 8)])
def test_the_net_weight_is_tall_and_in_the_lowest_part(make_label, printed, size, least_in):
    """9 CFR 381.121(c): 1/8 inch on panels of 5 to 25 square inches, in the lowest 30 %."""
    pdf = labels_pdf([make_label()], size, printed_at=printed)

    found = glyphs(pdf)
    at = "".join(sign for sign, _box in found).index("4.37lb")
    boxes = [box for sign, box in found[at : at + 6] if sign != "."]
    assert min(top - bottom for _l, bottom, _r, top in boxes) >= least_in * 72
    assert max(top for _l, _b, _r, top in boxes) <= 0.30 * PAGES[size][1]


@pytest.mark.parametrize("size", list(PAGES))
def test_the_square_code_can_be_read_from_a_thermal_print(make_label, printed, size):
    label = make_label()

    codes = zxingcpp.read_barcodes(image(labels_pdf([label], size, printed_at=printed)))

    assert [code.text for code in codes] == [
        "Lot 2026-09-12 B3 T1; packed 2026-09-12; farm Juniper Hollow Farm; phone 555 0142"
    ]


def test_each_label_has_its_own_code_and_none_where_none_is_asked_for(make_label, printed):
    labels = [make_label(trace="Lot one"), make_label(trace="Lot two"), make_label(trace="")]

    pdf = labels_pdf(labels, "4x3", printed_at=printed)

    read = [[c.text for c in zxingcpp.read_barcodes(image(pdf, page))] for page in range(3)]
    assert read == [["Lot one"], ["Lot two"], []]


def test_six_labels_share_a_sheet(make_label, printed):
    labels = [make_label(lot=f"lot-{n}") for n in range(8)]

    pdf = labels_pdf(labels, "letter", printed_at=printed)

    assert len(pypdf.PdfReader(io.BytesIO(pdf)).pages) == 2
    assert all(f"lot-{n}" in words(pdf, 0) for n in range(6))
    assert "lot-7" in words(pdf, 1)


LONG = {
    "a long name": {"product": "Heritage-type mixed flock young chicken, cut up, with giblets and "
                               "neck, from the upper orchard"},
    "one long word": {"product": "Kräuterhähnchenbrustfiletstreifenmischung"},
    "a long farm": {
        "producer": "The Juniper Hollow Cooperative Farm and Orchard Company of the Upper Valley",
        "address": ("Rural Route 4, Box 1187, at the end of Cold Spring Lane Extension",
                    "Millbrook Falls-on-the-Winding-River, VT 05999-1234"),
    },
    "a long statement": {
        "exempt_statement": "This poultry was produced in a facility that is not subject to "
                            "licensure or inspection. This product is not intended for resale.",
    },
    "a heavy dear bird": {"net_weight_lb": Decimal("128.375"), "total": Decimal("12345.67"),
                          "price_per_lb": Decimal("96.17")},
    "a long code": {"lot": "2026-09-12-JUNIPER-HOLLOW-B3-TANK-1-SECOND-CRATE-OF-THE-MORNING"},
    "further words": {"further": ("Contains up to 4% retained water.", "NOT INSPECTED",
                                  "Ingredients: chicken, salt, rosemary.")},
}  # fmt: skip


@pytest.mark.parametrize("size", ["4x3", "4x6"])
@pytest.mark.parametrize("case", list(LONG))
def test_long_values_shrink_or_wrap_and_are_never_cut_or_printed_over(
    make_label, printed, size, case
):
    label = make_label(**LONG[case])

    pdf = labels_pdf([label], size, printed_at=printed)

    assert len(pypdf.PdfReader(io.BytesIO(pdf)).pages) == 1
    text = squeezed(words(pdf))
    for value in (label.product, label.producer, *label.address, label.exempt_statement,
                  label.lot, label.handling, *label.further, f"{label.net_weight_lb} lb",
                  f"${label.total}"):  # fmt: skip
        assert squeezed(value) in text
    paper = np.asarray(image(pdf)) < 128
    edge = round(0.07 * DOTS_PER_INCH)
    assert not paper[:edge].any()
    assert not paper[-edge:].any()
    assert not paper[:, :edge].any()
    assert not paper[:, -edge:].any()
    assert overlaps(pdf) == []


def overlaps(pdf):
    """Pairs of signs that are printed over each other by a third of the smaller both ways."""
    found = [(sign, box) for sign, box in glyphs(pdf) if sign != "\u200b"]
    boxes = np.array([box for _sign, box in found])
    covered = []
    for low, high in ((0, 2), (1, 3)):
        size = boxes[:, high] - boxes[:, low]
        shared = np.minimum(boxes[:, None, high], boxes[None, :, high]) - np.maximum(
            boxes[:, None, low], boxes[None, :, low]
        )
        covered.append(shared > np.minimum(size[:, None], size[None, :]) / 3)
    first, second = np.nonzero(np.triu(covered[0] & covered[1], k=1))
    return [
        (found[a], found[b])
        for a, b in zip(first, second, strict=True)
        if found[a][1] != found[b][1]  # the two letters of one ligature
    ]


@pytest.mark.parametrize("size", list(PAGES))
@pytest.mark.parametrize(
    ("changes", "what"),
    [
        ({"product": "goose " * 400}, "product"),
        ({"further": ("words " * 300,)}, "particulars"),
        ({"producer": "x" * 2000}, "particulars"),
        ({"net_weight_lb": Decimal("12345678901234567890.5")}, "net weight"),
        ({"total": Decimal(1234567890123456789012345)}, "price"),
        ({"trace": "trace " * 100}, "square code"),
    ],
)
def test_what_cannot_fit_is_refused_aloud(make_label, printed, size, changes, what):
    with pytest.raises(InputError, match=what):
        labels_pdf([make_label(**changes)], size, printed_at=printed)


def test_signs_of_the_typesetter_are_printed_as_written(make_label, printed):
    odd = r"#panic *b* $x$ [a] @c \ <l> `d`"
    label = make_label(product=odd, producer=odd, address=(odd,), further=(odd,))

    text = words(labels_pdf([label], "4x6", printed_at=printed))

    assert text.count(odd) == 4


def test_other_words_of_a_state_take_the_place_of_the_usual(make_label, printed):
    usual = make_label().safe_handling
    hot = "Cook thoroughly to 165° F internal temperature."
    lines = (*usual.statements[:2], SafeHandlingLine("skillet", hot), usual.statements[3])
    label = make_label(safe_handling=dataclasses.replace(usual, statements=lines))

    text = words(labels_pdf([label, make_label()], "4x3", printed_at=printed))

    assert hot in text
    assert "Cook thoroughly. " not in text


def test_a_label_without_block_code_and_price_is_still_a_label(make_label, printed):
    label = make_label(
        safe_handling=None, trace="", price_per_lb=None, total=None, exempt_statement=""
    )

    for size in PAGES:
        text = words(labels_pdf([label], size, printed_at=printed))
        assert "4.37 lb" in text
        assert "Safe Handling" not in text
        assert "$" not in text


def test_the_same_labels_give_the_same_bytes(make_label, printed):
    once = labels_pdf([make_label()], "4x3", printed_at=printed)

    assert labels_pdf([make_label()], "4x3", printed_at=printed) == once


def test_five_hundred_labels_take_well_under_two_seconds(make_label, printed):
    labels = [
        make_label(
            net_weight_lb=Decimal(300 + n) / 100,
            total=Decimal(1950 + 6 * n) / 100,
            lot=f"2026-09-12 B3 T{n % 4}",
            trace=f"Lot 2026-09-12 B3 T{n % 4}; farm Juniper Hollow Farm",
        )
        for n in range(500)
    ]
    begin = time.process_time()  # of this process, whatever else the machine does

    pdf = labels_pdf(labels, "4x3", printed_at=printed)

    assert time.process_time() - begin < 2.0
    assert len(pypdf.PdfReader(io.BytesIO(pdf)).pages) == 500
