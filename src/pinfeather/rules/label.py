"""What the label must say."""

from __future__ import annotations

from dataclasses import dataclass

from pinfeather.rules.count import tier_of
from pinfeather.rules.limit import Limit, Wording
from pinfeather.rules.model import Profile, SafeHandling, TypeHeight


@dataclass(frozen=True, slots=True)
class LabelRules:
    """The label duties of one tier.

    Parameters
    ----------
    required : tuple of str
        Elements the rule demands.
    advised : tuple of str
        Elements worth printing anyway; they cost nothing.
    exempt_statement : Wording or None
        Verbatim.
    not_inspected_statement : Wording or None
        Verbatim.
    statements : tuple of Wording
        Other sentences, verbatim.
    statement_height : Limit or None
        Smallest letters of those statements.
    tall_elements : tuple of str
        Elements that height binds.
    on_container : bool
        Whether the statement goes on the shipping container.
    safe_handling : SafeHandling
        The block, verbatim, with its smallest letters.
    handling : tuple of Wording
        Allowed handling statements.
    forbidden : tuple of Wording
        Words that must not stand on the product.
    net_weight_heights : tuple of TypeHeight
        Letter height of the net weight by panel area.
    date_phrases : tuple of Wording
        Words beside a calendar date.
    random_weight_price : Wording or None
        What a package with its own weight must show; None where nothing is sold.
    citation, status : str
        Source of the tier's demands.
    """

    required: tuple[str, ...]
    advised: tuple[str, ...]
    exempt_statement: Wording | None
    not_inspected_statement: Wording | None
    statements: tuple[Wording, ...]
    statement_height: Limit | None
    tall_elements: tuple[str, ...]
    on_container: bool
    safe_handling: SafeHandling
    handling: tuple[Wording, ...]
    forbidden: tuple[Wording, ...]
    net_weight_heights: tuple[TypeHeight, ...]
    date_phrases: tuple[Wording, ...]
    random_weight_price: Wording | None
    citation: str
    status: str


def label_elements(profile: Profile, tier_code: str) -> LabelRules:
    """Say what the label must carry.

    Parameters
    ----------
    profile : Profile
        The rules in force.
    tier_code : str
        The farm's tier.

    Returns
    -------
    LabelRules
        Elements, words and letter heights.

    Raises
    ------
    InputError
        If the tier is not open under these rules.

    References
    ----------
    9 CFR 381.10, 381.121, 381.125 and 381.129; a state's own words where its profile has them.
    """
    tier, common = tier_of(profile, tier_code), profile.label
    return LabelRules(
        required=tier.label.required,
        advised=tier.label.advised,
        exempt_statement=tier.label.exempt_statement,
        not_inspected_statement=tier.label.not_inspected_statement,
        statements=tier.label.statements,
        statement_height=tier.label.statement_height,
        tall_elements=tier.label.tall_elements,
        on_container=tier.label.on_container,
        safe_handling=common.safe_handling,
        handling=common.handling,
        forbidden=common.forbidden,
        net_weight_heights=common.net_weight_heights,
        date_phrases=common.date_phrases,
        random_weight_price=None if tier.cap is None else common.random_weight_price,
        citation=tier.label.citation,
        status=tier.label.status,
    )
