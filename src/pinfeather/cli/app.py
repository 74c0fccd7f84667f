"""The command line: thin, lazy, the same actions as the pages."""

from __future__ import annotations

import json
import sys
from pathlib import Path
from typing import Annotated

from cyclopts import App, CycloptsError, Parameter

from pinfeather import __version__

app = App(
    name="pinfeather",
    help="Plan a poultry processing day, run it, and prove it.",
    version=__version__,
)
Port = Annotated[int, Parameter(help="Port on this computer.")]
Browser = Annotated[bool, Parameter(help="Open the browser.")]
Data = Annotated[Path | None, Parameter(help="Folder of the farm's records.")]


@app.command
def serve(*, port: Port = 8470, browser: Browser = True, data: Data = None) -> None:
    """Run the farm: its pages, on this computer only."""
    from pinfeather.cli.server import run_server

    run_server(port=port, browser=browser, data_dir=data)


@app.command
def demo(*, port: Port = 8471, browser: Browser = True) -> None:
    """Run a made-up farm in a temporary folder; nothing of it is kept."""
    from pinfeather.cli.server import run_demo

    run_demo(port=port, browser=browser)


@app.command(name="plan-day")
def plan_day(
    file: Path,
    *,
    json_: Annotated[bool, Parameter(name="--json", help="Print one JSON object.")] = False,
    seed: Annotated[int, Parameter(help="Same seed, same plan.")] = 1,
) -> None:
    """Plan a processing day written in a TOML file."""
    from pinfeather.cli.planday import plan_file

    sys.exit(plan_file(file, as_json=json_, seed=seed))


@app.command
def verify(*, data: Data = None) -> None:
    """Check the farm's records: the store whole, the journal's chain unbroken."""
    from pinfeather.cli.checking import verify_store

    sys.exit(verify_store(data_dir=data))


app.command(
    "pinfeather.cli.calc:app",
    name="calc",
    help="Work out one thing: cold, ice, heat, dilution, growth, proof.",
)


def run() -> None:
    """Run, and turn errors of our own into one sentence and an exit code."""
    from pinfeather.errors import InputError, InputFaultsError, PinfeatherError

    try:
        app(sys.argv[1:], exit_on_error=False)
    except CycloptsError:
        sys.exit(2)  # Cyclopts has said what is wrong
    except (InputFaultsError, InputError) as error:
        faults = error.faults if isinstance(error, InputFaultsError) else (error,)
        if "--json" in sys.argv:
            told = [{"where": fault.name, "sentence": fault.problem} for fault in faults]
            print(json.dumps({"faults": told}, ensure_ascii=False))
        else:
            for fault in faults:
                print(f"{fault.name}: {fault.problem}", file=sys.stderr)
        sys.exit(2)
    except PinfeatherError as error:
        print(str(error), file=sys.stderr)
        sys.exit(2)
