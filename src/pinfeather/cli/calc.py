"""``pinfeather calc``: every calculator as a command, built from its definition."""

from __future__ import annotations

import inspect
import json
import sys
import textwrap
from collections.abc import Callable
from pathlib import Path
from typing import Annotated, Any, Final, get_args

from cyclopts import App, Parameter

from pinfeather.actions.calc.catalogue import as_json, calculations, work_out
from pinfeather.actions.calc.model import Calculation, Input, Result, Units
from pinfeather.cli.calc_line import register
from pinfeather.errors import InputError, InputFaultsError
from pinfeather.finding import Severity
from pinfeather.words import gettext as _

_STATUS: Final = {
    "read": "read in the source",
    "common practice": "common practice, no source",
    "disputable": "a reading an inspector may dispute",
}
_WIDTH: Final = 88


def run_calculation(
    one: Calculation, written: dict[str, str | bytes], *, as_object: bool, units: Units
) -> int:
    """Work out, print, and return the exit code: 1 where something must be acted on.

    Raises
    ------
    InputFaultsError
        With every fault.
    """
    result = work_out(one, written, units=units)
    if as_object:
        print(json.dumps(as_json(one, result), ensure_ascii=False, indent=1))
    else:
        _print(one, result)
    return 1 if any(f.severity is Severity.STOP for f in result.findings) else 0


def _print(one: Calculation, result: Result) -> None:
    """Write the answer for people: the unit on every number, the source at the end."""
    for row in result.shown:
        _line(f"{row.label}: {row.value}" + (f"  ({row.band})" if row.band else ""))
    for finding in result.findings:
        cited = f" [{finding.citation}]" if finding.citation else ""
        _line(f"[{finding.severity.code}] {finding.sentence} {finding.reason}".rstrip() + cited)
    for note in result.notes:
        _line(note)
    for caution in one.cautions:
        _line(_("Caution: {caution}").format(caution=caution))
    for source in (*result.sources, *one.sources):
        _line(
            _("Source: {citation} ({status})").format(
                citation=source.citation, status=_(_STATUS.get(source.status, source.status))
            )
        )


def _line(text: str) -> None:
    plain = text.replace("\u202f", " ")
    print(textwrap.fill(plain, _WIDTH, subsequent_indent="  ", break_long_words=False))


def _option(ask: Input) -> inspect.Parameter:
    """Return one input as a parameter: text with its unit, or a file's path."""
    words = [ask.label.rstrip(".") + ".", ask.hint]
    if ask.options:
        codes = [code for code, _words in ask.options if code]
        words.append(_("One of: {codes}.").format(codes=", ".join(codes)))
    if ask.default:
        words.append(f"[{ask.default}]")
    told = " ".join(word for word in words if word)
    if ask.kind == "file" and not ask.optional:
        return inspect.Parameter(
            ask.name,
            inspect.Parameter.POSITIONAL_OR_KEYWORD,
            annotation=Annotated[Path, Parameter(help=told)],
        )
    needed = not (ask.default or ask.optional)
    written_as: Any = Path if ask.kind == "file" else str
    return inspect.Parameter(
        f"{ask.name.replace('-', '_')}_",
        inspect.Parameter.KEYWORD_ONLY,
        default=inspect.Parameter.empty if needed else None,
        annotation=Annotated[
            written_as | None,
            Parameter(
                name=f"--{ask.name}", help=told, allow_leading_hyphen=True, show_default=False
            ),
        ],
    )


def _command(one: Calculation) -> Callable[..., None]:
    """Return a function whose signature asks what the calculator asks."""

    def command(*paths: Path, json_: bool = False, units: Units = "us", **options: object) -> None:
        spelled = {f"{ask.name.replace('-', '_')}_": ask.name for ask in one.inputs}
        files = (ask.name for ask in one.inputs if ask.kind == "file")
        given: dict[str, object] = dict(zip(files, paths, strict=False))
        given |= {spelled[name]: value for name, value in options.items()}
        written: dict[str, str | bytes] = {
            name: _contents(name, value) if isinstance(value, Path) else str(value)
            for name, value in given.items()
            if value is not None
        }
        sys.exit(run_calculation(one, written, as_object=json_, units=units))

    parameters = [
        *(_option(ask) for ask in one.inputs),
        inspect.Parameter(
            "json_",
            inspect.Parameter.KEYWORD_ONLY,
            default=False,
            annotation=Annotated[
                bool,
                Parameter(name="--json", negative="", help="Print one JSON object, in SI."),
            ],
        ),
        inspect.Parameter(
            "units",
            inspect.Parameter.KEYWORD_ONLY,
            default=get_args(Units)[0],
            annotation=Annotated[Units, Parameter(help="How the answer is written.")],
        ),
    ]
    command.__signature__ = inspect.Signature(parameters)  # type: ignore[attr-defined]
    command.__annotations__ = {each.name: each.annotation for each in parameters}
    command.__name__ = one.name
    return command


def _contents(name: str, path: Path) -> bytes:
    """Read a file, or say in one sentence why not."""
    try:
        return path.read_bytes()
    except OSError as error:
        sentence = _("{file} cannot be read: {why}.").format(file=path, why=error.strerror)
        raise InputFaultsError([InputError(name, str(path), sentence)]) from error


app = App(name="calc", help=_("Work out one thing: cold, ice, heat, dilution, growth, proof."))
for _one in calculations():
    app.command(
        _command(_one),
        name=_one.name,
        help=f"{_one.question}\n\nExample: pinfeather calc {_one.name} {_one.example}",
    )
register(app)
