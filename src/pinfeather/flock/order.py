"""How many chicks to order, and when everything has to happen."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Collection
from dataclasses import dataclass
from typing import Final

from pinfeather.errors import InputError
from pinfeather.finding import Finding, Severity
from pinfeather.flock.curves import Species
from pinfeather.flock.guards import heads, inside, share
from pinfeather.flock.losses import chance_of_enough
from pinfeather.words import gettext as _

INCUBATION_D: Final = {"chicken": 21, "turkey": 28, "duck": 28}
"""Days of incubation; chickens read, turkeys and Pekin ducks unverified."""
_TURN_ROUND_D: Final = 7
"""Clean-out of the brooder; common practice, at least a week."""
_MOST_ORDERED: Final = 200_000
_SPARE_SHARE: Final = 1.25
"""Above this the order is bought for one bad night, not for the birds wanted. Assumed."""
_MEAN_EVENT: Final = 0.3
"""Birds a predator or storm takes on average, 10 to 50 %; unverified."""


@dataclass(frozen=True, slots=True)
class OrderSize:
    """How many chicks to order.

    Parameters
    ----------
    ordered : int
        Chicks to order.
    chance : float
        That at least the wanted number lives [1].
    naive : int
        Wanted over the share that lives, rounded up: right in about half of all lots.
    naive_chance : float
        That this is enough [1].
    calm : int
        What would do without the risk of an event.
    surplus : float
        Birds over the wanted number on average.
    findings : tuple of Finding
        Where ordering more is not the answer.
    """

    ordered: int
    chance: float
    naive: int
    naive_chance: float
    calm: int
    surplus: float
    findings: tuple[Finding, ...]


@dataclass(frozen=True, slots=True)
class LotDates:
    """One way to have birds of about an age on a day.

    Parameters
    ----------
    eggs_set_on, hatch_on : datetime.date
        At the hatchery.
    arrive_on : datetime.date
        At the farm.
    out_of_brooder_on : datetime.date
        To pasture or grow-out.
    brooder_free_on : datetime.date
        Cleaned out for the next lot.
    slaughter_on : datetime.date
        The day wanted.
    age_d : int
        Age on that day [d].
    late_by_d : int
        Age above the one wanted; below zero for younger [d].
    """

    eggs_set_on: dt.date
    hatch_on: dt.date
    arrive_on: dt.date
    out_of_brooder_on: dt.date
    brooder_free_on: dt.date
    slaughter_on: dt.date
    age_d: int
    late_by_d: int


def order_size(
    wanted: int,
    *,
    alive_share: float,
    chance: float = 0.90,
    event: float = 0.0,
    lot_of: int = 1,
    at_least: int = 0,
    spare_share: float = 0.0,
) -> OrderSize:
    """Say how many chicks to order so that enough live.

    Parameters
    ----------
    wanted : int
        Birds needed on the day.
    alive_share : float
        Share that usually lives to that day, dead on arrival counted [1].
    chance : float
        How sure it should be [1].
    event : float
        Chance of a predator, storm or chill that takes 10 to 50 % at once [1].
    lot_of : int
        Chicks are sold by so many.
    at_least : int
        Smallest order the hatchery takes.
    spare_share : float
        Chicks the hatchery adds free, as a share of the order [1].

    Returns
    -------
    OrderSize
        The least order that reaches the chance.

    Raises
    ------
    InputError
        If a share or a chance is out of range, or no order reaches the chance.

    Notes
    -----
    Deaths come together more than a coin tossed for each bird; the chance of an event is how to
    say so.

    References
    ----------
    Derivation: least N with P(Binomial(N, s) >= n) >= chance, with the event as a mixture.
    """
    heads("wanted", wanted, least=1)
    heads("lot_of", lot_of, least=1)
    inside("alive_share", alive_share)
    inside("chance", chance)
    share("spare_share", spare_share)

    def started(order: int) -> int:
        return order + math.floor(order * spare_share + 1e-9)

    def least(risk: float) -> int:
        def enough(order: int) -> bool:
            found = chance_of_enough(started(order), wanted, alive_share=alive_share, event=risk)
            return found >= chance

        high = wanted
        while not enough(high):
            high *= 2
            if high > _MOST_ORDERED:
                raise InputError(
                    "chance", chance, _("No order is that sure; want fewer birds or less chance.")
                )
        low = 0
        while high - low > 1:
            middle = (low + high) // 2
            low, high = (low, middle) if enough(middle) else (middle, high)
        return high

    def sold(order: int) -> int:
        return max(math.ceil(order / lot_of), math.ceil(at_least / lot_of)) * lot_of

    calm, needed = least(0.0), least(event)
    ordered = sold(needed)
    naive = math.ceil(wanted / alive_share - 1e-9)
    reached = chance_of_enough(started(ordered), wanted, alive_share=alive_share, event=event)
    mean_left = started(ordered) * alive_share * (1 - _MEAN_EVENT * event)
    findings = []
    if needed > _SPARE_SHARE * calm:
        findings.append(
            Finding(
                "order.event",
                Severity.CHECK,
                _(
                    "To be that sure against one bad night you would raise {n} birds too many."
                ).format(n=needed - calm),
                _(
                    "Two smaller lots, a fence or a second pen, or a promise with room in it cost"
                    " less than these birds."
                ),
                measured=needed,
                limit=calm,
                unit="birds",
            )
        )
    if ordered > needed:
        findings.append(
            Finding(
                "order.lots",
                Severity.NOTE,
                _("{needed} would do; the hatchery sells {ordered}.").format(
                    needed=needed, ordered=ordered
                ),
                measured=ordered,
                limit=needed,
                unit="birds",
            )
        )
    return OrderSize(
        ordered,
        reached,
        naive,
        chance_of_enough(naive, wanted, alive_share=alive_share, event=event),
        sold(calm),
        mean_left - wanted,
        tuple(findings),
    )


def lot_dates(
    slaughter_on: dt.date,
    age_d: int,
    *,
    hatch_weekdays: Collection[int] = range(7),
    species: Species = "chicken",
    travel_d: int = 2,
    brooder_d: int = 24,
    turn_round_d: int = _TURN_ROUND_D,
) -> tuple[LotDates, ...]:
    """Count back from a processing day to the hatch.

    Parameters
    ----------
    slaughter_on : datetime.date
        The day wanted.
    age_d : int
        Age wanted on that day [d].
    hatch_weekdays : collection of int
        Days the hatchery hatches, Monday 0.
    species : str
        ``"chicken"``, ``"turkey"`` or ``"duck"``.
    travel_d : int
        Days from hatch to the farm [d].
    brooder_d : int
        Days of age on leaving the brooder [d].
    turn_round_d : int
        Days to clean the brooder out [d].

    Returns
    -------
    tuple of LotDates
        The last hatch day that gives the age or more, and the next one; nearest the age first.

    Raises
    ------
    InputError
        If the hatchery never hatches, or an age is out of order.

    Notes
    -----
    Chicks live two to three days on yolk after hatch; ask the hatchery what it ships when.
    Orders before Easter and of rare kinds are booked weeks to months ahead.

    References
    ----------
    Derivation: dates. Incubation of 21 days for chickens; 28 for turkeys and Pekin ducks
    (unverified).
    """
    days = {d for d in hatch_weekdays if 0 <= d <= 6}  # noqa: PLR2004 - Monday to Sunday
    if not days:
        raise InputError("hatch_weekdays", tuple(hatch_weekdays), _("Name a hatch weekday."))
    heads("brooder_d", brooder_d, least=1)
    if age_d <= 0 or not 0 <= travel_d < age_d:
        raise InputError("age_d", age_d, _("The age at slaughter is more than the journey."))
    aim = slaughter_on - dt.timedelta(days=age_d)
    before = next(aim - dt.timedelta(days=k) for k in range(7) if (aim.weekday() - k) % 7 in days)
    after = next(aim + dt.timedelta(days=k) for k in range(1, 8) if (aim.weekday() + k) % 7 in days)
    found = []
    for hatch in (before,) if before == aim else (before, after):
        if hatch + dt.timedelta(days=travel_d) >= slaughter_on:
            continue
        age = (slaughter_on - hatch).days
        out = min(hatch + dt.timedelta(days=brooder_d), slaughter_on)
        found.append(
            LotDates(
                hatch - dt.timedelta(days=INCUBATION_D[species]),
                hatch,
                hatch + dt.timedelta(days=travel_d),
                out,
                out + dt.timedelta(days=turn_round_d),
                slaughter_on,
                age,
                age - age_d,
            )
        )
    return tuple(sorted(found, key=lambda d: (abs(d.late_by_d), -d.age_d)))
