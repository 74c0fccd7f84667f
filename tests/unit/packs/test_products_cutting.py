"""What is packed and counted, and what a cutting gives."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pinfeather.errors import InputError
from pinfeather.finding import Severity
from pinfeather.packs.cutting import cutting_yield
from pinfeather.packs.products import birds_counted, product, products
from pinfeather.packs.yields import handbook_shares


@pytest.mark.parametrize("species", ["chicken", "turkey", "duck", "goose"])
def test_every_kind_has_whole_half_parts_giblets_necks_feet_and_stock_bones(species):
    names = [one.name for one in products(species)]

    assert names[0] == f"Whole {species}"
    for words in ("Half", "breasts", "legs", "giblets", "necks", "feet", "stock bones"):
        assert any(words in name for name in names), words
    assert len(set(names)) == len(names)


def test_a_name_nobody_listed_is_part_of_a_bird():
    assert product("  sausage   links ").name == "sausage links"
    assert product("sausage links").counts == "part"
    assert product("whole CHICKEN") == products("chicken")[0]
    assert products("quail") == ()


@given(st.lists(st.sampled_from(["bird", "half", "part"]), max_size=60))
def test_two_halves_are_one_bird_and_parts_are_none(kinds):
    counted = halves = 0
    for kind in kinds:
        counted += birds_counted(kind, halves)
        halves += kind == "half"

    assert counted == kinds.count("bird") + -(-kinds.count("half") // 2)


def test_every_cut_of_the_table_of_products_has_an_expected_share():
    shares = handbook_shares()

    for one in products("chicken"):
        assert set(one.cut) <= shares.keys()


def usual(carcass_kg: float) -> dict[tuple[str, ...], float]:
    shares = handbook_shares()
    return {
        ("breast",): shares["breast"].value * carcass_kg,
        ("thighs", "drumsticks"): (shares["thighs"].value + shares["drumsticks"].value)
        * carcass_kg,
        ("wings",): shares["wings"].value * carcass_kg,
        ("back and tail",): shares["back and tail"].value * carcass_kg,
    }


@given(st.floats(0.5, 200))
def test_the_usual_shares_are_never_a_finding_and_nothing_is_lost(carcass_kg):
    found = cutting_yield(carcass_kg, usual(carcass_kg))

    assert found.findings == ()
    packed = sum(row.mass_kg for row in found.parts)
    assert packed + found.unpacked_kg == pytest.approx(carcass_kg)


def test_a_share_that_is_off_is_asked_about_with_its_source():
    parts = {**usual(8.0), ("breast",): 0.25 * 8.0}

    (finding,) = cutting_yield(8.0, parts).findings

    assert (finding.code, finding.severity) == ("yield.off", Severity.CHECK)
    assert "25.0 % of the carcass; 33 to 36 % is usual" in finding.sentence
    assert finding.citation
    assert finding.status == "unverified"
    assert cutting_yield(8.0, parts, finished=False).findings == ()


def test_parts_that_outweigh_the_carcass_are_a_stop():
    found = cutting_yield(4.0, {("breast",): 4.1})

    assert found.findings[0].code == "yield.over"
    assert found.findings[0].severity is Severity.STOP
    assert found.unpacked_kg == pytest.approx(-0.1)


def test_giblets_have_no_share_and_are_not_judged():
    assert cutting_yield(4.0, {(): 0.3}).parts == ()


@pytest.mark.parametrize(("carcass_kg", "part_kg"), [(0.0, 1.0), (-1.0, 1.0), (4.0, -0.1)])
def test_weights_below_nothing_are_refused(carcass_kg, part_kg):
    with pytest.raises(InputError):
        cutting_yield(carcass_kg, {("breast",): part_kg})
