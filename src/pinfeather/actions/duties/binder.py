"""What a binder of papers takes from here: duties done, licence, tests, and how long to keep."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from pinfeather import clock
from pinfeather.actions.desk import scales
from pinfeather.actions.duties import book, view
from pinfeather.actions.farm import farm
from pinfeather.actions.keeping.classes import kept_rows
from pinfeather.records.proofs import ProofView
from pinfeather.rules.retention import KeepRow


@dataclass(frozen=True, slots=True)
class DonePaper:
    """A duty done, with its proofs."""

    code: str
    title: str
    on: dt.date
    until: dt.date | None
    who: str
    note: str
    proofs: tuple[ProofView, ...]


@dataclass(frozen=True, slots=True)
class LicencePaper:
    """The licence as it stands at the end of the span."""

    duty: str
    citation: str
    status: str
    got_on: dt.date | None
    until: dt.date | None
    proofs: tuple[ProofView, ...]


@dataclass(frozen=True, slots=True)
class ScaleTest:
    """The scale under the test weight."""

    on: dt.date
    scale: str
    test_lb: str
    reading_lb: str
    good: bool
    who: str


@dataclass(frozen=True, slots=True)
class BinderPapers:
    """Everything for the binder; the oldest first."""

    done: tuple[DonePaper, ...]
    licence: LicencePaper | None
    """None where the exemption asks for none."""
    water_tests: tuple[DonePaper, ...]
    scale_tests: tuple[ScaleTest, ...]
    keeping: tuple[KeepRow, ...]


def for_binder(from_date: dt.date, to_date: dt.date) -> BinderPapers:
    """Return what was done from one date to another, both included.

    The bytes of a proof are read with ``records.proofs.read(sha256)``.
    """
    kept = book.read()
    views = {one.code: one for one in (*view.duties(), *view.duties(off=True))}
    done = tuple(
        DonePaper(
            one.code,
            views[one.code].title if one.code in views else one.code,
            one.on,
            one.until,
            one.who,
            one.note,
            one.proofs,
        )
        for one in sorted(kept.done, key=lambda d: d.on)
        if from_date <= one.on <= to_date
    )
    return BinderPapers(
        done,
        _licence(views.get("licence"), to_date),
        tuple(one for one in done if one.code == "water-test"),
        tuple(one for one in scale_tests() if from_date <= one.on <= to_date)[::-1],
        kept_rows(),
    )


def scale_tests(*, most: int = 400) -> tuple[ScaleTest, ...]:
    """Return the newest checks of the scales, judged; the newest first."""
    zone = clock.zone(farm().zone)
    return tuple(
        ScaleTest(
            one.at.astimezone(zone).date(),
            one.scale,
            one.test_lb,
            one.reading_lb,
            not scales.check_findings(one),
            one.who,
        )
        for one in scales.checks(most=most)
    )


def _licence(found: view.DutyView | None, to_date: dt.date) -> LicencePaper | None:
    if found is None or found.state == "off":
        return None
    duty = found.standing.duty
    newest = next((one for one in found.history if one.on <= to_date), None)
    until = None if newest is None else newest.until or duty.again_on(newest.on)
    return LicencePaper(
        duty.advice,
        duty.interval.basis.note,
        duty.interval.basis.status,
        None if newest is None else newest.on,
        until,
        () if newest is None else newest.proofs,
    )
