"""One exemption or licence class, as plain values."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from pinfeather.rules.limit import Limit, Wording


@dataclass(frozen=True, slots=True)
class Licence:
    """Permission to be had before the first bird.

    Parameters
    ----------
    duty : Wording
        What is needed, in words.
    lead_time : Limit or None
        How long before slaughter the application must be in.
    change_notice : Limit or None
        How long before slaughter a change of date must be told.
    water_test_age : Limit or None
        How old a water test may be at application.
    expires_at_year_end : bool
        Whether it lapses on 31 December.
    """

    duty: Wording
    lead_time: Limit | None
    change_notice: Limit | None
    water_test_age: Limit | None
    expires_at_year_end: bool


@dataclass(frozen=True, slots=True)
class TierLabel:
    """What the label must say under one tier.

    Parameters
    ----------
    required : tuple of str
        Names of elements the rule demands.
    advised : tuple of str
        Elements worth printing anyway.
    exempt_statement : Wording or None
        The words that say the product is exempt, verbatim.
    not_inspected_statement : Wording or None
        The words that say the product was not inspected, verbatim.
    statements : tuple of Wording
        Other sentences that must stand on the label, verbatim.
    statement_height : Limit or None
        Smallest letters of those statements.
    tall_elements : tuple of str
        Elements that height binds.
    on_container : bool
        Whether the statement goes on the shipping container instead of each package.
    citation, status : str
        Source of the demands.
    """

    required: tuple[str, ...]
    advised: tuple[str, ...]
    exempt_statement: Wording | None
    not_inspected_statement: Wording | None
    statements: tuple[Wording, ...]
    statement_height: Limit | None
    tall_elements: tuple[str, ...]
    on_container: bool
    citation: str
    status: str


@dataclass(frozen=True, slots=True)
class Tier:
    """One exemption or licence class.

    Parameters
    ----------
    code : str
        Name used in files (``"producer_1000"``).
    name : str
        Name for people.
    allowed : bool
        Whether this jurisdiction has it.
    cap : Limit or None
        Most birds in a calendar year; None where no number is stated.
    cap_inclusive : bool
        True for "not more than", False for "fewer than".
    count_weight : mapping of str to int
        Birds each bird of a kind counts for.
    not_counted : tuple of str
        Kinds that are not poultry under this rule.
    own_raised_required, own_premises_required, shared_facility_allowed : bool
        Conditions of the tier.
    other_trade : str
        What other poultry trade is open to the person that year: ``"any"``,
        ``"own birds only"`` or ``"none"``.
    self_distribution_required : bool
        Whether the producer must deliver himself.
    buyers, venues, forms : tuple of str
        Allowed ones; empty where the rule names none.
    licence : Licence or None
        Permission needed first.
    conditions : tuple of Wording
        What else the rule asks for.
    citation, status, in_force : str
        Source of the tier as a whole.
    """

    code: str
    name: str
    allowed: bool
    cap: Limit | None
    cap_inclusive: bool
    count_weight: Mapping[str, int]
    not_counted: tuple[str, ...]
    own_raised_required: bool
    own_premises_required: bool
    shared_facility_allowed: bool
    other_trade: str
    self_distribution_required: bool
    buyers: tuple[str, ...]
    venues: tuple[str, ...]
    forms: tuple[str, ...]
    licence: Licence | None
    conditions: tuple[Wording, ...]
    label: TierLabel
    citation: str
    status: str
    in_force: str

    @property
    def most(self) -> int | None:
        """Greatest yearly count that keeps the tier; None where no cap is stated."""
        if self.cap is None:
            return None
        return int(self.cap.value) if self.cap_inclusive else int(self.cap.value) - 1
