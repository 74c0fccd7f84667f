"""Drills, duties and licences in a binder."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence

from pinfeather.actions.binder.source import Source
from pinfeather.actions.duties.binder import BinderPapers
from pinfeather.actions.stock.documents import WHERE_WORDS
from pinfeather.actions.stock.drill import Drill
from pinfeather.packs.drill import GOOD_HOURS
from pinfeather.records.proofs import ProofView
from pinfeather.reports.binder import Block, Facts, Leaf, Said, Section
from pinfeather.reports.sheet_parts import Answer
from pinfeather.reports.table_sheet import SheetTable
from pinfeather.words import date_text
from pinfeather.words import gettext as _


def drills_section(source: Source, drills: Sequence[Drill]) -> Section:
    """Return every recall drill of the period, the oldest first."""
    done = [one for one in drills if one.ended is not None]
    return Section(
        _("Recall drills"),
        _("Yardstick: every package accounted for within {n:g} hours; common practice, unverified, "
          "no rule names a time.").format(n=GOOD_HOURS),
        () if done else (Said(_("No drill in this period.")),),
        tuple(_drill(one, source) for one in reversed(done)),
        fresh=bool(done),
    )  # fmt: skip


def took_words(took_s: float) -> str:
    """Return how long a drill took, in words."""
    minutes, seconds = divmod(round(took_s), 60)
    hours, minutes = divmod(minutes, 60)
    if hours:
        return _("{h} h {m} min").format(h=hours, m=minutes)
    return _("{m} min {s} s").format(m=minutes, s=seconds)


def _drill(one: Drill, source: Source) -> Leaf:
    on = one.began.astimezone(source.zone)
    took_s = one.took_s or 0.0
    blocks: list[Block] = [
        Facts(
            (
                Answer(_("Took"), took_words(took_s)),
                Answer(_("Packages"), str(one.packages)),
                Answer(_("Accounted for"), str(one.found)),
                Answer(_("Would be called"), str(len(one.contacts) + one.by_hand)),
            )
        ),
        Said(_("Begun {when} by {who}, ended by {other}.").format(
            when=f"{on:%Y-%m-%d %H:%M}", who=one.who or "–", other=one.ended_by or "–"
        )),
    ]  # fmt: skip
    if one.birds is not None:
        names = (
            ("in", _("Birds into the chill")),
            ("packed", _("in packages of whole birds")),
            ("cut", _("cut into parts")),
            ("off", _("taken off with a cause")),
            ("apart", _("difference")),
        )
        blocks.append(
            SheetTable(
                _("Birds"),
                (_("What"), _("Birds")),
                tuple((words, str(one.birds.get(key, 0))) for key, words in names),
                ("1", "auto"),
                (1,),
            )
        )
        blocks.append(
            SheetTable(
                _("Packages, by where they are"),
                (_("Where"), _("Packages"), _("Net weight")),
                tuple((_(WHERE_WORDS.get(w, w)), str(n), f"{lb} lb") for w, n, lb in one.sums),
                ("1", "auto", "auto"),
                (1, 2),
            )
        )
    if one.explained:
        blocks.append(Said(one.explained, _("Where the difference comes from")))
    if one.contacts or one.others or one.by_hand:
        note = [one.others]
        if one.by_hand:
            note.append(_("And {n} buyers whose names stand on their sales.").format(n=one.by_hand))
        blocks.append(
            SheetTable(
                _("Who would be called"),
                (_("Buyer"), _("Telephone")),
                tuple((name, phone or _("none written")) for name, phone in one.contacts),
                ("1", "auto"),
                note=" ".join(filter(None, note)),
            )
        )
    title = _("{date}: lot {code}").format(date=date_text(on.date()), code=one.code)
    return Leaf(title, tuple(blocks))


def duties_section(papers: BinderPapers) -> Section:
    """Return the licence, the duties done, and how long each kind of record is kept."""
    blocks: list[Block] = []
    licence = papers.licence
    if licence is not None:
        got = _date(licence.got_on) or _("not on record")
        until = _date(licence.until) or _("not on record")
        blocks.append(
            Said(
                _("Got: {got}. Good until: {until}. {proofs}")
                .format(got=got, until=until, proofs=_proofs(licence.proofs))
                .strip(),
                licence.duty,
                _("{citation}; how known: {status}").format(
                    citation=licence.citation, status=_(licence.status)
                ),
            )
        )
    blocks.append(
        SheetTable(
            _("Duties done"),
            (_("Date"), _("What"), _("Good until"), _("Who"), _("Remark"), _("Papers")),
            tuple(
                (
                    date_text(one.on), one.title, _date(one.until), one.who, one.note,
                    _proofs(one.proofs),
                )
                for one in papers.done
            ),
            ("auto", "3", "auto", "auto", "3", "3"),
        )
    )  # fmt: skip
    blocks.append(
        SheetTable(
            _("How long records are kept"),
            (_("Kind"), _("How many"), _("First"), _("Keep the last until"), _("Rule")),
            tuple(
                (
                    one.title,
                    str(one.count),
                    _date(one.oldest_on),
                    _date(one.newest_until) or one.problem,
                    f"{one.citation} ({_(one.status)})" if one.citation else "",
                )
                for one in papers.keeping
            ),
            ("3", "auto", "auto", "auto", "4"),
            (1,),
        )
    )
    return Section(_("Duties and licences"), "", tuple(blocks), fresh=False)


def _date(day: dt.date | None) -> str:
    return "" if day is None else date_text(day)


def _proofs(proofs: Sequence[ProofView]) -> str:
    return ", ".join(f"{one.name} ({one.sha256[:12]})" for one in proofs)
