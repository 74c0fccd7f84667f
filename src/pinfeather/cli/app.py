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
LanSwitch = Annotated[
    bool, Parameter(name="--lan", negative=(), help="Let phones of the home network ask.")
]
Address = Annotated[str, Parameter(help="This computer's address there, if not found by itself.")]
Certificate = Annotated[Path | None, Parameter(help="Certificate file, for TLS on the network.")]
Key = Annotated[Path | None, Parameter(help="The certificate's key file.")]
Database = Annotated[
    str,
    Parameter(
        env_var="PINFEATHER_DATABASE",
        help="Address of a PostgreSQL database, where the records are not in the folder.",
    ),
]


@app.command
def serve(
    *,
    port: Port = 8470,
    browser: Browser = True,
    data: Data = None,
    lan: LanSwitch = False,
    address: Address = "",
    tls_cert: Certificate = None,
    tls_key: Key = None,
    database: Database = "",
) -> None:
    """Run the farm: its pages, on this computer, and with --lan for phones that were let in."""
    from pinfeather.cli.server import Lan, run_server

    how = Lan(address, tls_cert, tls_key) if lan else None
    _only_with_lan(lan, address, tls_cert, tls_key)
    run_server(port=port, browser=browser, data_dir=data, lan=how, database=database)


@app.command
def demo(
    *, port: Port = 8471, browser: Browser = True, lan: LanSwitch = False, address: Address = ""
) -> None:
    """Run a made-up farm in a temporary folder; nothing of it is kept."""
    from pinfeather.cli.server import Lan, run_demo

    _only_with_lan(lan, address)
    run_demo(port=port, browser=browser, lan=Lan(address) if lan else None)


def _only_with_lan(lan: bool, *others: object) -> None:
    from pinfeather.errors import InputError
    from pinfeather.words import gettext as _

    if not lan and any(others):
        raise InputError("lan", False, _("An address or a certificate needs --lan."))


@app.command(name="forget-pin")
def forget_pin(*, data: Data = None) -> None:
    """Take the owner's PIN off, at the computer that holds the records."""
    from pinfeather.cli.checking import forget_owner_pin

    forget_owner_pin(data_dir=data)


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


@app.command(name="plan-season")
def plan_season(
    file: Path,
    *,
    json_: Annotated[bool, Parameter(name="--json", help="Print one JSON object.")] = False,
    seed: Annotated[int, Parameter(help="Same seed, same random seasons.")] = 1,
    quick: Annotated[
        bool, Parameter(negative=(), help="Leave out what one step more of each limit brings.")
    ] = False,
    keep: Annotated[
        Path | None, Parameter(help="An earlier plan's JSON: change as little of it as can be.")
    ] = None,
) -> None:
    """Plan a season written in a TOML file: which lots hatch when, and when they are processed."""
    from pinfeather.cli.planseason import season_file

    sys.exit(season_file(file, as_json=json_, seed=seed, quick=quick, keep=keep))


@app.command
def trace(
    what: Annotated[str, Parameter(help="Lot code, package, flock, thermometer or place.")],
    *,
    data: Data = None,
    database: Database = "",
    json_: Annotated[bool, Parameter(name="--json", help="Print one JSON object.")] = False,
    pdf: Annotated[Path | None, Parameter(help="A document to write as well.")] = None,
) -> None:
    """Trace a lot: everything it came from, everything it went into, and who has it."""
    from pinfeather.cli.tracing import trace_lot

    sys.exit(trace_lot(what, data_dir=data, database=database, as_json=json_, pdf=pdf))


@app.command
def binder(
    first: Annotated[str, Parameter(help="First day, year first: 2026-01-01.")],
    last: Annotated[str, Parameter(help="Last day, in it as well.")],
    *,
    out: Annotated[Path | None, Parameter(help="The file to write.")] = None,
    a4: Annotated[bool, Parameter(negative=(), help="On A4 paper.")] = False,
    data: Data = None,
    database: Database = "",
) -> None:
    """Write one document of a period's records, to be handed to an inspector."""
    from pinfeather.cli.binder import write_binder

    paper = "a4" if a4 else "us-letter"
    sys.exit(write_binder(first, last, out=out, paper=paper, data_dir=data, database=database))


@app.command
def verify(
    *,
    data: Data = None,
    database: Database = "",
    json_: Annotated[bool, Parameter(name="--json", help="Print one JSON object.")] = False,
) -> None:
    """Check the farm's records: the store whole, the journal's chain unbroken."""
    from pinfeather.cli.checking import verify_store

    sys.exit(verify_store(data_dir=data, database=database, as_json=json_))


@app.command
def backup(
    *,
    to: Annotated[Path | None, Parameter(help="A file to write instead.")] = None,
    data: Data = None,
    database: Database = "",
) -> None:
    """Make a backup of the farm's records, read back and checked."""
    from pinfeather.cli.keeping import write_backup

    write_backup(data_dir=data, database=database, to=to)


@app.command
def restore(file: Path, *, data: Data = None, database: Database = "") -> None:
    """Put a backup in the place of the farm's records, which are set aside."""
    from pinfeather.cli.keeping import put_back

    put_back(file, data_dir=data, database=database)


@app.command
def export(target: Path, *, data: Data = None, database: Database = "") -> None:
    """Write all records as tables and as SQLite, into a folder or a ZIP file."""
    from pinfeather.cli.keeping import write_export

    write_export(target, data_dir=data, database=database)


@app.command(name="import")
def import_(source: Path, *, data: Data = None, database: Database = "") -> None:
    """Bring an export or a backup into a farm without records."""
    from pinfeather.cli.keeping import read_export

    read_export(source, data_dir=data, database=database)


@app.command
def scale(
    *,
    port: Annotated[str, Parameter(help="Serial port; empty reads a USB scale.")] = "",
    name: Annotated[str, Parameter(help="The scale's name on its page; empty: the first.")] = "",
    pattern: Annotated[
        str, Parameter(help="How a line of the scale looks, with the group (?P<value>…).")
    ] = "",
    unit: Annotated[str, Parameter(help="Unit where a line has none: lb, oz, kg, g.")] = "lb",
    baud: Annotated[int, Parameter(help="Speed of the serial port.")] = 9600,
    data: Data = None,
) -> None:
    """Read a scale and show its weight at the weighing desk, until stopped with Ctrl-C."""
    from pinfeather.cli.scale import read_scale

    sys.exit(read_scale(port=port, name=name, pattern=pattern, unit=unit, baud=baud, data_dir=data))


app.command(
    "pinfeather.cli.calc:app",
    name="calc",
    help="Work out one thing: cold, ice, heat, dilution, growth, proof.",
)


app.command(
    "pinfeather.cli.rules:app",
    name="rules",
    help="Which rules there are, every number with its source; check a profile file.",
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
