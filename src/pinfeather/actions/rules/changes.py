"""Old verdicts under today's rules: which would come out otherwise, and why."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any, Final

from cattrs.preconf.json import make_converter

from pinfeather import __version__
from pinfeather.actions.day import closing, days
from pinfeather.actions.desk.labels import LABEL_VERDICT
from pinfeather.actions.farm import farm
from pinfeather.actions.rules import kept as rules_kept
from pinfeather.actions.rules import tier_form
from pinfeather.errors import InputError
from pinfeather.finding import Finding, Severity
from pinfeather.packs.label import LabelContent, check_label
from pinfeather.packs.shelf import form_of
from pinfeather.records import models
from pinfeather.rules.build import BUYERS, VENUES
from pinfeather.rules.profile import digest, load
from pinfeather.rules.rows import ProfileRow, rows_from, rows_of
from pinfeather.rules.sale import sale_findings
from pinfeather.rules.which import which_tier
from pinfeather.words import gettext as _

_MOST_DAYS: Final = 60
_MOST_OTHERS: Final = 300
_READ: Final = make_converter()


@dataclass(frozen=True, slots=True)
class Otherwise:
    """A verdict that today's rules would give otherwise."""

    kind: str
    """``"day"``, ``"sale"``, ``"tier"`` or ``"label"``."""
    id: str
    title: str
    at: dt.datetime
    rules: rules_kept.Stamp | None
    then: tuple[str, ...]
    """What was said then and would not be said now."""
    now: tuple[str, ...]
    """What would be said now and was not said then."""


@dataclass(frozen=True, slots=True)
class Looked:
    """How many verdicts were judged again, and those that differ."""

    looked_at: int
    differing: tuple[Otherwise, ...]


@dataclass(frozen=True, slots=True)
class Moved:
    """A number or wording that is not what it was."""

    then: ProfileRow | None
    now: ProfileRow | None


def look(profile_id: str = "") -> Looked:
    """Judge the kept verdicts again, by the rules now in force or by others."""
    home = farm()
    under = profile_id or home.profile
    found = [*_days(under), *_sales(under), *_tiers(under), *_labels(under)]
    return Looked(len(found), tuple(one for one in found if one.then or one.now))


def moved(fingerprint: str, *, profile_id: str = "") -> tuple[Moved, ...]:
    """Return what differs between rules of the past and those now in force, row by row."""
    text = rules_kept.text_of(fingerprint)
    if text is None:
        return ()
    old = {row.path: row for row in rows_from(text)}
    new = {row.path: row for row in rows_of(profile_id or farm().profile)}
    return tuple(
        Moved(old.get(path), new.get(path))
        for path in dict.fromkeys((*old, *new))
        if _said(old.get(path)) != _said(new.get(path))
    )


def _said(row: ProfileRow | None) -> tuple[str, ...]:
    return () if row is None else (row.value, row.citation, row.status, row.in_force)


def _unmoved(rules: rules_kept.Stamp | None, under: str) -> bool:
    """Tell whether a verdict was made by these very rules and this very program."""
    return rules is not None and (rules.digest, rules.program) == (digest(under), __version__)


def _apart(
    then: Mapping[tuple[str, str], str], now: Mapping[tuple[str, str], str]
) -> tuple[tuple[str, ...], tuple[str, ...]]:
    return (
        tuple(words for key, words in then.items() if key not in now),
        tuple(words for key, words in now.items() if key not in then),
    )


def _by_code(findings: tuple[Finding, ...]) -> dict[tuple[str, str], str]:
    return {(f.code, f"{f.where} {f.severity.code}"): f.sentence for f in findings}


def _days(under: str) -> Iterator[Otherwise]:
    closed = models.Day.objects.filter(status=models.Day.Status.CLOSED).exclude(record=None)
    for day_id in closed.order_by("-date").values_list("pk", flat=True)[:_MOST_DAYS]:
        day = days.day(day_id)
        record: dict[str, Any] = dict(day.record or {})
        rules = rules_kept.read_stamp(record)
        then: tuple[str, ...] = ()
        now: tuple[str, ...] = ()
        if not _unmoved(rules, under):
            at = dt.datetime.fromisoformat(record["judged_at"])
            again = closing.judge(day_id, now=at, under=under)
            old = tuple(one.finding for one in closing.record_findings(record))
            then, now = _apart(_by_code(old), _by_code(tuple(o.finding for o in again.findings)))
        yield Otherwise("day", str(day_id), _("Processing day"), day.start, rules, then, now)


def _sales(under: str) -> Iterator[Otherwise]:
    profile = load(under)
    for row in models.Entry.objects.filter(kind="sale").order_by("-seq")[:_MOST_OTHERS]:
        paper = row.payload
        rules = rules_kept.read_stamp(paper)
        then: tuple[str, ...] = ()
        now: tuple[str, ...] = ()
        buyer, venue = str(paper["buyer"].get("kind")), str(paper.get("venue", "farm"))
        if not _unmoved(rules, under) and buyer in BUYERS and venue in VENUES:
            found: dict[tuple[str, str], str] = {}
            try:
                for form in {form_of(str(line["product"])) for line in paper["lines"]}:
                    judged = sale_findings(
                        profile, str(paper["tier"]), buyer=buyer, venue=venue, form=form,
                        leaves_state=bool(paper.get("leaves_state")),
                    )  # fmt: skip
                    found |= {(f.code, ""): f.sentence for f in judged}
            except InputError as fault:
                found["tier.closed", ""] = fault.problem
            old = {(str(stop["code"]), ""): str(stop["sentence"]) for stop in paper["stops"]}
            then, now = _apart(old, found)
        title = _("Sale {n}").format(n=paper["number"])
        yield Otherwise("sale", row.client_id, title, row.device_time, rules, then, now)


def _tiers(under: str) -> Iterator[Otherwise]:
    profile = load(under)
    for row in models.Entry.objects.filter(kind=tier_form.KIND).order_by("-seq")[:_MOST_OTHERS]:
        rules = rules_kept.read_stamp(row.payload)
        then: tuple[str, ...] = ()
        now: tuple[str, ...] = ()
        if not _unmoved(rules, under):
            try:
                tier = which_tier(profile, tier_form.facts_from(row.payload["facts"])).tier or ""
            except InputError:
                tier = ""
            if tier != row.payload["tier"]:
                then = (_name(str(row.payload["tier"]), rules),)
                now = (profile.tiers[tier].name if tier else _("no exemption fits"),)
        yield Otherwise(
            "tier", row.client_id, _("Which exemption"), row.device_time, rules, then, now
        )


def _name(tier: str, rules: rules_kept.Stamp | None) -> str:
    old = rules_kept.profile_of(rules.digest) if rules else None
    if old is not None and tier in old.tiers:
        return old.tiers[tier].name
    return tier or _("no exemption fits")


def _labels(under: str) -> Iterator[Otherwise]:
    profile = load(under)
    for row in models.Entry.objects.filter(kind=LABEL_VERDICT).order_by("-seq")[:_MOST_OTHERS]:
        rules = rules_kept.read_stamp(row.payload)
        for verdict in row.payload["verdicts"]:
            then: tuple[str, ...] = ()
            now: tuple[str, ...] = ()
            content = _READ.structure(verdict["content"], LabelContent)
            if not _unmoved(rules, under):
                try:
                    found = check_label(content, profile, str(row.payload["tier"]))
                except InputError as fault:
                    found = (Finding("tier.closed", Severity.STOP, fault.problem),)
                old = {(code, ""): words for code, words in verdict["findings"].items()}
                then, now = _apart(old, {(f.code, ""): f.sentence for f in found})
            title = _("Label “{product}”").format(product=content.product_name)
            yield Otherwise("label", row.client_id, title, row.device_time, rules, then, now)
