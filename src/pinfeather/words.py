"""Words for people, in their language.

The domain writes its sentences in English through :func:`gettext`; the edge (pages, commands)
says with :func:`use` who translates. With nobody set, English passes through.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from typing import Final

_MONTHS: Final = (
    "January", "February", "March", "April", "May", "June", "July", "August", "September",
    "October", "November", "December",
)  # fmt: skip
_DAYS: Final = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")
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


CODES: Final = (
    gettext_noop("chicken"), gettext_noop("turkey"), gettext_noop("duck"), gettext_noop("goose"),
    gettext_noop("guinea"), gettext_noop("read"), gettext_noop("second hand"),
    gettext_noop("unverified"), gettext_noop("disputable"), gettext_noop("common practice"),
    gettext_noop("assumed"), gettext_noop("measured"), gettext_noop("computed"),
    gettext_noop("derived"), gettext_noop("biological"), gettext_noop("chemical"),
    gettext_noop("physical"), gettext_noop("planned"), gettext_noop("running"),
    gettext_noop("closed"),
)  # fmt: skip
"""Codes that also stand in sentences as they are, for the translators."""


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


def date_text(day: dt.date, *, year: bool = True, weekday: bool = False) -> str:
    """Write a date in words, so that day and month cannot be mistaken.

    Parameters
    ----------
    day : date
        The date on the farm's calendar.
    year : bool
        Whether the year is written.
    weekday : bool
        Whether the day of the week goes first.

    Returns
    -------
    str
        For instance ``"Saturday 12 September 2026"``.

    References
    ----------
    Derivation: names from the Gregorian calendar.

    Examples
    --------
    >>> date_text(dt.date(2026, 9, 12), weekday=True)
    'Saturday 12 September 2026'
    """
    month = gettext(_MONTHS[day.month - 1])
    if year:
        text = gettext("{day} {month} {year}").format(day=day.day, month=month, year=day.year)
    else:
        text = gettext("{day} {month}").format(day=day.day, month=month)
    return f"{gettext(_DAYS[day.weekday()])} {text}" if weekday else text
