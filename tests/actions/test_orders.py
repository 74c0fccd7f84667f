"""Orders, deposits, and giving real packages to them."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal

import pytest

from pinfeather.actions.desk import packing
from pinfeather.actions.stock import book, counter, customers, giving, orders
from pinfeather.actions.stock import sales as sales_book
from pinfeather.errors import InputError, InputFaultsError, RecordConflictError
from pinfeather.records import models

THURSDAY = "2026-06-18"
UNTIL = dt.date(2026, 6, 18)


@pytest.fixture
def birds(running_day, frozen) -> tuple[str, ...]:
    """Four birds of 4.00, 4.50, 5.00 and 5.50 lb; their ids."""
    return tuple(
        packing.weigh(
            running_day, lot="K7", tank="North tank", product="Whole chicken",
            gross=f"{net} lb", tare="0 lb", price_per_lb="5.00", birds=1, who="Bram",
        ).id
        for net in ("4.00", "4.50", "5.00", "5.50")
    )  # fmt: skip


def someone(name="Nell Ashby", **more):
    return customers.save_customer(name=name, **more)


def typed(customer, count="1", low="", high="", **more):
    return {
        "customer": str(customer), "pickup_on": THURSDAY, "count_0": count,
        "product_0": "Whole chicken", "from_0": low, "to_0": high, **more,
    }  # fmt: skip


def keep_all(*, by_turns=False):
    found = giving.propose(until=UNTIL, by_turns=by_turns)
    pairs = [bird.key for bird in found.birds if bird.package]
    giving.keep(pairs, until=UNTIL, who="Odile", by_turns=by_turns)
    return found


def test_an_order_says_what_was_asked(birds) -> None:
    number = orders.save_order(
        typed(someone(), "2", "4", "5 lb", giblets_0="on", most_0="5.2", pickup_from="16:00",
              pickup_until="18:00", occasion="Thanksgiving", note="ring the bell")
    )  # fmt: skip
    one = orders.order(number)
    assert (len(one.wishes), one.window, one.occasion) == (2, "16:00–18:00", "Thanksgiving")
    assert one.lines[0][0] == 2
    assert one.wishes[0].size == "4 to 5 lb, never over 5.2 lb"
    assert one.wishes[0].giblets
    assert one.lacks == 2


def test_every_fault_of_an_order_is_told_at_once() -> None:
    with pytest.raises(InputFaultsError) as refused:
        orders.save_order(
            {
                "customer": "", "pickup_on": "soon", "pickup_from": "noon", "venue": "moon",
                "every_weeks": "often", "count_0": "none", "product_0": "", "from_0": "5",
                "to_0": "4", "most_0": "heavy",
            }
        )  # fmt: skip
    assert {fault.name for fault in refused.value.faults} == {
        "customer", "pickup_on", "pickup_from", "venue", "every_weeks", "count_0", "product_0",
        "to_0", "most_0",
    }  # fmt: skip


@pytest.fixture(autouse=True)
def _on_a_farm(request) -> None:
    if "birds" not in request.fixturenames:
        request.getfixturevalue("farm")


def test_packages_go_to_the_orders_they_fit_with_the_reason(birds) -> None:
    large = orders.save_order(typed(someone(), "1", "5", "6"))
    small = orders.save_order(typed(someone("Ode Falk"), "1", "4", "4.2"))
    keep_all()
    assert [p.net_lb for p in orders.order(small).promised] == [Decimal("4.00")]
    (got,) = orders.order(large).promised
    assert Decimal(5) <= got.net_lb <= 6
    assert "as wished" in orders.order(large).wishes[0].why
    assert orders.order(large).lacks == 0


def test_a_pin_stands_and_one_to_a_package_that_left_is_told(birds) -> None:
    number = orders.save_order(typed(someone(), "1", "4", "4.2"))
    orders.pin(number, 0, birds[3])
    found = giving.propose(until=UNTIL)
    assert found.birds[0].package.id == birds[3]
    assert found.birds[0].pinned
    book.write("stock", {"act": "home", "packages": [birds[3]]}, who="Bram")
    found = giving.propose(until=UNTIL)
    assert found.birds[0].package.id == birds[0]
    assert "allocate.pin_gone" in {f.code for f in found.findings}
    with pytest.raises(InputError):
        orders.pin(number, 7, birds[0])


def test_when_birds_run_short_both_ways_to_share_are_shown(birds) -> None:
    orders.save_order(typed(someone(), "4"))
    late = orders.save_order(typed(someone("Ode Falk"), "1"))
    assert giving.propose(until=UNTIL).short == 1
    assert [b.package for b in giving.propose(until=UNTIL).birds if b.order.id == late] == [None]
    keep_all(by_turns=True)
    assert orders.order(late).lacks == 0


def test_giving_again_takes_back_what_was_promised_before(birds) -> None:
    first = orders.save_order(typed(someone(), "1", "4", "4.2"))
    keep_all()
    orders.pin(first, 0, birds[2])
    keep_all()
    assert [p.id for p in orders.order(first).promised] == [birds[2]]
    assert book.package(birds[0]).kept.free


def test_a_proposal_that_no_longer_holds_promises_nothing(birds) -> None:
    one = orders.save_order(typed(someone(), "2", "4", "5"))
    found = giving.propose(until=UNTIL)
    counter.sell([birds[0]], {"paid_by": "cash"}, who="", client_id="walkin")
    with pytest.raises(InputFaultsError):
        giving.keep([b.key for b in found.birds if b.package], until=UNTIL, who="")
    assert orders.order(one).promised == ()
    assert book.package(birds[1]).kept.free


def test_a_promised_bird_is_not_sold_over_the_counter_but_to_its_order(birds) -> None:
    nell = someone(address="3 Mill Row")
    number = orders.save_order(typed(nell, "1", "4", "4.2"))
    keep_all()
    with pytest.raises(InputFaultsError):
        counter.sell([birds[0]], {"paid_by": "cash"}, who="", client_id="walkin")
    counter.sell(
        [birds[0]], {"paid_by": "cash", "order": str(number), "customer": str(nell)},
        who="", client_id="pickup",
    )  # fmt: skip
    assert orders.order(number).status == "picked up"
    assert sales_book.sale("pickup").payload["buyer"]["address"] == "3 Mill Row"


def test_a_deposit_is_used_at_pickup_and_what_is_left_goes_back(birds, frozen) -> None:
    number = orders.save_order(typed(someone(), "1", "4", "4.2"))
    orders.deposit(number, act="taken", amount="30.00", paid_by="cash", who="Odile")
    orders.deposit(number, act="returned", amount="5.00", paid_by="cash", who="Odile")
    assert orders.order(number).deposit == Decimal("25.00")
    keep_all()
    counter.sell([birds[0]], {"paid_by": "cash", "order": str(number)}, who="", client_id="pickup")
    written = sales_book.sale("pickup").payload
    names = ("total", "from_deposit", "to_pay", "deposit_back")
    assert [written[name] for name in names] == ["20.00", "20.00", "0.00", "5.00"]
    assert orders.order(number).deposit == 0
    assert sales_book.till_of(frozen.date()) == {"cash": Decimal("20.00")}


@pytest.mark.parametrize("amount", ["", "ten", "-1", "1.005", "99999999", "NaN", "Infinity"])
def test_a_deposit_that_is_no_money_is_refused(birds, amount) -> None:
    number = orders.save_order(typed(someone()))
    with pytest.raises(InputFaultsError) as refused:
        orders.deposit(number, act="taken", amount=amount, paid_by="beans", who="")
    assert {fault.name for fault in refused.value.faults} == {"amount", "paid_by"}
    with pytest.raises(InputFaultsError):
        orders.deposit(number, act="returned", amount="1.00", paid_by="cash", who="")


def test_a_standing_order_comes_again_and_a_cancelled_one_sets_its_birds_free(birds) -> None:
    number = orders.save_order(typed(someone(), "1", "4", "4.2", every_weeks="2"))
    keep_all()
    counter.sell([birds[0]], {"paid_by": "cash", "order": str(number)}, who="", client_id="pickup")
    (again,) = orders.orders()
    assert (again.pickup_on, again.every_weeks) == (UNTIL + dt.timedelta(weeks=2), 2)
    assert again.wishes[0].given == ""

    other = orders.save_order(typed(someone("Ode Falk")))
    keep_all()
    assert orders.order(other).promised
    orders.cancel(other, who="Odile")
    assert orders.order(other).status == "cancelled"
    assert book.in_stock()[0].kept.free
    with pytest.raises(RecordConflictError):
        orders.cancel(other, who="Odile")


def test_two_people_changing_one_order_are_told(birds) -> None:
    nell = someone()
    number = orders.save_order(typed(nell))
    orders.save_order({**typed(nell, "2"), "version": "1"}, order_id=number)
    with pytest.raises(RecordConflictError):
        orders.save_order({**typed(nell, "3"), "version": "1"}, order_id=number)


def test_a_held_bird_is_given_to_nobody(birds) -> None:
    orders.save_order(typed(someone(), "4"))
    book.write("stock", {"act": "hold", "packages": [birds[0]], "reason": "warm"}, who="")
    assert giving.propose(until=UNTIL).served == 3


def test_a_customer_needs_a_name_and_a_kind() -> None:
    with pytest.raises(InputFaultsError) as refused:
        customers.save_customer(name=" ", kind="pirate", phone="5" * 60)
    assert {fault.name for fault in refused.value.faults} == {"name", "kind", "phone"}
    number = customers.save_customer(name="Nell  Ashby")
    customers.save_customer(name="Nell Ashby", kind="restaurant", customer_id=number)
    assert [(c.name, c.kind) for c in customers.customers()] == [("Nell Ashby", "restaurant")]
    assert models.Customer.objects.count() == 1
