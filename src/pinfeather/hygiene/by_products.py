"""What a day leaves over: by-products to compost and water to be rid of."""

from __future__ import annotations

import math
from dataclasses import dataclass

from pinfeather.errors import InputError, OutOfRangeError
from pinfeather.estimate import Basis, Estimate, Origin
from pinfeather.hygiene.tables import table
from pinfeather.units import to_si
from pinfeather.words import gettext as _


def by_product_kg(live_kg: float, *, dressed_frac: float) -> float:
    """Return the mass that is not sold.

    Parameters
    ----------
    live_kg : float
        Live weight of all birds [kg].
    dressed_frac : float
        Dressed weight over live weight; 0.72 is a usual broiler [fraction].

    Returns
    -------
    float
        Blood, feathers, heads, feet and guts, less what giblets you sell [kg].

    Raises
    ------
    InputError
        If a number is out of place.

    References
    ----------
    Derivation: what is not dressed weight. Average yields: Kiepper, University of Georgia.
    """
    if not (math.isfinite(live_kg) and live_kg >= 0):
        raise InputError("live_kg", live_kg, _("A weight cannot be negative."))
    if not 0 < dressed_frac < 1:
        raise InputError("dressed_frac", dressed_frac, _("A yield lies between 0 and 100 %."))
    return live_kg * (1 - dressed_frac)


@dataclass(frozen=True, slots=True)
class ByProducts:
    """What is not sold, in the heaps it comes in.

    Parameters
    ----------
    total_kg : float
        All of it [kg].
    blood_kg, feathers_kg : Estimate
        Blood that drains, and feathers as they come wet from the picker [kg].
    rest_kg : Estimate
        Guts, heads, feet and trim: what is left of the total [kg].
    blood_m3 : Estimate
        The blood's volume [m3].
    """

    total_kg: float
    blood_kg: Estimate
    feathers_kg: Estimate
    rest_kg: Estimate
    blood_m3: Estimate


def split_by_products(live_kg: float, *, dressed_frac: float) -> ByProducts:
    """Split what is not sold into blood, feathers and the rest.

    Parameters
    ----------
    live_kg : float
        Live weight of all birds [kg].
    dressed_frac : float
        Dressed weight over live weight [fraction].

    Returns
    -------
    ByProducts
        The rest has the band that the shares of blood and feathers leave it.

    Raises
    ------
    InputError
        If a number is out of place.
    OutOfRangeError
        If the yield leaves less than blood and feathers alone can weigh.

    Notes
    -----
    Planning shares, **unverified**: they fall with age and weight and differ by sex and kind.

    References
    ----------
    Total: :func:`by_product_kg`. Shares: the packaged table.
    """
    total_kg = by_product_kg(live_kg, dressed_frac=dressed_frac)
    row = table("compost")["split"]
    basis = Basis(Origin.HANDBOOK, row["citation"], row["status"])
    blood, feathers = (
        Estimate(
            live_kg * row[f"{name}_pct"] / 100,
            live_kg * row[f"{name}_low_pct"] / 100,
            live_kg * row[f"{name}_high_pct"] / 100,
            basis,
        )
        for name in ("blood", "feathers")
    )
    if total_kg < blood.high + feathers.high:
        raise OutOfRangeError(
            "dressed_frac",
            dressed_frac,
            _("That yield leaves less than blood and feathers alone weigh."),
        )
    m3_per_kg = to_si(1 / row["blood_kg_per_L"], "L", "volume")
    return ByProducts(
        total_kg,
        blood,
        feathers,
        Estimate(
            total_kg - blood.value - feathers.value,
            total_kg - blood.high - feathers.high,
            total_kg - blood.low - feathers.low,
            basis,
        ),
        Estimate(blood.value * m3_per_kg, blood.low * m3_per_kg, blood.high * m3_per_kg, basis),
    )


def wash_water_m3(birds: int, *, per_bird_m3: Estimate | None = None) -> Estimate:
    """Estimate the water a day uses and must be rid of.

    Parameters
    ----------
    birds : int
        Birds to be processed.
    per_bird_m3 : Estimate or None
        The farm's own metered water per bird [m3]; None takes large plants' 7 gal (5 to 10).

    Returns
    -------
    Estimate
        Water for the day [m3].

    Raises
    ------
    InputError
        If the number of birds is negative.

    References
    ----------
    University of Georgia and Georgia Tech: 7 US gallons a broiler, second hand.
    """
    if birds < 0:
        raise InputError("birds", birds, _("The number of birds cannot be negative."))
    row = table("compost")["wash_water"]
    if per_bird_m3 is None:
        per_bird_m3 = Estimate(
            to_si(row["gal_per_bird"], "gal", "volume"),
            to_si(row["low_gal_per_bird"], "gal", "volume"),
            to_si(row["high_gal_per_bird"], "gal", "volume"),
            Basis(Origin.HANDBOOK, row["citation"], row["status"]),
        )
    return Estimate(
        per_bird_m3.value * birds,
        per_bird_m3.low * birds,
        per_bird_m3.high * birds,
        per_bird_m3.basis,
    )


def scald_load_kg(bleed_s: float) -> float:
    """Return the oxygen demand one bird brings into the scald water.

    Parameters
    ----------
    bleed_s : float
        Bleeding time [s].

    Returns
    -------
    float
        Chemical oxygen demand per bird [kg].

    Raises
    ------
    OutOfRangeError
        If the time is outside the 60 to 120 s that were measured.

    Notes
    -----
    Two measured times, a straight line between them. A longer bleed is also cleaner water.

    References
    ----------
    Plumber and Kiepper: 9.86 g at 60 s, 6.49 g at 120 s.
    """
    row = table("compost")["bleed"]
    if not row["short_s"] <= bleed_s <= row["long_s"]:
        raise OutOfRangeError("bleed_s", bleed_s, _("Only 60 to 120 s of bleeding were measured."))
    share = (bleed_s - row["short_s"]) / (row["long_s"] - row["short_s"])
    grams = row["short_cod_g"] + share * (row["long_cod_g"] - row["short_cod_g"])
    return to_si(grams, "g", "mass")
