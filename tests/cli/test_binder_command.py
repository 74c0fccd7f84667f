"""``pinfeather binder``."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

from django.db import connection

from pinfeather.reports.typeset import page_count

COMMAND = [sys.executable, "-c", "from pinfeather.cli import main; main()"]


def alone(*args: object) -> subprocess.CompletedProcess[str]:
    return subprocess.run([*COMMAND, *map(str, args)], capture_output=True, text=True, check=False)


def test_a_period_is_written_and_what_it_lacks_is_told(real_store, tmp_path) -> None:
    connection.close()
    folder: Path = real_store.parent
    file = tmp_path / "binder.pdf"
    made = alone("binder", "2026-01-01", "2026-12-31", "--out", file, "--data", folder)
    assert made.stderr == ""
    assert made.returncode == 0
    assert "0 closed days" in made.stdout
    assert "[note] No processing day was closed in this period." in made.stdout
    assert f"{page_count(file.read_bytes())} pages" in made.stdout


def test_a_period_that_is_none_and_a_file_that_cannot_be_written_are_refused(
    real_store, tmp_path
) -> None:
    connection.close()
    folder = real_store.parent
    wrong = alone("binder", "spring", "2026-12-31", "--data", folder)
    assert wrong.returncode == 2
    assert wrong.stderr.startswith("from: ")
    where = tmp_path / "nowhere" / "binder.pdf"
    lost = alone("binder", "2026-01-01", "2026-02-01", "--out", where, "--data", folder)
    assert lost.returncode == 2
    assert "cannot be written" in lost.stderr
