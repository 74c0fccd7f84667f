"""What each part of the program pulls in when it is imported."""

from __future__ import annotations

import json
import subprocess
import sys
import sysconfig

import pytest

SCRIPT = """
import json, sys
before = set(sys.modules)
import {module}
print(json.dumps({{name: getattr(sys.modules[name], "__file__", None) or ""
                   for name in set(sys.modules) - before}}))
"""


def outsiders(module: str) -> set[str]:
    """Name the libraries outside the standard one that an import pulls in."""
    done = subprocess.run(
        [sys.executable, "-I", "-c", SCRIPT.format(module=module)],
        capture_output=True,
        text=True,
        check=True,
    )
    files = json.loads(done.stdout)
    assert module in files
    ours = files[module].rpartition("/pinfeather/")[0] + "/pinfeather/"
    standard = sysconfig.get_path("stdlib") + "/"
    found = set()
    for file in filter(None, files.values()):
        _, installed, rest = file.partition("/site-packages/")
        if installed and not file.startswith(ours):
            found.add(rest.partition("/")[0].partition(".")[0])
        elif not file.startswith((standard, ours)):
            found.add(file)
    return found


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
    by_numpy_where_it_is_there = {"charset_normalizer"}
    assert outsiders(module) <= {"numpy", "scipy"} | by_numpy_where_it_is_there


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
from pinfeather.actions.day import planfile
print("django" in sys.modules)
"""
    done = subprocess.run(
        [sys.executable, "-I", "-c", code], capture_output=True, text=True, check=True
    )

    assert done.stdout == "False\n"
