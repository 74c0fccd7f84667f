"""The day's to-do list with clock times, from feed withdrawal to the last rinse."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from pinfeather.words import gettext as _

FEED_OFF_S: Final = 10 * 3600.0
"""Feed taken away this long before the first bird [s]. 8 to 12 h with transport and waiting:
poultry extension guidance, read; the middle is taken."""
READY_S: Final = 2700.0
"""Setting up begins this long before the first bird at the latest: the thermometers, the sanitiser
and the ice have their own times after it [s]. Assumed."""
_READ_TANK_S: Final = 1800.0
"""A tank reading every half hour. Common practice."""
_STIR_S: Final = 600.0
"""A still tank is stirred every ten minutes. Common practice."""


@dataclass(frozen=True, slots=True)
class Todo:
    """One thing to do at a time.

    Parameters
    ----------
    at_s : float
        From the start of the day; negative before it [s].
    code : str
        What kind of task it is; the working pages mark it done by this name.
    words : str
        What to do.
    place : str
        Tank, station or instrument; may be empty.
    caution : str
        What can hurt somebody; may be empty.
    every_s : float
        Repeated at this interval until ``until_s``; 0 for once [s].
    until_s : float
        When the repeating stops [s].
    """

    at_s: float
    code: str
    words: str
    place: str = ""
    caution: str = ""
    every_s: float = 0.0
    until_s: float = 0.0


@dataclass(frozen=True, slots=True)
class TankTimes:
    """When one tank fills and when its birds are expected cold.

    Parameters
    ----------
    name : str
        The tank.
    first_in_s, last_in_s : float
        First and last bird in [s].
    cold_s : float
        When its slowest bird is expected cold [s].
    due_s : float
        When the strictest time allowed is over [s].
    stirred : bool
        Whether something stirs it.
    """

    name: str
    first_in_s: float
    last_in_s: float
    cold_s: float
    due_s: float
    stirred: bool


def todo_list(
    *,
    light_before_s: float | None,
    tanks: Sequence[TankTimes],
    renew_s: Sequence[float],
    line_end_s: float,
    end_s: float,
    set_up_s: float,
    clean_up_s: float,
    mix_words: str,
    ice_words: str,
) -> tuple[Todo, ...]:
    """Write the day's list.

    Parameters
    ----------
    light_before_s : float or None
        How long before the first bird the burner is lit; None if it never gets hot [s].
    tanks : sequence of TankTimes
        When each is filled and expected cold.
    renew_s : sequence of float
        When the sanitiser is renewed [s].
    line_end_s, end_s : float
        When the last bird leaves the line, and when the last package is put away [s].
    set_up_s, clean_up_s : float
        How long setting up and cleaning up take the people there [s].
    mix_words : str
        How to mix the sanitiser, with amounts.
    ice_words : str
        How much ice goes where at the start.

    Returns
    -------
    tuple of Todo
        In order of time.

    References
    ----------
    The comments beside each interval in this module.
    """
    todo = [
        Todo(
            -FEED_OFF_S,
            "feed",
            _("Take the feed away; leave the water."),
            caution=_(
                "More than one bird dead in a day, or sick birds: stop and call the state "
                "veterinarian. Do not slaughter them."
            ),
        ),
        Todo(
            -12 * 3600.0,
            "evening",
            _("Scrub tanks and tables, sharpen knives, fill the printer, charge the phones."),
        ),
        Todo(
            -set_up_before_s(set_up_s),
            "setup",
            _("Water on, hand wash stocked, tables and tanks rinsed, scale checked."),
            caution=_("Outlets in the wet area need a ground-fault switch."),
        ),
        Todo(
            -READY_S,
            "ice_check",
            _("Check every thermometer in ice and write down what it shows."),
        ),
        Todo(
            -2400,
            "sanitiser",
            mix_words,
            caution=_(
                "Bleach into water, never the other way. Never with acid, ammonia or any other "
                "cleaner. Gloves, goggles, open doors. The product's label governs."
            ),
        ),
        Todo(-1800, "ice", ice_words),
        Todo(0.0, "first", _("First bird into the cone.")),
        *(
            Todo(at_s, "sanitiser", _("Clean and sanitise the surfaces; mix fresh; read a strip."))
            for at_s in renew_s
        ),
        Todo(
            _READ_TANK_S,
            "read_scalder",
            _("Read the scald water; pull a tail feather to test it."),
            every_s=_READ_TANK_S,
            until_s=line_end_s,
            caution=_("Scald water burns in seconds: long gloves, steady footing."),
        ),
        Todo(line_end_s, "line_end", _("Last bird drawn. Burner off, scalder drained when cool.")),
        Todo(
            end_s,
            "clean_up",
            _("Clean up: dry clean, rinse, scrub with detergent, rinse, sanitise, air dry."),
        ),
        Todo(end_s + clean_up_s, "close", _("Close the day: counts, readings, signatures.")),
    ]
    if light_before_s is not None:
        todo.append(
            Todo(
                -light_before_s,
                "burner",
                _("Light the burner under the scalder."),
                caution=_(
                    "Outdoors or under an open side. Cylinder upright and tied, 10 ft from the "
                    "flame. Scald water burns in seconds."
                ),
            )
        )
    for tank in tanks:
        todo.extend(tank_todo(tank))
    return tuple(sorted(todo, key=lambda item: item.at_s))


def set_up_before_s(set_up_s: float) -> float:
    """Return how long before the first bird setting up begins.

    Parameters
    ----------
    set_up_s : float
        How long it takes the people there [s].

    Returns
    -------
    float
        At least ``READY_S`` [s].

    References
    ----------
    Derivation: the thermometers are checked when setting up has begun.
    """
    return max(set_up_s, READY_S)


def tank_todo(tank: TankTimes) -> list[Todo]:
    """Write what is to be done at one tank.

    Parameters
    ----------
    tank : TankTimes
        When it is filled and expected cold.

    Returns
    -------
    list of Todo
        Read, probe, prove, and stir where nothing stirs it.

    References
    ----------
    The comments beside each interval in this module.
    """
    items = [
        Todo(
            tank.first_in_s + _READ_TANK_S,
            "read_tank",
            _("Read the water in {tank}; add ice where none floats.").format(tank=tank.name),
            place=tank.name,
            every_s=_READ_TANK_S,
            until_s=tank.cold_s,
        ),
        Todo(
            min(tank.cold_s, max(tank.last_in_s, tank.due_s - 1800)),
            "probe",
            _("Probe the largest bird in {tank}, deep in the breast beside the keel.").format(
                tank=tank.name
            ),
            place=tank.name,
        ),
        Todo(
            tank.due_s,
            "due",
            _("Latest time for {tank} to be proved cold.").format(tank=tank.name),
            place=tank.name,
        ),
    ]
    if not tank.stirred:
        items.append(
            Todo(
                tank.first_in_s + _STIR_S,
                "stir",
                _("Stir {tank}; open every cavity to the water.").format(tank=tank.name),
                place=tank.name,
                every_s=_STIR_S,
                until_s=tank.cold_s,
            )
        )
    return items
