"""Photos and papers: what they are is looked at, never believed; kept byte for byte, and once."""

from __future__ import annotations

import hashlib
import io
import sqlite3
import struct
import zipfile
from contextlib import closing

import pytest
from django.db import DatabaseError, IntegrityError, transaction
from PIL import Image

from pinfeather.actions import safe
from pinfeather.errors import InputError, RecordNotFoundError
from pinfeather.records import backup, models, proofs, tables
from pinfeather.records.checking import check_default, check_file

PDF = (
    b"%PDF-1.4\n1 0 obj<</Type/Catalog>>endobj\nxref\n0 1\n0000000000 65535 f \n"
    b"trailer<</Root 1 0 R>>\nstartxref\n45\n%%EOF\n"
)
PAGE = b"<html><script>alert(1)</script></html>"
DRAWING = b'<svg xmlns="http://www.w3.org/2000/svg" onload="alert(1)"/>'


def picture(kind: str, *, size=(40, 30), **more) -> bytes:
    buffer = io.BytesIO()
    noise = Image.effect_noise(size, 60).convert("RGB")
    noise.save(buffer, kind, **more)
    return buffer.getvalue()


def packed() -> bytes:
    buffer = io.BytesIO()
    with zipfile.ZipFile(buffer, "w") as file:
        file.writestr("evil.html", PAGE)
    return buffer.getvalue()


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP"])
def test_a_whole_picture_is_recognised_and_kept_byte_for_byte(store, now, kind) -> None:
    raw = picture(kind)
    kept = proofs.keep("photo", raw, who="Odile", now=now)
    assert kept.kind == kind.lower()
    assert proofs.read(kept.sha256)[1] == raw
    assert kept.sha256 == hashlib.sha256(raw).hexdigest()


def test_a_progressive_photo_with_a_thumbnail_and_restart_marks_is_whole() -> None:
    raw = picture("JPEG", size=(300, 200), progressive=True, exif=Image.Exif().tobytes())
    assert proofs.recognised(raw) == ("jpeg", raw)
    raw = picture("JPEG", size=(300, 200), restart_marker_blocks=4)
    assert proofs.recognised(raw) == ("jpeg", raw)


def test_a_paper_is_recognised() -> None:
    assert proofs.recognised(PDF) == ("pdf", PDF)


@pytest.mark.parametrize(
    "raw",
    [
        b"",
        b"hello",
        PAGE,
        DRAWING,
        packed(),
        b"GIF89a" + bytes(40),
        b"MZ" + bytes(100),
        b"\xff\xd8\xff",
        picture("JPEG")[:-2],
        picture("PNG")[:-4],
        picture("PNG") + PAGE,
        picture("WEBP") + PAGE,
        PAGE + picture("JPEG"),
        b"\n" + PDF,
        PDF + packed(),
        PDF.replace(b"%%EOF", b""),
        b"\xff\xd8\xff\xd9",
        b"\xff\xd8\xff\xe0" + struct.pack(">H", 2) + PAGE + b"\xff\xd9",
        b"RIFF" + struct.pack("<I", 4) + b"WEBP",
        b"\x89PNG\r\n\x1a\n" + PAGE,
    ],
    ids=lambda raw: f"{len(raw)} bytes, {raw[:6]!r}",
)
def test_what_is_no_whole_photo_or_paper_is_refused(raw) -> None:
    with pytest.raises(InputError):
        proofs.recognised(raw)


def test_a_changed_byte_inside_a_png_is_found_by_its_own_checks() -> None:
    raw = bytearray(picture("PNG"))
    raw[60] ^= 1
    with pytest.raises(InputError):
        proofs.recognised(bytes(raw))


def test_what_hides_behind_a_photo_is_not_kept() -> None:
    raw = picture("JPEG")
    for hidden in (PAGE, packed(), b"MotionPhoto" + bytes(50)):
        assert proofs.recognised(raw + hidden) == ("jpeg", raw)


def test_a_file_too_large_is_refused_before_it_is_looked_at() -> None:
    with pytest.raises(InputError, match="5 MB"):
        proofs.recognised(picture("JPEG") + bytes(proofs.MOST_BYTES))


@pytest.mark.parametrize(
    ("given", "kept"),
    [
        ("../../etc/passwd", "passwd"),
        ("C:\\farm\\water.pdf", "water.pdf"),
        ("a\0b\n.pdf", "ab.pdf"),
        ("/", "Proof"),
        ("...", "Proof"),
        ("x" * 400, "x" * 120),
    ],
)
def test_a_name_is_words_and_never_a_path(store, now, given, kept) -> None:
    assert proofs.keep(given, PDF, who="", now=now).name == kept


def test_the_same_file_twice_is_kept_once(store, now) -> None:
    first = proofs.keep("a.pdf", PDF, who="Odile", now=now)
    again = proofs.keep("b.pdf", PDF, who="Bram", now=now)
    assert first.sha256 == again.sha256
    assert again.name == "a.pdf"
    assert models.Proof.objects.count() == 1


def test_a_proof_that_is_not_there_is_not_found(store) -> None:
    with pytest.raises(RecordNotFoundError):
        proofs.read("0" * 64)


@pytest.mark.parametrize("how", ["update", "delete", "replace"])
def test_the_database_refuses_to_change_a_proof(store, now, how) -> None:
    proofs.keep("a.pdf", PDF, who="Odile", now=now)
    rows = models.Proof.objects.all()
    digest = rows.get().sha256
    twice = {"sha256": digest, "kind": "pdf", "name": "x", "raw": b"x", "received_at": now}
    act = {
        "update": lambda: rows.update(name="other"),
        "delete": rows.delete,
        "replace": lambda: models.Proof.objects.create(**twice),
    }[how]
    with pytest.raises((IntegrityError, DatabaseError)), transaction.atomic():
        act()
    assert bytes(rows.get().raw) == PDF


def test_export_backup_and_going_back_carry_it_equal(real_store, new_store, tmp_path, now) -> None:
    kept = [proofs.keep(f"{k}", picture(k), who="Odile", now=now) for k in ("JPEG", "PNG")]
    kept.append(proofs.keep("paper.pdf", PDF, who="Odile", now=now))
    before = [proofs.read(one.sha256) for one in kept]

    def everything():
        return [
            (r.sha256, bytes(r.raw), r.name) for r in tables.rows(models.Proof, using="default")
        ]

    rows = everything()
    safe.export_to(tmp_path / "farm.zip", now=now)
    backup.take("by-hand", now=now, to=tmp_path / "copy.sqlite3")
    assert check_file(tmp_path / "copy.sqlite3").whole
    for source in (tmp_path / "farm.zip", tmp_path / "copy.sqlite3"):
        with new_store():
            safe.bring_in(source)
            assert [proofs.read(one.sha256) for one in kept] == before
            assert everything() == rows
            assert check_default().whole


@pytest.mark.sqlite
def test_a_proof_changed_in_the_file_is_found_by_the_check(real_store, now, tmp_path) -> None:
    proofs.keep("paper.pdf", PDF, who="Odile", now=now)
    copy = tmp_path / "copy.sqlite3"
    backup.take("by-hand", now=now, to=copy)
    with closing(sqlite3.connect(copy)) as base:
        base.execute("DROP TRIGGER proof_no_update")
        base.execute("UPDATE records_proof SET raw = x'00'")
        base.commit()
    assert any("paper.pdf" in line for line in check_file(copy).damage)
