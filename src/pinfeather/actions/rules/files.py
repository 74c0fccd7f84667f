"""Rules from the command line: a profile as rows, a profile file checked, a tier from a file."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict, fields
from typing import Any, Final

from pinfeather import __version__
from pinfeather.actions.rules.pages import profile_rows
from pinfeather.errors import InputError, InputFaultsError
from pinfeather.finding import Finding
from pinfeather.rules.profile import available, digest, faults_of, load
from pinfeather.rules.what_changes import what_would_change
from pinfeather.rules.which import FarmFacts, which_tier
from pinfeather.words import gettext as _

_FLAGS: Final = tuple(one.name for one in fields(FarmFacts) if one.name != "year_birds")
_DEFAULT: Final = "us-federal"


def notice() -> str:
    """Say what these answers are, and who decides."""
    return _(
        "A reading of the texts named, not legal advice. Your state's department of agriculture, "
        "or of health, decides."
    )


def listed() -> list[dict[str, str]]:
    """Return the profiles that come with the program."""
    return [asdict(one) for one in available()]


def shown(profile_id: str) -> dict[str, Any]:
    """Return a profile with every number and wording, ready to print.

    Raises
    ------
    InputError
        If there is no such profile.
    """
    profile = load(profile_id)
    return {
        "profile": profile_id,
        "name": profile.name,
        "jurisdiction": profile.jurisdiction,
        "note": profile.note,
        "open_points": list(profile.open_points),
        "version": digest(profile_id),
        "notice": notice(),
        "rows": [
            {name: value for name, value in asdict(row).items() if name != "own"}
            for row in profile_rows(profile_id)
        ],
    }


def checked(text: str, *, name: str) -> dict[str, Any]:
    """Check a profile file.

    Raises
    ------
    InputFaultsError
        With everything that is wrong, each with its place in the file.
    """
    faults = faults_of(text, profile_id=name)
    if faults:
        raise InputFaultsError(faults)
    return {"profile": name, "faults": []}


def tier_answer(asked: Mapping[str, Any]) -> dict[str, Any]:
    """Say which exemption fits what a file says, and what would change it.

    Raises
    ------
    InputFaultsError
        With every fault in the file.
    """
    profile_id, facts = _facts(asked)
    profile = load(profile_id)
    try:
        answer = which_tier(profile, facts)
    except InputError as fault:
        raise InputFaultsError([fault]) from fault
    tier = profile.tiers[answer.tier] if answer.tier else None
    room = answer.headroom
    return {
        "profile": profile_id,
        "tier": answer.tier,
        "name": tier.name if tier else None,
        "citation": tier.citation if tier else None,
        "status": tier.status if tier else None,
        "counted_birds": room.counted if room else None,
        "most_birds": room.most if room else None,
        "left_birds": room.left_after if room else None,
        "reasons": list(answer.reasons),
        "blocking": list(answer.blocking),
        "open_conditions": [asdict(one) for one in answer.open_conditions],
        "open_points": list(profile.open_points),
        "what_would_change": [
            {
                "fact": one.fact,
                "condition": one.condition,
                "tier": one.answer.tier,
                "changes": one.changes,
            }
            for one in what_would_change(profile, facts)
        ],
        "findings": [_plain(one) for one in (room.findings if room else ())],
        "rules": {"version": digest(profile_id), "program": __version__},
        "notice": notice(),
    }


def _plain(finding: Finding) -> dict[str, Any]:
    return {**asdict(finding), "severity": finding.severity.code}


def _facts(asked: Mapping[str, Any]) -> tuple[str, FarmFacts]:
    faults = [
        InputError(name, value, _("A file about the tier knows: profile, birds, facts."))
        for name, value in asked.items()
        if name not in ("profile", "birds", "facts")
    ]
    profile_id = asked.get("profile", _DEFAULT)
    try:
        load(str(profile_id))
    except InputError as fault:
        faults.append(fault)
    birds = _table(asked, "birds", faults)
    for kind, head in birds.items():
        if not isinstance(head, int) or isinstance(head, bool) or head < 0:
            sentence = _("Write a whole number of birds, such as 250.")
            faults.append(InputError(f"birds.{kind}", head, sentence))
    flags = _table(asked, "facts", faults)
    for name, value in flags.items():
        if name not in _FLAGS:
            sentence = _("“{name}” is not a fact. Known: {known}.")
            told = sentence.format(name=name, known=", ".join(_FLAGS))
            faults.append(InputError(f"facts.{name}", value, told))
        elif not isinstance(value, bool):
            faults.append(InputError(f"facts.{name}", value, _("Write true or false.")))
    if faults:
        raise InputFaultsError(faults)
    return str(profile_id), FarmFacts(birds, **flags)


def _table(asked: Mapping[str, Any], name: str, faults: list[InputError]) -> dict[str, Any]:
    value = asked.get(name, {})
    if isinstance(value, dict):
        return value
    faults.append(InputError(name, value, _("Write a table here, with one word a line.")))
    return {}
