import pytest

from pinfeather import words


@pytest.fixture
def translated(monkeypatch):
    """Let a made-up language be spoken, and give the words back afterwards."""
    monkeypatch.setattr(words, "_translate", words._translate)
    monkeypatch.setattr(words, "_translate_plural", words._translate_plural)
    words.use(
        lambda sentence: f"<{sentence}>",
        lambda one, many, n: f"<{one if n < 2 else many}>",
    )


@pytest.fixture
def english(monkeypatch):
    monkeypatch.setattr(words, "_translate", str)
    monkeypatch.setattr(words, "_translate_plural", None)


def test_with_nobody_to_translate_english_passes_through(english):
    assert words.gettext("{n} birds are cold.") == "{n} birds are cold."


@pytest.mark.parametrize(
    ("number", "form"), [(0, "{n} birds"), (1, "one bird"), (2, "{n} birds"), (-1, "{n} birds")]
)
def test_english_has_one_form_for_one_and_another_for_the_rest(english, number, form):
    assert words.ngettext("one bird", "{n} birds", number) == form


def test_a_word_marked_for_translating_later_stays_as_it_is(translated):
    assert words.gettext_noop("picking") == "picking"


def test_the_translator_gets_the_sentence_with_its_placeholders(translated):
    assert words.gettext("{n} birds") == "<{n} birds>"
    assert words.gettext("{n} birds").format(n=3) == "<3 birds>"


def test_the_translator_chooses_the_plural_form_by_its_own_rule(translated):
    assert words.ngettext("one bird", "{n} birds", 0) == "<one bird>"
    assert words.ngettext("one bird", "{n} birds", 7) == "<{n} birds>"
