"""The cold page: how each chill batch stands, when it should be cold, and what to do now."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from typing import Any, Literal

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from pinfeather import clock
from pinfeather.actions.day import closing, pictures
from pinfeather.actions.day.days import day as find_day
from pinfeather.actions.day.standing import standing
from pinfeather.actions.farm import farm
from pinfeather.day.chill_proof import Proof
from pinfeather.day.cold_now import BatchNow, Risk
from pinfeather.day.instruments import Trusted
from pinfeather.day.logged import Logged, doubts, growth_findings, logger_sentence
from pinfeather.finding import by_severity
from pinfeather.quantity import show
from pinfeather.reports.cold_curve import ColdCurve, cold_curve_svg
from pinfeather.reports.cold_curve_data import cold_curve_rows
from pinfeather.reports.tables import csv_bytes
from pinfeather.web.dayview import Fact

_TONE = {
    Risk.PROVED: "fine",
    Risk.FINE: "note",
    Risk.WATER: "check",
    Risk.LATE: "check",
    Risk.NEVER: "stop",
    Risk.OVER: "stop",
}


def cold(request: HttpRequest, day_id: int) -> HttpResponse:
    """Show every chill batch, those at risk first: what to do, the curve, and the sources."""
    judgement, batches, curves = _looked_at(day_id)
    moving = judgement.day.sealed_at is None
    page = _Page(judgement, moving=moving)
    return render(
        request,
        "pinfeather/cold.html",
        {
            "day": judgement.day,
            "moving": moving,
            "seq": judgement.done.last_seq,
            "answer": page.answer(batches),
            "batches": [
                page.batch(one, curve, number)
                for number, (one, curve) in enumerate(zip(batches, curves, strict=True))
            ],
            "loggers": [page.logger(curve) for curve in judgement.floor.logged],
        },
    )


def cold_csv(request: HttpRequest, day_id: int) -> HttpResponse:  # noqa: ARG001 - a view's signature
    """Give the points of every curve as a table."""
    judgement, _batches, curves = _looked_at(day_id)
    content = csv_bytes(
        ("batch", "at", "temperature_degC", "what", "instrument"),
        (
            (
                f"{curve.batch} {curve.place}".strip(),
                at.isoformat(),
                round(temp_degC, 2),
                what,
                instrument,
            )
            for curve in curves
            for at, temp_degC, what, instrument in cold_curve_rows(curve)
        ),
    )
    response = HttpResponse(content, content_type="text/csv; charset=utf-8")
    name = f"cold-{judgement.day.date.isoformat()}.csv"
    response.headers["Content-Disposition"] = f'attachment; filename="{name}"'
    return response


def _looked_at(
    day_id: int,
) -> tuple[closing.Judgement, tuple[BatchNow, ...], Sequence[ColdCurve]]:
    """Judge a day's batches as they stand, or as they were judged when it was closed."""
    now = clock.now()
    sealed_at = find_day(day_id).sealed_at
    at = sealed_at or now
    judgement = closing.judge(day_id, now=at)
    verdicts = judgement.chill
    if judgement.day.record:
        verdicts = closing.record_chill(dict(judgement.day.record))
    batches = standing(judgement.floor, verdicts, now=at)
    curves = pictures.cold_curves(
        judgement.floor,
        [one.verdict for one in batches],
        now=now if sealed_at is None else None,
        batches=batches,
    )
    return judgement, batches, curves


class _Page:
    """Writes times and temperatures the farm's way."""

    def __init__(self, judgement: closing.Judgement, *, moving: bool) -> None:
        self.judgement, self.moving = judgement, moving
        self.zone = clock.zone(judgement.day.zone)
        self.unit: Literal["F", "C"] = "C" if farm().units == "metric" else "F"

    def temp(self, temp_degC: float) -> str:
        return show(temp_degC, self.unit, "temperature", decimals=1)

    def clock(self, moment: dt.datetime | None) -> str:
        return "" if moment is None else f"{moment.astimezone(self.zone):%H:%M}"

    def answer(self, batches: tuple[BatchNow, ...]) -> str:
        """Say in one sentence how the day stands."""
        if not batches:
            return _("No bird is in a tank yet.")
        proved = sum(one.risk is Risk.PROVED for one in batches)
        if proved == len(batches):
            return _("Yes. Every batch is proved cold.")
        words = ngettext(
            "{proved} of {n} batch is proved.", "{proved} of {n} batches are proved.", len(batches)
        ).format(proved=proved, n=len(batches))
        if not self.moving or batches[0].risk <= Risk.FINE:
            return words
        return f"{words} " + _("{tank} needs you now.").format(tank=batches[0].verdict.batch.tank)

    def batch(self, one: BatchNow, curve: ColdCurve, number: int) -> dict[str, Any]:
        verdict = one.verdict
        return {
            "verdict": verdict,
            "tone": _TONE[one.risk] if self.moving else _TONE[_settled(one)],
            "facts": self.facts(one),
            "now": one,
            "svg": {
                name: cold_curve_svg(
                    curve, unit=self.unit, clock="24h", width=width, ident=f"{name}-{number}"
                )
                for name, width in (("wide", 900), ("narrow", 340))
            },
            "readings": [
                self.reading(r)
                for r in self.judgement.floor.readings
                if r.reading.place == verdict.batch.tank and r.reading.what in {"bird", "bath"}
            ],
            "water": self.temp(one.bath_degC),
            "breast": _estimate(one.thickness_m, 1000 if self.unit == "C" else 1 / 0.0254),
            "breast_unit": "mm" if self.unit == "C" else "in",
            "surface": _estimate(one.surface_W_per_m2K, 1.0),
            "notes": [f for f in one.findings if f.code != "chill.bath_warm"],
        }

    def facts(self, one: BatchNow) -> list[Fact]:
        """Return the large figures of a batch, the answer first."""
        verdict, expected = one.verdict, one.expected
        due = Fact(
            _("Must be cold by"),
            self.clock(verdict.batch.due),
            "",
            _("{target} within {hours:g} h of the cut").format(
                target=verdict.batch.limit.target, hours=verdict.batch.limit.hours
            ),
        )
        if verdict.proof in {Proof.PROVED, Proof.LATE} and verdict.by is not None:
            words = _("Proved cold at") if verdict.proof is Proof.PROVED else _("Cold too late, at")
            first = Fact(
                words, self.clock(verdict.by.reading.at), "", self.reading(verdict.by)["why"]
            )
        elif expected.value is None:
            first = Fact(_("Cold by"), _("never"), "", _("the water is not colder than the limit"))
        else:
            first = Fact(
                _("Should be cold by"),
                self.clock(expected.value),
                "",
                _("{low} to {high}, eight times in ten; not proof").format(
                    low=self.clock(expected.low), high=self.clock(expected.high) or _("never")
                ),
            )
        facts = [first, due]
        if one.water is not None:
            why = _("read at {time}").format(time=self.clock(one.water.reading.at))
            facts.append(Fact(_("Water"), self.temp(one.water.corrected_degC), "", why))
        else:
            facts.append(
                Fact(_("Water"), self.temp(one.bath_degC), "", _("assumed: read it")),
            )
        return facts

    def reading(self, one: Trusted) -> dict[str, Any]:
        corrected = show(one.corrected_degC, one.reading.unit, "temperature", decimals=1)
        spread = show(one.uncertainty_K, one.reading.unit, "temperature difference", decimals=1)
        return {
            "at": self.clock(one.reading.at),
            "what": _("bird") if one.reading.what == "bird" else _("water"),
            "written": one.reading.written,
            "corrected": corrected,
            "spread": spread,
            "instrument": one.reading.instrument,
            "checked": one.ice_point is not None,
            "who": one.reading.who,
            "why": _("{corrected} ±{spread} by {name}").format(
                corrected=corrected, spread=spread, name=one.reading.instrument
            ),
        }

    def logger(self, curve: Logged) -> dict[str, Any]:
        target = self.judgement.floor.profile.chill.target
        last_in = next(
            (v.batch.last_in for v in self.judgement.chill if v.batch.tank == curve.note.place),
            None,
        )
        doubtful = doubts(curve, target_degC=target.si, last_in=last_in)
        return {
            "note": curve.note,
            "sentence": logger_sentence(
                curve, limit=str(target), limit_degC=target.si, zone=self.zone
            ),
            "findings": by_severity(
                (
                    *doubtful,
                    *growth_findings(curve),
                    *curve.findings,
                )
            ),
        }


def _settled(one: BatchNow) -> Risk:
    """On a closed day only the verdict counts."""
    return Risk.PROVED if one.verdict.proof is Proof.PROVED else Risk.OVER


def _estimate(estimate: Any, factor: float) -> dict[str, str]:  # noqa: ANN401 - an Estimate
    low, value, high = (f"{x * factor:.3g}" for x in (estimate.low, estimate.value, estimate.high))
    return {
        "value": value,
        "band": f"{low}–{high}",
        "note": estimate.basis.note,
        "status": estimate.basis.status,
    }
