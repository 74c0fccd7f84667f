"""A lot's life in the store: append-only, chained with the days, corrections visible."""

from __future__ import annotations

import pytest
from django.db import IntegrityError, connection

from pinfeather.actions.flock import books as flocks
from pinfeather.actions.flock.lots import save_lot
from pinfeather.records import journal, models
from pinfeather.records.writing import writing

LOT = {
    "code": "S1", "species": "duck", "build": "lean", "sex": "females", "curve": "",
    "setting": "pasture", "hatched": "2026-05-01",
}  # fmt: skip


@pytest.fixture
def entry(farm, frozen) -> str:
    save_lot(LOT, new=True)
    typed = {"on": "2026-05-03", "pen": "Brooder", "ordered": "20"}
    return flocks.add_event("S1", "arrived", typed, who="Bram")


@pytest.mark.parametrize(
    "statement",
    [
        "UPDATE records_entry SET payload = '{}' WHERE kind = 'flock'",
        "DELETE FROM records_entry WHERE kind = 'flock'",
    ],
)
def test_the_database_refuses_to_change_or_delete_a_line_of_a_lot(entry, statement) -> None:
    before = list(models.Entry.objects.values())
    with pytest.raises(IntegrityError, match="append-only"), writing(), connection.cursor() as c:
        c.execute(statement)
    assert list(models.Entry.objects.values()) == before


def test_striking_out_adds_a_line_and_keeps_the_first_as_it_was(entry) -> None:
    first = models.Entry.objects.get(client_id=entry)

    flocks.strike_out("S1", entry, reason="Other lot.", who="Bram")

    again = models.Entry.objects.get(client_id=entry)
    assert (again.payload, again.hash) == (first.payload, first.hash)
    last = models.Entry.objects.order_by("-seq").first()
    assert last is not None
    assert last.payload == {"lot": "S1", "event": "struck", "of": entry, "reason": "Other lot."}
    assert last.previous_hash == first.hash
    assert journal.broken_at() is None


def test_two_phones_sending_one_form_write_it_once(real_store, in_threads) -> None:
    typed = {"on": "2026-06-01", "pen": "Brooder", "heads": "1", "cause": "culled"}

    def send() -> str:
        return flocks.add_event("K7", "lost", typed, who="Odile", client_id="phone7")

    assert in_threads([send, send, send]) == ["phone7"] * 3
    assert models.Entry.objects.filter(kind="flock").count() == 1


def test_two_who_strike_out_the_same_line_do_it_once(real_store, in_threads) -> None:
    typed = {"on": "2026-06-01", "pen": "Brooder", "heads": "1", "cause": "culled"}
    line = flocks.add_event("K7", "lost", typed, who="Odile")

    def strike() -> None:
        flocks.strike_out("K7", line, reason="Twice.", who="Bram")

    results = in_threads([strike, strike])
    assert sum(result is None for result in results) == 1
    assert models.Entry.objects.filter(kind="flock").count() == 2
