"""Did each chill batch get cold in time? Only a probe reading proves it, never the model."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum

from pinfeather.day.instruments import Trusted
from pinfeather.day.logged import Logged, first_cold, last_warm
from pinfeather.day.progress import Progress
from pinfeather.finding import Finding, Severity
from pinfeather.heat.thermometer import Verdict, cold_enough
from pinfeather.rules.chill import ChillLimit, chill_limit
from pinfeather.rules.model import Profile
from pinfeather.units import from_si
from pinfeather.words import gettext as _
from pinfeather.words import ngettext


class Proof(StrEnum):
    """How a chill batch stands."""

    PROVED = "proved"
    """A probe read cold enough in time, guard band included."""
    LATE = "late"
    """Cold, but the proving reading came after the time allowed."""
    WARM = "warm"
    """The time is over and no reading proves it cold."""
    PENDING = "pending"
    """There is still time."""


@dataclass(frozen=True, slots=True)
class Batch:
    """The birds of one tank.

    Parameters
    ----------
    tank : str
        Its name.
    birds : int
        How many went in.
    lots : tuple of str
        Their lots.
    first_cut : datetime
        When the first of them was cut, birds taken in order.
    last_in : datetime
        When the last one went into the tank.
    limit : ChillLimit
        The strictest limit among its birds.
    due : datetime
        When the strictest time is over.
    """

    tank: str
    birds: int
    lots: tuple[str, ...]
    first_cut: dt.datetime
    last_in: dt.datetime
    limit: ChillLimit
    due: dt.datetime


@dataclass(frozen=True, slots=True)
class ChillVerdict:
    """A batch, judged.

    Parameters
    ----------
    batch : Batch
        What was judged.
    proof : Proof
        How it stands.
    by : Trusted or None
        The reading that proves it, or else the last one.
    finding : Finding
        The verdict in words.
    """

    batch: Batch
    proof: Proof
    by: Trusted | None
    finding: Finding


def batches(
    done: Progress, *, masses_kg: Mapping[str, Sequence[float]], profile: Profile
) -> tuple[Batch, ...]:
    """Gather the birds of each tank with the strictest limit among them.

    Parameters
    ----------
    done : Progress
        The day so far.
    masses_kg : mapping
        Dressed masses by lot [kg].
    profile : Profile
        The rules in force.

    Returns
    -------
    tuple of Batch
        By the time of the first bird in.

    Notes
    -----
    The k-th bird into a tank is taken to be the k-th bird cut. Birds taken off the line in between
    make the true cut later, so the clock here is never too generous.

    References
    ----------
    Derivation: first in, first out.
    """
    cuts = done.times("kill")
    everything = [mass for masses in masses_kg.values() for mass in masses]
    grouped: dict[str, list[tuple[int, dt.datetime, str]]] = {}
    order = 0
    for tally in done.tallies:
        if tally.station == "chill":
            for _bird in range(tally.birds):
                grouped.setdefault(tally.place, []).append((order, tally.at, tally.lot))
                order += 1
    found = []
    for tank, birds in grouped.items():
        lots = tuple(dict.fromkeys(lot for _, _, lot in birds if lot))
        masses = [m for lot in lots for m in masses_kg.get(lot, ())] or everything
        if not masses:
            continue
        limit = min((chill_limit(profile, m) for m in masses), key=lambda one: one.within_s)
        first_order = min(order for order, _, _ in birds)
        first_cut = birds[0][1]  # no bird goes in before it is cut, whatever was tapped
        if first_order < len(cuts):
            first_cut = min(first_cut, cuts[first_order])
        found.append(
            Batch(
                tank=tank,
                birds=len(birds),
                lots=lots,
                first_cut=first_cut,
                last_in=max(at for _, at, _ in birds),
                limit=limit,
                due=first_cut + dt.timedelta(seconds=limit.within_s),
            )
        )
    return tuple(sorted(found, key=lambda b: b.first_cut))


def chill_verdict(
    batch: Batch,
    readings: Sequence[Trusted],
    *,
    now: dt.datetime,
    logged: Sequence[Logged] = (),
) -> ChillVerdict:
    """Judge one batch by the probe readings in its tank.

    Parameters
    ----------
    batch : Batch
        From :func:`batches`.
    readings : sequence of Trusted
        All corrected readings of the day.
    now : datetime
        Aware.
    logged : sequence of Logged
        Kept logger curves; each reading counts like one by the same instrument.

    Returns
    -------
    ChillVerdict
        With the reading, the instrument and the correction that prove it.

    Notes
    -----
    A reading counts when it is of a bird in that tank, taken after the last bird went in. The
    guard band is taken off the limit. A warm reading takes back every proof before it.

    References
    ----------
    The limit's own citation; ISO 14253-1 (2017) for the guard band.
    """
    by = proving_reading(
        readings,
        tank=batch.tank,
        last_in=batch.last_in,
        target_degC=batch.limit.target.si,
        logged=logged,
    )
    if by is not None:
        proof = Proof.PROVED if by.reading.at <= batch.due else Proof.LATE
    else:
        by = _newest(batch, readings, logged)
        proof = Proof.PENDING if now <= batch.due else Proof.WARM
    return ChillVerdict(batch, proof, by, _finding(batch, proof, by))


def proving_reading(
    readings: Sequence[Trusted],
    *,
    tank: str,
    last_in: dt.datetime,
    target_degC: float,
    logged: Sequence[Logged] = (),
) -> Trusted | None:
    """Find the reading that proves a tank cold: the first cold one with no warm one after it.

    Parameters
    ----------
    readings : sequence of Trusted
        All corrected readings of the day, in any order.
    tank : str
        Its name.
    last_in : datetime
        When its last bird went in; readings before that prove nothing.
    target_degC : float
        Temperature to reach, itself allowed [degC].
    logged : sequence of Logged
        Kept logger curves. A curve proves only where its instrument had an ice check before, and
        the probe came down from warm as slowly as meat does.

    Returns
    -------
    Trusted or None
        None where nothing proves it, or the newest clear reading is warm again.

    References
    ----------
    ISO 14253-1 (2017) for the guard band.
    """
    curves = [c for c in logged if c.note.what == "bird" and c.note.place == tank]
    warm = [last_warm(curve, since=last_in, target_degC=target_degC) for curve in curves]
    cold: list[Trusted] = []
    for one in readings:
        if _counts(one, tank=tank, last_in=last_in):
            verdict = cold_enough(
                one.corrected_degC, limit_degC=target_degC, uncertainty_K=one.uncertainty_K
            )
            if verdict is Verdict.NO:
                warm.append(one.reading.at)
            elif verdict is Verdict.YES:
                cold.append(one)
    after = max((moment for moment in warm if moment is not None), default=None)
    for curve in curves:
        found = first_cold(curve, since=last_in, after=after, target_degC=target_degC)
        if found is not None:
            cold.append(found)
    # of two readings at one moment the warm one counts as the later one
    return min(
        (one for one in cold if after is None or one.reading.at > after),
        key=lambda one: (one.reading.at, one.corrected_degC),
        default=None,
    )


def _newest(batch: Batch, readings: Sequence[Trusted], logged: Sequence[Logged]) -> Trusted | None:
    """Return the newest reading of a bird in the tank, proof or not."""
    mine = [one for one in readings if _counts(one, tank=batch.tank, last_in=batch.last_in)]
    for curve in logged:
        last = curve.point(-1)
        if _counts(last, tank=batch.tank, last_in=batch.last_in):
            mine.append(last)
    return max(mine, key=lambda one: one.reading.at, default=None)


def _counts(one: Trusted, *, tank: str, last_in: dt.datetime) -> bool:
    return one.reading.what == "bird" and one.reading.place == tank and one.reading.at >= last_in


def _finding(batch: Batch, proof: Proof, by: Trusted | None) -> Finding:
    target = str(batch.limit.target)
    birds = ngettext("{n} bird", "{n} birds", batch.birds).format(n=batch.birds)
    sentence, severity = {
        Proof.PROVED: (_("{tank}: {birds} proved at {target} in time."), Severity.NOTE),
        Proof.LATE: (
            _("{tank}: {birds} reached {target}, but the reading came too late."),
            Severity.STOP,
        ),
        Proof.WARM: (
            _("{tank}: no reading proves {birds} at {target} in the time allowed."),
            Severity.STOP,
        ),
        Proof.PENDING: (_("{tank}: {birds} still to be proved at {target}."), Severity.NOTE),
    }[proof]
    if by is None:
        reason = _("No bird of this tank was probed after the last one went in.")
    else:
        reason = _(
            "{instrument} read {written}, corrected {corrected}, give or take {spread}."
        ).format(
            instrument=by.reading.instrument,
            written=by.reading.written,
            corrected=_in_unit(by.corrected_degC, by.reading.unit),
            spread=_spread_in_unit(by.uncertainty_K, by.reading.unit),
        )
    if proof is Proof.WARM:
        reason += " " + _("Hold these birds apart, keep chilling, and decide what to do with them.")
    return Finding(
        code=f"chill.{proof.value}",
        severity=severity,
        sentence=sentence.format(tank=batch.tank, birds=birds, target=target),
        reason=reason,
        where=batch.tank,
        measured=None if by is None else by.corrected_degC,
        limit=batch.limit.target.si,
        unit="degC",
        citation=_("{hours:g} h from the cut for {label}: {citation}").format(
            hours=batch.limit.hours, label=batch.limit.class_label, citation=batch.limit.citation
        ),
        status=batch.limit.status,
    )


def _in_unit(temp_degC: float, unit: str) -> str:
    return f"{from_si(temp_degC, unit, 'temperature'):.1f} °{unit}"


def _spread_in_unit(spread_K: float, unit: str) -> str:
    return f"{from_si(spread_K, unit, 'temperature difference'):.1f} °{unit}"
