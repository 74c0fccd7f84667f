"""Photos and papers kept as proof: what a file really is, found by looking at its bytes.

Nothing is kept that is not a whole JPEG, PNG or WebP picture, or a PDF, from the first byte to the
last. What hides behind the end of a JPEG picture (phones put short films there) is cut off.
"""

from __future__ import annotations

import datetime as dt
import hashlib
import struct
import zlib
from dataclasses import dataclass
from typing import Final

from pinfeather.errors import InputError, RecordNotFoundError
from pinfeather.records import models
from pinfeather.records.writing import writing
from pinfeather.words import gettext as _

MOST_BYTES: Final = 5 * 1024 * 1024
"""Largest proof [bytes]."""
KINDS: Final = {
    "jpeg": ("image/jpeg", "jpg"),
    "png": ("image/png", "png"),
    "webp": ("image/webp", "webp"),
    "pdf": ("application/pdf", "pdf"),
}
"""By kind: what it is called on the web, and the end of its file's name."""
_LONGEST_NAME: Final = 120
_PDF_TAIL: Final = 1024
_PNG: Final = b"\x89PNG\r\n\x1a\n"
_MARKER: Final = 0xFF
_NO_LENGTH: Final = frozenset({0x01, *range(0xD0, 0xD8)})
_START_OF_SCAN: Final = 0xDA
_END: Final = 0xD9
_FRAMES: Final = frozenset({0xC0, 0xC1, 0xC2})
_WEBP_PARTS: Final = frozenset({b"VP8 ", b"VP8L", b"VP8X"})


@dataclass(frozen=True, slots=True)
class ProofView:
    """A proof without its bytes."""

    sha256: str
    kind: str
    name: str
    size_bytes: int
    who: str
    received_at: dt.datetime

    @property
    def file_name(self) -> str:
        """A plain name for saving it; nothing of it comes from outside."""
        return f"proof-{self.sha256[:12]}.{KINDS[self.kind][1]}"

    @property
    def is_picture(self) -> bool:
        """Whether a page can show it."""
        return self.kind != "pdf"


def keep(name: str, raw: bytes, *, who: str, now: dt.datetime) -> ProofView:
    """Keep a proof; the same bytes are kept once.

    Raises
    ------
    InputError
        If it is empty, too large, or nothing that is kept.
    """
    kind, raw = recognised(raw)
    digest = hashlib.sha256(raw).hexdigest()
    with writing():
        row = models.Proof.objects.filter(sha256=digest).first()
        if row is None:
            row = models.Proof.objects.create(
                sha256=digest,
                kind=kind,
                name=plain_name(name) or _("Proof"),
                raw=raw,
                who=who[:40],
                received_at=now,
            )
    return ProofView(digest, kind, row.name, len(raw), row.who, row.received_at)


def plain_name(name: str) -> str:
    """Return the last part of a file's name, without what cannot be seen."""
    last = name.replace("\\", "/").rpartition("/")[2]
    return "".join(letter for letter in last if letter.isprintable()).strip(" .")[:_LONGEST_NAME]


def views(digests: list[str]) -> dict[str, ProofView]:
    """Return proofs by their SHA-256, without reading their bytes."""
    from django.db.models.functions import Length

    rows = models.Proof.objects.filter(sha256__in=digests).annotate(size=Length("raw"))
    fields = ("sha256", "kind", "name", "size", "who", "received_at")
    return {row[0]: ProofView(*row) for row in rows.values_list(*fields)}


def read(digest: str) -> tuple[ProofView, bytes]:
    """Return a proof with its bytes.

    Raises
    ------
    RecordNotFoundError
        If there is none.
    """
    row = models.Proof.objects.filter(sha256=digest).first()
    if row is None:
        raise RecordNotFoundError(_("There is no such proof."))
    raw = bytes(row.raw)
    return ProofView(row.sha256, row.kind, row.name, len(raw), row.who, row.received_at), raw


def recognised(raw: bytes) -> tuple[str, bytes]:
    """Return what kind of proof some bytes are, and the bytes that are kept of it.

    Raises
    ------
    InputError
        If they are empty, too many, or none of the kinds from beginning to end.
    """
    if not raw:
        raise InputError("proof", None, _("The file is empty. Choose it again."))
    if len(raw) > MOST_BYTES:
        raise InputError(
            "proof",
            len(raw),
            _("The file is larger than {n} MB. Take the photo with fewer pixels.").format(
                n=MOST_BYTES // 1024**2
            ),
        )
    end = _jpeg_end(raw)
    if end:
        return "jpeg", raw[:end]
    if _whole_png(raw):
        return "png", raw
    if _whole_webp(raw):
        return "webp", raw
    if _whole_pdf(raw):
        return "pdf", raw
    raise InputError(
        "proof",
        None,
        _("This is no whole photo (JPEG, PNG, WebP) and no PDF. Choose another file."),
    )


def _jpeg_end(raw: bytes) -> int:
    """Return where a JPEG picture ends, 0 where it is none (ITU-T T.81, annex B)."""
    if not raw.startswith(b"\xff\xd8\xff"):
        return 0
    at, framed, scanned = 2, False, False
    while at + 1 < len(raw):
        if raw[at] != _MARKER:
            return 0
        mark = raw[at + 1]
        if mark == _MARKER:  # a fill byte
            at += 1
            continue
        at += 2
        if mark == _END:
            return at if framed and scanned else 0
        if mark in _NO_LENGTH:
            continue
        if at + 2 > len(raw):
            return 0
        length = int.from_bytes(raw[at : at + 2])
        if length < 2:  # noqa: PLR2004 - its own two bytes
            return 0
        at += length
        framed = framed or mark in _FRAMES
        if mark == _START_OF_SCAN:
            scanned = True
            at = _scan_end(raw, at)
    return 0


def _scan_end(raw: bytes, at: int) -> int:
    """Return the next marker that is not part of the picture's own data."""
    while True:
        at = raw.find(b"\xff", at)
        if at < 0 or at + 1 >= len(raw):
            return len(raw)
        if raw[at + 1] == 0 or 0xD0 <= raw[at + 1] <= 0xD7:  # noqa: PLR2004 - restart marks
            at += 2
        else:
            return at


def _whole_png(raw: bytes) -> bool:
    """Tell whether bytes are a PNG picture and nothing behind it (ISO/IEC 15948, 5.3)."""
    if not raw.startswith(_PNG):
        return False
    at, names = len(_PNG), []
    while at + 12 <= len(raw):
        (length,) = struct.unpack_from(">I", raw, at)
        name = raw[at + 4 : at + 8]
        end = at + 12 + length
        if end > len(raw):
            return False
        (check,) = struct.unpack_from(">I", raw, end - 4)
        if zlib.crc32(raw[at + 4 : end - 4]) != check:
            return False
        names.append(name)
        at = end
        if name == b"IEND":
            break
    return (
        at == len(raw) and names[:1] == [b"IHDR"] and names[-1:] == [b"IEND"] and b"IDAT" in names
    )


def _whole_webp(raw: bytes) -> bool:
    """Tell whether bytes are a WebP picture and nothing behind it (RFC 9649, section 2)."""
    if raw[:4] != b"RIFF" or raw[8:12] != b"WEBP" or raw[12:16] not in _WEBP_PARTS:
        return False
    return int.from_bytes(raw[4:8], "little") + 8 == len(raw)


def _whole_pdf(raw: bytes) -> bool:
    """Tell whether bytes are a PDF from its first byte to its end mark (ISO 32000-1, 7.5)."""
    if not raw.startswith((b"%PDF-1.", b"%PDF-2.")):
        return False
    tail = raw[-_PDF_TAIL:].rstrip(b"\0\t\n\f\r ")
    return tail.endswith(b"%%EOF") and b"startxref" in tail
