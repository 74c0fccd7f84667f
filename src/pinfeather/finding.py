"""A finding: trouble, or its absence, in the farm's own data. Shown, never raised."""

from __future__ import annotations

from dataclasses import dataclass
from enum import IntEnum


class Severity(IntEnum):
    """How much a finding matters; the higher number is worse."""

    NOTE = 1
    """Good to know; nothing to do."""
    CHECK = 2
    """Look at it before it becomes a problem."""
    STOP = 3
    """Not right: act, and write down what was done."""

    @property
    def code(self) -> str:
        """The word used in files and JSON."""
        return self.name.lower()


@dataclass(frozen=True, slots=True)
class Finding:
    """One thing the computation says about the data.

    Parameters
    ----------
    code : str
        Stable name, ``room.what`` (``"chill.late"``).
    severity : Severity
        How much it matters.
    sentence : str
        The finding itself, in words.
    reason : str
        Why, or what to do; may be empty.
    where : str
        What it is about: a path in the input (``"equipment.tanks[0]"``), a batch, a station.
    measured : float or None
        The number found, in ``unit`` [unit].
    limit : float or None
        The number it was compared with, in ``unit`` [unit].
    unit : str
        Unit of ``measured`` and ``limit``.
    citation : str
        The rule or source of the limit; empty where there is none.
    status : str
        How the limit is known: ``"read"``, ``"second hand"``, ``"unverified"``, ``"disputable"``,
        ``"common practice"``, or empty where no published number is involved.
    """

    code: str
    severity: Severity
    sentence: str
    reason: str = ""
    where: str = ""
    measured: float | None = None
    limit: float | None = None
    unit: str = ""
    citation: str = ""
    status: str = ""


def worst(findings: tuple[Finding, ...] | list[Finding]) -> Severity | None:
    """Return the highest severity among findings.

    Parameters
    ----------
    findings : sequence of Finding
        May be empty.

    Returns
    -------
    Severity or None
        None where there are no findings.

    References
    ----------
    Derivation: maximum.
    """
    return max((f.severity for f in findings), default=None)


def by_severity(findings: list[Finding] | tuple[Finding, ...]) -> tuple[Finding, ...]:
    """Return the findings with the worst first, otherwise in the order found.

    Parameters
    ----------
    findings : sequence of Finding
        May be empty.

    Returns
    -------
    tuple of Finding
        The same findings.

    References
    ----------
    Derivation: stable sort.
    """
    return tuple(sorted(findings, key=lambda f: -f.severity))
