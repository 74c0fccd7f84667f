"""The weighing desk: net weight, price, lot code, label."""

from __future__ import annotations

from decimal import Decimal

import pytest

from pinfeather.actions.day import days, running
from pinfeather.actions.desk import labels as package_labels
from pinfeather.actions.desk import packing
from pinfeather.errors import InputFaultsError, RecordConflictError, RecordNotFoundError
from pinfeather.records import models


def weigh(day_id: int, **changed) -> packing.Weighed:
    values = {
        "lot": "K7",
        "tank": "North tank",
        "product": "Whole chicken",
        "gross": "4.55 lb",
        "tare": "0.03 lb",
        "price_per_lb": "5.50",
        "birds": 1,
        "who": "Bram",
    }
    return packing.weigh(day_id, **{**values, **changed})


@pytest.mark.parametrize(
    ("gross", "tare", "price", "net", "total"),
    [
        ("4.55 lb", "0.03 lb", "5.50", "4.52", "24.86"),
        ("4.55 lb", "0.021 lb", "5.50", "4.52", "24.86"),  # tare is rounded up to the division
        ("4 lb 8 oz", "0 lb", "5.50", "4.50", "24.75"),
        ("3.53 lb", "0.03 lb", "4.55", "3.50", "15.93"),  # half a cent goes up: 15.925
        ("2 kg", "0.03 lb", "$5", "4.38", "21.90"),
        ("4.55 lb", "0.03 lb", "", "4.52", ""),
        ("4.55 lb", "0.03 lb", "0", "4.52", "0.00"),
    ],
)
def test_net_weight_and_price(running_day, gross, tare, price, net, total) -> None:
    weighed = weigh(running_day, gross=gross, tare=tare, price_per_lb=price)

    assert Decimal(weighed.net_lb) == Decimal(net)
    assert weighed.total == total
    (package,) = running.day_progress(running_day).packages
    assert (package.net_lb, package.total, package.who) == (weighed.net_lb, total, "Bram")


@pytest.mark.parametrize(
    ("changed", "at_fault"),
    [
        ({"gross": ""}, {"gross"}),
        ({"gross": "4.55"}, {"gross"}),
        ({"gross": "4,55 lb"}, {"gross"}),
        ({"gross": "39 F"}, {"gross"}),
        ({"gross": "0.03 lb"}, {"gross"}),
        ({"gross": "0.01 lb"}, {"gross"}),
        ({"gross": "-4 lb"}, {"gross"}),
        ({"tare": "a bag"}, {"tare"}),
        ({"price_per_lb": "five"}, {"price_per_lb"}),
        ({"price_per_lb": "-5"}, {"price_per_lb"}),
        ({"price_per_lb": "NaN"}, {"price_per_lb"}),
        ({"price_per_lb": "Infinity"}, {"price_per_lb"}),
        ({"price_per_lb": "5.256"}, {"price_per_lb"}),
        ({"product": " "}, {"product"}),
        ({"gross": "", "tare": "x", "price_per_lb": "y", "product": ""},
         {"gross", "tare", "price_per_lb", "product"}),
    ],
)  # fmt: skip
def test_every_fault_is_told_and_nothing_is_written(running_day, changed, at_fault) -> None:
    with pytest.raises(InputFaultsError) as told:
        weigh(running_day, **changed)

    assert {f.name for f in told.value.faults} == at_fault
    assert all(f.problem.endswith(".") for f in told.value.faults)
    assert running.day_progress(running_day).packages == ()


def test_packages_are_numbered_on_and_a_taken_back_number_is_not_missed(running_day) -> None:
    first, second = weigh(running_day), weigh(running_day)
    running.write("correction", {"of": first.id, "reason": "bag tore"}, day_id=running_day, who="B")
    third = weigh(running_day)

    assert [first.number, second.number, third.number] == [1, 2, 3]
    assert running.day_progress(running_day).count("bag") == 2


def test_two_desks_at_once_never_give_one_number_twice(real_store, in_threads) -> None:
    day_id = days.days()[0].id

    weighed = in_threads([lambda: [weigh(day_id).number for _ in range(8)]] * 3)

    assert sorted(n for numbers in weighed for n in numbers) == list(range(1, 25))


def test_part_of_a_bird_already_counted_adds_no_bird(running_day) -> None:
    weigh(running_day, birds=1)
    weigh(running_day, product="Necks and feet", birds=0)

    done = running.day_progress(running_day)
    assert len(done.packages) == 2
    assert done.count("bag") == 1


def test_a_closed_day_takes_no_package(running_day) -> None:
    models.Day.objects.filter(pk=running_day).update(status="closed", seal="ab" * 32)

    with pytest.raises(RecordConflictError):
        weigh(running_day)


def test_a_lot_code_names_day_flock_and_tank(running_day) -> None:
    weigh(running_day)
    day = days.day(running_day)
    (package,) = running.day_progress(running_day).packages

    assert packing.lot_code(day, package) == "2026-06-17 K7 T1"
    assert packing.tank_code(day, "no such tank") == "T0"


@pytest.mark.parametrize(
    ("lot", "code"), [("K7", "K7"), ("b3", "B3"), ("late birds", "LATEB"), ("<&>", "X"), ("", "X")]
)
def test_any_lots_name_gives_a_code_that_can_be_printed(lot, code) -> None:
    assert packing.flock_code(lot) == code


def test_the_desk_starts_with_what_the_last_package_said(running_day) -> None:
    start = packing.desk_start(days.day(running_day))
    assert (start.lot, start.tank, start.price_per_lb) == ("K7", "North tank", "5.50")

    weigh(running_day, product="Chicken legs", tare="0.05 lb", price_per_lb="4.25")

    again = packing.desk_start(days.day(running_day))
    assert (again.product, again.price_per_lb) == ("Chicken legs", "4.25")
    assert again.tare.startswith("0.05")


@pytest.mark.parametrize("size", package_labels.LABEL_SIZES)
def test_labels_say_what_was_weighed(running_day, now, size) -> None:
    import io

    from pypdf import PdfReader

    weigh(running_day)
    weigh(running_day, gross="5.12 lb")

    content = package_labels.labels(running_day, size=size, printed_at=now)
    text = " ".join(
        " ".join(page.extract_text().split()) for page in PdfReader(io.BytesIO(content)).pages
    )

    for words in ("Whole chicken", "4.52 lb", "5.09 lb", "24.86", "Sorrel Bank Farm", "K7"):
        assert words in text, words
    assert "Tull Landing" in text
    assert "Safe Handling Instructions".lower() in text.lower()
    assert package_labels.labels(running_day, size=size, printed_at=now) == content


def test_labels_are_printed_of_all_or_of_some(running_day, now) -> None:
    import io

    from pypdf import PdfReader

    for gross in ("4.01 lb", "4.02 lb", "4.03 lb"):
        weigh(running_day, gross=gross, tare="0.01 lb")

    def pages(*numbers: int) -> int:
        content = package_labels.labels(running_day, size="4x3", numbers=numbers, printed_at=now)
        return len(PdfReader(io.BytesIO(content)).pages)

    assert (pages(), pages(2), pages(1, 3)) == (3, 1, 2)
    with pytest.raises(RecordNotFoundError, match="no such package"):
        pages(9)


def test_a_farm_without_an_address_is_told_before_printing(running_day, day_mapping) -> None:
    models.Farm.objects.update(tier="producer_20000")
    days.save_plan(day_mapping(), day_id=running_day, days=2, change_days=0)
    weigh(running_day)
    (package,) = running.day_progress(running_day).packages
    fine = package_labels.label_findings(days.day(running_day), package)
    models.Farm.objects.update(address="")

    missing = package_labels.label_findings(days.day(running_day), package)

    assert {f.code for f in missing} - {f.code for f in fine}
