"""``pinfeather plan-season``: a season from a TOML file, for people or as JSON."""

from __future__ import annotations

import json
import tomllib
from collections.abc import Mapping
from pathlib import Path

from pinfeather.actions.season.from_file import season_from_mapping
from pinfeather.errors import InputError
from pinfeather.finding import Severity
from pinfeather.season.plan import SeasonPlan
from pinfeather.words import gettext as _
from pinfeather.words import ngettext


def season_file(file: Path, *, as_json: bool, seed: int, quick: bool, keep: Path | None) -> int:
    """Plan, print, and return the exit code: 1 where something must be acted on first.

    Raises
    ------
    InputError
        If a file cannot be read, or is not what it should be.
    InputFaultsError
        With every fault in it.
    """
    mapping = _read(file, "FILE")
    before = None if keep is None else _read(keep, "--keep")
    _request, plan, document = season_from_mapping(
        mapping, seed=seed, explain=not quick, before=before
    )
    if as_json:
        print(json.dumps(document, ensure_ascii=False, indent=1))
    else:
        _print(plan)
    return 1 if any(f.severity is Severity.STOP for f in plan.findings) else 0


def _read(file: Path, name: str) -> Mapping[str, object]:
    """Read TOML, or JSON where the name ends so."""
    is_json = name == "--keep"
    try:
        text = file.read_text(encoding="utf-8")
        found = json.loads(text) if is_json else tomllib.loads(text)
    except OSError as error:
        raise InputError(
            name,
            str(file),
            _("{file} cannot be read: {why}.").format(file=file, why=error.strerror),
        ) from error
    except ValueError as error:
        sentence = _("{file} is not JSON: {why}.") if is_json else _("{file} is not TOML: {why}.")
        raise InputError(name, str(file), sentence.format(file=file, why=error)) from error
    if not isinstance(found, Mapping):
        raise InputError(name, str(file), _("{file} holds no plan.").format(file=file))
    return found


def _money(cents: int) -> str:
    return f"{'-' if cents < 0 else ''}${abs(cents) / 100:,.0f}"


def _print(plan: SeasonPlan) -> None:
    if plan.sums is None or plan.luck is None:
        print(_("No plan is possible."))
    else:
        _print_money(plan)
    for finding in plan.findings:
        print(f"[{finding.severity.code}] {finding.sentence} {finding.reason}")
    if not plan.found:
        return
    if plan.changes:
        print()
        print(_("Changed:"))
    for change in plan.changes:
        print(f"  {'! ' if change.promise else '  '}{change.sentence}")
    print()
    for row in plan.calendar:
        print(f"{row.on:%Y-%m-%d}  {row.title}" + (f" ({row.detail})" if row.detail else ""))
    if plan.binding:
        print()
        print(_("What holds it back, and what one step more would bring:"))
    for held in plan.binding:
        print(f"  {_money(held.gain_cents):>8}  {held.step}. {held.sentence}")
    if plan.compared is not None:
        print()
        print(
            _("By the rule of thumb: {profit} on average, {met:.0f} of 100 orders met.").format(
                profit=_money(plan.compared.thumb_profit_cents),
                met=100 * plan.compared.thumb_met_frac,
            )
        )


def _print_money(plan: SeasonPlan) -> None:
    if plan.sums is None or plan.luck is None:
        return
    lots = sum(not lot.standing for lot in plan.lots)
    birds = sum(day.birds for day in plan.days)
    parts = (
        ngettext("{n} lot to start", "{n} lots to start", lots).format(n=lots),
        ngettext("{n} bird", "{n} birds", birds).format(n=birds),
        ngettext("{n} day", "{n} days", len(plan.days)).format(n=len(plan.days)),
    )
    print(
        _("{lots}, {birds} on {days}: {profit} left if all goes as expected.").format(
            lots=parts[0], birds=parts[1], days=parts[2], profit=_money(plan.sums.profit_cents)
        )
    )
    print(
        _("Eight of ten seasons end between {low} and {high}; {met:.0f} of 100 orders met.").format(
            low=_money(plan.luck.profit_low_cents),
            high=_money(plan.luck.profit_high_cents),
            met=100 * plan.luck.orders_met_frac,
        )
    )
    if plan.proven:
        print(_("No plan can bring more."))
    else:
        print(
            _("No plan can bring more than {bound}.").format(
                bound=_money(max(plan.bound_cents, plan.sums.profit_cents))
            )
        )
