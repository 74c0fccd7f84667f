"""When something was not right: the four parts of a corrective action."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from pinfeather.errors import InputError, InputFaultsError
from pinfeather.hygiene.tables import table
from pinfeather.words import gettext as _

UNFORESEEN: Final = "unforeseen"


@dataclass(frozen=True, slots=True)
class Part:
    """One part of the form.

    Parameters
    ----------
    code : str
        Short name.
    ask, hint : str
        The question, and what an answer holds.
    citation, status : str
        Where it stands, and how that is known.
    needed : bool
        Whether it must be answered.
    """

    code: str
    ask: str
    hint: str
    citation: str
    status: str
    needed: bool = True


@dataclass(frozen=True, slots=True)
class CorrectiveAction:
    """A form as filled.

    Parameters
    ----------
    cause, control, recurrence, product : str
        The four parts.
    unforeseen : str
        What changes in the plan, where it had not foreseen this; may be empty.
    """

    cause: str
    control: str
    recurrence: str
    product: str
    unforeseen: str = ""


def parts() -> tuple[Part, ...]:
    """List the parts of the form, the four that are needed first.

    Returns
    -------
    tuple of Part
        Four that are needed, then what changes in a plan that had not foreseen it.

    References
    ----------
    9 CFR 417.3(a) and (b), read in the 2015 edition. It binds official plants; an exempt shop
    takes it as a yardstick.
    """
    found = table("corrective_action")
    more = found[UNFORESEEN]
    return (
        *(
            Part(row["code"], _(row["ask"]), _(row["hint"]), row["citation"], row["status"])
            for row in found["parts"]
        ),
        Part(
            UNFORESEEN,
            _(more["ask"]),
            _(more["hint"]),
            more["citation"],
            more["status"],
            needed=False,
        ),
    )


def corrective_action(written: Mapping[str, str]) -> CorrectiveAction:
    """Read a filled form.

    Parameters
    ----------
    written : mapping of str to str
        From each part's code to what was written.

    Returns
    -------
    CorrectiveAction
        Spaces at the ends left out.

    Raises
    ------
    InputFaultsError
        With every needed part that is empty.

    References
    ----------
    9 CFR 417.3(a): all four parts, each time.
    """
    said = {part.code: written.get(part.code, "").strip() for part in parts()}
    faults = [
        InputError(part.code, "", _("Write this part; “none” with its reason will do."))
        for part in parts()
        if part.needed and not said[part.code]
    ]
    if faults:
        raise InputFaultsError(faults)
    return CorrectiveAction(**said)


def yardstick_words() -> str:
    """Say what the form and the plan follow, and for whom that is law.

    Returns
    -------
    str
        One sentence for pages and documents.

    References
    ----------
    9 CFR 416.11 to 416.16 and 417.3; 9 CFR 381.10(b).
    """
    return _(
        "Follows 9 CFR 416.11 to 416.16 and 417.3, which bind inspected plants. An exempt shop must"
        " work by sanitary practices and takes these as its yardstick; your state may ask for more."
    )
