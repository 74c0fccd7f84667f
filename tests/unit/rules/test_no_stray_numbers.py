"""No legal limit stands in the code: every number that judges comes from a profile.

Read are the modules of ``rules``, and those of ``day`` and ``actions`` that make findings with a
citation. Apart from a few that mean nothing by themselves, each number is listed with its reason.
"""

import ast
import pathlib

import pytest

import pinfeather

ROOT = pathlib.Path(pinfeather.__file__).parent
PLAIN = {0, 1, 2, 100}
"""Nothing, one, a pair, per cent: no limit can hide in them alone."""
WHY = {
    "rules/chill.py": {9: "decimals of a mass that hide floating-point noise"},
    "rules/count.py": {9: "decimals of a share that hide floating-point noise"},
    "rules/many.py": {9: "decimals of a mass that hide floating-point noise"},
    "rules/deadlines.py": {12: "months of a year", 31: "last day of December"},
    "rules/duties.py": {
        3: "rank of a state in a list",
        7: "days ahead a reminder shows: own choice",
        12: "months of a year; December",
        14: "days ahead a reminder shows: own choice",
        30: "days of a month of reminders: own choice",
        31: "last day of December",
        60: "days ahead the first reminder shows: own choice",
        120: "longest interval a form takes, in months",
        3660: "longest interval a form takes, in days",
        86400: "seconds of a day",
    },
    "rules/limit.py": {1000: "where a thousands separator begins"},
    "rules/profile.py": {80: "letters of a faulty file that are quoted"},
    "rules/retention.py": {12: "December", 31: "its last day"},
    "rules/sanitiser.py": {14: "end of the pH scale", 6: "decimals that hide noise"},
    "day/cold.py": {
        0.15: "ice kept back, assumed, beside its name",
        0.6: "share of the ice below which the finding is a stop: own choice",
        1.001: "tolerance of a comparison",
        3: "a third of a tank, assumed; pounds a cubic foot of freezer; decimals of a mass",
        9: "knots of an interpolation",
        125: "kilograms a cubic metre of refrigerator holds, cited beside it",
        1000: "density of water",
        3600: "seconds of an hour",
        0.028316846592: "cubic metres of a cubic foot",
        0.45359237: "kilograms of a pound",
    },
    "day/hot.py": {
        0.25: "propane kept back, assumed, beside its name",
        600: "how early the water should be hot, assumed, beside its name",
        1e-6: "tolerance of a comparison",
    },
    "day/instruments.py": {300: "readings taken as of one water, assumed, beside its name"},
    "day/sanitation.py": {
        6: "letters of an id that are shown",
        12: "months of a year",
        365.25: "days of a year",
        3600: "seconds of an hour",
        1e6: "parts per million",
    },
    "day/waits.py": {60: "seconds of a minute"},
    "actions/binder/missing.py": {8: "how many are named in a sentence"},
    "actions/calc/cold.py": {5000: "most birds a form takes"},
    "actions/calc/hot.py": {1e-9: "tolerance of a comparison"},
    "actions/calc/microbes.py": {
        10: "a tenfold growth is one log",
        12: "end of what is told as a power of ten",
    },
    "actions/calc/stun.py": {1000: "milliamperes of an ampere"},
    "actions/calc/trust.py": {
        10_000: "most birds a form takes",
        2_000: "most readings a form takes",
        0.0005: "share below which a number is told as hardly any",
        1e-9: "tolerance of a comparison",
    },
    "actions/calc/waste.py": {1e-9: "tolerance of a comparison", 1000: "litres of a cubic metre"},
    "actions/desk/labels.py": {0.0001: "division of a declared weight"},
    "actions/rules/changes.py": {60: "days looked at", 300: "other verdicts looked at"},
    "actions/sanitary/sheet.py": {
        3: "how many are named",
        6: "letters of an id that are shown",
        400: "longest text",
    },
    "actions/desk/scales.py": {
        4: "rows read for each that is shown",
        1e-5: "division a shown weight is rounded to",
        1.1: "turns the tenth above the load round that packs.scale cites",
        5: "seconds a live weight is fresh: own choice",
        30: "checks that are shown",
    },
}
"""Numbers of the code that judge nothing by law, and what they are."""


def judging():
    for path in sorted((ROOT / "rules").glob("*.py")):
        yield path
    for folder in ("day", "actions"):
        for path in sorted((ROOT / folder).rglob("*.py")):
            tree = ast.parse(path.read_text(encoding="utf-8"))
            if any(cites(node) for node in ast.walk(tree)):
                yield path


def cites(node):
    return (
        isinstance(node, ast.Call)
        and getattr(node.func, "id", "") == "Finding"
        and any(keyword.arg == "citation" for keyword in node.keywords)
    )


def numbers(path):
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Constant) and type(node.value) in (int, float):
            if node.value not in PLAIN:
                yield node.value
        elif isinstance(node, ast.Call) and getattr(node.func, "id", "") == "Decimal":
            for text in node.args:
                if isinstance(text, ast.Constant) and float(text.value) not in PLAIN:
                    yield float(text.value)


@pytest.mark.parametrize(
    "path", list(judging()), ids=lambda path: path.relative_to(ROOT).as_posix()
)
def test_every_number_of_a_judging_module_has_a_reason_that_is_no_law(path):
    name = path.relative_to(ROOT).as_posix()
    assert set(numbers(path)) - PLAIN <= set(WHY.get(name, {})), name


def test_the_scan_reads_enough_and_its_reasons_are_all_used():
    paths = [path.relative_to(ROOT).as_posix() for path in judging()]
    assert len(paths) > 30
    unused = [
        (name, number)
        for name, known in WHY.items()
        for number in known
        if number not in set(numbers(ROOT / name))
    ]
    assert unused == []
