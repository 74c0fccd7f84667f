"""Every exception the program raises on purpose, as one shallow tree.

::

    PinfeatherError
    ├── InputError(ValueError)            a value somebody gave is wrong; says which and why
    │   └── OutOfRangeError               meaningful, but outside what its source vouches for
    ├── InputFaultsError(ValueError)           all the faults of one form or file at once
    ├── ConvergenceError(ArithmeticError) a numeric method did not settle
    ├── TooOftenError                     tried too often; says when to try again
    └── RecordError
        ├── RecordNotFoundError(LookupError)
        ├── RecordConflictError           changed since it was read, or already closed
        └── StoreError(OSError)           locked, full, damaged, or from a newer version

Trouble in the farm's own data (a warm carcass, a missing bird) is not an exception but a
:class:`pinfeather.finding.Finding`.
"""

from __future__ import annotations

from collections.abc import Sequence


class PinfeatherError(Exception):
    """Root of all errors the program raises on purpose."""


class InputError(PinfeatherError, ValueError):
    """A value somebody gave is wrong.

    Parameters
    ----------
    name : str
        Where the value was given, as a path (``"lots[0].mean"``) or an argument's name.
    value : object
        What was given.
    problem : str
        One sentence a farmer can act on.
    """

    def __init__(self, name: str, value: object, problem: str) -> None:
        super().__init__(f"{name}: {problem}")
        self.name = name
        self.value = value
        self.problem = problem


class OutOfRangeError(InputError):
    """A meaningful value outside the range its source vouches for."""


class InputFaultsError(PinfeatherError, ValueError):
    """All the faults of one form or file, gathered.

    Parameters
    ----------
    faults : sequence of InputError
        At least one.
    """

    def __init__(self, faults: Sequence[InputError]) -> None:
        super().__init__("; ".join(str(fault) for fault in faults))
        self.faults = tuple(faults)


class ConvergenceError(PinfeatherError, ArithmeticError):
    """A numeric method did not settle."""


class TooOftenError(PinfeatherError):
    """Something was tried too often in a short time."""


class RecordError(PinfeatherError):
    """Something about stored records."""


class RecordNotFoundError(RecordError, LookupError):
    """No such record."""


class RecordConflictError(RecordError):
    """The record changed since it was read, or is closed."""


class StoreError(RecordError, OSError):
    """The store is locked, full, damaged, or from a newer version."""
