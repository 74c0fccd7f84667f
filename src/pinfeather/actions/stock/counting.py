"""Counting a place, and explaining every difference."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from pinfeather.actions.stock import book as stock_book
from pinfeather.actions.stock.book import Pkg
from pinfeather.actions.stock.finding_packages import find
from pinfeather.errors import InputError, InputFaultsError
from pinfeather.packs.shelf import Counted, count_place, shrink_frac
from pinfeather.records import models
from pinfeather.records.writing import writing
from pinfeather.words import gettext as _

FATES: Final = ("missing", "wasted", "home", "given")
"""What may have become of a package that is not where it should be."""


@dataclass(frozen=True, slots=True)
class CountResult:
    """A count with its packages."""

    counted: Counted
    packages: Mapping[str, Pkg]
    shrink_lb: float
    """Share of the pounds in the place that were not found [1]."""

    def of(self, ids: Sequence[str]) -> tuple[Pkg, ...]:
        """Return the packages of one of its lists."""
        return tuple(self.packages[one] for one in ids if one in self.packages)

    @property
    def missing(self) -> tuple[Pkg, ...]:
        """Expected and not seen."""
        return self.of(self.counted.missing)

    @property
    def strayed(self) -> tuple[Pkg, ...]:
        """Seen, and to be somewhere else."""
        return self.of(self.counted.strayed)

    @property
    def back(self) -> tuple[Pkg, ...]:
        """Seen, and gone by the ledger."""
        return self.of(self.counted.back)


def read_seen(text: str) -> tuple[list[str], list[InputError]]:
    """Read scanned or typed packages, one a line or with commas; return ids and faults."""
    seen, faults = [], []
    for line in text.replace(",", "\n").splitlines():
        if not line.strip():
            continue
        found = find(line)
        if len(found) == 1:
            seen.append(found[0].id)
        elif found:
            sentence = _("“{text}” can be {n} packages. Add its number.")
            faults.append(
                InputError("seen", line, sentence.format(text=line.strip(), n=len(found)))
            )
        else:
            sentence = _("“{text}” is no package of ours.")
            faults.append(InputError("seen", line, sentence.format(text=line.strip())))
    return seen, faults


def compare(place: str, seen: Sequence[str]) -> CountResult:
    """Compare what was seen in a place with the ledger."""
    here = {p.id: p for p in stock_book.in_stock(place=place)}
    known = {**here, **stock_book.packages(seen)}
    counted = count_place({i: p.kept for i, p in known.items()}, place=place, seen=seen)
    lost = sum(float(known[i].net_lb) for i in counted.missing)
    whole = sum(float(p.net_lb) for p in here.values())
    return CountResult(counted, known, shrink_frac(lost, opening=whole, packed=0))


def save(
    place: str,
    seen: Sequence[str],
    *,
    fates: Mapping[str, str],
    reasons: Mapping[str, str],
    here: Sequence[str],
    who: str,
) -> CountResult:
    """Write a count down, with what became of each package that was not as it should be.

    Parameters
    ----------
    place : str
        The place counted.
    seen : sequence of str
        Packages seen.
    fates : mapping of str to str
        For packages not found, one of :data:`FATES`; those left out stay open.
    reasons : mapping of str to str
        For packages not found, in somebody's own words.
    here : sequence of str
        Strayed packages, and packages written off before, that are in this place from now on.
    who : str
        Who counted.

    Raises
    ------
    InputFaultsError
        With every fault.
    """
    found = compare(place, seen)
    faults = [
        InputError(f"fate_{ident}", fate, _("Choose what became of it."))
        for ident, fate in fates.items()
        if fate not in FATES or ident not in found.counted.missing
    ]
    if faults:
        raise InputFaultsError(faults)
    with writing():
        count = {
            "place": place,
            "right": len(found.counted.right),
            "missing": list(found.counted.missing),
            "strayed": list(found.counted.strayed),
            "back": list(found.counted.back),
        }
        stock_book.note("stock count", count, who=who)
        for ident, fate in fates.items():
            reason = reasons.get(ident, "").strip() or _("Not found when counting {place}.").format(
                place=place
            )
            payload = {"act": fate, "packages": [ident], "reason": reason}
            stock_book.write("stock", payload, who=who)
        for ident in here:
            package = found.packages.get(ident)
            if package is None:
                continue
            act = "found" if package.kept.state == "missing" else "put"
            payload = {"act": act, "packages": [ident], "place": place}
            stock_book.write("stock", payload, who=who)
    return compare(place, seen)


def last_counts(*, limit: int = 20) -> tuple[models.Entry, ...]:
    """Return the newest counts."""
    return tuple(models.Entry.objects.filter(kind="stock count").order_by("-seq")[:limit])
