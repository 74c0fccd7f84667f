"""Amprolium in feed."""

from __future__ import annotations

from pinfeather.actions.calc.model import Calculation, Given, Input, Result, Row, Source
from pinfeather.errors import InputError
from pinfeather.words import gettext as _


def calculations() -> tuple[Calculation, ...]:
    """Return the calculator about medicated feed."""
    return (_medicated(),)


def _medicated() -> Calculation:
    from pinfeather.flock.tables import table

    row = table("medicated_feed")
    return Calculation(
        name="medicated-feed",
        title=_("Amprolium in feed"),
        question=_(
            "How much amprolium is in this feed, and how long before slaughter must it stop?"
        ),
        formula=_("Share = grams to the short ton ÷ 907,185 g."),
        valid_range=_(
            "Complete feed for broilers that holds amprolium alone. Other medicines, birds and"
            " mixtures have rules of their own; the label on the bag governs."
        ),
        sources=(Source(row["citation"], row["status"]),),
        inputs=(
            Input("grams", _("Grams to the ton, from the label"), "number", "113.5"),
            Input(
                "species",
                _("Kind"),
                "choice",
                "chicken",
                options=(
                    ("chicken", _("Chicken")),
                    ("turkey", _("Turkey")),
                    ("duck", _("Duck")),
                ),
            ),
            Input(
                "bentonite",
                _("Bentonite in the feed"),
                "choice",
                "no",
                options=(("no", _("No")), ("yes", _("Yes"))),
            ),
        ),
        run=_run,
        example="--grams 113.5 --species chicken --bentonite no",
        cautions=(_("Read the label of every bag: it says for which birds, and when to stop."),),
        aliases={"share_frac": "grams"},
    )


def _run(given: Given) -> Result:
    from pinfeather.flock.medicated_feed import amprolium, share_of

    grams = given.number("grams")
    if not 0 < grams <= 900_000:  # noqa: PLR2004 - a ton holds no more
        raise InputError("grams", grams, _("More than nothing, and less than a ton."))
    found = amprolium(
        share_of(grams),
        species=given.word("species"),
        bentonite=given.word("bentonite") == "yes",
    )
    return Result(
        {"share_frac": found.share_frac, "withdrawal_d": found.withdrawal_d},
        (
            Row(_("Of the feed"), f"{100 * found.share_frac:.4f}\u202f%"),
            Row(_("Days before slaughter, as the rule states"), str(found.withdrawal_d)),
        ),
        found.findings,
    )
