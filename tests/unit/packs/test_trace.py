"""Following a trace."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pinfeather.errors import InputError
from pinfeather.packs.trace import KINDS, Link, Thing, Whereabouts, accounted, walk

THINGS = [Thing(kind, str(n)) for kind in KINDS for n in range(2)]


@st.composite
def links(draw):
    """Links that only run from an earlier kind to a later one."""
    pairs = draw(st.lists(st.tuples(st.sampled_from(THINGS), st.sampled_from(THINGS)), max_size=30))
    return [Link(a, b) for a, b in pairs if KINDS.index(a.kind) < KINDS.index(b.kind)]


def neighbours(all_links):
    def found(things, direction):
        if direction == "forward":
            return [link for link in all_links if link.cause in things]
        return [link for link in all_links if link.effect in things]

    return found


@given(links(), st.sampled_from(THINGS))
def test_forward_reaches_exactly_what_reaches_back(all_links, start):
    ask = neighbours(all_links)
    forward = walk([start], ask, direction="forward")
    assert len(set(forward)) == len(forward)
    assert start not in forward
    for thing in THINGS:
        back = walk([thing], ask, direction="back")
        assert (thing in forward) == (start in back)


def test_a_circle_is_refused_or_closed():
    a, b = Thing("day", "1"), Thing("package", "1")
    circle = [Link(a, b), Link(b, a)]
    assert walk([a], neighbours(circle), direction="forward") == [b]

    def endless(things, _direction):
        return [Link(one, Thing("day", one.id + "x")) for one in things]

    with pytest.raises(InputError):
        walk([a], endless, direction="forward")


def test_a_package_sold_to_nobody_known_or_missing_is_lost():
    recall = accounted(
        [
            Whereabouts("a", Decimal("4.00"), "here"),
            Whereabouts("b", Decimal("5.00"), "buyer"),
            Whereabouts("c", Decimal("6.00"), "unnamed"),
            Whereabouts("d", Decimal("1.00"), "missing"),
        ]
    )
    assert recall.lost == ("c", "d")
    assert (recall.packages, recall.found, recall.found_frac) == (4, 2, 0.5)
    assert (recall.packed_lb, recall.found_lb) == (Decimal("16.00"), Decimal("9.00"))
    assert accounted([]).found_frac == 1
