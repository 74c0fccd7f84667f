"""Letting phones and instruments in, and ending them; the store keeps a token's hash alone."""

from __future__ import annotations

import datetime as dt
import hashlib
import secrets
from dataclasses import dataclass
from typing import Final

from pinfeather.errors import InputError, RecordNotFoundError, TooOftenError
from pinfeather.records import models
from pinfeather.records.writing import writing
from pinfeather.words import gettext as _

WAITING: Final = models.Device.Status.WAITING.value
LET_IN: Final = models.Device.Status.LET_IN.value
REFUSED: Final = models.Device.Status.REFUSED.value
ENDED: Final = models.Device.Status.ENDED.value
PHONE: Final = models.Device.Kind.PHONE.value
INSTRUMENT: Final = models.Device.Kind.INSTRUMENT.value

MOST_WAITING: Final = 8
MOST_FROM_ONE_ADDRESS: Final = 5
MOST_LET_IN: Final = 40
WAITS_FOR: Final = dt.timedelta(minutes=10)
"""After so long without an answer a phone has to ask again."""
_SEEN_EVERY: Final = dt.timedelta(minutes=1)
_TOKEN_BYTES: Final = 32

WORDS: Final = tuple(
    """
    acorn anchor apple apron arrow barn basket beacon bell berry birch blanket boot bottle
    branch brick bridge broom bucket butter button candle canvas carrot cedar chalk cherry
    clover copper corner cotton cradle cricket curtain daisy ditch donkey drum feather
    fiddle finch flannel garden gravel hammer harbor hazel heron hollow honey island jacket
    kettle ladder lantern lemon maple marble meadow mitten nettle nickel orchard otter
    paddle pebble pepper pigeon pocket poplar pumpkin quilt rabbit ribbon river saddle
    salmon satchel shovel silver sparrow spoon spruce squash stable summer sycamore tallow
    thistle thunder timber tulip turnip velvet wagon walnut water willow window winter wool
    yarrow yellow
    """.split()  # noqa: SIM905 - a hundred strings are no easier to read
)
"""Plain words, easy to read aloud across a shop, no two alike."""


@dataclass(frozen=True, slots=True)
class DeviceView:
    """A phone or an instrument, as pages see it."""

    id: int
    kind: str
    status: str
    name: str
    station: str
    words: str
    address: str
    browser: str
    asked_at: dt.datetime
    seen_at: dt.datetime | None


def hashed(token: str) -> str:
    """Return what the store keeps of a token: 256 random bits need no slow hash."""
    return hashlib.sha256(token.encode()).hexdigest()


def ask(*, address: str, browser: str, now: dt.datetime) -> tuple[DeviceView, str]:
    """Let a phone ask to be let in; return it and the token it keeps.

    Raises
    ------
    TooOftenError
        If too many ask, or this one too often.
    """
    token = secrets.token_urlsafe(_TOKEN_BYTES)
    with writing():
        rows = models.Device.objects.filter(kind=PHONE, let_in_at=None)
        rows.filter(asked_at__lt=now - WAITS_FOR).delete()
        lately = rows.filter(address=address, asked_at__lte=now).count()
        if lately >= MOST_FROM_ONE_ADDRESS or rows.filter(status=WAITING).count() >= MOST_WAITING:
            raise TooOftenError(
                _("Too many phones are asking. Wait ten minutes, or let in those that wait.")
            )
        taken = set(rows.values_list("words", flat=True))
        words = _three_words()
        while words in taken:
            words = _three_words()
        row = models.Device.objects.create(
            words=words,
            token_hash=hashed(token),
            address=address[:45],
            browser=_clean(browser, 120),
            asked_at=now,
        )
    return _view(row), token


def _three_words() -> str:
    return " ".join(secrets.choice(WORDS) for _n in range(3))


def by_token(token: str, *, kind: str, now: dt.datetime) -> DeviceView | None:
    """Return the device that a token belongs to, whatever its status; note that it was seen."""
    row = models.Device.objects.filter(token_hash=hashed(token), kind=kind).first()
    if row is None or (row.status == WAITING and row.asked_at < now - WAITS_FOR):
        return None
    if row.status == LET_IN and (row.seen_at is None or now - row.seen_at > _SEEN_EVERY):
        with writing():
            models.Device.objects.filter(pk=row.pk).update(seen_at=now)
    return _view(row)


def waiting(*, now: dt.datetime) -> tuple[DeviceView, ...]:
    """Return the phones that ask to be let in, the one who waits longest first."""
    rows = models.Device.objects.filter(
        status=WAITING, kind=PHONE, asked_at__gte=now - WAITS_FOR
    ).order_by("asked_at", "id")
    return tuple(_view(row) for row in rows)


def let_in(*, kind: str) -> tuple[DeviceView, ...]:
    """Return what has been let in and not ended."""
    return tuple(
        _view(row) for row in models.Device.objects.filter(status=LET_IN, kind=kind).order_by("id")
    )


def approve(device_id: int, *, name: str, station: str, now: dt.datetime) -> None:
    """Let a waiting phone in, with a name and the station it stands at.

    Raises
    ------
    InputError
        If it has no name, or one that is taken, or there are too many.
    RecordNotFoundError
        If nobody waits under this number any more.
    """
    with writing():
        row = models.Device.objects.filter(
            pk=device_id, status=WAITING, kind=PHONE, asked_at__gte=now - WAITS_FOR
        ).first()
        if row is None:
            raise RecordNotFoundError(_("This phone does not wait any more. Let it ask again."))
        row.name, row.station = _name(name), station[:20]
        row.status, row.let_in_at, row.seen_at = LET_IN, now, now
        row.save()


def refuse(device_id: int, *, now: dt.datetime) -> None:
    """Turn a waiting phone away."""
    with writing():
        models.Device.objects.filter(pk=device_id, status=WAITING).update(
            status=REFUSED, ended_at=now
        )


def end(device_id: int, *, now: dt.datetime) -> None:
    """End a device: from now on it gets a plain page and nothing else."""
    with writing():
        models.Device.objects.filter(pk=device_id, status=LET_IN).update(status=ENDED, ended_at=now)


def make_instrument(name: str, *, now: dt.datetime) -> str:
    """Let an instrument in that sends by itself; return its token, which is shown this once.

    Raises
    ------
    InputError
        If it has no name, or one that is taken, or there are too many.
    """
    token = secrets.token_hex(_TOKEN_BYTES)
    with writing():
        models.Device.objects.create(
            kind=INSTRUMENT,
            status=LET_IN,
            name=_name(name),
            token_hash=hashed(token),
            asked_at=now,
            let_in_at=now,
        )
    return token


def _name(text: str) -> str:
    name = _clean(text, 40)
    if not name:
        raise InputError("name", text, _("Give it a name, such as Draw table."))
    rows = models.Device.objects.filter(status=LET_IN)
    if rows.filter(name=name).exists():
        raise InputError("name", text, _("“{name}” is taken. Choose another.").format(name=name))
    if rows.count() >= MOST_LET_IN:
        raise InputError("name", text, _("There are too many already. End some of them first."))
    return name


def _clean(text: str, longest: int) -> str:
    return "".join(letter for letter in text if letter.isprintable()).strip()[:longest]


def _view(row: models.Device) -> DeviceView:
    return DeviceView(
        id=row.pk,
        kind=row.kind,
        status=row.status,
        name=row.name,
        station=row.station,
        words=row.words,
        address=row.address,
        browser=row.browser,
        asked_at=row.asked_at,
        seen_at=row.seen_at,
    )
