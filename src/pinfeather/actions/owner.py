"""The owner's PIN: optional, kept as a slow hash, and few tries."""

from __future__ import annotations

import datetime as dt
import re
from typing import Final

from pinfeather.errors import InputError, TooOftenError
from pinfeather.records import models
from pinfeather.records.writing import writing
from pinfeather.words import gettext as _

TRIES: Final = 5
"""Wrong PINs in a row before one has to wait."""
_FIRST_WAIT_S: Final = 30.0
_LONGEST_WAIT_S: Final = 900.0
_DIGITS: Final = re.compile(r"[0-9]{4,12}", re.ASCII)
_RUNS: Final = ("0123456789012345678901", "9876543210987654321098")


def pin_is_set() -> bool:
    """Tell whether the owner has set a PIN."""
    return models.Owner.objects.exists()


def generation() -> str:
    """Return a mark that changes with the PIN, so that what was unlocked before is locked again."""
    owner = models.Owner.objects.first()
    return "" if owner is None else owner.changed_at.isoformat()


def set_pin(pin: str, *, now: dt.datetime) -> None:
    """Set or change the PIN.

    Raises
    ------
    InputError
        If it is no PIN, or one that everybody tries first.
    """
    from django.contrib.auth.hashers import make_password

    if not _DIGITS.fullmatch(pin):
        raise InputError("pin", None, _("A PIN is 4 to 12 digits."))
    if len(set(pin)) == 1 or any(pin in run for run in _RUNS):
        raise InputError("pin", None, _("Everybody tries that one first. Choose another."))
    hashed = make_password(pin)
    with writing():
        models.Owner.objects.all().delete()
        models.Owner.objects.create(pin=hashed, changed_at=now)


def forget_pin() -> None:
    """Take the PIN off."""
    with writing():
        models.Owner.objects.all().delete()


def check(pin: str, *, device_id: int | None, now: dt.datetime) -> bool:
    """Tell whether a PIN is right; each try counts before it is looked at.

    Parameters
    ----------
    pin : str
        What was typed.
    device_id : int or None
        The phone it was typed on, None for the farm computer itself; each has its own tries.
    now : datetime
        Aware.

    Raises
    ------
    TooOftenError
        If it is too soon after too many wrong ones.
    """
    from django.contrib.auth.hashers import check_password

    kept = _reserve(device_id, now=now)
    if not check_password(pin[:12], kept):
        return False
    with writing():
        _tries(device_id).update(wrong_pins=0, pin_again_at=None)
    return True


def _reserve(device_id: int | None, *, now: dt.datetime) -> str:
    """Count a try before it is looked at, so that many at once gain nothing."""
    with writing():
        owner = models.Owner.objects.first()
        row = owner if device_id is None else models.Device.objects.filter(pk=device_id).first()
        if owner is None or row is None:
            raise InputError("pin", None, _("No PIN is set."))
        if row.pin_again_at is not None and row.pin_again_at > now:
            left_s = (row.pin_again_at - now).total_seconds()
            raise TooOftenError(
                _("Too many wrong PINs. Try again in {n} s.").format(n=int(left_s) + 1)
            )
        wrong = row.wrong_pins + 1
        again = None
        if wrong >= TRIES:
            wait_s = min(_FIRST_WAIT_S * 2 ** min(wrong - TRIES, 10), _LONGEST_WAIT_S)
            again = now + dt.timedelta(seconds=wait_s)
        _tries(device_id).update(wrong_pins=min(wrong, 1000), pin_again_at=again)
        return owner.pin


def _tries(device_id: int | None):  # type: ignore[no-untyped-def]  # noqa: ANN202 - two kinds of rows
    if device_id is None:
        return models.Owner.objects.all()
    return models.Device.objects.filter(pk=device_id)
