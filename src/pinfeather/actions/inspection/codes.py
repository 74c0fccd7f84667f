"""Codes that let a visitor read the inspection's pages for a while; never more than one at a time.

The store keeps a slow hash of the code alone. The visitor's cookie, signed by the page that gives
it, holds a mark of that hash, so that it opens this one code and no later one of the same number.
Wrong tries are counted before they are looked at, as with the owner's PIN.
"""

from __future__ import annotations

import datetime as dt
import hmac
import secrets
import uuid
from dataclasses import dataclass
from typing import Final

from pinfeather import clock
from pinfeather.actions.phones import hashed
from pinfeather.errors import InputError, TooOftenError
from pinfeather.records import journal, models
from pinfeather.records.writing import writing
from pinfeather.words import gettext as _

KIND: Final = "visit"
LETTERS: Final = "ABCDEFGHJKMNPQRSTVWXYZ23456789"
"""Without those that look alike."""
LENGTH: Final = 8
SPANS: Final = ("2 hours", "today", "3 days")
TRIES: Final = 5
"""Wrong codes in a row before one has to wait."""
MOST_TRIES: Final = 40
"""After so many wrong ones the code is ended."""
_FIRST_WAIT_S: Final = 30.0
_LONGEST_WAIT_S: Final = 900.0
_LONGEST_LABEL: Final = 60


@dataclass(frozen=True, slots=True)
class Code:
    """A code that opens the visit's pages; the code itself is nowhere on record."""

    id: int
    label: str
    made_at: dt.datetime
    until: dt.datetime


def current(*, now: dt.datetime) -> Code | None:
    """Return the code that is good now."""
    row = _good(now).first()
    return None if row is None else Code(row.pk, row.label, row.made_at, row.until)


def _good(now: dt.datetime):  # type: ignore[no-untyped-def]  # noqa: ANN202 - a query
    return models.VisitCode.objects.filter(ended_at=None, until__gt=now, made_at__lte=now)


def make(span: str, *, label: str, who: str, now: dt.datetime) -> str:
    """Make a code, and end the one before; return it, to be shown this once.

    Raises
    ------
    InputError
        If the time is none to choose.
    """
    from django.contrib.auth.hashers import make_password

    if span not in SPANS:
        raise InputError("span", span, _("Choose how long the code is good."))
    code = "".join(secrets.choice(LETTERS) for _n in range(LENGTH))
    hashed_code = make_password(code)
    label = "".join(letter for letter in label if letter.isprintable()).strip()[:_LONGEST_LABEL]
    with writing():
        _end(now)
        row = models.VisitCode.objects.create(
            code_hash=hashed_code,
            label=label,
            made_at=now,
            until=_until(span, now),
        )
        _write("made", row.pk, who=who, now=now, more={"label": label, "span": span})
    return f"{code[:4]} {code[4:]}"


def _until(span: str, now: dt.datetime) -> dt.datetime:
    if span == "2 hours":
        return now + dt.timedelta(hours=2)
    if span == "3 days":
        return now + dt.timedelta(days=3)
    from pinfeather.actions.farm import farm

    zone = clock.zone(farm().zone)
    tomorrow = now.astimezone(zone).date() + dt.timedelta(days=1)
    return dt.datetime.combine(tomorrow, dt.time(), tzinfo=zone).astimezone(dt.UTC)


def end(*, who: str, now: dt.datetime) -> bool:
    """End the code at once: whoever is reading gets nothing more; tell if there was one."""
    with writing():
        row = _good(now).first()
        _end(now)
        if row is None:
            return False
        _write("ended", row.pk, who=who, now=now)
    return True


def _end(now: dt.datetime) -> None:
    models.VisitCode.objects.filter(ended_at=None).update(ended_at=now)


def open_with(typed: str, *, address: str, now: dt.datetime) -> str:
    """Let a visitor in; return what the cookie holds.

    Raises
    ------
    InputError
        If the code is wrong, expired or ended; which one of these is not said.
    TooOftenError
        If it is too soon after too many wrong ones.
    """
    from django.contrib.auth.hashers import check_password

    wrong = InputError("code", None, _("That code does not open anything. Ask for a new one."))
    code = "".join(typed.split()).replace("-", "").upper()
    row = _counted(now)
    if row is None or len(code) != LENGTH or not check_password(code, row.code_hash):
        raise wrong
    with writing():
        held = _good(now).filter(pk=row.pk)
        if not held.update(wrong_tries=0, again_at=None):
            raise wrong  # ended between the two
        _write("opened", row.pk, who="", now=now, more={"address": address[:45]})
    return f"{row.pk}:{_mark(row)}"


def _mark(row: models.VisitCode) -> str:
    return hashed(f"visit {row.pk} {row.code_hash}")


def _counted(now: dt.datetime) -> models.VisitCode | None:
    """Count a try before it is looked at, so that many at once gain nothing."""
    with writing():
        row: models.VisitCode | None = _good(now).first()
        if row is None:
            return None
        if row.again_at is not None and row.again_at > now:
            left_s = (row.again_at - now).total_seconds()
            raise TooOftenError(
                _("Too many wrong codes. Try again in {n} s.").format(n=int(left_s) + 1)
            )
        tries = row.wrong_tries + 1
        if tries > MOST_TRIES:
            models.VisitCode.objects.filter(pk=row.pk).update(ended_at=now)
            _write("ended", row.pk, who="", now=now, more={"why": "too many wrong codes"})
            return None
        again_at = None
        if tries >= TRIES:
            wait_s = min(_FIRST_WAIT_S * 2 ** min(tries - TRIES, 10), _LONGEST_WAIT_S)
            again_at = now + dt.timedelta(seconds=wait_s)
        models.VisitCode.objects.filter(pk=row.pk).update(wrong_tries=tries, again_at=again_at)
        return row


def holds(cookie: str, *, now: dt.datetime) -> Code | None:
    """Return the code a visitor's cookie stands for, while it is good."""
    number, _colon, mark = cookie.partition(":")
    if not number.isdecimal() or len(number) > 15:  # noqa: PLR2004 - a row's number
        return None
    row = _good(now).filter(pk=int(number)).first()
    if row is None or not hmac.compare_digest(_mark(row), mark):
        return None
    return Code(row.pk, row.label, row.made_at, row.until)


def saw(code: Code, what: str, *, now: dt.datetime) -> None:
    """Write down that a visitor took a document."""
    with writing():
        _write("took", code.id, who="", now=now, more={"what": what})


def _write(
    act: str, number: int, *, who: str, now: dt.datetime, more: dict[str, str] | None = None
) -> None:
    payload = {"act": act, "visit": number, **(more or {})}
    journal.append_from_page(KIND, payload, client_id=uuid.uuid4().hex, who=who, at=now)


@dataclass(frozen=True, slots=True)
class VisitLine:
    """One line about a visit: a code made, opened, ended; a document taken."""

    act: str
    at: dt.datetime
    what: str


def history(*, most: int = 20) -> tuple[VisitLine, ...]:
    """Return what happened with codes, the newest first."""
    lines = models.Entry.objects.filter(kind=KIND).order_by("-seq")[:most]
    return tuple(
        VisitLine(
            str(one.payload["act"]),
            one.device_time,
            str(
                one.payload.get("what")
                or one.payload.get("label")
                or one.payload.get("address", "")
            ),
        )
        for one in lines
    )
