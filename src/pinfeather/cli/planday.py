"""``pinfeather plan-day``: a plan from a TOML file, for people or as JSON."""

from __future__ import annotations

import json
import tomllib
from pathlib import Path

from pinfeather.actions.day.planfile import plan_from_mapping
from pinfeather.day.plan import DayPlan, left_over_words
from pinfeather.day.request import DayRequest
from pinfeather.errors import InputError
from pinfeather.finding import Severity
from pinfeather.words import gettext as _


def plan_file(file: Path, *, as_json: bool, seed: int) -> int:
    """Plan, print, and return the exit code: 1 where something must be acted on first.

    Raises
    ------
    InputError
        If the file cannot be read or is not TOML.
    InputFaultsError
        With every fault in it.
    """
    try:
        mapping = tomllib.loads(file.read_text(encoding="utf-8"))
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
    request, plan, document = plan_from_mapping(mapping, seed=seed)
    if as_json:
        print(json.dumps(document, ensure_ascii=False, indent=1))
    else:
        _print(request, plan)
    return 1 if any(f.severity is Severity.STOP for f in plan.findings) else 0


def _print(request: DayRequest, plan: DayPlan) -> None:
    import datetime as dt

    start = dt.datetime.combine(request.date, request.start)

    def at(after_s: float) -> str:
        return (start + dt.timedelta(seconds=after_s)).strftime("%H:%M")

    if plan.unfinished:
        print(
            _("{birds} birds on {date}. Not all packed: {words}.").format(
                birds=plan.birds, date=request.date, words=left_over_words(plan)
            )
        )
    else:
        print(
            _("{birds} birds on {date}. All packed by {middle}, between {low} and {high}.").format(
                birds=plan.birds,
                date=request.date,
                middle=at(plan.finish_s.value),
                low=at(plan.finish_s.low),
                high=at(plan.finish_s.high),
            )
        )
    print(
        _("Paced by {name}, busy {n:.0f} %.").format(
            name=plan.bottleneck.name, n=100 * plan.bottleneck.utilisation
        )
    )
    for finding in plan.findings:
        print(f"[{finding.severity.code}] {finding.sentence} {finding.reason}")
    print()
    for todo in plan.todo:
        print(f"{at(todo.at_s)}  {todo.words}")
