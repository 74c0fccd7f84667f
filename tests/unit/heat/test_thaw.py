import pytest

from pinfeather.errors import InputError, OutOfRangeError
from pinfeather.heat.thaw import thaw_card
from pinfeather.units import KG_PER_LB


def test_small_birds_take_about_a_day():
    card = thaw_card(3.5 * KG_PER_LB)
    assert card.refrigerator_high_s <= 86400
    assert "about a day" in card.sentences[0]


def test_a_turkey_takes_its_row_of_the_table():
    card = thaw_card(14 * KG_PER_LB)
    assert (card.refrigerator_low_s, card.refrigerator_high_s) == (3 * 86400, 4 * 86400)
    assert "3 to 4 days" in card.sentences[0]
    assert 6 <= card.water_s / 3600 <= 8


def test_the_card_warns():
    words = " ".join(thaw_card(2.0).sentences)
    assert "165" in words
    assert "counter" in words
    assert "rinse" in words


def test_heavier_birds_never_thaw_sooner():
    cards = [thaw_card(pounds * KG_PER_LB) for pounds in range(2, 30)]
    highs = [card.refrigerator_high_s for card in cards]
    assert highs[2:] == sorted(highs[2:])


def test_impossible_birds_are_refused():
    with pytest.raises(InputError):
        thaw_card(0.0)
    with pytest.raises(OutOfRangeError):
        thaw_card(30.0)
