"""The stock ledger on a real store: what was written is how packages stand."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal

import pytest

from pinfeather.actions.day import running
from pinfeather.actions.desk import packing
from pinfeather.actions.stock import book, counter, counting, freezer, recalls
from pinfeather.actions.stock import finding_packages as finding
from pinfeather.actions.stock import sales as sales_book
from pinfeather.actions.stock import tracing as traces
from pinfeather.actions.stock.tables import catch_up
from pinfeather.errors import InputFaultsError, RecordNotFoundError
from pinfeather.records import models


@pytest.fixture
def packed(running_day) -> tuple[str, ...]:
    """Three birds weighed and labelled; their ids."""
    return tuple(
        packing.weigh(
            running_day,
            lot="K7",
            tank="North tank",
            product="Whole chicken",
            gross=gross,
            tare="0.03 lb",
            price_per_lb="5.50",
            birds=1,
            who="Bram",
        ).id
        for gross in ("4.55 lb", "4.13 lb", "5.03 lb")
    )


@pytest.fixture
def barn(packed) -> tuple[str, ...]:
    """The same birds in a freezer."""
    freezer.save_place("Barn freezer", kind="freezer", volume="15 ft3")
    freezer.save_place("Box 1", kind="box", inside="Barn freezer")
    freezer.put(packed, place_name="Box 1", who="Bram")
    return packed


def sold(ids, client_id="sale1", **typed):
    values = {"paid_by": "cash", "buyer_name": "Nell Ashby", "buyer_address": "3 Mill Row"}
    return counter.sell(ids, {**values, **typed}, who="Odile", client_id=client_id)


def whole() -> Decimal:
    sums = book.totals()
    assert sums.lost_lb == 0
    assert sum(sums.by_state_lb.values()) == sums.weighed_lb
    return sums.weighed_lb


def test_a_weighed_package_is_in_stock_at_once_and_never_counted_twice(packed) -> None:
    assert [p.id for p in book.in_stock()] == list(packed)
    assert catch_up() == ()
    assert whole() == Decimal("4.52") + Decimal("4.10") + Decimal("5.00")


def test_every_way_out_keeps_the_pounds_whole(barn) -> None:
    first, second, third = barn
    weighed = whole()
    sold([first])
    book.write("stock", {"act": "home", "packages": [second]}, who="Bram")
    book.write("stock", {"act": "wasted", "packages": [third], "reason": "torn"}, who="Bram")
    assert whole() == weighed
    assert book.in_stock() == ()
    assert book.totals().by_state["home"] == 1


def test_working_everything_out_again_gives_the_same(barn) -> None:
    sold([barn[0]])
    sales_book.refund(
        "sale1", [barn[0]], {"reason": "wrong bird", "paid_by": "cash", "fate": "stock"}, who=""
    )
    book.write("stock", {"act": "hold", "packages": [barn[1]], "reason": "warm"}, who="Bram")
    before = {p.id: p for p in book.where()}
    assert book.rebuild() == ()
    assert {p.id: p for p in book.where()} == before
    assert before[barn[1]].kept.held == "warm"
    assert before[barn[0]].kept.in_stock


def test_verify_finds_a_package_whose_row_was_changed_by_hand(barn) -> None:
    sold([barn[0]])
    assert book.adrift() == ()
    models.Pack.objects.filter(pk=barn[0]).update(state="stock", sale="")
    assert book.adrift() == (barn[0],)
    book.rebuild()
    assert book.adrift() == ()


def test_an_entry_taken_back_leaves_the_package_as_it_was(barn) -> None:
    ident = book.write("stock", {"act": "home", "packages": [barn[0]]}, who="Bram")
    assert not book.package(barn[0]).kept.in_stock
    book.take_back(ident, reason="took the other one", who="Bram")
    assert book.package(barn[0]).kept.in_stock
    assert book.package(barn[0]).kept.place == "Box 1"
    assert [line.taken_back for line in book.history(barn[0])] == [False, True]
    whole()


def test_a_package_taken_back_at_the_scale_was_never_in_stock(running_day, packed) -> None:
    running.write(
        "correction", {"of": packed[0], "reason": "weighed twice"}, day_id=running_day, who="Bram"
    )
    with pytest.raises(RecordNotFoundError):
        book.package(packed[0])
    assert len(book.in_stock()) == 2
    whole()


def test_two_phones_cannot_sell_one_package_twice(barn) -> None:
    sold([barn[0]], client_id="phone1")
    with pytest.raises(InputFaultsError) as refused:
        sold([barn[1], barn[0]], client_id="phone2")
    assert [fault.value for fault in refused.value.faults] == [barn[0]]
    assert book.package(barn[1]).kept.in_stock
    assert len(sales_book.sales()) == 1


def test_at_the_same_moment_only_one_of_two_phones_sells(real_store, in_threads) -> None:
    from pinfeather.actions.day import days

    day = days.days()[0].id
    ident = packing.weigh(
        day, lot="K7", tank="North tank", product="Whole chicken", gross="4.55 lb",
        tare="0.03 lb", price_per_lb="5.50", birds=1, who="Bram",
    ).id  # fmt: skip
    book.catch_up()

    results = in_threads([lambda n=n: sold([ident], client_id=f"phone{n}") for n in range(4)])

    assert sum(isinstance(result, str) for result in results) == 1
    assert sum(isinstance(result, InputFaultsError) for result in results) == 3
    assert len(sales_book.sales()) == 1


def test_the_same_sale_sent_twice_is_one_sale(barn) -> None:
    assert sold([barn[0]]) == sold([barn[0]])
    assert len(sales_book.sales()) == 1


@pytest.mark.parametrize(
    ("typed", "at_fault"),
    [
        ({"paid_by": "shells"}, "paid_by"),
        ({"venue": "moon"}, "venue"),
        ({"buyer_kind": "stranger"}, "buyer_kind"),
    ],
)
def test_what_is_not_known_is_refused(barn, typed, at_fault) -> None:
    with pytest.raises(InputFaultsError) as refused:
        sold([barn[0]], **typed)
    assert [fault.name for fault in refused.value.faults] == [at_fault]
    assert book.package(barn[0]).kept.in_stock


def use_colorado() -> None:
    models.Farm.objects.update(profile="us-co", tier="producer_1000")


def test_a_buyer_the_tier_forbids_stops_the_sale_until_somebody_writes_why(barn) -> None:
    use_colorado()
    with pytest.raises(InputFaultsError) as refused:
        sold([barn[0]], buyer_kind="restaurant")
    assert [fault.name for fault in refused.value.faults] == ["reason"]
    assert book.package(barn[0]).kept.in_stock

    sold([barn[0]], buyer_kind="restaurant", reason="Sold before we knew; told the office.")
    (written,) = sales_book.sales()
    assert [stop["code"] for stop in written.payload["stops"]] == ["sale.buyer"]
    assert written.payload["reason"].startswith("Sold before")


def test_where_the_rule_asks_for_name_and_address_a_sale_without_them_is_stopped(barn) -> None:
    use_colorado()
    basket = counter.basket([barn[0]], buyer=counter.Buyer())
    assert {f.code for f in basket.stops} == {"sale.record"}
    assert "address" in basket.stops[0].sentence
    named = counter.Buyer(name="Nell Ashby", address="3 Mill Row")
    assert counter.basket([barn[0]], buyer=named).stops == ()


def test_over_the_state_line_nothing_is_sold(barn) -> None:
    with pytest.raises(InputFaultsError):
        sold([barn[0]], leaves_state="on")


def test_the_price_is_the_printed_one_and_the_till_adds_up(barn, frozen) -> None:
    sold([barn[0], barn[1]], client_id="a")
    sold([barn[2]], client_id="b", paid_by="check")
    sales_book.refund(
        "a", [barn[1]], {"reason": "too small", "paid_by": "cash", "fate": "bin"}, who="Odile"
    )
    assert sales_book.till_of(freezer.today()) == {
        "cash": Decimal("24.86"),
        "check": Decimal("27.50"),
    }
    assert book.package(barn[1]).kept.state == "wasted"
    whole()


def test_a_count_finds_what_is_missing_strayed_and_back(barn, frozen) -> None:
    first, second, third = barn
    freezer.save_place("Porch", kind="freezer")
    freezer.put([second], place_name="Porch", who="Bram")
    book.write("stock", {"act": "missing", "packages": [third]}, who="Bram")

    found = counting.compare("Box 1", [second, third])
    assert [p.id for p in found.missing] == [first]
    assert [p.id for p in found.strayed] == [second]
    assert [p.id for p in found.back] == [third]

    after = counting.save(
        "Box 1", [second, third], fates={first: "home"}, reasons={first: "Sunday dinner"},
        here=[second, third], who="Bram",
    )  # fmt: skip
    assert after.counted.agrees
    assert book.package(first).kept.state == "home"
    assert book.package(third).kept.in_stock
    whole()


def test_a_freezer_given_too_much_at_once_is_pointed_out(barn) -> None:
    models.Place.objects.filter(name="Barn freezer").update(volume="2 ft3")
    (load,) = freezer.loads(now=dt.datetime.now(dt.UTC)).values()
    assert {f.code for f in load.findings} == {"freezer.too_much_at_once"}


def test_a_warm_freezer_and_one_nobody_read_are_findings(barn, frozen) -> None:
    freezer.save_place("Porch", kind="freezer")
    freezer.save_temperature("Barn freezer", written="8 F", instrument="Blue probe", who="Bram")
    lines = freezer.temperatures(now=frozen)
    found = freezer.cold_findings(lines, now=frozen)
    assert {(f.code, f.where) for f in found} == {
        ("storage.not_frozen", "Barn freezer"),
        ("storage.unread", "Porch"),
    }
    with pytest.raises(InputFaultsError) as refused:
        freezer.save_temperature("Box 1", written="cold", instrument="a finger", who="Bram")
    assert {f.name for f in refused.value.faults} == {"place", "written", "instrument"}


@pytest.mark.parametrize("spell", ["{code}", "{lot} {n}", "lot {lot} package {n}", "{compact} {n}"])
def test_a_package_is_found_by_what_stands_on_its_label(barn, spell) -> None:
    one = book.package(barn[1])
    compact = one.lot_code.replace("-", "").replace(" ", "-")
    text = spell.format(code=one.code, lot=one.lot_code, n=one.number, compact=compact)
    assert [p.id for p in finding.find(text)] == [barn[1]]


def test_a_lot_code_alone_is_all_its_packages_and_a_price_code_those_of_that_price(barn) -> None:
    from pinfeather.packs.codes import store_code

    one = book.package(barn[1])
    assert len(finding.find(one.lot_code.lower())) == 3
    assert [p.id for p in finding.find(store_code(12345, Decimal(one.total)))] == [barn[1]]
    assert finding.find("nothing at all") == ()
    assert finding.find("") == ()


def test_a_trace_from_the_flock_reaches_the_buyer_and_back_to_the_thermometer(
    barn, running_day, frozen
) -> None:
    running.write(
        "reading",
        {"what": "bird", "place": "North tank", "written": "39 F", "instrument": "Blue probe"},
        day_id=running_day, who="Bram",
    )  # fmt: skip
    running.write("done", {"task": "sanitiser"}, day_id=running_day, who="Bram")
    sold([barn[0]])

    flock = traces.trace(traces.thing_from("k7"))
    assert {kind for kind, _named in flock.forward} == {"place", "sale", "buyer"}
    assert [one.words for one in flock.buyers] == ["Nell Ashby"]
    assert {one.package.id for one in flock.packages} == set(barn)
    assert flock.recall.found_frac == 1

    bag = traces.trace(traces.thing_from(book.package(barn[0]).code))
    assert {kind for kind, _named in bag.back} == {
        "flock", "batch", "day", "thermometer", "sanitiser",
    }  # fmt: skip
    probe = traces.trace(traces.thing_from("blue probe"))
    assert {one.package.id for one in probe.packages} == set(barn)
    buyer = traces.trace(traces.thing_from("buyer:=Nell Ashby"))
    assert [one.package.id for one in buyer.packages] == [barn[0]]
    lot = traces.trace(traces.thing_from(book.package(barn[0]).lot_code))
    assert lot.recall.packages == 3


def test_feed_leads_to_the_flock_that_ate_it(barn, frozen) -> None:
    payload = {"lot": "K7", "event": "feed", "on": "2026-05-01", "mass": "50 lb", "feed": "Grower"}
    ident = book.note("flock", payload, who="Odile")
    bag = traces.trace(traces.Thing("package", barn[0]))
    feed = dict(bag.back)["feed"]
    assert [one.words for one in feed] == ["Grower, 50 lb"]
    assert len(traces.trace(traces.Thing("feed", ident)).packages) == 3


def test_what_nobody_has_on_record_cannot_be_traced(barn) -> None:
    for text in ("moon", "package:nope", "sale:nope", "day:999", "feed:x", "2020-01-01 K7 T1"):
        with pytest.raises(RecordNotFoundError):
            traces.trace(traces.thing_from(text))


def test_a_sale_without_a_name_is_not_accounted_for(barn) -> None:
    sold([barn[0]], buyer_name="", buyer_address="")
    recall = traces.trace(traces.Thing("flock", "K7")).recall
    assert (recall.packages, recall.found) == (3, 2)
    assert recall.lost == (barn[0],)


def test_hold_and_release_reach_all_that_is_still_here(barn) -> None:
    sold([barn[0]])
    found = traces.trace(traces.Thing("flock", "K7"))
    assert traces.hold(found, reason="probe read 44 F", who="Odile") == 2
    with pytest.raises(InputFaultsError):
        sold([barn[1]], client_id="later")
    with pytest.raises(InputFaultsError):
        traces.release(traces.trace(traces.Thing("flock", "K7")), reason=" ", who="Odile")
    again = traces.trace(traces.Thing("flock", "K7"))
    assert traces.release(again, reason="second probe read 38 F", who="Odile") == 2
    sold([barn[1]], client_id="later")


def test_a_practised_recall_keeps_its_time_and_share(barn) -> None:
    sold([barn[0]], buyer_name="", buyer_address="")
    ident = recalls.begin_recall(traces.Thing("flock", "K7"), who="Odile")
    recalls.end_recall(ident, who="Odile")
    (one,) = recalls.recalls()
    assert (one.packages, one.found) == (3, 2)
    assert one.took_s is not None
    assert one.took_s >= 0
    with pytest.raises(RecordNotFoundError):
        recalls.end_recall(ident, who="Odile")
