"""Small parts of SVG text: escaping, numbers, widths of words, tick steps."""

from __future__ import annotations

import datetime as dt
from typing import Final
from xml.sax.saxutils import escape, quoteattr

from pinfeather.reports.when import Clock, after, clock_text, seconds_between

_STEPS_MIN: Final = (1, 2, 5, 10, 15, 30, 60, 120, 180, 240, 360, 720, 1440)
_WIDE_EM: Final = 0.76
_DIGIT_EM: Final = 0.66
_NARROW_EM: Final = 0.38
_LETTER_EM: Final = 0.64
_BOLD: Final = 1.12
_FULL_EM: Final = 1.05
_FIRST_FULL_WIDTH: Final = 0x2E80


def num(value: float) -> str:
    """Write a coordinate with one decimal and no waste.

    Parameters
    ----------
    value : float
        A coordinate [px].

    Returns
    -------
    str
        For instance ``"12"`` or ``"12.5"``.

    References
    ----------
    Derivation: a tenth of a pixel is below what can be seen.
    """
    text = f"{value:.1f}"
    return "0" if text in {"-0.0", "0.0"} else text.removesuffix(".0")


def attr(value: str) -> str:
    """Return a value quoted for an attribute.

    Parameters
    ----------
    value : str
        Any text.

    Returns
    -------
    str
        With its quotation marks.

    References
    ----------
    W3C, Extensible Markup Language 1.0 (5th ed.), section 2.4.
    """
    return quoteattr(_clean(value))


def content(value: str) -> str:
    """Return a text that may stand between tags.

    Parameters
    ----------
    value : str
        Any text.

    Returns
    -------
    str
        Escaped, control characters left out.

    References
    ----------
    W3C, Extensible Markup Language 1.0 (5th ed.), sections 2.2 and 2.4.
    """
    return escape(_clean(value))


def _clean(value: str) -> str:
    return "".join(c for c in value if c >= " " or c in "\t\n")


def text_width(text: str, size: float, *, bold: bool = False) -> float:
    """Estimate how wide a text will be, rather too wide than too narrow.

    Parameters
    ----------
    text : str
        One line.
    size : float
        Type size [px].
    bold : bool
        Whether it is set in semibold or bold.

    Returns
    -------
    float
        Width in a wide system sans serif [px].

    Notes
    -----
    An estimate by character class, for layout only.

    References
    ----------
    Derivation: advance widths of DejaVu Sans, the widest of the common sans serif families,
    rounded up.
    """
    width_em = 0.0
    for c in text:
        if ord(c) >= _FIRST_FULL_WIDTH:
            width_em += _FULL_EM
        elif c in "mwMW@%—":
            width_em += 1.0
        elif c.isdigit():
            width_em += _DIGIT_EM
        elif c in " .,:;'|ijltfrI()[]°\u202f\u00a0":
            width_em += _NARROW_EM
        else:
            width_em += _WIDE_EM if c.isupper() else _LETTER_EM
    return width_em * size * (_BOLD if bold else 1.0)


def shortened(words: str, size: float, room: float) -> str:
    """Return a text that fits, with an ellipsis where it had to be cut.

    Parameters
    ----------
    words : str
        One line.
    size : float
        Type size [px].
    room : float
        How wide it may be [px].

    Returns
    -------
    str
        The text itself wherever it fits.

    References
    ----------
    Derivation: the longest beginning that fits by :func:`text_width`.
    """
    if text_width(words, size) <= room:
        return words
    while words and text_width(words + "…", size) > room:
        words = words[:-1]
    return words.rstrip() + "…"


def time_ticks(
    start: dt.datetime, length_s: float, *, px_per_s: float, size: float, clock: Clock
) -> list[tuple[float, str]]:
    """Choose round clock times for an axis so that their labels never touch.

    Parameters
    ----------
    start : datetime
        Where the axis begins, with its zone.
    length_s : float
        How long it is [s].
    px_per_s : float
        Scale of the drawing [px/s].
    size : float
        Type size of the labels [px].
    clock : {"12h", "24h"}
        Which clock the farm reads.

    Returns
    -------
    list of (float, str)
        Seconds after the start, and the label.

    References
    ----------
    Derivation: the smallest step in a list of round steps that is wider than the widest label
    and a gap.
    """
    widest = text_width("12:00 pm", size) + 1.2 * size
    step_min = next((s for s in _STEPS_MIN if s * 60 * px_per_s >= widest), _STEPS_MIN[-1])
    midnight = start.replace(hour=0, minute=0, second=0, microsecond=0)
    since_s = seconds_between(midnight, start)
    ticks: list[tuple[float, str]] = []
    at_s = -(-since_s // (step_min * 60)) * step_min * 60 - since_s
    half = ""
    while at_s <= length_s:
        moment = after(start, at_s)
        now_half = "pm" if moment.hour >= 12 else "am"  # noqa: PLR2004 - noon
        ticks.append((at_s, clock_text(moment, clock=clock, half_day=now_half != half)))
        half = now_half
        at_s += step_min * 60
    return ticks
