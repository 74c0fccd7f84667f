"""What goes out first, how long it keeps, and what a count says."""

import datetime as dt
from dataclasses import replace
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pinfeather.errors import InputError
from pinfeather.packs.shelf import (
    count_place,
    form_of,
    keeps,
    next_out,
    shrink_frac,
    species_of,
)
from pinfeather.packs.stock import Born, Kept

DAY = dt.date(2026, 9, 12)


def kept(ident, packed_on=DAY, place="Barn freezer", **how):
    return Kept(
        Born(ident, 1, "Whole chicken", Decimal("4.5"), "2026-09-12 B3 T1", packed_on),
        place=place,
        **how,
    )


@pytest.mark.parametrize(
    ("product", "form", "kind"),
    [
        ("Whole chicken", "whole", "chicken"),
        ("Young turkey, whole", "whole", "turkey"),
        ("Chicken breasts", "parts", "chicken"),
        ("Half chicken", "parts", "chicken"),
        ("Livers, hearts and gizzards", "giblets", ""),
        ("Necks and feet", "giblets", ""),
    ],
)
def test_the_name_tells_form_and_kind(product, form, kind):
    assert (form_of(product), species_of(product)) == (form, kind)


def test_the_longest_kept_goes_first_and_nothing_held_or_promised():
    packages = [
        kept("new", DAY),
        kept("old", DAY - dt.timedelta(days=30)),
        kept("held", DAY - dt.timedelta(days=60), held="torn"),
        kept("promised", DAY - dt.timedelta(days=60), order="11"),
        kept("gone", DAY - dt.timedelta(days=60), state="sold"),
    ]
    assert [one.born.id for one in next_out(packages)] == ["old", "new"]


def test_giblets_keep_shortest_and_ducks_shorter_than_chicken():
    def until(product):
        return keeps(product, DAY, frozen=True).until

    assert until("Chicken livers") < until("Whole duck") < until("Chicken legs") < until(
        "Whole chicken"
    )  # fmt: skip
    assert keeps("Whole chicken", DAY, frozen=False).until == DAY + dt.timedelta(days=2)
    assert keeps("Whole duck", DAY, frozen=True).status == "unverified"


@given(st.sets(st.sampled_from("abcdefgh")), st.sets(st.sampled_from("abcdefghxy")))
def test_a_count_puts_every_package_into_one_list(here, seen):
    packages = {
        name: kept(name, place="Barn freezer" if name in here else "Porch") for name in "abcdefgh"
    }
    packages["h"] = replace(packages["h"], state="sold")
    found = count_place(packages, place="Barn freezer", seen=seen)
    lists = [*found.right, *found.missing, *found.strayed, *found.back, *found.unknown]
    assert sorted(lists) == sorted(seen | (here - {"h"}))
    assert found.agrees == (seen == here - {"h"})


def test_shrink_is_a_share_of_what_there_was_to_keep():
    assert shrink_frac(0, opening=0, packed=0) == 0
    with pytest.raises(InputError):
        shrink_frac(-1, opening=3, packed=0)
