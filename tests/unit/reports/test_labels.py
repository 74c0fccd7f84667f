from __future__ import annotations

import dataclasses
import datetime as dt
from decimal import Decimal

import pytest

from pinfeather.errors import InputError
from pinfeather.reports.labels import (
    LabelSheetItem,
    SafeHandling,
    SafeHandlingLine,
    labels_pdf,
    trace_text,
)

PRINTED = dt.datetime(2026, 9, 12, 15, 0, tzinfo=dt.UTC)
LABEL = LabelSheetItem(
    product="Duck, whole",
    net_weight_lb=Decimal("4.10"),
    packed_on=dt.date(2026, 9, 12),
    lot="B3",
    producer="Juniper Hollow Farm",
    address=("418 Cold Spring Lane",),
    handling="Keep Frozen",
)


def test_the_code_says_lot_day_farm_and_phone_in_plain_words():
    day = dt.date(2026, 9, 12)

    assert trace_text(lot="B3 T1", packed_on=day, farm="Juniper Hollow", phone="555 0142") == (
        "Lot B3 T1; packed 2026-09-12; farm Juniper Hollow; phone 555 0142"
    )
    assert "phone" not in trace_text(lot="B3", packed_on=day, farm="F")


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"net_weight_lb": Decimal(0)}, "weighs"),
        ({"net_weight_lb": Decimal("NaN")}, "weighs"),
        ({"total": Decimal("-0.01")}, "price"),
        ({"price_per_lb": Decimal("Infinity")}, "price"),
        (
            {"safe_handling": SafeHandling("H", "R", (SafeHandlingLine("spoon", "x"),))},
            "no such picture",
        ),
    ],
)
def test_a_label_that_cannot_be_is_refused(changes, words):
    with pytest.raises(InputError, match=words):
        labels_pdf([dataclasses.replace(LABEL, **changes)], "4x3", printed_at=PRINTED)


def test_no_labels_and_unknown_sizes_are_refused():
    with pytest.raises(InputError, match="no label"):
        labels_pdf([], "4x3", printed_at=PRINTED)
    with pytest.raises(InputError, match="4x3, 4x6, 4x8 and letter"):
        labels_pdf([LABEL], "2x1", printed_at=PRINTED)


def test_a_code_longer_than_any_square_code_is_refused():
    with pytest.raises(InputError, match=r"labels\[1\]"):
        labels_pdf([LABEL, dataclasses.replace(LABEL, trace="x" * 4000)], "4x6", printed_at=PRINTED)
