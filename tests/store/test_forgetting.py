"""A name taken out on request is nowhere any more, and every proof still holds."""

from __future__ import annotations

import datetime as dt
import io
import zipfile

import pytest
from django.db import DatabaseError, IntegrityError, connection, transaction
from django.test import Client

from pinfeather.actions import safe
from pinfeather.actions.day import running
from pinfeather.actions.desk import packing
from pinfeather.actions.keeping import forget
from pinfeather.actions.stock import counter, customers, freezer, orders, recalls, tracing
from pinfeather.actions.stock import sales as sales_book
from pinfeather.errors import (
    InputError,
    InputFaultsError,
    RecordConflictError,
    RecordNotFoundError,
)
from pinfeather.packs.trace import Thing
from pinfeather.records import journal, models, personal
from pinfeather.records.checking import check_default
from pinfeather.records.writing import writing

NAME, STREET, PHONE = "Wilhelmina Thornquist", "77 Quillfeather Lane", "555-0163"
TYPED, AWAY = "Ambrose Veltkamp", "9 Sandpiper Court"


@pytest.fixture
def shop(real_store, frozen, count_birds, now):
    """Two birds sold: one to a customer on the list, one to a name typed at the counter."""
    count_birds(
        1, {"catch": 6, "kill": 6, "pick": 4, "draw": 4, "chill": 3},
        first=now - dt.timedelta(hours=2),
    )  # fmt: skip
    packages = [
        packing.weigh(
            1, lot="K7", tank="North tank", product="Whole chicken", gross=gross,
            tare="0.03 lb", price_per_lb="5.50", birds=1, who="Bram",
        ).id
        for gross in ("4.55 lb", "4.13 lb", "5.03 lb")
    ]  # fmt: skip
    freezer.save_place("Barn freezer", kind="freezer", volume="15 ft3")
    freezer.put(packages, place_name="Barn freezer", who="Bram")
    number = customers.save_customer(
        name=NAME, address=STREET, phone=PHONE, kind="household", note="rings twice"
    )
    paid = {"paid_by": "cash", "venue": "farm"}
    counter.sell(packages[:1], {**paid, "customer": str(number)}, who="Odile", client_id="s1")
    by_hand = {**paid, "buyer_name": TYPED, "buyer_address": AWAY}
    counter.sell(packages[1:2], by_hand, who="Odile", client_id="s2")
    return real_store, number, packages


def key_of(name: str) -> str:
    return forget.find(name)[0].key


def gone(key: str, *, reason="asked by phone on Monday") -> forget.Forgot:
    return forget.forget(key, reason=reason, who="Odile", now=dt.datetime.now(dt.UTC))


def everywhere(folder) -> bytes:
    """Every byte of the store, its log, and all that lies beside it."""
    found = b""
    for path in sorted(folder.glob("farm.sqlite3*")):
        found += path.read_bytes()
    return found


def holds(content: bytes, *words: str) -> list[str]:
    return [w for w in words if w.encode() in content or w.encode("utf-16-le") in content]


def test_a_name_is_with_its_sale_and_not_in_the_journal(shop) -> None:
    sale = models.Entry.objects.get(client_id="s1")
    assert NAME not in str(sale.payload)
    assert STREET not in str(sale.payload)
    assert sales_book.sale("s1").payload["buyer"]["name"] == NAME
    assert [one.payload["buyer"]["name"] for one in sales_book.sales()] == [TYPED, NAME]
    text = sales_book.sales_csv().decode()
    assert NAME in text
    assert AWAY in text


@pytest.mark.sqlite
def test_after_erasing_the_name_is_nowhere_in_the_file_and_every_proof_holds(shop, now) -> None:
    path, number, _packages = shop
    head = journal.head()
    sales = [one.client_id for one in models.Entry.objects.filter(kind="sale")]
    assert holds(everywhere(path.parent), NAME, STREET, PHONE) == [NAME, STREET, PHONE]

    done = gone(f"c{number}")

    assert (done.sales, done.wiped) == (1, True)
    assert holds(everywhere(path.parent), NAME, STREET, PHONE, "rings twice") == []
    connection.close()  # and once the log has been put into the file
    assert holds(everywhere(path.parent), NAME, STREET, PHONE, "rings twice") == []
    state = check_default()
    assert (state.whole, state.broken_at, state.damage) == (True, None, ())
    assert models.Entry.objects.get(seq=head[0]).hash == head[1]
    assert [one.client_id for one in models.Entry.objects.filter(kind="sale")] == sales


def test_the_sale_keeps_what_was_sold_and_says_that_the_name_was_removed(shop, now) -> None:
    before = sales_book.sale("s1").payload
    gone(key_of("thornquist"))
    after = sales_book.sale("s1").payload
    assert {k: v for k, v in after.items() if k != "buyer"} == {
        k: v for k, v in before.items() if k != "buyer"
    }
    assert after["buyer"]["name"] == "name removed on request, 2026-06-17"
    assert after["buyer"]["address"] == ""
    assert customers.customer(shop[1]).name == "name removed on request, 2026-06-17"
    assert customers.customers() == ()


@pytest.mark.sqlite
def test_a_typed_name_goes_from_every_sale_it_was_typed_at(shop) -> None:
    path, _number, packages = shop
    by_hand = {"paid_by": "cash", "buyer_name": TYPED, "buyer_address": AWAY}
    counter.sell(packages[2:], by_hand, who="Odile", client_id="s3")

    assert forget.somebody(key_of("veltkamp")).sales == 2
    assert gone(key_of("veltkamp")).sales == 2

    assert holds(everywhere(path.parent), TYPED, AWAY) == []
    assert sales_book.sale("s1").payload["buyer"]["name"] == NAME, "others keep theirs"
    assert check_default().whole
    assert forget.find("veltkamp") == ()


def test_exports_and_backups_made_afterwards_do_not_hold_it(shop, tmp_path, now) -> None:
    gone(key_of("thornquist"))
    safe.export_to(tmp_path / "farm.zip", now=now)
    safe.back_up(now=now, to=tmp_path / "copy.sqlite3")
    with zipfile.ZipFile(tmp_path / "farm.zip") as packed:
        inside = b"".join(packed.read(name) for name in packed.namelist())
    assert holds(inside, NAME, STREET, PHONE) == []
    assert holds((tmp_path / "copy.sqlite3").read_bytes(), NAME, STREET, PHONE) == []


def test_an_export_after_erasing_comes_back_equal_and_whole(shop, new_store, tmp_path, now) -> None:
    gone(key_of("thornquist"))
    safe.export_to(tmp_path / "farm.zip", now=now)
    with new_store():
        safe.bring_in(tmp_path / "farm.zip")
        assert check_default().whole
        assert sales_book.sale("s1").payload["buyer"]["name"].startswith("name removed")
        assert sales_book.sale("s2").payload["buyer"]["name"] == TYPED


@pytest.mark.sqlite
def test_older_backups_hold_it_still_and_the_page_counts_them(shop, now) -> None:
    made = safe.back_up(now=now)
    assert holds(made.path.read_bytes(), NAME) == [NAME]
    assert forget.look(key_of("thornquist")).backups == 1
    gone(key_of("thornquist"))
    assert forget.backups_with_names() == 1
    page = Client().get("/farm/safe/").content.decode()
    assert "1 backup is older than the last removal" in page
    assert "The newest 10 backups stay" in page
    made.path.unlink()
    made.path.with_suffix(".json").unlink()


def test_what_the_journal_keeps_of_an_erasure_names_nobody(shop) -> None:
    gone(key_of("thornquist"))
    line = models.Entry.objects.get(kind="erasure")
    assert line.payload["customer"] == shop[1]
    assert len(line.payload["keys"]) == 1
    assert holds(str(line.payload).encode(), NAME, STREET, PHONE) == []


def test_a_reason_is_needed_and_must_not_hold_the_name(shop) -> None:
    with pytest.raises(InputError):
        gone(key_of("thornquist"), reason="  ")
    with pytest.raises(InputError, match="Leave the name out"):
        gone(key_of("thornquist"), reason=f"{NAME.upper()} asked")


def test_rules_that_demand_the_name_refuse_until_their_day(shop) -> None:
    models.Farm.objects.update(profile="us-co")
    with pytest.raises(RecordConflictError, match=r"8 CCR 1202-16.*2028-06-17"):
        gone(key_of("thornquist"))
    assert sales_book.sale("s1").payload["buyer"]["name"] == NAME
    assert models.Entry.objects.filter(kind="erasure").count() == 0


def test_an_open_order_comes_first(shop, now) -> None:
    orders.save_order(
        {
            "customer": str(shop[1]), "pickup_on": "2026-06-20", "venue": "farm",
            "product_0": "Whole chicken", "count_0": "1",
        }
    )  # fmt: skip
    assert forget.look(f"c{shop[1]}").open_orders
    with pytest.raises(RecordConflictError, match="order is still open"):
        gone(f"c{shop[1]}")


def test_who_was_removed_is_found_no_more_and_cannot_be_removed_twice(shop) -> None:
    key = key_of("thornquist")
    gone(key)
    assert forget.find("thornquist") == ()
    assert forget.find("removed") == ()
    with pytest.raises(RecordNotFoundError):
        gone(key)


@pytest.mark.parametrize("key", ["", "c", "c99", "p", "pff", "x1", "c" + "9" * 40, "c-1"])
def test_a_key_that_means_nobody_is_not_found(shop, key) -> None:
    with pytest.raises(RecordNotFoundError):
        forget.look(key)


def test_free_text_that_holds_the_name_is_told_before(shop, now) -> None:
    with writing():
        journal.append_from_page(
            "note", {"text": f"{NAME} called"}, client_id="n1", who="Odile", at=now
        )
    assert forget.look(key_of("thornquist")).stays == (("entry", 1),)


def test_a_recall_reaches_a_named_buyer_and_counts_one_without_name_as_not_reached(shop) -> None:
    found = tracing.trace(Thing("flock", "K7"))
    assert {one.words for one in found.buyers} == {NAME, TYPED}
    assert {one.words for one in tracing.trace(Thing("buyer", f"={TYPED}")).back[0][1]}
    gone(key_of("veltkamp"))
    after = tracing.trace(Thing("flock", "K7"))
    assert {one.words for one in after.buyers} == {NAME}
    assert [one.where for one in after.packages].count("unnamed") == 1


def test_a_recall_cannot_begin_at_a_buyer_so_that_no_name_gets_into_the_journal(shop) -> None:
    with pytest.raises(InputFaultsError, match="not at a buyer"):
        recalls.begin_recall(Thing("buyer", f"={TYPED}"), who="Odile")


@pytest.mark.parametrize(
    "change",
    [
        {"text": '{"address": "", "name": "Somebody Else"}'},
        {"text": ""},
        {"salt": ""},
        {"salt": "", "text": "", "customer_id": None},
        {"erased_on": dt.date(2026, 1, 1)},
    ],
)
def test_the_database_lets_nobody_change_a_name_but_only_empty_it(shop, change) -> None:
    rows = models.Personal.objects.exclude(customer=None)
    with pytest.raises((IntegrityError, DatabaseError)), transaction.atomic():
        rows.update(**change)
    with pytest.raises((IntegrityError, DatabaseError)), transaction.atomic():
        rows.delete()
    assert rows.update(salt="", text="", erased_on=dt.date(2026, 1, 1)) == 1


def test_a_name_emptied_without_a_line_in_the_journal_is_found_by_the_check(shop) -> None:
    with writing():
        personal.erase([models.Personal.objects.exclude(customer=None).get().key],
                       on=dt.date(2026, 1, 1))  # fmt: skip
    assert any("buyer's name" in line for line in check_default().damage)


@pytest.mark.sqlite
def test_a_name_exchanged_behind_the_programs_back_is_found_by_the_check(shop) -> None:
    with connection.cursor() as cursor:
        cursor.execute("DROP TRIGGER personal_no_update")
        cursor.execute(
            "UPDATE records_personal SET text = replace(text, 'Thornquist', 'Blackwood')"
        )
    assert any("buyer's name" in line for line in check_default().damage)


def test_sales_of_before_names_were_kept_apart_are_read_as_they_are(shop, now) -> None:
    old = dict(models.Entry.objects.get(client_id="s1").payload)
    old["buyer"] = {"id": None, "name": "Old Hand", "address": "Up hill", "kind": "household"}
    with writing():
        journal.append_from_page("sale", old, client_id="s0", who="Odile", at=now)
    assert sales_book.sale("s0").payload["buyer"]["name"] == "Old Hand"
    assert check_default().whole


def test_the_days_file_and_the_journal_of_a_day_hold_no_buyer(shop) -> None:
    assert holds(running.journal_csv(1), NAME, TYPED) == []
    assert holds(io.BytesIO(running.journal_csv(1)).read(), STREET, AWAY) == []
