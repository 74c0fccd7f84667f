"""All the calculators, and working one out."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Final

from pinfeather.actions.calc import (
    clean,
    cold,
    flock,
    freezing,
    hot,
    ice_bin,
    keeping,
    labelling,
    leftovers,
    manure,
    medicated,
    microbes,
    money,
    money_parts,
    parts,
    positives,
    probing,
    rinsing,
    shrink,
    stun,
    trust,
    waste,
    weights,
    well,
)
from pinfeather.actions.calc.model import Calculation, Group, Json, Result, Units
from pinfeather.actions.calc.reading import read
from pinfeather.errors import InputError, InputFaultsError, RecordNotFoundError
from pinfeather.finding import Finding
from pinfeather.words import gettext as _

_UNIT_AT_END: Final = re.compile(r"_(kg|m3|m2|m|s|degC|K|W|Pa|frac|per_h)$")


def groups() -> tuple[Group, ...]:
    """Return every calculator, in groups, in the reader's language."""
    return (
        Group(
            _("Cold"),
            (
                *cold.calculations(),
                *freezing.calculations(),
                *parts.calculations(),
                *ice_bin.calculations(),
            ),
        ),
        Group(_("Hot water"), (*hot.calculations(), *shrink.calculations())),
        Group(_("Stunning"), stun.calculations()),
        Group(
            _("Sanitiser, rinse and water"),
            (*clean.calculations(), *rinsing.calculations(), *well.calculations()),
        ),
        Group(_("What a reading proves"), (*trust.calculations(), *probing.calculations())),
        Group(
            _("Bacteria"),
            (*microbes.calculations(), *keeping.calculations(), *positives.calculations()),
        ),
        Group(
            _("Weights and labels"),
            (*weights.calculations(), *labelling.calculations()),
        ),
        Group(
            _("What is left over"),
            (*waste.calculations(), *leftovers.calculations(), *manure.calculations()),
        ),
        Group(_("Raising birds"), (*flock.calculations(), *medicated.calculations())),
        Group(
            _("Cost and price"),
            (*money.calculations(), *money_parts.calculations()),
        ),
    )


def calculations() -> tuple[Calculation, ...]:
    """Return every calculator, one after the other."""
    return tuple(one for group in groups() for one in group.calculations)


def calculation(name: str) -> Calculation:
    """Return one calculator.

    Raises
    ------
    RecordNotFoundError
        If there is none of that name.
    """
    for one in calculations():
        if one.name == name:
            return one
    raise RecordNotFoundError(_("There is no such calculator."))


def work_out(
    one: Calculation, written: Mapping[str, str | bytes], *, units: Units = "us"
) -> Result:
    """Read what was written and answer.

    Raises
    ------
    InputFaultsError
        With every fault under the name of its input; a fault that belongs to no single input has
        an empty name.
    """
    given = read(one, written, units=units)
    try:
        return one.run(given)
    except InputError as fault:
        raise InputFaultsError([_blamed(one, fault)]) from fault
    except InputFaultsError as error:
        raise InputFaultsError([_blamed(one, fault) for fault in error.faults]) from error


def _blamed(one: Calculation, fault: InputError) -> InputError:
    """Put a fault the domain found beside the input that caused it."""
    plain = _UNIT_AT_END.sub("", fault.name).replace("_", "-")
    for name in (fault.name, one.aliases.get(fault.name, ""), plain):
        if one.input(name) is not None:
            return InputError(name, fault.value, fault.problem)
    return InputError("", fault.value, fault.problem)


def as_json(one: Calculation, result: Result) -> dict[str, Json]:
    """Return an answer as one flat JSON object; the unit ends each name."""
    return {
        "calculation": one.name,
        **result.values,
        "findings": [_finding(finding) for finding in result.findings],
        "notes": list(result.notes),
        "cautions": list(one.cautions),
        "sources": [
            {"citation": source.citation, "status": source.status}
            for source in (*result.sources, *one.sources)
        ],
    }


def _finding(finding: Finding) -> dict[str, Json]:
    return {
        "code": finding.code,
        "severity": finding.severity.code,
        "sentence": finding.sentence,
        "reason": finding.reason,
        "where": finding.where,
        "measured": finding.measured,
        "limit": finding.limit,
        "unit": finding.unit,
        "citation": finding.citation,
        "status": finding.status,
    }
