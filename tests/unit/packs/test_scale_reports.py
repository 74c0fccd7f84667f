"""Weights as scales send them: report bytes, lines, and one weight for each load."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pinfeather.errors import InputError
from pinfeather.packs.scale_reports import (
    USUAL_PATTERN,
    Shown,
    Stable,
    compiled,
    read_line,
    read_report,
)

POUND, OUNCE, GRAM, KILOGRAM = 12, 11, 2, 3


def report(status: int, unit: int, power: int, value: int, *, number: int | None = 3) -> bytes:
    """Bytes in the order of the tables: status, unit, power of ten, weight low byte first."""
    body = bytes([status, unit, power & 0xFF]) + value.to_bytes(2, "little")
    return body if number is None else bytes([number]) + body


@pytest.mark.parametrize(
    ("data", "written", "state"),
    [
        (report(4, POUND, -2, 452), "4.52 lb", "stable"),
        (report(4, OUNCE, -1, 6452), "645.2 oz", "stable"),
        (report(4, OUNCE, -1, 6452, number=None), "645.2 oz", "stable"),
        (report(4, GRAM, 0, 20), "20 g", "stable"),
        (report(3, KILOGRAM, -3, 1919), "1.919 kg", "moving"),
        (report(2, POUND, -2, 0), "0.00 lb", "zero"),
        (report(5, POUND, -2, 3), "-0.03 lb", "under zero"),
        (report(6, POUND, -2, 3000), "30.00 lb", "over limit"),
        (report(1, POUND, -2, 0), "0.00 lb", "fault"),
        (report(4, 1, 3, 4520), "4520 g", "stable"),
    ],
)
def test_a_report_is_read_as_the_tables_order_it(data, written, state):
    shown = read_report(data)

    assert (shown.written, shown.state) == (written, state)


@given(st.integers(-6, 3), st.integers(0, 65535), st.booleans())
def test_every_weight_comes_back_exactly(power, value, numbered):
    shown = read_report(report(4, GRAM, power, value, number=3 if numbered else None))

    assert shown.value == Decimal(value).scaleb(power)


@pytest.mark.parametrize(
    "data", [b"", b"\x03\x04\x0c", report(9, POUND, -2, 1), report(4, 10, -2, 1),
             report(4, POUND, 90, 1)]
)  # fmt: skip
def test_what_is_no_weight_is_refused_in_a_sentence(data):
    with pytest.raises(InputError, match=r"\.$"):
        read_report(data)


@given(st.binary(max_size=12))
def test_any_bytes_are_read_or_refused(data):
    try:
        shown = read_report(data)
    except InputError:
        return
    assert shown.unit in {"lb", "oz", "kg", "g"}


@pytest.mark.parametrize(
    ("line", "written", "state"),
    [
        ("ST,GS,+  4.52lb", "4.52 lb", "stable"),
        ("US,GS,+  4.52lb", "4.52 lb", "moving"),
        ("S    1.919 kg", "1.919 kg", "stable"),
        ("   4.50 lb", "4.50 lb", "moving"),
        ("ST,GS,+  0.00lb", "0.00 lb", "zero"),
        ("ST,NT,-  0.03lb", "-0.03 lb", "under zero"),
    ],
)
def test_usual_lines_of_serial_scales_are_read(line, written, state):
    shown = read_line(line, compiled(""))

    assert shown is not None
    assert (shown.written, shown.state) == (written, state)


def test_a_pattern_of_ones_own_is_used():
    own = compiled(r"^N(?P<value>\d{6})$")

    shown = read_line("N000452", own, unit="g")

    assert shown is not None
    assert shown.written == "452 g"
    assert read_line("hello", own) is None


@pytest.mark.parametrize("pattern", ["(", r"(?P<unit>lb)"])
def test_a_pattern_that_makes_no_sense_is_refused(pattern):
    with pytest.raises(InputError):
        compiled(pattern)


@given(st.text(max_size=40))
def test_any_line_is_read_or_passed_over(line):
    shown = read_line(line, compiled(USUAL_PATTERN))
    assert shown is None or shown.unit in {"lb", "oz", "kg", "g"}


def fed(rule: Stable, *weights: tuple[str, str]) -> list[str]:
    given_ = (rule.see(Shown(state, Decimal(value), "lb")) for state, value in weights)
    return [one.written for one in given_ if one is not None]


def test_a_stable_weight_is_given_once_until_the_scale_is_emptied():
    rule = Stable()

    once = [("moving", "2.10"), ("stable", "4.52"), ("stable", "4.52"), ("stable", "4.53")]
    assert fed(rule, *once, ("moving", "4.52"), ("stable", "4.52")) == ["4.52 lb"]
    assert fed(rule, ("zero", "0"), ("stable", "4.52")) == ["4.52 lb"]


def test_without_a_word_from_the_scale_four_alike_make_it_stable():
    rule = Stable()

    assert fed(rule, *[("moving", "4.51")] * 3, *[("moving", "4.52")] * 3) == []
    assert fed(rule, ("moving", "4.52")) == ["4.52 lb"]


def test_trouble_on_the_scale_gives_nothing():
    assert fed(Stable(), *[("over limit", "30.1"), ("fault", "0"), ("under zero", "-1")] * 5) == []


@given(st.lists(st.sampled_from([("stable", "4.5"), ("moving", "4.5"), ("stable", "3.2"),
                                 ("zero", "0"), ("moving", "0.01")]), max_size=80))  # fmt: skip
def test_never_two_weights_without_an_empty_scale_between(readings):
    rule, loaded = Stable(), False
    for state, value in readings:
        found = rule.see(Shown(state, Decimal(value), "lb"))
        if Decimal(value) < 1:
            loaded = False
        if found is not None:
            assert not loaded
            loaded = True
