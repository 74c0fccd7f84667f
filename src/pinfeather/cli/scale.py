"""``pinfeather scale``: read a scale and show its weight at the desk."""

from __future__ import annotations

import re
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any, Final

from pinfeather import clock
from pinfeather.cli.folder import data_folder
from pinfeather.errors import InputError, PinfeatherError
from pinfeather.packs.scale_reports import Shown, Stable, compiled, read_line, read_report
from pinfeather.words import gettext as _

_SCALE_PAGE: Final = 0x8D
_REPORT_BYTES: Final = 64
_WAIT_MS: Final = 500
_LEAST_S: Final = 0.25
"""The store hears of a moving weight no more often."""
_ALIKE_S: Final = 1.0
"""The store hears of a weight that stays no more often."""
_BAUD: Final = 9600


class ScaleGoneError(PinfeatherError):
    """The scale cannot be read."""


def read_scale(
    *,
    port: str,
    name: str,
    pattern: str,
    unit: str,
    baud: int,
    data_dir: Path | None,
    most: int = 0,
) -> int:
    """Read a scale until it is stopped; return the exit code.

    Raises
    ------
    ScaleGoneError
        If there is no such scale, or the part that reads it is not installed.
    InputError
        If the pattern makes no sense.
    """
    from pinfeather.actions.store import open_store

    open_store(data_folder(data_dir))
    shown = serial_weights(port, pattern=pattern, unit=unit, baud=baud) if port else usb_weights()
    try:
        return pass_on(shown, name=name, most=most)
    except KeyboardInterrupt:
        return 0


def pass_on(weights: Iterator[Shown], *, name: str, most: int = 0) -> int:
    """Give each weight to the desk; stop after so many stable ones, 0 for never.

    Raises
    ------
    RecordNotFoundError
        If the farm has no such scale.
    """
    from pinfeather.actions.desk import scales

    rule, last, told_s, taken = Stable(), None, 0.0, 0
    for shown in weights:
        stable = rule.see(shown)
        now_s = time.monotonic()
        if stable is None and now_s - told_s < (_ALIKE_S if shown == last else _LEAST_S):
            continue
        scales.show(name, shown, stable, now=clock.now())
        last, told_s = shown, now_s
        if stable is not None:
            print(stable.written, flush=True)
            taken += 1
            if taken == most:
                break
    return 0


def usb_weights() -> Iterator[Shown]:
    """Read the first scale on this computer's USB, report by report.

    Raises
    ------
    ScaleGoneError
        If there is none.
    """
    try:
        import hid
    except ImportError as error:
        raise ScaleGoneError(
            _("Reading a USB scale needs one more part: pip install 'pinfeather[scales]'.")
        ) from error
    found = [one for one in hid.enumerate() if one["usage_page"] == _SCALE_PAGE]
    if not found:
        raise ScaleGoneError(_("No scale of the open USB kind is plugged in."))
    device = hid.device()
    try:
        device.open_path(found[0]["path"])
        yield from reports(device)
    except OSError as error:
        raise ScaleGoneError(_("The scale cannot be read: {why}").format(why=error)) from error
    finally:
        device.close()


def reports(device: Any) -> Iterator[Shown]:  # noqa: ANN401 - a device of a library without types
    """Turn a device's reports into weights; what is no report of a scale is passed over."""
    while True:
        report = bytes(device.read(_REPORT_BYTES, _WAIT_MS))
        if not report:
            continue
        try:
            yield read_report(report)
        except InputError:
            continue


def serial_weights(port: str, *, pattern: str, unit: str, baud: int) -> Iterator[Shown]:
    """Read a scale on a serial port, line by line.

    Raises
    ------
    ScaleGoneError
        If the port cannot be opened or goes away.
    InputError
        If the pattern makes no sense.
    """
    made = compiled(pattern)
    try:
        import serial
    except ImportError as error:
        raise ScaleGoneError(
            _("Reading a serial scale needs one more part: pip install 'pinfeather[scales]'.")
        ) from error
    try:
        line = serial.Serial(port, baudrate=baud or _BAUD, timeout=_WAIT_MS / 1000)
    except (serial.SerialException, OSError) as error:
        raise ScaleGoneError(_("The scale cannot be read: {why}").format(why=error)) from error
    return _lines(line, made, unit=unit)


def _lines(line: Any, pattern: re.Pattern[str], *, unit: str) -> Iterator[Shown]:  # noqa: ANN401 - a port of a library without types
    kept = b""
    try:
        while True:
            kept += line.read(max(1, line.in_waiting))
            *whole, kept = kept.replace(b"\r", b"\n").split(b"\n")
            for row in whole:
                shown = read_line(row.decode("ascii", "replace"), pattern, unit=unit)
                if shown is not None:
                    yield shown
    except OSError as error:  # the port's own errors are of this kind
        raise ScaleGoneError(_("The scale cannot be read: {why}").format(why=error)) from error
    finally:
        line.close()
