from __future__ import annotations

import dataclasses
import re

import pytest

from pinfeather.errors import InputError
from pinfeather.reports.colours import PRINT, SCREEN, colours


def luminance(hexadecimal):
    parts = [int(hexadecimal[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    linear = [p / 12.92 if p <= 0.04045 else ((p + 0.055) / 1.055) ** 2.4 for p in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


@pytest.mark.parametrize(
    ("name", "ratio"), [("ink", 7), ("soft", 4.5), ("late", 4.5), ("cold", 4.5), ("plan", 3)]
)
def test_print_colours_stand_out_from_white_as_wcag_asks(name, ratio):
    contrast = 1.05 / (luminance(getattr(PRINT, name)) + 0.05)

    assert contrast >= ratio


def test_screen_colours_are_the_pages_own_with_something_to_fall_back_on():
    for name, value in dataclasses.asdict(SCREEN).items():
        if name not in {"font", "letters"}:
            assert re.fullmatch(r"var\(--[a-z]+, #[0-9a-f]{3,6}\)", value)


def test_another_palette_is_refused():
    with pytest.raises(InputError, match="palette"):
        colours("fax")
