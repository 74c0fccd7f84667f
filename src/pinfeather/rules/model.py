"""What one jurisdiction asks of a small poultry plant, as plain values."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from pinfeather.rules.limit import Limit, Wording
from pinfeather.rules.tier import Tier


@dataclass(frozen=True, slots=True)
class ChillBand:
    """One row of the chill table.

    Parameters
    ----------
    label : str
        The class in words.
    below : Limit or None
        Upper end of the class by ready-to-cook carcass weight; None for the last one.
    inclusive : bool
        Whether that weight itself is still in the class.
    within : Limit
        Time allowed.
    """

    label: str
    below: Limit | None
    inclusive: bool
    within: Limit


@dataclass(frozen=True, slots=True)
class ChillRules:
    """Cooling and keeping cold.

    Parameters
    ----------
    clock_start : str
        ``"slaughter"``, ``"processing_end"`` or ``"chill_entry"``.
    target : Limit
        Temperature to reach.
    bands : tuple of ChillBand
        Time allowed by carcass weight, lightest first.
    giblets_target, giblets_within : Limit
        For giblets taken off the carcass, from the moment they leave the viscera.
    cutting_rise : Limit
        Highest temperature while cutting, if cooled again promptly.
    hold : Limit
        Highest temperature in storage.
    hold_hours : Limit or None
        Longest storage before sale, where the rule has one.
    long_hold, long_hold_after : Limit or None
        Lower temperature asked for when held longer than that, where the rule has it.
    """

    clock_start: str
    target: Limit
    bands: tuple[ChillBand, ...]
    giblets_target: Limit
    giblets_within: Limit
    cutting_rise: Limit
    hold: Limit
    hold_hours: Limit | None
    long_hold: Limit | None
    long_hold_after: Limit | None


@dataclass(frozen=True, slots=True)
class TimingRules:
    """Longest waits on the way to the cold.

    Parameters
    ----------
    pick_to_chill : Limit
        From picking to the chill tank.
    cut_to_drawn : Limit
        From the cut to viscera out.
    giblets_to_cold : Limit
        A second, stricter yardstick for giblets.
    """

    pick_to_chill: Limit
    cut_to_drawn: Limit
    giblets_to_cold: Limit


@dataclass(frozen=True, slots=True)
class FreezingRules:
    """Freezing, and the words for it.

    Parameters
    ----------
    target, within : Limit
        Temperature at the centre of the package, and how soon after it enters the freezer.
    warm_freezer, warm_within : Limit
        Warmest freezer for a bird packed warm, and how soon after slaughter.
    fresh_frozen_hold, fresh_frozen_within : Limit
        Waiting temperature and time for the words "fresh frozen".
    fresh_above : Limit
        Coldest the product may ever have been to be called "fresh".
    fresh_single_reading : Limit
        Lowest reading tolerated on one package away from the plant.
    fresh_single_reading_in_plant : Limit
        Lowest reading tolerated on one package inside an official plant.
    frozen_at : Limit
        Temperature at or below which the word "frozen" is due.
    """

    target: Limit
    within: Limit
    warm_freezer: Limit
    warm_within: Limit
    fresh_frozen_hold: Limit
    fresh_frozen_within: Limit
    fresh_above: Limit
    fresh_single_reading: Limit
    fresh_single_reading_in_plant: Limit
    frozen_at: Limit


@dataclass(frozen=True, slots=True)
class StrengthBand:
    """One row of a strength table.

    Parameters
    ----------
    strength : Limit
        From this strength up.
    max_pH : Limit or None
        Only up to this pH.
    min_temperature : Limit or None
        Water at least this warm.
    contact : Limit or None
        Left on at least this long.
    max_hardness : Limit or None
        Only in water no harder than this.
    """

    strength: Limit
    max_pH: Limit | None
    min_temperature: Limit | None
    contact: Limit | None
    max_hardness: Limit | None


@dataclass(frozen=True, slots=True)
class Yardstick:
    """One published table of least strength.

    Parameters
    ----------
    code : str
        ``"cfr_381_10_e"`` or ``"food_code_current"``.
    fixed_factor : Limit or None
        How many times the dip strength fixed equipment needs.
    bands : tuple of StrengthBand
        Weakest first.
    """

    code: str
    fixed_factor: Limit | None
    bands: tuple[StrengthBand, ...]


@dataclass(frozen=True, slots=True)
class Sanitiser:
    """Limits of one chemical.

    Parameters
    ----------
    code : str
        ``"chlorine"``, ``"chlorine_tablets"``, ``"iodine"``, ``"quat"``, ``"peracetic"``,
        ``"chlorine_dioxide"``.
    name : str
        Name for people.
    most : Limit
        Strongest without rinsing, on food-processing equipment.
    most_public_eating : Limit or None
        The same in a public eating place, where it differs.
    ask_label_above : Limit or None
        Above this only if the product's own label says so.
    yardsticks : mapping of str to Yardstick
        Published tables of least strength.
    label_rules : bool
        Whether the product's label, not the table, decides.
    """

    code: str
    name: str
    most: Limit
    most_public_eating: Limit | None
    ask_label_above: Limit | None
    yardsticks: Mapping[str, Yardstick]
    label_rules: bool


@dataclass(frozen=True, slots=True)
class CleaningBand:
    """How often surfaces are cleaned in a room of some temperature.

    Parameters
    ----------
    up_to : Limit or None
        Room temperature up to and including this; None for anything warmer.
    every : Limit
        Longest time between cleanings.
    """

    up_to: Limit | None
    every: Limit


@dataclass(frozen=True, slots=True)
class SanitationRules:
    """Sanitisers, cleaning and water.

    Parameters
    ----------
    yardstick : str
        The table of least strength this jurisdiction is held to.
    sanitisers : mapping of str to Sanitiser
        By code.
    cleaning : tuple of CleaningBand
        Coldest room first.
    hot_water, hot_water_contact : Limit
        Sanitising in hot water.
    dose_tolerance : Limit
        How far a computed dose may pass the strongest before it is refused.
    well_test_months : Limit
        How often a private well is tested.
    """

    yardstick: str
    sanitisers: Mapping[str, Sanitiser]
    cleaning: tuple[CleaningBand, ...]
    hot_water: Limit
    hot_water_contact: Limit
    dose_tolerance: Limit
    well_test_months: Limit


@dataclass(frozen=True, slots=True)
class TypeHeight:
    """Letter height of the net weight by area of the main panel.

    Parameters
    ----------
    up_to : Limit or None
        Panel area up to and including this; None for anything larger.
    height : Limit
        Smallest letters.
    """

    up_to: Limit | None
    height: Limit


@dataclass(frozen=True, slots=True)
class SafeHandling:
    """The safe handling block, verbatim.

    Parameters
    ----------
    heading : Wording
        First line.
    rationale : Wording
        Second line.
    statements : tuple of Wording
        The four statements.
    icons : tuple of str
        What the picture beside each statement shows.
    height : Limit
        Smallest letters.
    """

    heading: Wording
    rationale: Wording
    statements: tuple[Wording, ...]
    icons: tuple[str, ...]
    height: Limit

    @property
    def lines(self) -> tuple[str, ...]:
        """All lines in the order they are printed."""
        return (self.heading.text, self.rationale.text, *(s.text for s in self.statements))


@dataclass(frozen=True, slots=True)
class LabelCommon:
    """What every label of the jurisdiction has in common.

    Parameters
    ----------
    safe_handling : SafeHandling
        The block.
    handling : tuple of Wording
        Allowed handling statements.
    forbidden : tuple of Wording
        Words that must not stand on an exempt product.
    net_weight_heights : tuple of TypeHeight
        Letter height by panel area.
    ounces_only_below, dual_below : Limit
        Fixed packs: ounces alone below the first, ounces and pounds below the second.
    no_placement_up_to : Limit
        Panel area up to which the net weight may stand anywhere.
    date_phrases : tuple of Wording
        Words beside a calendar date.
    random_weight_price : Wording
        What a package with its own weight must show when it is sold.
    """

    safe_handling: SafeHandling
    handling: tuple[Wording, ...]
    forbidden: tuple[Wording, ...]
    net_weight_heights: tuple[TypeHeight, ...]
    ounces_only_below: Limit
    dual_below: Limit
    no_placement_up_to: Limit
    date_phrases: tuple[Wording, ...]
    random_weight_price: Wording


@dataclass(frozen=True, slots=True)
class RecordRules:
    """How long records are kept.

    Parameters
    ----------
    clock : str
        ``"year end"`` (from 31 December of the year), ``"record"`` (from the record itself) or
        ``"permit end"``.
    keep : Limit
        Months or years.
    what : tuple of Wording
        Records the rule names.
    sale_fields : tuple of str
        What the record of each sale has to say; names as in ``rules.build.SALE_FIELDS``.
    sale_required : bool
        Whether a sale without them breaks the rule; otherwise they are advised.
    sale_duty : Wording
        The duty in words, with its source.
    """

    clock: str
    keep: Limit
    what: tuple[Wording, ...]
    sale_fields: tuple[str, ...]
    sale_required: bool
    sale_duty: Wording


@dataclass(frozen=True, slots=True)
class RetailRules:
    """Limits of the retail-store exemption.

    Parameters
    ----------
    household_quantity, other_quantity : Limit
        Most a household, or anybody else, may get at once.
    household_share : Limit
        Least share of dollar sales that goes to households.
    dollars_by_year : mapping of int to Limit
        Most in dollars a year to others than households.
    adjust_when_over, adjust_to : Limit
        The price index moves the dollar limit only by more than the first, to the nearest second.
    """

    household_quantity: Limit
    other_quantity: Limit
    household_share: Limit
    dollars_by_year: Mapping[int, Limit]
    adjust_when_over: Limit
    adjust_to: Limit


@dataclass(frozen=True, slots=True)
class CountRules:
    """When to warn that the cap comes near.

    Parameters
    ----------
    warn_at, urge_at : Limit
        Shares of the cap.
    home_use_counts : bool
        Whether birds for the own table are counted.
    """

    warn_at: Limit
    urge_at: Limit
    home_use_counts: bool


@dataclass(frozen=True, slots=True)
class WeightRules:
    """Weighing for sale.

    Parameters
    ----------
    decimals : Limit
        Figures after the point of a weight in pounds.
    rounding : Wording
        Rule for a weight that was not read at the scale's own division.
    tare_rounding : Wording
        Rule for tare.
    price_rounding : Wording
        Rule for the total price.
    """

    decimals: Limit
    rounding: Wording
    tare_rounding: Wording
    price_rounding: Wording


@dataclass(frozen=True, slots=True)
class ProfileSummary:
    """A line in the list of profiles.

    Parameters
    ----------
    profile_id : str
        Name used in files.
    name : str
        Name for people.
    jurisdiction : str
        ISO 3166 code (``"US"``, ``"US-CO"``).
    note : str
        How far it can be trusted.
    """

    profile_id: str
    name: str
    jurisdiction: str
    note: str


@dataclass(frozen=True, slots=True)
class Profile:
    """Everything one jurisdiction asks for.

    Parameters
    ----------
    profile_id, name, jurisdiction, note : str
        As in :class:`ProfileSummary`.
    open_points : tuple of str
        What was not read; ask the authority.
    tiers : mapping of str to Tier
        By code.
    count, chill, timing, freezing, sanitation, label, weights, records, retail
        The rooms of the profile.
    """

    profile_id: str
    name: str
    jurisdiction: str
    note: str
    open_points: tuple[str, ...]
    tiers: Mapping[str, Tier]
    count: CountRules
    chill: ChillRules
    timing: TimingRules
    freezing: FreezingRules
    sanitation: SanitationRules
    label: LabelCommon
    weights: WeightRules
    records: RecordRules
    retail: RetailRules
