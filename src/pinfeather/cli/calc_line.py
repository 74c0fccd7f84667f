"""``pinfeather calc line``, ``crew``, ``windows`` and ``allocate``: answers from a TOML file."""

from __future__ import annotations

import json
import sys
from pathlib import Path
from typing import Annotated, Any

from cyclopts import App, Parameter

from pinfeather.cli.rules import tier
from pinfeather.errors import InputError
from pinfeather.words import gettext as _

Json = Annotated[bool, Parameter(name="--json", negative="", help="Print one JSON object, in SI.")]
File = Annotated[Path, Parameter(help="A TOML file; see the guide for an example.")]
_TRUSTED_GAP = 5e-4


def read_toml(file: Path) -> dict[str, Any]:
    """Read a TOML file, or say in one sentence why not."""
    import tomllib

    try:
        return tomllib.loads(file.read_text(encoding="utf-8"))
    except OSError as error:
        raise InputError(
            "FILE",
            str(file),
            _("{file} cannot be read: {why}.").format(file=file, why=error.strerror),
        ) from error
    except (tomllib.TOMLDecodeError, UnicodeDecodeError) as error:
        raise InputError(
            "FILE", str(file), _("{file} is not TOML: {why}.").format(file=file, why=error)
        ) from error


def line(
    file: File,
    *,
    json_: Json = False,
    seed: Annotated[int, Parameter(help="Same seed, same answer.")] = 1,
) -> None:
    """When a line is done, what paces it, and how long birds wait."""
    from pinfeather.actions.line.files import line_answer

    found = line_answer(read_toml(file), seed=seed)
    if json_:
        print(json.dumps(found, ensure_ascii=False, indent=1))
    else:
        _print_line(found)
    sys.exit(1 if found["unfinished"] else 0)


def _print_line(found: dict[str, Any]) -> None:
    import datetime as dt

    start = dt.datetime.combine(dt.date(2000, 1, 1), dt.time.fromisoformat(found["start"]))

    def at(after_s: float) -> str:
        return (start + dt.timedelta(seconds=after_s)).strftime("%H:%M")

    said = _("{birds} birds from {start}: all put away by {middle}, between {low} and {high}.")
    if found["unfinished"]:
        said = _("{birds} birds from {start}: not all are put away; those that are by {middle}.")
    print(
        said.format(
            birds=found["birds"],
            start=found["start"],
            middle=at(found["finish_s"]),
            low=at(found["finish_low_s"]),
            high=at(found["finish_high_s"]),
        )
    )
    print(_("The line is through by {time}.").format(time=at(found["line_end_s"])))
    held = found["bottleneck"]
    print(
        _("Paced by {name}, busy {n:.0f} %.").format(name=held["name"], n=100 * held["utilisation"])
    )
    if found["unfinished"]:
        print(_("{n} birds are left over when everybody has gone.").format(n=found["unfinished"]))
    warm = found["waits"]["warm"]["longest_s"]
    if warm is not None:
        print(_("Longest from picked to chilling: {n:.0f} min.").format(n=warm / 60))
    print(_("From {n} simulated days.").format(n=found["days"]))


def crew(file: File, *, json_: Json = False) -> None:
    """Who should stand where, and what moving about gains over fixed posts."""
    from pinfeather.actions.line.files import crew_answer

    found = crew_answer(read_toml(file))
    if json_:
        print(json.dumps(found, ensure_ascii=False, indent=1))
        return
    fixed = found["fixed"]
    if fixed is None:
        print(_("There are no fixed posts that man both sides."))
    else:
        print(_("Best fixed posts, {n:.1f} birds an hour:").format(n=fixed["birds_per_h"]))
        for name, posts in fixed["posts"].items():
            print(f"  {name}: {', '.join(posts) or _('spare')}")
    print(
        _("Moving about on one's own side: at most {n:.1f} birds an hour.").format(
            n=found["moving_birds_per_h"]
        )
    )
    print(_("With switches, at most {n:.0f} birds:").format(n=found["birds"]))
    for part in found["parts"]:
        print(
            _("  from {a:.0f} to {b:.0f} min, {n:.0f} birds").format(
                a=part["from_s"] / 60, b=part["to_s"] / 60, n=part["birds"]
            )
        )
        for one in part["people"]:
            shares = ", ".join(
                f"{code} {time_s / 60:.0f} min" for code, time_s in one["time_s"].items()
            )
            wash = _("washes, then ") if one["wash"] else ""
            print(f"    {one['name']}: {wash}{one['side']}: {shares or _('spare')}")
    if found["gap_frac"] < _TRUSTED_GAP:
        print(_("Proved best."))
    else:
        print(
            _("A better plan could be up to {n:.1f} % above this one.").format(
                n=100 * found["gap_frac"]
            )
        )


def windows(file: File, *, json_: Json = False) -> None:
    """Birds shared out among free windows, with the fewest set-ups."""
    from pinfeather.actions.line.files import windows_answer

    found = windows_answer(read_toml(file))
    if json_:
        print(json.dumps(found, ensure_ascii=False, indent=1))
    elif not found["fits"]:
        print(_("The birds do not fit into these windows."))
    else:
        for way in found["ways"]:
            shared = ", ".join(f"{name} {n}" for name, n in way["birds"].items() if n)
            print(
                _("{n} days: {shared}; longest {longest:.1f} h, together {total:.1f} h").format(
                    n=way["days"],
                    shared=shared,
                    longest=way["longest_s"] / 3600,
                    total=way["total_s"] / 3600,
                )
            )
    sys.exit(0 if found["fits"] else 1)


def allocate(file: File, *, json_: Json = False) -> None:
    """Who gets which package, and why."""
    from pinfeather.actions.stock.give_answer import give_answer
    from pinfeather.cli.tracing import print_given

    found = give_answer(read_toml(file))
    if json_:
        print(json.dumps(found, ensure_ascii=False, indent=1))
    else:
        print_given(found)
    sys.exit(1 if found["unserved"] else 0)


def register(calc: App) -> None:
    """Add the commands that read a file to the calculators."""
    calc.command(allocate)
    calc.command(line)
    calc.command(crew)
    calc.command(windows)
    calc.command(tier)
