"""What each part of the program pulls in when it is imported."""

from __future__ import annotations

import json
import subprocess
import sys

import pytest

SCRIPT = """
import json, sys
before = set(sys.modules)
import {module}
print(json.dumps(sorted({{name.partition(".")[0] for name in set(sys.modules) - before}})))
"""
INSIDE = ("cython_runtime", "_cython_", "_pinfeather_", "__mp_main__")
"""Names that compiled parts of numpy and scipy register for themselves."""


def outsiders(module: str) -> set[str]:
    done = subprocess.run(
        [sys.executable, "-I", "-c", SCRIPT.format(module=module)],
        capture_output=True,
        text=True,
        check=True,
    )
    tops = set(json.loads(done.stdout))
    assert "pinfeather" in tops
    return {
        name
        for name in tops - set(sys.stdlib_module_names) - {"pinfeather"}
        if not name.startswith(INSIDE)
    }


@pytest.mark.parametrize(
    "module",
    [
        "pinfeather.heat.carcass",
        "pinfeather.heat.finite_volume",
        "pinfeather.line.simulate",
        "pinfeather.hygiene.growth",
        "pinfeather.packs.label",
        "pinfeather.rules.profile",
        "pinfeather.day.planner",
        "pinfeather.day.chill_proof",
    ],
)
def test_the_domain_pulls_in_numpy_and_scipy_and_nothing_else(module) -> None:
    assert outsiders(module) <= {"numpy", "scipy"}


@pytest.mark.parametrize("module", ["pinfeather", "pinfeather.errors", "pinfeather.units",
                                    "pinfeather.quantity", "pinfeather.finding"])  # fmt: skip
def test_the_ground_floor_pulls_in_nothing(module) -> None:
    assert outsiders(module) == set()


HELP = """
import json, sys
sys.argv = ["pinfeather", *{args}]
from pinfeather.cli import main
try:
    main()
except SystemExit:
    pass
print("MODULES" + json.dumps(sorted({{name.partition(".")[0] for name in sys.modules}})))
"""


@pytest.mark.parametrize("args", [["--help"], ["--version"], ["plan-day", "--help"]])
def test_help_is_quick_because_it_pulls_in_no_heavy_library(args) -> None:
    done = subprocess.run(
        [sys.executable, "-I", "-c", HELP.format(args=args)],
        capture_output=True,
        text=True,
        check=True,
    )
    loaded = set(json.loads(done.stdout.rpartition("MODULES")[2]))

    assert loaded.isdisjoint({"django", "numpy", "scipy", "typst", "vl_convert", "waitress"})


def test_a_plan_from_a_file_needs_no_store() -> None:
    code = """
import sys
from pinfeather.actions import planfile
print("django" in sys.modules)
"""
    done = subprocess.run(
        [sys.executable, "-I", "-c", code], capture_output=True, text=True, check=True
    )

    assert done.stdout == "False\n"
