"""Words for people, in their language.

The domain writes its sentences in English through :func:`gettext`; the edge (pages, commands)
says with :func:`use` who translates. With nobody set, English passes through.
"""

from __future__ import annotations

from collections.abc import Callable

_translate: Callable[[str], str] = str
_translate_plural: Callable[[str, str, int], str] | None = None


def use(translate: Callable[[str], str], translate_plural: Callable[[str, str, int], str]) -> None:
    """Say who translates from now on; called once, when the program starts.

    Parameters
    ----------
    translate : callable
        From the English sentence to the reader's.
    translate_plural : callable
        From the two English forms and the number to the reader's sentence.

    References
    ----------
    GNU gettext manual, section 11 (the programmer's view).
    """
    global _translate, _translate_plural
    _translate, _translate_plural = translate, translate_plural


def gettext(sentence: str) -> str:
    """Return a sentence in the reader's language.

    Parameters
    ----------
    sentence : str
        English, with named ``{placeholders}`` still in it.

    Returns
    -------
    str
        The translation, placeholders kept.

    References
    ----------
    GNU gettext manual, section 11.
    """
    return _translate(sentence)


def gettext_noop(sentence: str) -> str:
    """Mark a sentence for the translators where it is written; it is translated where shown.

    Parameters
    ----------
    sentence : str
        English.

    Returns
    -------
    str
        The same.

    References
    ----------
    GNU gettext manual, section 4.7 (special cases of translatable strings).
    """
    return sentence


def ngettext(singular: str, plural: str, number: int) -> str:
    """Return the form that goes with a number, in the reader's language.

    Parameters
    ----------
    singular : str
        English, for one.
    plural : str
        English, for any other number.
    number : int
        How many.

    Returns
    -------
    str
        The translation, placeholders kept.

    References
    ----------
    GNU gettext manual, section 11.2.6 (plural forms).
    """
    if _translate_plural is not None:
        return _translate_plural(singular, plural, number)
    return singular if number == 1 else plural
