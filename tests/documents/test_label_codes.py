"""Codes of printed labels, read back at a thermal printer's resolution and interpreted."""

from __future__ import annotations

import datetime as dt
import io
import random
from decimal import Decimal

import pypdf
import pypdfium2
import pytest
import zxingcpp
from biip import ParseConfig
from biip.gs1_messages import GS1Message
from biip.upc import Upc

from pinfeather.errors import InputError
from pinfeather.packs.bag_code import CodeSettings, package_code
from pinfeather.packs.box import Boxed, box_content
from pinfeather.packs.codes import read_store_code, verifier_digit, with_check_digit
from pinfeather.packs.lot_code import LotCode
from pinfeather.packs.price import total_price
from pinfeather.reports.box_labels import BoxLabel, box_label_pdf, printer_test_pdf
from pinfeather.reports.labels import label_proofs, labels_pdf, letters, trace_text

PACKAGES = 1000
QUARTER_INCH_M = 0.25 * 0.0254
FLOCKS = ("B3", "R2", "LATEB", "T1", "D10")


def pages(pdf: bytes, dpi: int):
    document = pypdfium2.PdfDocument(pdf)
    for page in document:
        yield page.render(scale=dpi / 72, grayscale=True).to_pil()


def random_packages(n: int, carrier: str, make_label):
    """Packages at random with what each of their codes must say."""
    rng = random.Random(11)
    labels, wanted = [], []
    for serial in range(1, n + 1):
        net = Decimal(rng.randint(30, 1999)) / 100
        total = total_price(net, Decimal(rng.randint(100, 499)) / 100)
        packed = dt.date(2025, 1, 1) + dt.timedelta(days=97 * rng.randrange(7))
        lot = LotCode(packed, rng.choice(FLOCKS), f"T{rng.randint(1, 3)}")
        item, base = rng.randrange(100_000), f"952{rng.randrange(10**9):09d}"
        code = package_code(
            CodeSettings(carrier), item=item, base=base, net_lb=net, total=total,
            packed_on=packed, lot=lot.compact, serial=serial,
        )  # fmt: skip
        trace = trace_text(lot=str(lot), packed_on=packed, farm="Juniper Hollow", phone="555 0142")
        labels.append(
            make_label(code=code, net_weight_lb=net, total=total, packed_on=packed, lot=str(lot),
                       trace=trace)
        )  # fmt: skip
        wanted.append((net, total, packed, lot, item, base, serial, trace))
    return labels, wanted


def decoded(pdf: bytes, *formats: zxingcpp.BarcodeFormat) -> list[zxingcpp.Barcode]:
    return [
        code
        for image in pages(pdf, 203)
        for code in zxingcpp.read_barcodes(
            image, formats=formats, try_rotate=False, try_downscale=False, try_invert=False
        )
    ]


def test_a_thousand_random_packages_are_all_read_back(make_label, printed):
    """Half with an element string, half with a shop's number; six labels to a sheet."""
    labels, wanted = random_packages(PACKAGES // 2, "gs1", make_label)
    shop, shop_wanted = random_packages(PACKAGES // 2, "store", make_label)

    squares = (zxingcpp.BarcodeFormat.DataMatrix, zxingcpp.BarcodeFormat.QRCode)
    codes = decoded(labels_pdf(labels, "letter", printed_at=printed), *squares)
    matrices = {}
    for code in codes:
        if code.format == zxingcpp.BarcodeFormat.DataMatrix:
            assert code.symbology_identifier == "]d2"
            raw = code.bytes.decode()
            fields = {
                e.ai.ai: e for e in GS1Message.parse(raw, config=ParseConfig()).element_strings
            }
            matrices[int(fields["21"].value)] = fields
    traces = {c.text for c in codes if c.format == zxingcpp.BarcodeFormat.QRCode}
    assert len(matrices) == len(wanted)
    for net, total, packed, lot, _item, base, serial, trace in wanted:
        fields = matrices[serial]
        assert fields["01"].gtin.value == with_check_digit(f"9{base}")
        assert fields["3202"].decimal == net
        assert fields["3922"].decimal == total
        assert fields["13"].date == packed
        assert fields["10"].value == lot.compact
        assert trace in traces

    sheets = labels_pdf(shop, "letter", printed_at=printed)
    bars = [code.text[-12:] for code in decoded(sheets, zxingcpp.BarcodeFormat.EANUPC)]
    assert len(bars) == len(shop_wanted)
    expected = sorted((item, total) for _n, total, _p, _l, item, *_rest in shop_wanted)
    assert sorted(read_store_code(b, pattern="2IIIIIVPPPPC") for b in bars) == expected
    for number in bars:
        assert Upc.parse(number).check_digit == int(number[-1])
        assert verifier_digit(number[7:11]) == int(number[6])


@pytest.mark.parametrize("dpi", [203, 300])
@pytest.mark.parametrize("size", ["4x3", "4x6", "4x8"])
@pytest.mark.parametrize("carrier", ["store", "gs1"])
def test_a_proof_in_the_printers_dots_can_be_read(make_label, printed, dpi, size, carrier):
    labels, _wanted = random_packages(1, carrier, make_label)

    (proof,) = label_proofs(labels, size, printed_at=printed, dots_per_inch=dpi)

    import PIL.Image

    image = PIL.Image.open(io.BytesIO(proof)).convert("L")
    high = {"4x3": 3, "4x6": 6, "4x8": 8}[size]
    assert image.size == (4 * dpi, high * dpi)
    formats = {c.format for c in zxingcpp.read_barcodes(image)}
    assert formats & {
        zxingcpp.BarcodeFormat.EAN13,
        zxingcpp.BarcodeFormat.UPCA,
        zxingcpp.BarcodeFormat.DataMatrix,
    }


def heights(pdf: bytes, words: str) -> list[float]:
    """Heights of the capitals and figures of some words as printed [m]."""
    text = pypdfium2.PdfDocument(pdf)[0].get_textpage()
    signs = [(text.get_text_range(i, 1), text.get_charbox(i)) for i in range(text.count_chars())]
    signs = [(s, b) for s, b in signs if s.strip()]
    flat = "".join(s for s, _b in signs)
    wanted = "".join(words.split())
    start = flat.index(wanted)
    return [
        (box[3] - box[1]) / 72 * 0.0254
        for sign, box in signs[start : start + len(wanted)]
        if sign.isupper() or sign.isdigit()
    ]


def test_statements_of_a_state_stand_a_quarter_inch_tall(make_label, printed):
    tall = ("Exempted P.L. 90-492", "Not Produced Under Inspection")
    label = make_label(tall=tall, tall_height_m=QUARTER_INCH_M, exempt_statement="")

    for size in ("4x6", "4x8"):
        pdf = labels_pdf([label], size, printed_at=printed)
        assert letters(size, tall_height_m=QUARTER_INCH_M).statement_m >= QUARTER_INCH_M
        for words in tall:
            assert min(heights(pdf, words.upper())) >= QUARTER_INCH_M - 2e-5


def test_everything_in_tall_letters_needs_the_tallest_label(make_label, printed):
    label = make_label(
        product="Whole chicken", producer="", address=(), handling="", exempt_statement="",
        tall=("Exempted P.L. 90-492", "Not Produced Under Inspection", "Keep Refrigerated",
              "Juniper Hollow Farm, 418 Cold Spring Lane, Millbrook Falls, VT 05999"),
        tall_height_m=QUARTER_INCH_M, tall_name=True,
    )  # fmt: skip

    pdf = labels_pdf([label], "4x8", printed_at=printed)

    for words in ("WHOLE CHICKEN", "KEEP REFRIGERATED", "MILLBROOK"):
        assert min(heights(pdf, words)) >= QUARTER_INCH_M - 2e-5
    for size in ("4x3", "4x6", "letter"):
        with pytest.raises(InputError, match="print a larger one"):
            labels_pdf([label], size, printed_at=printed)


@pytest.mark.parametrize("size", ["4x3", "4x6", "4x8"])
@pytest.mark.parametrize("declared", ["12 oz.", "24 oz. (1 lb. 8 oz.)", "5 lb."])
def test_a_declared_weight_is_as_tall_as_its_panel_asks(make_label, printed, size, declared):
    """9 CFR 381.121(c)(3): 1/8 inch up to 25 square inches, 3/16 up to 100."""
    label = make_label(declared=declared, price_per_lb=None)

    pdf = labels_pdf([label], size, printed_at=printed)

    least_in = 3 / 16 if size == "4x8" else 1 / 8
    assert min(heights(pdf, f"Net Wt. {declared}")) >= least_in * 0.0254
    assert letters(size).net_weight_m >= 1 / 8 * 0.0254


def test_no_letter_is_smaller_than_what_is_promised(make_label, printed):
    for size in ("4x3", "4x6"):
        pdf = labels_pdf([make_label()], size, printed_at=printed)
        least = letters(size)
        assert min(heights(pdf, "4.37 lb")) >= least.net_weight_m - 1e-5
        assert min(heights(pdf, "Exempted—P.L. 90-492")) >= least.statement_m - 1e-5


def test_a_boxs_label_says_how_many_how_heavy_and_which_lots(printed):
    content = box_content(
        [Boxed("Whole chicken", Decimal("4.37"), ("2026-09-12 B3 T1",), Decimal("28.41"))] * 12
        + [Boxed("Chicken wings", Decimal("1.10"), ("2026-09-12 B3 T1", "2026-09-12 R2 T2"))]
    )
    box = BoxLabel(content, dt.date(2026, 9, 12), "Juniper Hollow Farm", ("418 Cold Spring Lane",),
                   "Keep Refrigerated", ("Exempted—P.L. 90-492",))  # fmt: skip

    for size in ("4x3", "4x6", "4x8", "letter"):
        (page,) = pypdf.PdfReader(io.BytesIO(box_label_pdf(box, size, printed_at=printed))).pages
        text = " ".join(page.extract_text().split())
        for said in ("13 packages", "Net Wt. 53.54 lb in all", "12 × Whole chicken",
                     "2026-09-12 R2 T2", "Exempted—P.L. 90-492", "Keep Refrigerated"):  # fmt: skip
            assert said in text


def test_the_test_label_has_its_frame_inside_and_a_ruler_of_two_inches(printed):
    import numpy as np

    pdf = printer_test_pdf("4x3", printed_at=printed)
    dark = np.asarray(next(pages(pdf, 203))) < 128

    rows = np.flatnonzero(dark.mean(axis=1) > 0.9)
    assert rows[0] == pytest.approx(8 / 72 * 203, abs=2)
    assert rows[-1] == pytest.approx(3 * 203 - 8 / 72 * 203, abs=2)
    longest = 0
    for row in dark[350:520].astype(int):
        edges = np.flatnonzero(np.diff(np.concatenate(([0], row, [0]))))
        longest = max(longest, *(edges[1::2] - edges[::2]))
    assert longest == pytest.approx(2 * 203, abs=3)
