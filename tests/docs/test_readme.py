"""The first page keeps its two set-up lines and its picture."""

from __future__ import annotations

import struct
from pathlib import Path

ROOT = Path(__file__).parents[2]
RUN = (
    "- run: `python3 -m venv .venv && .venv/bin/pip install -c constraints.txt . "
    "&& .venv/bin/pinfeather demo`"
)
TEST = (
    "- test: `python3 -m venv .venv && .venv/bin/pip install -c constraints.txt -e '.[dev]' "
    "&& .venv/bin/pytest`"
)


def readme() -> str:
    return (ROOT / "README.md").read_text("utf-8")


def test_both_set_up_lines_stand_there_word_for_word():
    assert readme().splitlines().count(RUN) == 1
    assert readme().splitlines().count(TEST) == 1


def test_it_opens_with_one_paragraph_and_then_the_set_up_lines():
    title, job, setup, *_rest = readme().split("\n\n")

    assert title == "# Pinfeather"
    assert not job.startswith(("#", "-", "!", "|", "`"))
    assert setup.splitlines()[:2] == [RUN, TEST]


def test_the_picture_is_there_1280_wide_and_light():
    path = ROOT / "docs" / "images" / "day.png"
    content = path.read_bytes()
    width, _height = struct.unpack(">II", content[16:24])

    assert "(docs/images/day.png)" in readme()
    assert content[:8] == b"\x89PNG\r\n\x1a\n"
    assert width == 1280
    assert len(content) < 300_000
