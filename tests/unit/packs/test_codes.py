"""Numbers with check digits."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pinfeather.errors import InputError
from pinfeather.packs.codes import (
    US_PATTERNS,
    check_digit,
    is_right,
    look_up_key,
    own_number,
    read_store_code,
    store_code,
    variable_gtin,
    verifier_digit,
    with_check_digit,
)

DIGITS = st.text("0123456789", min_size=7, max_size=17)


@given(DIGITS, st.data())
def test_any_single_wrong_digit_is_noticed(payload, data):
    number = with_check_digit(payload)
    assert is_right(number)
    place = data.draw(st.integers(0, len(number) - 1))
    wrong = data.draw(st.sampled_from([d for d in "0123456789" if d != number[place]]))
    assert not is_right(number[:place] + wrong + number[place + 1 :])


@given(st.sampled_from(US_PATTERNS), st.integers(0, 99_999), st.integers(0, 9_999))
def test_store_codes_are_read_back(pattern, item, cents):
    price = Decimal(cents) / 100
    code = store_code(item, price, pattern=pattern)
    assert len(code) == 12
    assert read_store_code(code, pattern=pattern) == (item, price)
    empty = look_up_key(code, pattern=pattern)
    assert empty[: 1 + pattern.count("I")] == code[: 1 + pattern.count("I")]
    assert is_right(empty)


@given(st.text("0123456789", min_size=4, max_size=5), st.data())
def test_the_verifier_digit_notices_any_single_wrong_digit(field, data):
    place = data.draw(st.integers(0, len(field) - 1))
    wrong = data.draw(st.sampled_from([d for d in "0123456789" if d != field[place]]))
    other = field[:place] + wrong + field[place + 1 :]
    assert verifier_digit(other) != verifier_digit(field)


@given(st.integers(0, 10**10 - 1))
def test_a_farms_own_numbers_stay_in_the_range_no_store_reads(serial):
    number = own_number(serial)
    assert number.startswith("4")
    assert is_right(number)


@pytest.mark.parametrize(
    "call",
    [
        lambda: check_digit("12a"),
        lambda: check_digit(""),
        lambda: check_digit("٣٤"),
        lambda: is_right("1"),
        lambda: verifier_digit("123"),
        lambda: store_code(1, Decimal("1.005")),
        lambda: store_code(1, Decimal(-1)),
        lambda: store_code(100_000, Decimal(1)),
        lambda: store_code(1, Decimal(1), pattern="2IIIII"),
        lambda: store_code(1, Decimal(1), pattern="2PPPPPPPPPPC"),
        lambda: read_store_code("212345928751", pattern=US_PATTERNS[0]),
        lambda: read_store_code("312345928752", pattern=US_PATTERNS[0]),
        lambda: read_store_code("2123459287", pattern=US_PATTERNS[0]),
        lambda: own_number(10**10),
        lambda: variable_gtin("123"),
    ],
    ids=lambda call: f"line-{call.__code__.co_firstlineno}",
)
def test_what_does_not_fit_is_refused(call):
    with pytest.raises(InputError):
        call()
