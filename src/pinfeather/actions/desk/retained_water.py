"""Water taken up in the chill, from marked birds weighed before and after."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from pinfeather.actions.day import running
from pinfeather.day.events import MarkedBird
from pinfeather.errors import InputError, InputFaultsError
from pinfeather.packs.words import retained_water_percent, retained_water_statement


@dataclass(frozen=True, slots=True)
class Marked:
    """A marked bird with what has been weighed of it."""

    mark: str
    lot: str
    tank: str
    before: MarkedBird | None
    after: MarkedBird | None

    @property
    def percent(self) -> float | None:
        """Water taken up, of the weight before the chill [%]; None until both are known."""
        if self.before is None or self.after is None:
            return None
        return retained_water_percent(self.before.mass_kg, self.after.mass_kg)


def marked_birds(day_id: int) -> tuple[Marked, ...]:
    """Return a day's marked birds; the newest weighing of each stage counts."""
    return _paired(running.day_progress(day_id).marked)


def _paired(weighings: Sequence[MarkedBird]) -> tuple[Marked, ...]:
    by_mark: dict[str, dict[str, MarkedBird]] = {}
    for one in weighings:
        by_mark.setdefault(one.mark, {})[one.stage] = one
    found = []
    for mark, stages in by_mark.items():
        either = stages.get("before") or stages["after"]
        found.append(
            Marked(mark, either.lot, either.tank, stages.get("before"), stages.get("after"))
        )
    return tuple(found)


def most_percent(day_id: int, *, tank: str = "") -> float | None:
    """Return the largest share of water measured on a day, of one tank where it has any [%]."""
    birds = marked_birds(day_id)
    measured = [b.percent for b in birds if b.percent is not None and (not tank or b.tank == tank)]
    if not measured and tank:
        return most_percent(day_id)
    return max(measured, default=None)


def statement(day_id: int, *, tank: str = "") -> str:
    """Return the sentence for labels; empty where nothing was measured."""
    percent = most_percent(day_id, tank=tank)
    return "" if percent is None else retained_water_statement(percent)


def weigh(
    day_id: int, *, mark: str, stage: str, lot: str, tank: str, written: str, who: str
) -> None:
    """Write down what a marked bird weighs.

    Raises
    ------
    InputFaultsError
        With the fault.
    """
    payload = {"mark": mark, "stage": stage, "lot": lot, "tank": tank, "written": written}
    try:
        running.write("marked bird", payload, day_id=day_id, who=who)
    except InputError as fault:
        raise InputFaultsError([fault]) from fault
