from __future__ import annotations

import datetime as dt
import io
from dataclasses import dataclass
from decimal import Decimal

import pypdf
import pytest

from pinfeather.errors import InputError
from pinfeather.finding import Severity
from pinfeather.reports.strip import StripPoint
from pinfeather.reports.typeset import packaged_picture, plain, typeset

PRINTED = dt.datetime(2026, 9, 12, 15, 0, tzinfo=dt.UTC)


@dataclass(frozen=True)
class Twig:
    weight: Decimal
    mark: Severity


def test_a_tree_of_results_becomes_plain_data():
    tree = {"a": (Twig(Decimal("1.50"), Severity.STOP), None, True, 2.5), 3: dt.date(2026, 9, 12)}

    assert plain(tree) == {
        "a": [{"weight": "1.50", "mark": "stop"}, None, True, 2.5],
        "3": "2026-09-12",
    }


def test_named_tuples_keep_their_names_and_bytes_become_numbers():
    assert plain(StripPoint(1, None, 2.0, 3.0, None)) == {
        "station": 1, "arrive_s": None, "start_s": 2.0, "finish_s": 3.0, "depart_s": None,
    }  # fmt: skip
    assert plain(b"\x00\xff") == [0, 255]


def test_control_characters_are_left_out():
    assert plain("a\x00b\x1bc\nd") == "abc\nd"


def test_something_that_is_not_data_is_refused():
    with pytest.raises(InputError, match="document"):
        plain(object())


@pytest.fixture
def block():
    def make(heading, rationale="x"):
        return {
            "block": {"heading": heading, "rationale": rationale, "statements": []},
            "block_pt": 400.0,
            "most_high_pt": 1000.0,
            "roomy": True,
        }

    return make


def words(pdf):
    return "".join(page.extract_text() for page in pypdf.PdfReader(io.BytesIO(pdf)).pages)


@pytest.mark.parametrize(
    "written",
    [
        "#panic()", "*bold* _thin_", "$x^2$", "[a] ]", "@ref <label>", r"back\slash \u{41}",
        "`code`", "// no comment", "/* none */", "= not a heading", "- no list", "+ 1.",
        '"quoted" \'s', "~ -- --- ...", "{ } ; : , #let x = 1", "1 < 2 & 3 > 2",
    ],
)  # fmt: skip
def test_signs_that_mean_something_to_the_typesetter_are_printed_as_they_are(block, written):
    pdf = typeset("safe_handling", block("Heading", written), printed_at=PRINTED)

    assert written in words(pdf).replace("\n", " ")


def test_the_same_input_gives_the_same_bytes(block):
    once = typeset("safe_handling", block("A"), printed_at=PRINTED)

    assert typeset("safe_handling", block("A"), printed_at=PRINTED) == once
    assert typeset("safe_handling", block("B"), printed_at=PRINTED) != once


def test_the_creation_date_is_the_moment_of_printing(block):
    pdf = typeset("safe_handling", block("A"), printed_at=PRINTED)

    assert pypdf.PdfReader(io.BytesIO(pdf)).metadata.creation_date == PRINTED


def test_only_the_typesetters_own_fonts_are_used(block):
    pdf = typeset("safe_handling", block("A", "° – é Ω"), printed_at=PRINTED)

    fonts = set()
    for page in pypdf.PdfReader(io.BytesIO(pdf)).pages:
        for font in page["/Resources"]["/Font"].values():
            fonts.add(font.get_object()["/BaseFont"].split("+")[-1])
    assert fonts
    assert all(name.startswith("LibertinusSerif") for name in fonts)


def test_a_number_that_is_not_finite_is_refused(block):
    with pytest.raises(InputError, match="finite"):
        typeset("safe_handling", {**block("A"), "block_pt": float("nan")}, printed_at=PRINTED)


def test_a_template_that_does_not_get_its_data_says_so():
    with pytest.raises(InputError, match="could not be set"):
        typeset("safe_handling", {}, printed_at=PRINTED)


def test_a_moment_without_a_zone_is_refused(block):
    with pytest.raises(InputError, match="printed_at"):
        typeset("safe_handling", block("A"), printed_at=PRINTED.replace(tzinfo=None))


@pytest.mark.parametrize("name", ["refrigerator", "hands", "skillet", "thermometer"])
def test_each_icon_is_there_and_black(name):
    svg = packaged_picture(name)

    assert svg.startswith("<svg")
    assert set(svg.split('stroke="')[1:]) != set()
    assert all(part.startswith("#000") for part in svg.split('stroke="')[1:])
