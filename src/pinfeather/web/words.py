"""The trade's words for the codes the program uses, in the reader's language."""

from __future__ import annotations

from typing import Final

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _
from django.utils.translation import pgettext_lazy

Choices = list[tuple[str, str | Promise]]

STATIONS: Final[Choices] = [
    ("catch", _("Catch")),
    ("kill", _("Kill and bleed")),
    ("scald", _("Scald")),
    ("pick", _("Pick")),
    ("draw", _("Draw")),
    ("rinse", _("Rinse and inspect")),
    ("bag", _("Drain and bag")),
    ("weigh", _("Weigh and label")),
    ("store", _("Put away")),
]
COUNTED: Final[Choices] = [
    ("catch", _("Catch")),
    ("kill", _("Kill")),
    ("pick", _("Pick")),
    ("draw", _("Draw")),
    ("chill", _("Chill")),
]
SPECIES: Final[Choices] = [
    ("chicken", _("Chicken")),
    ("turkey", _("Turkey")),
    ("duck", _("Duck")),
    ("goose", _("Goose")),
]
BUILDS: Final[Choices] = [
    ("broad", _("Broad-breasted")),
    ("lean", _("Lean (layers, heritage)")),
]
READINGS: Final[Choices] = [
    ("bird", _("Bird, thickest part of the breast")),
    ("bath", _("Chill tank water")),
    ("scalder", _("Scald water")),
    ("strip", _("Sanitiser strip")),
    ("giblets", _("Giblets")),
    ("refrigerator", _("Refrigerator or freezer")),
    ("room", _("Room")),
]
CAUSES: Final[Choices] = [
    ("dead on arrival", _("Dead on arrival")),
    ("condemned", _("Condemned")),
    ("home use", _("Home use")),
    ("lost", _("Lost, not found")),
]
STATUS_WORDS: Final = {
    "read": _("read in the source"),
    "second hand": _("second hand"),
    "unverified": _("unverified"),
    "disputable": _("a reading an inspector may dispute"),
    "common practice": _("common practice, no source"),
    "assumed": _("assumed"),
    "measured": _("measured"),
}
SEVERITY_WORDS: Final = {
    "stop": _("Act"),
    "check": pgettext_lazy("how grave", "Check"),
    "note": _("Note"),
}
LABEL_SIZES: Final = {
    "4x3": _("4 × 3 inches"),
    "4x6": _("4 × 6 inches"),
    "4x8": _("4 × 8 inches"),
    "letter": _("letter sheet, six to a page"),
}
