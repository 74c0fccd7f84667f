"""Promises on a label, and the papers that stand behind them."""

from __future__ import annotations

import datetime as dt
import functools
import re
import tomllib
from collections.abc import Sequence
from dataclasses import dataclass
from importlib import resources
from typing import Any

from pinfeather.finding import Finding, Severity
from pinfeather.words import gettext as _


@dataclass(frozen=True, slots=True)
class Claim:
    """A promise with its paper on file.

    Parameters
    ----------
    words : str
        As they stand on the label.
    paper : str
        What shows that it is true.
    on_file : datetime.date
        Date of the paper.
    until : datetime.date or None
        Last day it holds; None where it does not end.
    """

    words: str
    paper: str
    on_file: dt.date
    until: dt.date | None = None


@dataclass(frozen=True, slots=True)
class Promise:
    """Watched words found in a text.

    Parameters
    ----------
    words : str
        The words.
    paper : str
        What usually shows that it is true.
    """

    words: str
    paper: str


@functools.cache
def _table() -> dict[str, Any]:
    text = resources.files("pinfeather.packs").joinpath("claims.toml").read_text("utf-8")
    return tomllib.loads(text)


def promises(text: str) -> tuple[Promise, ...]:
    """Find words in a text that promise something.

    Parameters
    ----------
    text : str
        A line of a label.

    Returns
    -------
    tuple of Promise
        One for each kind of promise, in the order of the table.

    References
    ----------
    The packaged table ``claims.toml``.

    Examples
    --------
    >>> [p.words for p in promises("Pasture-raised organic chicken")]
    ['organic', 'pasture-raised']
    """
    folded = " ".join(text.casefold().split())
    found = []
    for row in _table()["watched"]:
        for words in sorted(row["words"], key=len, reverse=True):
            if re.search(rf"(?<!\w){re.escape(words)}(?!\w)", folded):
                found.append(Promise(words, row["paper"]))
                break
    return tuple(found)


def claim_findings(
    lines: Sequence[str], printed: Sequence[str], on_file: Sequence[Claim], *, on: dt.date
) -> tuple[Finding, ...]:
    """Judge the promises on a label by the papers on file.

    Parameters
    ----------
    lines : sequence of str
        Lines people wrote themselves, such as the product's name.
    printed : sequence of str
        Lines printed as claims.
    on_file : sequence of Claim
        Papers on file.
    on : datetime.date
        Day of packing.

    Returns
    -------
    tuple of Finding
        A stop for each promise without a paper that holds on that day.

    Notes
    -----
    A claim printed as such needs a paper for its very words. Watched words elsewhere need a
    paper whose words promise the same.

    References
    ----------
    9 CFR 381.129: no false or misleading label; the packaged table ``claims.toml``.
    """
    holding = [c for c in on_file if c.on_file <= on and (c.until is None or on <= c.until)]
    exact = {_folded(c.words) for c in holding}
    covered = {p.paper for c in holding for p in promises(c.words)}
    found = [
        _finding(words, next(iter(promises(words)), Promise(words, _("a paper on file"))))
        for words in printed
        if _folded(words) not in exact
    ]
    for line in lines:
        found += [_finding(p.words, p) for p in promises(line) if p.paper not in covered]
    return tuple(found)


def _folded(words: str) -> str:
    return " ".join(words.casefold().split())


def _finding(words: str, promise: Promise) -> Finding:
    return Finding(
        code="label.claim_without_paper",
        severity=Severity.STOP,
        sentence=_("“{words}” is a promise, and no paper on file shows it.").format(words=words),
        reason=_("Put it on file first, or take the words off: {paper}.").format(
            paper=promise.paper
        ),
        where="claims",
        citation=_table()["citation"],
        status=_table()["status"],
    )
