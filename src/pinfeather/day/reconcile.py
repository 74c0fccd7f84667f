"""The lost count: stations count apart, and every difference is told while it can be found."""

from __future__ import annotations

import datetime as dt
import math
from bisect import bisect_left
from collections.abc import Mapping
from dataclasses import dataclass
from itertools import pairwise
from typing import Final

from pinfeather.day.events import COUNTED
from pinfeather.day.progress import Progress
from pinfeather.finding import Finding, Severity
from pinfeather.words import gettext as _
from pinfeather.words import gettext_noop, ngettext

PLACES: Final[Mapping[str, str]] = {
    "catch": gettext_noop("catching"),
    "kill": gettext_noop("the cones"),
    "pick": gettext_noop("picking"),
    "draw": gettext_noop("drawing"),
    "chill": gettext_noop("the chill tank"),
    "bag": gettext_noop("packing"),
}
_DONE: Final[Mapping[str, str]] = {
    "catch": gettext_noop("caught"),
    "kill": gettext_noop("killed"),
    "pick": gettext_noop("picked"),
    "draw": gettext_noop("drawn"),
    "chill": gettext_noop("in the tank"),
    "bag": gettext_noop("packed"),
}


@dataclass(frozen=True, slots=True)
class Gap:
    """What stands between two counted stations.

    Parameters
    ----------
    after, before : str
        The two stations.
    passed_after, passed_before : int
        Birds counted at each.
    explained : int
        Birds written off between them.
    oldest : datetime or None
        Since when the bird that has been between them longest has been there.
    unaccounted : int
        Birds that have been there longer than a bird can be; negative where the later station
        counted more than the earlier one.
    """

    after: str
    before: str
    passed_after: int
    passed_before: int
    explained: int
    oldest: dt.datetime | None
    unaccounted: int

    @property
    def between(self) -> int:
        """Birds that must be between the two stations now."""
        return self.passed_after - self.passed_before - self.explained


def gaps(
    done: Progress, *, now: dt.datetime, longest_s: Mapping[str, float], final: bool = False
) -> tuple[Gap, ...]:
    """Compare each counted station with the next.

    Parameters
    ----------
    done : Progress
        The day so far.
    now : datetime
        Aware.
    longest_s : mapping
        For each earlier station, the longest a bird may reasonably take to the next one [s].
    final : bool
        True when closing: every bird not at the next station counts as unaccounted.

    Returns
    -------
    tuple of Gap
        In the order of the line.

    Notes
    -----
    Birds are taken to keep their order. A bird lost in mid-flow then shows as each later bird
    apparently taking longer, and in full as soon as the flow pauses.

    References
    ----------
    Derivation: first in, first out; conservation of heads between two counters.
    """
    found = []
    for after, before in pairwise(COUNTED):
        times = done.times(after)
        left = done.count(before) + done.explained_after(after)
        waiting = times[left:]
        if left > len(times):
            unaccounted = len(times) - left
        elif final:
            unaccounted = len(waiting)
        else:
            limit_s = longest_s.get(after, math.inf)
            unaccounted = (
                bisect_left(waiting, now - dt.timedelta(seconds=limit_s))
                if math.isfinite(limit_s)
                else 0
            )
        found.append(
            Gap(
                after=after,
                before=before,
                passed_after=len(times),
                passed_before=done.count(before),
                explained=done.explained_after(after),
                oldest=waiting[0] if waiting else None,
                unaccounted=unaccounted,
            )
        )
    return tuple(found)


def gap_findings(found: tuple[Gap, ...]) -> tuple[Finding, ...]:
    """Say in words which birds are unaccounted for, and where to look.

    Parameters
    ----------
    found : tuple of Gap
        From :func:`gaps`.

    Returns
    -------
    tuple of Finding
        One for each gap that does not add up.

    References
    ----------
    Derivation: conservation of heads.
    """
    findings = []
    for gap in found:
        if gap.unaccounted == 0:
            continue
        count = abs(gap.unaccounted)
        if gap.unaccounted > 0:
            sentence = ngettext(
                "One bird is unaccounted for between {after} and {before}.",
                "{n} birds are unaccounted for between {after} and {before}.",
                count,
            )
            reason = _("{a} {adone}, {b} {bdone}{explained}. Look there before going on.")
        else:
            sentence = ngettext(
                "One bird more at {before} than came from {after}.",
                "{n} birds more at {before} than came from {after}.",
                count,
            )
            reason = _("{a} {adone}, {b} {bdone}{explained}. A tap was missed or doubled.")
        findings.append(
            Finding(
                code="count.gap",
                severity=Severity.STOP,
                sentence=sentence.format(
                    n=count, after=_(PLACES[gap.after]), before=_(PLACES[gap.before])
                ),
                reason=reason.format(
                    a=gap.passed_after,
                    adone=_(_DONE[gap.after]),
                    b=gap.passed_before,
                    bdone=_(_DONE[gap.before]),
                    explained=_(", {n} explained").format(n=gap.explained) if gap.explained else "",
                ),
                where=f"{gap.after}-{gap.before}",
                measured=float(gap.passed_before + gap.explained),
                limit=float(gap.passed_after),
                unit="birds",
            )
        )
    return tuple(findings)
