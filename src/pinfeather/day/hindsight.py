"""Where the plan of a closed day was wrong, and why."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from pinfeather.day.due import shift
from pinfeather.day.tapped import (
    STOP,
    GroupCode,
    GroupTimes,
    TappedDay,
    group_times,
    planned_at_s,
    tapped_at_s,
)
from pinfeather.line.learning import robust_log
from pinfeather.words import gettext as _

_LONG_STOP_S: Final = 300.0
_SHARE: Final = 0.1
"""A pace within a tenth of the plan is called as planned. Assumed."""


@dataclass(frozen=True, slots=True)
class PaceRow:
    """One group of stations, planned against actual.

    Parameters
    ----------
    code : str
        The group.
    planned_s, actual_s : float
        Usual time for one bird [s].
    birds : float
        Birds it rests on.
    stops_s : float
        Time in stops at this count, beyond the usual gap [s].
    stops : int
        How many.
    """

    code: GroupCode
    planned_s: float
    actual_s: float
    birds: float
    stops_s: float
    stops: int

    @property
    def slower_frac(self) -> float:
        """How much slower than planned; below zero is faster [1]."""
        return self.actual_s / self.planned_s - 1


@dataclass(frozen=True, slots=True)
class Hindsight:
    """Where the plan was wrong.

    Parameters
    ----------
    rows : tuple of PaceRow
        By group of stations.
    late_start_s : float
        How much later than planned the day began [s].
    line_late_s : float or None
        How much later than planned the last bird went into the chill [s].
    sentences : tuple of str
        The same in words, largest cause first.
    """

    rows: tuple[PaceRow, ...]
    late_start_s: float
    line_late_s: float | None
    sentences: tuple[str, ...]


_GROUP_WORDS: Final[Mapping[GroupCode, str]] = {
    "dirty": "Catch to pick",
    "draw": "Drawing",
    "rinse": "Rinsing",
    "pack": "Packing",
}


def group_words(code: GroupCode) -> str:
    """Return what a group of stations is called.

    Parameters
    ----------
    code : str
        The group.

    Returns
    -------
    str
        In words.

    References
    ----------
    Derivation: choice.
    """
    return _(_GROUP_WORDS[code])


def hindsight(day: TappedDay) -> Hindsight:
    """Say where the plan of a closed day was wrong and why.

    Parameters
    ----------
    day : TappedDay
        The day.

    Returns
    -------
    Hindsight
        Pace, stops and a late start, each in minutes.

    References
    ----------
    Derivation: :func:`group_times`; the late finish split into late start, stops and pace.
    """
    rows = tuple(_row(one) for one in group_times(day))
    begun = any(t.station in ("catch", "kill") for t in day.done.tallies)
    late_start_s = shift(day.plan, day.done, start=day.start).total_seconds() if begun else 0.0
    into, planned = tapped_at_s(day, "chill"), planned_at_s(day, "chill")
    line_late_s = None
    if len(into) and len(planned):
        line_late_s = float(into[min(len(into), len(planned)) - 1]) - float(
            planned[min(len(into), len(planned)) - 1]
        )
    return Hindsight(rows, late_start_s, line_late_s, _sentences(rows, late_start_s, line_late_s))


def _row(one: GroupTimes) -> PaceRow:
    known = robust_log(one.actual_s)
    assert known is not None  # noqa: S101 - group_times leaves the others out
    usual_s = math.exp(known.log_mean + known.log_sd**2 / 2)
    steps = np.diff(one.taps_s)
    usual_step_s = float(np.median(steps))
    long = steps > max(STOP * usual_step_s, _LONG_STOP_S)
    lost_s = float((steps[long] - usual_step_s).sum())
    return PaceRow(one.code, one.planned_s, usual_s, known.used, lost_s, int(long.sum()))


def _sentences(
    rows: Sequence[PaceRow], late_start_s: float, line_late_s: float | None
) -> tuple[str, ...]:
    found: list[tuple[float, str]] = []
    if abs(late_start_s) >= 60:  # noqa: PLR2004 - a minute
        words = _("The day began {n} min late.") if late_start_s > 0 else _(
            "The day began {n} min early."
        )  # fmt: skip
        found.append((abs(late_start_s), words.format(n=round(abs(late_start_s) / 60))))
    for row in rows:
        lost_s = (row.actual_s - row.planned_s) * row.birds
        if abs(row.slower_frac) > _SHARE:
            words = (
                _("{group}: {actual} a bird where the plan had {planned}, {n} % slower.")
                if row.slower_frac > 0
                else _("{group}: {actual} a bird where the plan had {planned}, {n} % faster.")
            )
            found.append(
                (
                    abs(lost_s),
                    words.format(
                        group=group_words(row.code),
                        actual=_short(row.actual_s),
                        planned=_short(row.planned_s),
                        n=round(100 * abs(row.slower_frac)),
                    ),
                )
            )
        if row.stops and row.code != "pack":
            words = _(
                "{group}: {n} min in stops of more than three usual gaps; not counted as pace."
            )
            found.append(
                (row.stops_s, words.format(group=group_words(row.code), n=round(row.stops_s / 60)))
            )
    found.sort(key=lambda one: -one[0])
    sentences = [words for _size, words in found]
    if line_late_s is not None:
        whole = round(abs(line_late_s) / 60)
        if whole == 0:
            first = _("The last bird went into the chill when the plan said.")
        elif line_late_s > 0:
            first = _("The last bird went into the chill {n} min after the plan.").format(n=whole)
        else:
            first = _("The last bird went into the chill {n} min before the plan.").format(n=whole)
        sentences.insert(0, first)
    if rows and not found:
        sentences.append(_("Every station kept within a tenth of its planned pace."))
    return tuple(sentences)


def _short(time_s: float) -> str:
    if time_s < 120:  # noqa: PLR2004 - seconds read better below two minutes
        return _("{n:.0f} s").format(n=time_s)
    return _("{m} min {s:02d} s").format(m=round(time_s) // 60, s=round(time_s) % 60)
