"""Lot codes are written and read back."""

import datetime as dt

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pinfeather.errors import InputError
from pinfeather.packs.lot_code import LotCode, parse_lot_code

PARTS = st.text("ABCXYZ0189", min_size=1, max_size=5)
CODES = st.builds(LotCode, st.dates(dt.date(2000, 1, 1), dt.date(2099, 12, 31)), PARTS, PARTS)


@given(CODES)
def test_a_lot_code_is_read_back_from_both_forms(code):
    assert parse_lot_code(str(code)) == code
    assert parse_lot_code(code.compact.lower()) == code


@given(CODES)
def test_the_compact_form_fits_a_machine_read_field(code):
    assert len(code.compact) <= 20
    assert " " not in code.compact


def test_it_looks_as_documented():
    assert str(LotCode(dt.date(2026, 9, 12), "B3", "T1")) == "2026-09-12 B3 T1"


@pytest.mark.parametrize(
    "text",
    ["", "2026-09-12", "2026-02-30 B3 T1", "2026-09-12 B3", "B3 T1 2026-09-12", "2026-09-12 B- T1"],
)
def test_what_is_not_a_lot_code_is_refused(text):
    with pytest.raises(InputError):
        parse_lot_code(text)


def test_a_part_with_other_signs_is_refused():
    with pytest.raises(InputError, match="A–Z"):
        LotCode(dt.date(2026, 9, 12), "b3", "T1")
