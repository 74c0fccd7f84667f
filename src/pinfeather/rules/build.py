"""From the tables of a profile file to the values of a profile."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from types import MappingProxyType
from typing import Final

from pinfeather.rules.limit import Limit
from pinfeather.rules.model import (
    ChillBand,
    ChillRules,
    CleaningBand,
    CountRules,
    FreezingRules,
    LabelCommon,
    RecordRules,
    RetailRules,
    SafeHandling,
    SanitationRules,
    Sanitiser,
    StrengthBand,
    TimingRules,
    TypeHeight,
    WeightRules,
    Yardstick,
)
from pinfeather.rules.schema import Table
from pinfeather.rules.tier import Licence, Tier, TierLabel
from pinfeather.words import gettext as _

ELEMENTS: Final = (
    "product_name",
    "net_weight",
    "name_and_address",
    "exempt_statement",
    "not_inspected_statement",
    "statements",
    "safe_handling",
    "handling",
    "pack_date",
    "lot_code",
    "price",
    "retained_water",
)
"""Names of label elements."""

BUYERS: Final = (
    "household", "restaurant", "hotel", "boardinghouse", "retail_store", "distributor",
    "institution",
)  # fmt: skip
VENUES: Final = ("farm", "farmers_market", "csa", "delivery", "shop", "restaurant")
SALE_FIELDS: Final = (
    "buyer_name", "buyer_address", "sale_date", "slaughter_date", "species", "quantity",
    "net_weight", "description", "sale_place", "producer",
)  # fmt: skip
"""What the record of a sale can say."""
FORMS: Final = ("whole", "parts", "giblets", "further_processed")
OTHER_TRADE: Final = ("any", "own birds only", "none")
CLOCK_STARTS: Final = ("slaughter", "processing_end", "chill_entry")
RECORD_CLOCKS: Final = ("year end", "record", "permit end")


def _rising(table: Table, key: str, edges: Sequence[Limit | None]) -> None:
    """Refuse rows out of order: rising edges, and only the last row without one."""
    known = [edge.si for edge in edges if edge is not None]
    in_order = all(low < high for low, high in itertools.pairwise(known))
    if not edges or not in_order or edges[-1] is not None or None in edges[:-1]:
        table.bad(
            key, known, _("Rows go from small to large, and only the last one has no upper end.")
        )


def tiers(table: Table) -> dict[str, Tier]:
    """Return the exemption classes of a profile."""
    return {code: _tier(code, table.table(code)) for code in table.words()}


def _tier(code: str, table: Table) -> Tier:
    citation, status, in_force = table.source()
    weights = table.table("count_weight")
    no_cap = table.flag("no_cap", default=False)
    cap = None if no_cap or not table.has("cap") else table.limit("cap")
    if cap is None and not no_cap:
        table.bad("cap", None, _("Give a cap, or write no_cap = true if none is stated."))
    if cap is not None and cap.unit == "birds" and not (cap.value > 0 and cap.value.is_integer()):
        table.bad("cap.value", cap.value, _("A cap is a whole number of birds, more than zero."))
    made = Tier(
        code=code,
        name=table.text("name"),
        allowed=table.flag("allowed", default=True),
        cap=cap,
        cap_inclusive=table.flag("cap_inclusive", default=True),
        count_weight=MappingProxyType({kind: weights.whole(kind) for kind in weights.words()}),
        not_counted=table.texts("not_counted"),
        own_raised_required=table.flag("own_raised_required"),
        own_premises_required=table.flag("own_premises_required"),
        shared_facility_allowed=table.flag("shared_facility_allowed"),
        other_trade=table.choice("other_trade", OTHER_TRADE),
        self_distribution_required=table.flag("self_distribution_required", default=False),
        buyers=table.texts("buyers", BUYERS),
        venues=table.texts("venues", VENUES),
        forms=table.texts("forms", FORMS),
        licence=_licence(table.table("licence")) if table.has("licence") else None,
        conditions=table.wordings("conditions"),
        label=_tier_label(table.table("label")),
        citation=citation,
        status=status,
        in_force=in_force,
    )
    table.finish()
    return made


def _licence(table: Table) -> Licence:
    made = Licence(
        duty=table.wording("duty"),
        lead_time=table.maybe_limit("lead_time"),
        change_notice=table.maybe_limit("change_notice"),
        water_test_age=table.maybe_limit("water_test_age"),
        expires_at_year_end=table.flag("expires_at_year_end", default=False),
    )
    table.finish()
    return made


def _tier_label(table: Table) -> TierLabel:
    citation, status, _in_force = table.source()
    made = TierLabel(
        required=table.texts("required", ELEMENTS),
        advised=table.texts("advised", ELEMENTS),
        exempt_statement=(
            table.wording("exempt_statement") if table.has("exempt_statement") else None
        ),
        not_inspected_statement=(
            table.wording("not_inspected_statement")
            if table.has("not_inspected_statement")
            else None
        ),
        statements=table.wordings("statements"),
        statement_height=table.maybe_limit("statement_height"),
        tall_elements=(
            table.texts("tall_elements", ELEMENTS)
            if table.has("tall_elements")
            else ("exempt_statement", "not_inspected_statement", "statements")
        ),
        on_container=table.flag("on_container", default=False),
        citation=citation,
        status=status,
    )
    table.finish()
    return made


def chill(table: Table) -> ChillRules:
    """Return the cooling rules."""
    bands = []
    for row in table.tables("bands"):
        bands.append(
            ChillBand(
                label=row.text("label"),
                below=row.maybe_limit("below"),
                inclusive=row.flag("inclusive", default=False),
                within=row.limit("within"),
            )
        )
        row.finish()
    _rising(table, "bands", [band.below for band in bands])
    made = ChillRules(
        clock_start=table.choice("clock_start", CLOCK_STARTS),
        target=table.limit("target"),
        bands=tuple(bands),
        giblets_target=table.limit("giblets_target"),
        giblets_within=table.limit("giblets_within"),
        cutting_rise=table.limit("cutting_rise"),
        hold=table.limit("hold"),
        hold_hours=table.maybe_limit("hold_hours"),
        long_hold=table.maybe_limit("long_hold"),
        long_hold_after=table.maybe_limit("long_hold_after"),
    )
    table.finish()
    return made


def timing(table: Table) -> TimingRules:
    """Return the longest waits."""
    made = TimingRules(
        pick_to_chill=table.limit("pick_to_chill"),
        cut_to_drawn=table.limit("cut_to_drawn"),
        giblets_to_cold=table.limit("giblets_to_cold"),
    )
    table.finish()
    return made


def freezing(table: Table) -> FreezingRules:
    """Return the freezing rules."""
    made = FreezingRules(
        target=table.limit("target"),
        within=table.limit("within"),
        warm_freezer=table.limit("warm_freezer"),
        warm_within=table.limit("warm_within"),
        fresh_frozen_hold=table.limit("fresh_frozen_hold"),
        fresh_frozen_within=table.limit("fresh_frozen_within"),
        fresh_above=table.limit("fresh_above"),
        fresh_single_reading=table.limit("fresh_single_reading"),
        fresh_single_reading_in_plant=table.limit("fresh_single_reading_in_plant"),
        frozen_at=table.limit("frozen_at"),
    )
    table.finish()
    return made


def sanitation(table: Table) -> SanitationRules:
    """Return the limits of sanitisers, cleaning and water."""
    chemicals = table.table("sanitisers")
    cleaning = []
    for row in table.tables("cleaning"):
        cleaning.append(CleaningBand(row.maybe_limit("up_to"), row.limit("every")))
        row.finish()
    _rising(table, "cleaning", [band.up_to for band in cleaning])
    made = SanitationRules(
        yardstick=table.text("yardstick"),
        sanitisers=MappingProxyType(
            {code: _sanitiser(code, chemicals.table(code)) for code in chemicals.words()}
        ),
        cleaning=tuple(cleaning),
        hot_water=table.limit("hot_water"),
        hot_water_contact=table.limit("hot_water_contact"),
        dose_tolerance=table.limit("dose_tolerance"),
        well_test_months=table.limit("well_test_months"),
    )
    table.finish()
    return made


def _sanitiser(code: str, table: Table) -> Sanitiser:
    yardsticks = {}
    if table.has("yardsticks"):
        inner = table.table("yardsticks")
        yardsticks = {name: _yardstick(name, inner.table(name)) for name in inner.words()}
    made = Sanitiser(
        code=code,
        name=table.text("name"),
        most=table.limit("most"),
        most_public_eating=table.maybe_limit("most_public_eating"),
        ask_label_above=table.maybe_limit("ask_label_above"),
        yardsticks=MappingProxyType(yardsticks),
        label_rules=table.flag("label_rules", default=False),
    )
    table.finish()
    return made


def _yardstick(code: str, table: Table) -> Yardstick:
    bands = []
    for row in table.tables("bands"):
        bands.append(
            StrengthBand(
                strength=row.limit("strength"),
                max_pH=row.maybe_limit("max_pH"),
                min_temperature=row.maybe_limit("min_temperature"),
                contact=row.maybe_limit("contact"),
                max_hardness=row.maybe_limit("max_hardness"),
            )
        )
        row.finish()
    if not bands:
        table.bad("bands", None, _("Give at least one strength."))
    made = Yardstick(code, table.maybe_limit("fixed_factor"), tuple(bands))
    table.finish()
    return made


def label(table: Table) -> LabelCommon:
    """Return what all labels have in common."""
    block = table.table("safe_handling")
    safe = SafeHandling(
        heading=block.wording("heading"),
        rationale=block.wording("rationale"),
        statements=block.wordings("statements"),
        icons=block.texts("icons"),
        height=block.limit("height"),
    )
    block.finish()
    if len(safe.icons) != len(safe.statements):
        block.bad("icons", safe.icons, _("Give one picture for each statement."))
    heights = []
    for row in table.tables("net_weight_heights"):
        heights.append(TypeHeight(row.maybe_limit("up_to"), row.limit("height")))
        row.finish()
    _rising(table, "net_weight_heights", [row.up_to for row in heights])
    made = LabelCommon(
        safe_handling=safe,
        handling=table.wordings("handling"),
        forbidden=table.wordings("forbidden"),
        net_weight_heights=tuple(heights),
        ounces_only_below=table.limit("ounces_only_below"),
        dual_below=table.limit("dual_below"),
        no_placement_up_to=table.limit("no_placement_up_to"),
        date_phrases=table.wordings("date_phrases"),
        random_weight_price=table.wording("random_weight_price"),
    )
    table.finish()
    return made


def count(table: Table) -> CountRules:
    """Return when to warn about the cap."""
    made = CountRules(
        warn_at=table.limit("warn_at"),
        urge_at=table.limit("urge_at"),
        home_use_counts=table.flag("home_use_counts"),
    )
    table.finish()
    return made


def weights(table: Table) -> WeightRules:
    """Return how weights and prices are rounded."""
    made = WeightRules(
        decimals=table.limit("decimals"),
        rounding=table.wording("rounding"),
        tare_rounding=table.wording("tare_rounding"),
        price_rounding=table.wording("price_rounding"),
    )
    table.finish()
    return made


def records(table: Table) -> RecordRules:
    """Return which records are kept, and how long."""
    sale = table.table("sale")
    made = RecordRules(
        clock=table.choice("clock", RECORD_CLOCKS),
        keep=table.limit("keep"),
        what=table.wordings("what"),
        sale_fields=sale.texts("fields", SALE_FIELDS),
        sale_required=sale.flag("required"),
        sale_duty=sale.wording("duty"),
    )
    sale.finish()
    table.finish()
    return made


def retail(table: Table) -> RetailRules:
    """Return the limits of the retail-store exemption."""
    years = table.table("dollars_by_year")
    for word in years.words():
        if not word.isdecimal():
            years.bad(word, word, _("Write a year here, such as 2025."))
    made = RetailRules(
        household_quantity=table.limit("household_quantity"),
        other_quantity=table.limit("other_quantity"),
        household_share=table.limit("household_share"),
        dollars_by_year=MappingProxyType(
            {int(y): years.limit(y) for y in years.words() if y.isdecimal()}
        ),
        adjust_when_over=table.limit("adjust_when_over"),
        adjust_to=table.limit("adjust_to"),
    )
    table.finish()
    return made
