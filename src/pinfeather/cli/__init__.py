"""Commands."""

from __future__ import annotations


def main() -> None:
    """Run the ``pinfeather`` command."""
    from pinfeather.cli.app import run

    run()
