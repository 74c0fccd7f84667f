"""Requests go through the store's gate, so that a restore can wait until all are out."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from typing import Any

App = Callable[[dict[str, Any], Callable[..., object]], Iterable[bytes]]


class _Answer:
    """An answer that leaves the gate when the server is done with it."""

    def __init__(self, answer: Iterable[bytes], leave: Callable[[], None]) -> None:
        self._answer = answer
        self._leave = leave

    def __iter__(self) -> Iterator[bytes]:
        return iter(self._answer)

    def close(self) -> None:
        """End the answer, and with it Django's hold on the store; then leave."""
        try:
            close = getattr(self._answer, "close", None)
            if close is not None:
                close()
        finally:
            self._leave()


def gated(app: App) -> App:
    """Return the application with the gate in front of it; lets go of the store meanwhile."""
    from django.db import connections

    from pinfeather.records.gate import GATE

    connections.close_all()

    def through(environ: dict[str, Any], start_response: Callable[..., object]) -> Iterable[bytes]:
        leave = GATE.enter()
        try:
            return _Answer(app(environ, start_response), leave)
        except BaseException:
            leave()
            raise

    return through
