"""``pinfeather trace`` and ``pinfeather calc allocate``."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

from pinfeather.words import gettext as _


def trace_lot(
    what: str, *, data_dir: Path | None, database: str, as_json: bool, pdf: Path | None
) -> int:
    """Trace one thing, print what it touched, and return the exit code: 1 where packages are lost.

    Raises
    ------
    RecordNotFoundError
        If nothing of that name is on record.
    StoreError
        If the store cannot be opened, or the document cannot be written.
    """
    from pinfeather.actions.store import open_store
    from pinfeather.cli.folder import data_folder

    open_store(data_folder(data_dir), database=database)
    from pinfeather.actions.stock import tracing

    found = tracing.trace(tracing.thing_from(what))
    if pdf is not None:
        _write(pdf, found)
    if as_json:
        print(json.dumps(_as_json(found), ensure_ascii=False, indent=1))
    else:
        _print(found)
    return 0 if not found.recall.lost else 1


def _write(path: Path, found: Any) -> None:  # noqa: ANN401 - a trace; its module needs the store
    from pinfeather import clock
    from pinfeather.actions.stock.documents import trace_pdf
    from pinfeather.errors import StoreError

    try:
        path.write_bytes(trace_pdf(found, now=clock.now()))
    except OSError as error:
        raise StoreError(
            _("{file} cannot be written: {why}.").format(file=path, why=error.strerror)
        ) from error


def _as_json(found: Any) -> dict[str, Any]:  # noqa: ANN401 - a trace
    def groups(parts: Any) -> dict[str, list[dict[str, str]]]:  # noqa: ANN401 - a trace's part
        return {
            kind: [
                {"id": one.thing.id, "words": one.words, "more": one.more, "phone": one.phone}
                for one in things
            ]
            for kind, things in parts
        }

    from pinfeather.units import KG_PER_LB

    return {
        "start": {"kind": found.start.thing.kind, "id": found.start.thing.id},
        "packages": found.recall.packages,
        "packed_kg": float(found.recall.packed_lb) * KG_PER_LB,
        "found": found.recall.found,
        "found_frac": found.recall.found_frac,
        "lost": list(found.recall.lost),
        "back": groups(found.back),
        "forward": groups(found.forward),
        "where": [
            {
                "package": one.package.code,
                "lot_code": one.package.lot_code,
                "product": one.package.product,
                "net_kg": float(one.package.net_lb) * KG_PER_LB,
                "where": one.where,
                "place": one.package.kept.place,
                "held": one.package.kept.held,
                "buyer": one.buyer,
            }
            for one in found.packages
        ],
        "findings": [],
    }


def _print(found: Any) -> None:  # noqa: ANN401 - a trace
    from pinfeather.actions.stock.documents import WHERE_WORDS
    from pinfeather.actions.stock.tracing import KIND_WORDS

    recall = found.recall
    print(f"{found.start.words} {found.start.more}".strip())
    print(
        _("{n} packages, {lb} lb; {found} accounted for ({share:.1%}); {here} still here.").format(
            n=recall.packages,
            lb=recall.packed_lb,
            found=recall.found,
            share=recall.found_frac,
            here=len(found.here),
        )
    )
    for title, parts in ((_("Came from:"), found.back), (_("Went into:"), found.forward)):
        if parts:
            print(title)
        for kind, things in parts:
            for one in things:
                more = "  ".join(filter(None, (one.words, one.more, one.phone)))
                print(f"  {_(KIND_WORDS[kind])}: {more}")
    if found.packages:
        print(_("Packages:"))
    for one in found.packages:
        where = one.buyer or one.package.kept.place or _(WHERE_WORDS[one.where])
        held = (
            _(", on hold: {why}").format(why=one.package.kept.held) if one.package.kept.held else ""
        )
        print(
            f"  {one.package.code}  {one.package.net_lb} lb  {one.package.lot_code}  {where}{held}"
        )


def print_given(found: dict[str, Any]) -> None:
    """Write who gets what, one line for each bird."""
    for one in found["given"]:
        print(
            _("{order}, bird {bird}: package {package}, {net}. {why}").format(
                order=one["order"],
                bird=one["bird"],
                package=one["package"],
                net=one["net"],
                why=one["why"],
            )
        )
    for one in found["findings"]:
        if one["code"] != "allocate.miss":
            print(f"[{one['severity']}] {one['sentence']} {one['reason']}".rstrip())
    spare = ", ".join(str(n) for n in found["spare"])
    print(_("Left over: {packages}.").format(packages=spare or _("nothing")))
