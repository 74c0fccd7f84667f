"""A gate in front of the store: many may be inside at once, or one alone who exchanges it.

A store's file can only be put aside while nobody has it open: SQLite would else go on writing into
the file that was put aside. Requests pass through the gate; a restore waits until they are out.
"""

from __future__ import annotations

import threading
from collections import Counter
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import Final

from pinfeather.errors import StoreError
from pinfeather.words import gettext as _

PATIENCE_S: Final = 30.0
"""How long a restore waits for pages that are still being made [s]."""


class Gate:
    """Shared by many, or held by one alone; who is inside may become the one alone."""

    def __init__(self) -> None:
        self._changed = threading.Condition()
        self._inside: Counter[int] = Counter()
        self._alone: int | None = None

    def enter(self) -> Callable[[], None]:
        """Go in together with others; give back the way out, to be called once, by any thread."""
        me = threading.get_ident()
        with self._changed:
            while self._alone not in {None, me}:
                self._changed.wait()
            self._inside[me] += 1
        return lambda: self._leave(me)

    def _leave(self, who: int) -> None:
        with self._changed:
            self._inside[who] -= 1
            if not self._inside[who]:
                del self._inside[who]
            self._changed.notify_all()

    @contextmanager
    def alone(self, *, patience_s: float = PATIENCE_S) -> Iterator[None]:
        """Wait until nobody else is inside, and keep the others out.

        Raises
        ------
        StoreError
            If somebody else is doing the same, or others do not come out in time.
        """
        me = threading.get_ident()
        with self._changed:
            if self._alone is not None:
                raise StoreError(_("Somebody else is putting a backup in place just now."))
            self._alone = me
            if not self._changed.wait_for(lambda: set(self._inside) <= {me}, timeout=patience_s):
                self._alone = None
                self._changed.notify_all()
                raise StoreError(
                    _("Another page is still at work with the records. Try again in a minute.")
                )
        try:
            yield
        finally:
            with self._changed:
                self._alone = None
                self._changed.notify_all()


GATE: Final = Gate()
