"""``pinfeather scale``: a serial scale over a pseudo-terminal, a USB scale by its reports."""

from __future__ import annotations

import os
import threading
import tty

import pytest

from pinfeather.actions.desk import scales
from pinfeather.cli import scale as command
from pinfeather.errors import RecordNotFoundError

ON_AND_OFF = b"ST,GS,+  0.00lb\r\nUS,GS,+  2.13lb\r\nST,GS,+  4.52lb\r\nST,GS,+  4.52lb\r\n"


@pytest.fixture
def port():
    """A pseudo-terminal: the end a scale writes to, and the name a program opens."""
    ours, theirs = os.openpty()
    tty.setraw(theirs)
    yield ours, os.ttyname(theirs)
    os.close(ours)
    os.close(theirs)


def send(end: int, *rows: bytes) -> threading.Thread:
    def write() -> None:
        for row in rows:
            os.write(end, row)

    thread = threading.Thread(target=write)
    thread.start()
    return thread


def save_scale() -> None:
    scales.save_scale(
        name="Packing scale", capacity="30 lb", division="0.01 lb", scale_class="III", test="",
        seal="",
    )  # fmt: skip


def test_a_serial_scale_is_read_line_by_line_whatever_the_pieces(port):
    end, name = port
    weights = command.serial_weights(name, pattern="", unit="lb", baud=9600)
    writer = send(end, ON_AND_OFF[:10], ON_AND_OFF[10:37], ON_AND_OFF[37:])

    shown = [next(weights) for _ in range(4)]
    weights.close()
    writer.join()

    assert [(one.state, one.written) for one in shown] == [
        ("zero", "0.00 lb"), ("moving", "2.13 lb"), ("stable", "4.52 lb"), ("stable", "4.52 lb"),
    ]  # fmt: skip


def test_each_load_reaches_the_desk_once(port, farm, capsys):
    save_scale()
    end, name = port
    weights = command.serial_weights(name, pattern="", unit="lb", baud=9600)
    writer = send(end, ON_AND_OFF * 3, ON_AND_OFF.replace(b"4.52", b"5.10"))
    assert command.pass_on(weights, name="", most=4) == 0
    weights.close()
    writer.join()

    assert capsys.readouterr().out.split("\n")[:-1] == ["4.52 lb"] * 3 + ["5.10 lb"]


def test_a_pattern_of_ones_own_and_a_scale_without_units(port):
    end, name = port
    weights = command.serial_weights(name, pattern=r"N(?P<value>\d+)", unit="g", baud=2400)
    writer = send(end, b"hello\nN02050\n")

    assert next(weights).written == "02050 g".replace("02050", "2050")
    weights.close()
    writer.join()


def test_a_scale_the_farm_does_not_have_is_told(farm):
    from decimal import Decimal

    from pinfeather.packs.scale_reports import Shown

    with pytest.raises(RecordNotFoundError, match="scale's page"):
        command.pass_on(iter([Shown("stable", Decimal("4.5"), "lb")]), name="")


def test_a_port_that_is_not_there_is_told_in_a_sentence():
    with pytest.raises(command.ScaleGoneError, match="cannot be read"):
        command.serial_weights("no-such-port", pattern="", unit="lb", baud=9600)


class Device:
    """A USB scale that gives report bytes, nothing, and noise."""

    def __init__(self, *given: bytes) -> None:
        self.given = list(given)

    def read(self, size: int, wait_ms: int) -> list[int]:
        return list(self.given.pop(0))


def test_a_usb_scale_is_read_report_by_report():
    device = Device(
        b"", bytes([3, 2, 12, 0xFE, 0, 0]), b"\x01\x02", bytes([3, 4, 12, 0xFE, 0xC4, 0x01])
    )
    shown = command.reports(device)

    assert [next(shown).written for _ in range(2)] == ["0.00 lb", "4.52 lb"]


def test_without_a_usb_scale_the_command_says_so(monkeypatch):
    import hid

    monkeypatch.setattr(hid, "enumerate", list)

    with pytest.raises(command.ScaleGoneError, match="plugged in"):
        next(command.usb_weights())
