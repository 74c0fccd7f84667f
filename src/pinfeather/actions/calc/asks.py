"""Inputs that several calculators ask in the same words."""

from __future__ import annotations

from pinfeather.actions.calc.model import Input
from pinfeather.words import gettext as _


def mass(default: str = "4.5 lb", metric: str = "2 kg") -> Input:
    """Ask the dressed weight of one bird."""
    return Input("mass", _("Dressed weight"), "mass", default, metric, _("Such as 4 lb 8 oz."))


def build() -> Input:
    """Ask whether the breast is thick."""
    return Input(
        "build",
        _("Build"),
        "choice",
        "broad",
        hint=_("Broad is the safe side; layers are lean."),
        options=(("broad", _("Broad")), ("lean", _("Lean"))),
    )


def limit() -> Input:
    """Ask the temperature to reach."""
    return Input(
        "limit", _("Temperature to reach"), "temperature", "40 F", "4.4 C", _("40 F in the US.")
    )


def birds(default: str) -> Input:
    """Ask how many birds."""
    return Input("birds", _("Birds"), "integer", default)


def tap() -> Input:
    """Ask the temperature of the fill water."""
    return Input("tap", _("Tap water"), "temperature", "58 F", "14 C", _("Measure it."))


def air() -> Input:
    """Ask the temperature of the air."""
    return Input("air", _("Air"), "temperature", "70 F", "21 C")


def walls() -> Input:
    """Ask whether the tank is insulated."""
    return Input(
        "walls",
        _("Tank walls"),
        "choice",
        "bare",
        hint=_("Insulated: with a lid."),
        options=(("bare", _("Bare")), ("insulated", _("Insulated"))),
    )


def species(*, with_small: bool = False) -> Input:
    """Ask the kind of bird."""
    options = [
        ("chicken", _("Chicken")),
        ("turkey", _("Turkey")),
        ("duck", _("Duck")),
        ("goose", _("Goose")),
    ]
    if with_small:
        options += [("guinea", _("Guinea fowl")), ("quail", _("Quail"))]
    return Input("species", _("Kind"), "choice", "chicken", options=tuple(options))
