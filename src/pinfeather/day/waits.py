"""How long birds waited between stations, taken from the counts in order."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from pinfeather.day.events import COUNTED
from pinfeather.day.progress import Progress
from pinfeather.finding import Finding, Severity
from pinfeather.rules.model import Profile
from pinfeather.words import gettext as _
from pinfeather.words import ngettext

_SECONDS_IN_A_MINUTE: Final = 60.0


@dataclass(frozen=True, slots=True)
class Lag:
    """Time from one counted station to a later one, bird by bird.

    Parameters
    ----------
    first, second : str
        The two stations.
    lags_s : tuple of float
        One for each bird that passed both, in order [s].
    """

    first: str
    second: str
    lags_s: tuple[float, ...]


def lag(done: Progress, first: str, second: str) -> Lag:
    """Pair the counts at two stations, first in, first out.

    Parameters
    ----------
    done : Progress
        The day so far.
    first, second : str
        An earlier and a later counted station.

    Returns
    -------
    Lag
        Birds written off between the two are left out of the earlier count: those that had come
        last before they were written off.

    Notes
    -----
    Birds that overtake each other swap their times; the mean stays right.

    References
    ----------
    Derivation: k-th departure less k-th arrival.
    """
    between = COUNTED[COUNTED.index(first) : COUNTED.index(second)]
    arrivals = list(done.times(first))
    departures = done.times(second)
    for entry in sorted(done.explained, key=lambda e: e.at):
        if entry.after in between:
            earlier = [t for t in arrivals if t <= entry.at]
            # the bird written off is the one that had come last before it was noticed
            for moment in earlier[-entry.birds :]:
                arrivals.remove(moment)
    return Lag(first, second, _differences(arrivals, departures))


def _differences(
    arrivals: Sequence[dt.datetime], departures: Sequence[dt.datetime]
) -> tuple[float, ...]:
    return tuple(
        (out - into).total_seconds() for into, out in zip(arrivals, departures, strict=False)
    )


def wait_findings(
    done: Progress, profile: Profile, *, bleed_s: float, bleed_citation: str
) -> tuple[Finding, ...]:
    """Judge the waits of the day.

    Parameters
    ----------
    done : Progress
        The day so far.
    profile : Profile
        The rules in force.
    bleed_s : float
        Shortest time from the cut until a bird may be scalded and picked [s].
    bleed_citation : str
        Where that time comes from.

    Returns
    -------
    tuple of Finding
        Birds picked too soon after the cut, drawn too late, or warm too long before the chill.

    References
    ----------
    The profile's timing limits, each with its own citation.
    """
    findings = []
    early = [s for s in lag(done, "kill", "pick").lags_s if s < bleed_s]
    if early:
        findings.append(
            Finding(
                code="wait.bleed",
                severity=Severity.STOP,
                sentence=ngettext(
                    "One bird was picked sooner after the cut than it can have bled.",
                    "{n} birds were picked sooner after the cut than they can have bled.",
                    len(early),
                ).format(n=len(early)),
                reason=_(
                    "Never scald a bird that breathes or blinks. If the count lagged behind the "
                    "cut, say so here."
                ),
                where="kill-pick",
                measured=min(early) / _SECONDS_IN_A_MINUTE,
                limit=bleed_s / _SECONDS_IN_A_MINUTE,
                unit="min",
                citation=bleed_citation,
                status="common practice",
            )
        )
    for first, second, limit, sentence_one, sentence_many in (
        (
            "kill",
            "draw",
            profile.timing.cut_to_drawn,
            "One bird was drawn later than {limit} after the cut.",
            "{n} birds were drawn later than {limit} after the cut.",
        ),
        (
            "pick",
            "chill",
            profile.timing.pick_to_chill,
            "One bird took longer than {limit} from picking to the chill tank.",
            "{n} birds took longer than {limit} from picking to the chill tank.",
        ),
    ):
        slow = [s for s in lag(done, first, second).lags_s if s > limit.si]
        if slow:
            findings.append(
                Finding(
                    code=f"wait.{first}_{second}",
                    severity=Severity.CHECK,
                    sentence=ngettext(sentence_one, sentence_many, len(slow)).format(
                        n=len(slow), limit=limit
                    ),
                    reason=_("The longest took {n:.0f} min.").format(
                        n=max(slow) / _SECONDS_IN_A_MINUTE
                    ),
                    where=f"{first}-{second}",
                    measured=max(slow) / _SECONDS_IN_A_MINUTE,
                    limit=limit.si / _SECONDS_IN_A_MINUTE,
                    unit="min",
                    citation=limit.citation,
                    status=limit.status,
                )
            )
    return tuple(findings)
