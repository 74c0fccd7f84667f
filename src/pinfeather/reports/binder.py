"""The binder: everything an inspector asks for about a period, as one document."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import Final

from pinfeather.errors import InputError
from pinfeather.finding import Finding
from pinfeather.reports.day_record import ActedFinding, Verdict
from pinfeather.reports.sheet_parts import Answer, head, said
from pinfeather.reports.table_sheet import SheetTable
from pinfeather.reports.typeset import Paper, typeset
from pinfeather.reports.when import Clock
from pinfeather.words import gettext as _

OUTCOME_WORDS: Final = ("met", "not met", "not known")


@dataclass(frozen=True, slots=True)
class Facts:
    """Numbers printed large, side by side.

    Parameters
    ----------
    items : tuple of Answer
        Each with its label.
    """

    items: tuple[Answer, ...]


@dataclass(frozen=True, slots=True)
class Said:
    """A paragraph, as it was written.

    Parameters
    ----------
    text : str
        The words; a line break starts a new line.
    title : str
        A small heading above it; may be empty.
    note : str
        Printed smaller under it: who wrote it, since when, by which rule.
    """

    text: str
    title: str = ""
    note: str = ""


@dataclass(frozen=True, slots=True)
class Found:
    """Findings, each with what was done about it.

    Parameters
    ----------
    items : tuple of ActedFinding
        The worst first.
    title : str
        A small heading above them; may be empty.
    """

    items: tuple[ActedFinding, ...]
    title: str = ""


@dataclass(frozen=True, slots=True)
class Verdicts:
    """Measured things held against their rules.

    Parameters
    ----------
    items : tuple of Verdict
        In order.
    """

    items: tuple[Verdict, ...]


@dataclass(frozen=True, slots=True)
class Drawing:
    """A picture with its words for people who cannot see it.

    Parameters
    ----------
    svg : str
        The picture.
    words : str
        What it shows.
    width_frac : float
        Share of the line it takes [1].
    """

    svg: str
    words: str
    width_frac: float = 1.0


@dataclass(frozen=True, slots=True)
class Specimen:
    """One printed thing, such as a label, shown in its own size.

    Parameters
    ----------
    title : str
        Printed above it.
    pdf : bytes
        The thing; its first page is shown.
    words : str
        What stands on it, for people who cannot see it.
    """

    title: str
    pdf: bytes
    words: str


@dataclass(frozen=True, slots=True)
class Specimens:
    """Printed things, two beside each other.

    Parameters
    ----------
    items : tuple of Specimen
        In order.
    """

    items: tuple[Specimen, ...]


@dataclass(frozen=True, slots=True)
class Seal:
    """A seal of the journal.

    Parameters
    ----------
    digest : str
        In hexadecimal.
    words : str
        What it covers.
    """

    digest: str
    words: str


Block = Facts | Said | Found | Verdicts | Drawing | Specimens | Seal | SheetTable


@dataclass(frozen=True, slots=True)
class Leaf:
    """A part of a section: a day, a lot, a procedure; it stands in the contents.

    Parameters
    ----------
    title : str
        Its heading.
    blocks : tuple of Block
        What it says.
    fresh : bool
        Whether it begins on a page of its own.
    together : bool
        Whether it is kept on one page; for short ones.
    """

    title: str
    blocks: tuple[Block, ...] = ()
    fresh: bool = False
    together: bool = False


@dataclass(frozen=True, slots=True)
class Section:
    """A section of the binder.

    Parameters
    ----------
    title : str
        Its heading.
    intro : str
        One sentence under the heading; may be empty.
    blocks : tuple of Block
        What it says before its leaves.
    leaves : tuple of Leaf
        Its parts, in order.
    fresh : bool
        Whether it begins on a page of its own; a short one follows on the same page.
    """

    title: str
    intro: str = ""
    blocks: tuple[Block, ...] = ()
    leaves: tuple[Leaf, ...] = ()
    fresh: bool = True


@dataclass(frozen=True, slots=True)
class Binder:
    """Everything a binder says.

    Parameters
    ----------
    farm : str
        Whose it is.
    address : tuple of str
        Its lines.
    phone : str
        May be empty.
    period : str
        In words, for instance ``"1 January 2026 to 25 November 2026"``.
    rules : str
        Which rules, and which tier.
    answers : tuple of Answer
        Printed large on the cover.
    seal : Seal
        The journal's head when the binder was made.
    missing : tuple of Finding
        What the period lacks, the worst first; said before everything else.
    sections : tuple of Section
        In order.
    demo : bool
        Whether the birds are pretended; then every page says so.
    """

    farm: str
    address: tuple[str, ...]
    phone: str
    period: str
    rules: str
    answers: tuple[Answer, ...]
    seal: Seal
    missing: tuple[Finding, ...] = ()
    sections: tuple[Section, ...] = ()
    demo: bool = False


def binder_pdf(
    binder: Binder,
    *,
    printed_at: dt.datetime,
    paper: Paper = "us-letter",
    clock: Clock = "24h",
) -> bytes:
    """Set a binder for printing.

    Parameters
    ----------
    binder : Binder
        What it says.
    printed_at : datetime
        The moment it was made, in the farm's zone.
    paper : {"us-letter", "a4"}
        Paper size.
    clock : {"12h", "24h"}
        Which clock the farm reads.

    Returns
    -------
    bytes
        The PDF; the same binder gives the same bytes.

    Raises
    ------
    InputError
        If a row has more or fewer cells than its table has columns, the paper is unknown or the
        moment has no zone.

    References
    ----------
    Derivation: choice; what is missing first, then the rules, the shop and the days in order.
    """
    pictures: dict[str, str] = {}
    data = {
        **head(
            farm=binder.farm,
            title=_("Binder of records"),
            subtitle=binder.period,
            kind=_("Records of poultry slaughter and processing"),
            paper=paper,
            demo=binder.demo,
            printed_at=printed_at,
            clock=clock,
        ),
        "address": binder.address,
        "phone": binder.phone,
        "rules": binder.rules,
        "answers": binder.answers,
        "seal": _block(binder.seal, pictures),
        "missing": [said(one) for one in binder.missing],
        "sections": [_section(one, pictures) for one in binder.sections],
        "words": _words(),
    }
    return typeset("binder", data, printed_at=printed_at, pictures=pictures)


def _section(section: Section, pictures: dict[str, str]) -> dict[str, object]:
    return {
        "title": section.title,
        "intro": section.intro,
        "fresh": section.fresh,
        "blocks": [_block(one, pictures) for one in section.blocks],
        "leaves": [
            {
                "title": leaf.title,
                "fresh": leaf.fresh,
                "together": leaf.together,
                "blocks": [_block(one, pictures) for one in leaf.blocks],
            }
            for leaf in section.leaves
        ],
    }


def _block(block: Block, pictures: dict[str, str]) -> dict[str, object]:
    """Return a block as the template reads it; pictures go beside the data as files."""
    kind, found = "", dict[str, object]()
    match block:
        case SheetTable():
            kind, found = "table", _table(block)
        case Facts():
            kind, found = "facts", {"items": block.items}
        case Said():
            found = {"title": block.title, "text": block.text, "note": block.note}
            kind = "said"
        case Found():
            items = sorted(block.items, key=lambda one: -one.finding.severity)
            told = [said(one.finding, action=one.action) for one in items]
            kind, found = "found", {"title": block.title, "items": told}
        case Verdicts():
            kind, found = "verdicts", {"items": [_verdict(one) for one in block.items]}
        case Drawing():
            name = f"drawing-{len(pictures)}.svg"
            pictures[name] = block.svg
            found = {"name": name, "words": block.words, "width_frac": block.width_frac}
            kind = "drawing"
        case Specimens():
            kind, found = "specimens", {"items": block.items}
        case Seal():
            kind, found = "seal", {"digest": block.digest, "words": block.words}
    return {"kind": kind, **found}


def _table(table: SheetTable) -> dict[str, object]:
    columns = len(table.header)
    if any(len(row) != columns for row in table.rows) or len(table.widths) not in (0, columns):
        raise InputError("tables", table.title, _("A row does not fit its table."))
    return {
        "title": table.title,
        "header": table.header,
        "rows": table.rows,
        "widths": table.widths or ("auto",) * (columns - 1) + ("1",),
        "right": table.right,
        "empty": table.empty or _("Nothing in this period."),
        "note": table.note,
    }


def _verdict(verdict: Verdict) -> dict[str, str]:
    words = dict(zip(OUTCOME_WORDS, (_("met"), _("not met"), _("not known")), strict=True))
    return {
        "what": verdict.what,
        "where": verdict.where,
        "outcome": verdict.outcome,
        "word": words[verdict.outcome],
        "measured": verdict.measured,
        "limit": verdict.limit,
        "citation": verdict.citation,
        "status": verdict.status,
    }


def _words() -> dict[str, str]:
    return {
        "contents": _("Contents"),
        "missing": _("What is missing in this period"),
        "nothing_missing": _("Nothing that this program looks for is missing."),
        "phone": _("Telephone {phone}"),
        "seal": _("Seal of the journal"),
        "verdicts": _("Verdicts"),
        "verdict": _("Verdict"),
        "what": _("What"),
        "measured": _("Measured"),
        "limit": _("Limit"),
        "source": _("Rule and how it is known"),
        "page": _("page {n} of {m}"),
    }
