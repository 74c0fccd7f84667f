"""The fields of every form about a lot."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Final

from django.utils.translation import gettext as _now
from django.utils.translation import gettext_lazy as _

from pinfeather.actions.flock.events import CAUSES
from pinfeather.actions.flock.setup import PEN_KINDS, curve_choices, pens
from pinfeather.flock.alerts import signs
from pinfeather.web.asking import Ask
from pinfeather.web.words import BUILDS, SPECIES, Choices

SEXES: Final[Choices] = [
    ("straight run", _("Straight run")),
    ("males", _("Males")),
    ("females", _("Females")),
]
SETTINGS: Final[Choices] = [("usual", _("Indoors")), ("pasture", _("On pasture"))]
UNITS: Final[Choices] = [
    ("", _("Each has its unit")),
    ("lb", _("All in lb")),
    ("oz", _("All in oz")),
    ("kg", _("All in kg")),
    ("g", _("All in g")),
]
_ON: Final = Ask("on", _("Day"), kind="date")
_HEADS: Final = Ask("heads", _("Birds"), kind="number")
_NOTE: Final = Ask("note", _("Note"), _("May be empty."), wide=True)
_FEED: Final = _("Such as 150 lb.")


def pen_choices(here: Sequence[tuple[str, int]], *, with_birds: bool) -> Choices:
    """Return the pens to choose from: those with this lot's birds first."""
    found: Choices = [
        (name, _now("{pen} ({n} birds)").format(pen=name, n=heads)) for name, heads in here if name
    ]
    if not with_birds or not found:
        known = {name for name, _words in found}
        found += [(pen.name, pen.name) for pen in pens() if pen.name not in known]
    return found


def _pen(here: Sequence[tuple[str, int]], label: str, *, name: str = "pen") -> list[Ask]:
    choices = pen_choices(here, with_birds=name == "pen")
    other = Ask(f"{name}_other", _("Or another pen"), _("Its name, where it is not in the list."))
    if not choices:
        return [Ask(name, label, _("Such as Brooder."), wide=True)]
    if name == "to":
        choices = [("", "–"), *choices]
    return [Ask(name, label, kind="choice", options=choices, wide=True), other]


def event_fields(kind: str, here: Sequence[tuple[str, int]]) -> list[Ask]:
    """Return the fields of the form for one kind of entry."""
    pen = _pen(here, _now("Pen"))[:1]
    fields: Mapping[str, list[Ask]] = {
        "ordered": [
            Ask("hatchery", _("Hatchery")),
            Ask("ordered", _("Chicks ordered"), kind="number"),
            Ask("spares", _("Spares on top"), kind="number"),
            Ask("hatch_on", _("Hatch day"), kind="date"),
            Ask("arrive_on", _("Here on"), kind="date"),
        ],
        "arrived": [
            Ask("ordered", _("Chicks paid for"), kind="number"),
            Ask("spares", _("Spares in the box"), kind="number"),
            Ask("dead", _("Dead on arrival"), kind="number"),
            *_pen((), _now("Into pen"), name="pen"),
        ],
        "moved": [_HEADS, *_pen(here, _now("From"))[:1], *_pen((), _now("To"), name="to")],
        "lost": [_HEADS, *pen],
        "counted": [_HEADS, *pen],
        "feed": [
            Ask("mass", _("How much"), _FEED),
            Ask("feed", _("Which feed"), _("Such as Starter.")),
        ],
        "feed_left": [Ask("mass", _("Still in bins and feeders"), _FEED)],
        "medicine": [
            Ask("medicine", _("Medicine"), _("As on its label."), wide=True),
            Ask("last_on", _("Last day given"), kind="date"),
            Ask(
                "withdrawal_d",
                _("Withdrawal, days"),
                _("From the label or the veterinarian."),
                kind="number",
            ),
            Ask("by", _("Said by"), _("Veterinarian, or the label.")),
        ],
        "signs": [
            Ask("signs", _("What you see"), kind="ticks", options=list(signs().items()), wide=True)
        ],
        "cleared": [Ask("by", _("Who said so"), _("Name of the veterinarian."))],
        "sold": [_HEADS, *pen],
        "processed": [_HEADS, *pen],
        "note": [],
    }
    return [_ON, *fields[kind], _NOTE]


def weigh_fields() -> list[Ask]:
    """Return the fields of the weighing page besides the weights."""
    return [
        Ask("unit", _("Numbers without a unit"), kind="choice", options=UNITS),
        _ON,
    ]


def basket_fields() -> list[Ask]:
    """Return what a basket of several birds needs."""
    return [
        Ask("birds_each", _("Birds in each basket"), kind="number"),
        Ask("tare", _("Empty basket weighs"), _("Such as 3 lb 4 oz; may be empty.")),
    ]


def cause_choices() -> list[tuple[str, str]]:
    """Return the causes of a loss as large buttons."""
    return [(code, _now(words)) for code, words in CAUSES.items()]


def lot_fields() -> list[Ask]:
    """Return the fields that say what a lot is."""
    usual: Choices = [("", _("The usual one for its kind"))]
    return [
        Ask("code", _("Lot"), _("Short, such as B3.")),
        Ask("species", _("Kind"), kind="choice", options=SPECIES),
        Ask("build", _("Build"), kind="choice", options=BUILDS),
        Ask("sex", _("Sexes"), kind="choice", options=SEXES),
        Ask("setting", _("Raised"), kind="choice", options=SETTINGS),
        Ask("breed", _("Breed"), _("May be empty.")),
        Ask(
            "curve",
            _("Grow like"),
            kind="choice",
            options=[*usual, *((name, _now(title)) for name, title in curve_choices())],
            wide=True,
        ),
        Ask("hatched", _("Hatched"), kind="date"),
        Ask("plan_on", _("Processing day in mind"), kind="date"),
        Ask("outlet", _("Who they are for"), _("May be empty.")),
        Ask("note", _("Note"), _("May be empty.")),
    ]


ORDER_ADVICE: Final = (
    Ask("wanted", _("Birds wanted on the day"), kind="number"),
    Ask("alive", _("Share that lives"), _("Empty for your own, or the usual.")),
    Ask("chance", _("How sure"), _("Such as 90 %.")),
    Ask("event", _("Chance of a bad night"), _("Predator, storm, heat; such as 5 %.")),
    Ask("lot_of", _("Sold in lots of"), kind="number"),
    Ask("age", _("Age on the day, days"), kind="number"),
    Ask("hatch_days", _("Hatch days"), _("Such as Mon, Wed; may be empty.")),
)
ORDER: Final = (
    Ask("hatchery", _("Hatchery")),
    Ask("ordered", _("Chicks ordered"), _("Empty if nothing is ordered yet."), kind="number"),
    Ask("spares", _("Spares on top"), kind="number"),
    Ask("arrive_on", _("Here on"), kind="date"),
)
PEN: Final = (
    Ask("name", _("What you call it")),
    Ask("kind", _("Kind"), kind="choice", options=[(k, _(w)) for k, w in PEN_KINDS.items()]),
    Ask("area", _("Floor"), _("Such as 120 ft2; may be empty.")),
    Ask("move_d", _("Moved every so many days"), _("0 if it stays."), kind="number"),
)
CURVE: Final = (
    Ask("title", _("Breed")),
    Ask(
        "species",
        _("Kind"),
        kind="choice",
        options=[row for row in SPECIES if row[0] != "goose"],
    ),
    Ask("source", _("Booklet and year")),
    Ask(
        "rows",
        _("Age in days and weight"),
        _("A row for each age, such as 14: 0.9 lb. Males, where you write females apart."),
        kind="lines",
        wide=True,
    ),
    Ask("female_rows", _("Females"), _("May be empty."), kind="lines", wide=True),
)
