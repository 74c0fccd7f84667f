"""``pinfeather rules`` and ``pinfeather calc tier``: which rules, which exemption."""

from __future__ import annotations

import json
import sys
from pathlib import Path
from typing import Annotated, Any

from cyclopts import App, Parameter

from pinfeather.errors import InputError
from pinfeather.words import gettext as _

Json = Annotated[bool, Parameter(name="--json", negative="", help="Print one JSON object.")]
Name = Annotated[str, Parameter(help="A profile's name, as rules list shows it.")]
File = Annotated[Path, Parameter(help="A TOML file; see the guide for an example.")]

app = App(name="rules", help=_("Which rules there are, and every number of them with its source."))


@app.command(name="list")
def list_(*, json_: Json = False) -> None:
    """List the profiles that come with the program."""
    from pinfeather.actions.rules.files import listed

    found = listed()
    if json_:
        print(json.dumps({"profiles": found}, ensure_ascii=False, indent=1))
        return
    for one in found:
        print(f"{one['profile_id']:<12} {one['name']}")


@app.command
def show(profile: Name, *, json_: Json = False) -> None:
    """Print every number and wording of a profile with citation, date and status."""
    from pinfeather.actions.rules.files import shown
    from pinfeather.actions.rules.pages import in_rooms, profile_rows

    found = shown(profile)
    if json_:
        print(json.dumps(found, ensure_ascii=False, indent=1))
        return
    print(found["name"])
    print(found["note"])
    print(found["notice"])
    for point in found["open_points"]:
        print(_("Ask: {point}").format(point=point))
    for room in in_rooms(profile_rows(profile)):
        print(f"\n{room.title}")
        for row in room.rows:
            print(f"  {row.name}: {row.value}")
            print(f"      {row.citation} · {row.in_force_words} · {row.status_words}")
            if row.note:
                print(f"      {row.note}")


@app.command
def check(file: File, *, json_: Json = False) -> None:
    """Check a profile file that somebody wrote: all its faults at once."""
    from pinfeather.actions.rules.files import checked

    found = checked(_text(file), name=file.stem)
    if json_:
        print(json.dumps(found, ensure_ascii=False))
    else:
        print(_("{file} is a whole profile, every number with its source.").format(file=file))


def tier(file: File, *, json_: Json = False) -> None:
    """Which exemption fits, why, how many birds are left, and what would change it."""
    from pinfeather.actions.rules.files import tier_answer
    from pinfeather.cli.calc_line import read_toml

    found = tier_answer(read_toml(file))
    if json_:
        print(json.dumps(found, ensure_ascii=False, indent=1))
    else:
        _print_tier(found)
    stopped = any(one["severity"] == "stop" for one in found["findings"])
    sys.exit(1 if stopped or found["tier"] is None else 0)


def _print_tier(found: dict[str, Any]) -> None:
    print(found["name"] or _("No exemption fits: ask your state."))
    if found["left_birds"] is not None:
        print(
            _("{left:,} of {most:,} birds left this year.").format(
                left=found["left_birds"], most=found["most_birds"]
            )
        )
    for why in found["reasons"]:
        print(f"  {why}")
    for why in found["blocking"]:
        print(_("  Shut out: {why}").format(why=why))
    for one in found["findings"]:
        print(f"  {one['sentence']} {one['reason']}")
    for one in found["open_conditions"]:
        print(_("  See to: {what} ({citation})").format(what=one["text"], citation=one["citation"]))
    for point in found["open_points"]:
        print(_("  Ask: {point}").format(point=point))
    print(_("What would change it:"))
    for one in found["what_would_change"]:
        if one["changes"]:
            print(
                _("  If {condition}: {tier}").format(
                    condition=one["condition"], tier=one["tier"] or _("none fits")
                )
            )
    print(found["notice"])


def _text(file: Path) -> str:
    try:
        return file.read_text(encoding="utf-8")
    except (OSError, UnicodeDecodeError) as error:
        why = error.strerror if isinstance(error, OSError) else error
        sentence = _("{file} cannot be read: {why}.").format(file=file, why=why)
        raise InputError("FILE", str(file), sentence) from error
