"""Words for places, buyers, venues and payments, and the fields of the stock's forms."""

from __future__ import annotations

from typing import Final

from django.utils.translation import gettext_lazy as _

from pinfeather.web.asking import Ask
from pinfeather.web.words import Choices

PLACE_KINDS: Final[Choices] = [
    ("freezer", _("Freezer")),
    ("refrigerator", _("Refrigerator")),
    ("shelf", _("Shelf or basket")),
    ("box", _("Box")),
]
BUYERS: Final[Choices] = [
    ("household", _("Household")),
    ("restaurant", _("Restaurant")),
    ("hotel", _("Hotel")),
    ("boardinghouse", _("Boarding house")),
    ("retail_store", _("Shop that sells on")),
    ("distributor", _("Distributor")),
    ("institution", _("School, hospital, institution")),
]
VENUES: Final[Choices] = [
    ("farm", _("At the farm")),
    ("farmers_market", _("Farmers’ market")),
    ("csa", _("Farm share")),
    ("delivery", _("Delivered to the door")),
    ("shop", _("In a shop")),
    ("restaurant", _("At a restaurant")),
]
PAID_BY: Final[Choices] = [
    ("cash", _("Cash")),
    ("check", _("Check")),
    ("card", _("Card, on another machine")),
    ("transfer", _("Bank transfer")),
    ("other", _("Other")),
]
FATES: Final[Choices] = [
    ("", _("leave it open")),
    ("missing", _("not found: write it off")),
    ("wasted", _("thrown out")),
    ("home", _("taken home")),
    ("given", _("given away")),
]
ACTS: Final = {
    "put": _("Put into place"),
    "promise": _("Promised"),
    "free": _("Promise taken back"),
    "hold": _("Put on hold"),
    "release": _("Released"),
    "sold": _("Sold"),
    "sale": _("Sold"),
    "refund": _("Brought back"),
    "returned": _("Brought back"),
    "home": _("Taken home"),
    "given": _("Given away"),
    "wasted": _("Thrown out"),
    "missing": _("Missing at a count"),
    "found": _("Found again"),
}
STATES: Final = {
    "stock": _("in stock"),
    "sold": _("sold"),
    "home": _("taken home"),
    "given": _("given away"),
    "wasted": _("thrown out"),
    "missing": _("missing"),
}
WHERE: Final = {
    "here": _("still here"),
    "buyer": _("sold"),
    "unnamed": _("sold, nobody wrote to whom"),
    "own table": _("own table"),
    "given": _("given away"),
    "wasted": _("thrown out"),
    "missing": _("missing"),
}
CUSTOMER: Final = (
    Ask("name", _("Name")),
    Ask("phone", _("Phone")),
    Ask("kind", _("Kind of buyer"), kind="choice", options=BUYERS),
    Ask("address", _("Address"), _("Some rules ask for it on every sale."), wide=True),
    Ask("note", _("Note"), wide=True),
)
ORDER: Final = (
    Ask("pickup_on", _("Pickup day"), kind="date"),
    Ask("pickup_from", _("From"), kind="time"),
    Ask("pickup_until", _("Until"), kind="time"),
    Ask("venue", _("Handed over"), kind="choice", options=VENUES),
    Ask("every_weeks", _("Again every so many weeks"), _("0 is once."), kind="number"),
    Ask("occasion", _("Occasion"), _("Such as Thanksgiving; may be empty.")),
    Ask("note", _("Note"), wide=True),
)
WISH: Final = (
    Ask("count", _("Birds"), kind="number"),
    Ask("product", _("Product")),
    Ask("from", _("From, lb")),
    Ask("to", _("To, lb")),
    Ask("most", _("Never over, lb")),
)
