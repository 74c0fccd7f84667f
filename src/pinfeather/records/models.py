"""Tables. Everything that happens on a day is an :class:`Entry` in the append-only journal."""

from __future__ import annotations

from typing import ClassVar

from django.db import models


class Farm(models.Model):
    """The farm itself; one row."""

    name = models.CharField(max_length=80)
    address = models.TextField(max_length=300, blank=True)
    phone = models.CharField(max_length=40, blank=True)
    zone = models.CharField(max_length=64, default="America/Chicago")
    profile = models.CharField(max_length=64, default="us-federal")
    tier = models.CharField(max_length=64, default="producer_1000")
    altitude = models.CharField(max_length=40, default="0 ft")
    price_per_lb = models.CharField(max_length=20, blank=True)
    water_source = models.CharField(max_length=20, default="well")
    water_test = models.DateField(null=True, blank=True)
    units = models.CharField(max_length=10, default="us")
    demo = models.BooleanField(default=False)

    def __str__(self) -> str:
        return self.name


class Person(models.Model):
    """Somebody who works in the shop."""

    name = models.CharField(max_length=40, unique=True)
    stations = models.JSONField(default=list)
    pace = models.FloatField(default=1.0)
    active = models.BooleanField(default=True)

    class Meta:
        ordering: ClassVar = ["name"]

    def __str__(self) -> str:
        return self.name


class Instrument(models.Model):
    """A thermometer, a scale, or a pack of test strips."""

    name = models.CharField(max_length=40, unique=True)
    kind = models.CharField(max_length=20, default="thermometer")
    accuracy = models.CharField(max_length=20, blank=True)
    active = models.BooleanField(default=True)

    class Meta:
        ordering: ClassVar = ["name"]

    def __str__(self) -> str:
        return self.name


class Lot(models.Model):
    """Birds raised together."""

    code = models.CharField(max_length=20, unique=True)
    species = models.CharField(max_length=20, default="chicken")
    build = models.CharField(max_length=10, default="broad")
    hatched = models.DateField(null=True, blank=True)
    head = models.PositiveIntegerField(default=0)
    note = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering: ClassVar = ["-hatched", "code"]

    def __str__(self) -> str:
        return self.code


class Day(models.Model):
    """One processing day."""

    class Status(models.TextChoices):
        PLANNED = "planned"
        RUNNING = "running"
        CLOSED = "closed"

    date = models.DateField()
    status = models.CharField(max_length=10, choices=Status.choices, default=Status.PLANNED)
    request = models.JSONField()
    plan = models.TextField(blank=True)
    """The plan as JSON text, as worked out when it was saved."""
    version = models.PositiveIntegerField(default=1)
    sealed_at = models.DateTimeField(null=True)
    sealed_seq = models.PositiveBigIntegerField(null=True)
    seal = models.CharField(max_length=64, blank=True)
    record = models.JSONField(null=True)
    """The record as judged when the day was closed: inputs, limits, verdicts, program version."""

    class Meta:
        ordering: ClassVar = ["-date", "-id"]

    def __str__(self) -> str:
        return f"{self.date} ({self.status})"


class Entry(models.Model):
    """One line of the journal. The database itself refuses to change or delete a line."""

    seq = models.BigAutoField(primary_key=True)
    client_id = models.CharField(max_length=40, unique=True)
    day = models.ForeignKey(Day, null=True, on_delete=models.PROTECT, related_name="entries")
    kind = models.CharField(max_length=20)
    payload = models.JSONField()
    who = models.CharField(max_length=40, blank=True)
    device = models.CharField(max_length=40, blank=True)
    device_time = models.DateTimeField()
    skew_s = models.FloatField(default=0.0)
    received_at = models.DateTimeField()
    previous_hash = models.CharField(max_length=64)
    hash = models.CharField(max_length=64)

    class Meta:
        ordering: ClassVar = ["seq"]
        indexes: ClassVar = [models.Index(fields=["day", "seq"], name="entry_day_seq")]

    def __str__(self) -> str:
        return f"{self.seq} {self.kind}"


class LoggerFile(models.Model):
    """A logger's file, byte for byte. The database itself refuses to change or delete it."""

    day = models.ForeignKey(Day, on_delete=models.PROTECT, related_name="logger_files")
    name = models.CharField(max_length=120)
    """What the file was called where it came from; words for people, never a path."""
    raw = models.BinaryField()
    sha256 = models.CharField(max_length=64)
    mapping = models.JSONField()
    """Which column is what, unit, zone, order of the date, and when the probe was in place."""
    what = models.CharField(max_length=10)
    place = models.CharField(max_length=40)
    instrument = models.CharField(max_length=40)
    who = models.CharField(max_length=40, blank=True)
    received_at = models.DateTimeField()

    class Meta:
        ordering: ClassVar = ["id"]

    def __str__(self) -> str:
        return f"{self.name} ({self.place})"
