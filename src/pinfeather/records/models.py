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
    breed = models.CharField(max_length=60, blank=True)
    sex = models.CharField(max_length=12, default="straight run")
    curve = models.CharField(max_length=80, blank=True)
    """A packaged curve by its name, or the title of one of the farm's own."""
    setting = models.CharField(max_length=10, default="usual")
    """Which usual losses fit: ``usual`` indoors, ``pasture`` outside."""
    outlet = models.CharField(max_length=80, blank=True)
    plan_on = models.DateField(null=True, blank=True)
    """The processing day in mind, before a day is planned."""
    withdrawn = models.BooleanField(default=False)
    """Whether the list it came from was taken back; then no page shows it."""

    class Meta:
        ordering: ClassVar = ["-hatched", "code"]

    def __str__(self) -> str:
        return self.code


class Pen(models.Model):
    """Where birds live: a brooder, a house, a pen on grass."""

    name = models.CharField(max_length=40, unique=True)
    kind = models.CharField(max_length=10, default="pasture")
    area = models.CharField(max_length=40, blank=True)
    """Floor as it was written, with its unit."""
    move_d = models.PositiveSmallIntegerField(default=0)
    """Days between moves to fresh ground; 0 stays where it is."""
    active = models.BooleanField(default=True)

    class Meta:
        ordering: ClassVar = ["name"]

    def __str__(self) -> str:
        return self.name


class BreedCurve(models.Model):
    """A breed's weights by age, typed in from its booklet."""

    title = models.CharField(max_length=80, unique=True)
    species = models.CharField(max_length=20, default="chicken")
    rows = models.JSONField(default=list)
    """Age in days and weight in kilograms, as hatched or of males."""
    female_rows = models.JSONField(default=list)
    source = models.CharField(max_length=120, blank=True)

    class Meta:
        ordering: ClassVar = ["title"]

    def __str__(self) -> str:
        return self.title


class Day(models.Model):
    """One processing day."""

    class Status(models.TextChoices):
        PLANNED = "planned"
        RUNNING = "running"
        CLOSED = "closed"

    SEALED_BY: ClassVar = "seal"
    """Once this column is filled, the database itself refuses to change or delete the row."""

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
        indexes: ClassVar = [  # without reading the plans, which are long
            models.Index(fields=["-date", "-id"], name="day_newest"),
            models.Index(fields=["status", "-date", "-id"], name="day_status"),
            models.Index(fields=["sealed_seq", "seal", "date"], name="day_sealed"),
        ]

    def __str__(self) -> str:
        return f"{self.date} ({self.status})"


class Entry(models.Model):
    """One line of the journal. The database itself refuses to change or delete a line."""

    APPEND_ONLY: ClassVar = True

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
        indexes: ClassVar = [
            models.Index(fields=["day", "seq"], name="entry_day_seq"),
            models.Index(fields=["kind", "seq"], name="entry_kind_seq"),
        ]

    def __str__(self) -> str:
        return f"{self.seq} {self.kind}"


class LoggerFile(models.Model):
    """A logger's file, byte for byte. The database itself refuses to change or delete it."""

    APPEND_ONLY: ClassVar = True

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


class Device(models.Model):
    """A phone of the house, or an instrument that sends by itself; its token is kept as a hash."""

    class Kind(models.TextChoices):
        PHONE = "phone"
        INSTRUMENT = "instrument"

    class Status(models.TextChoices):
        WAITING = "waiting"
        LET_IN = "let in"
        REFUSED = "refused"
        ENDED = "ended"

    kind = models.CharField(max_length=10, choices=Kind.choices, default=Kind.PHONE)
    status = models.CharField(max_length=10, choices=Status.choices, default=Status.WAITING)
    name = models.CharField(max_length=40, blank=True)
    station = models.CharField(max_length=20, blank=True)
    words = models.CharField(max_length=60, blank=True)
    """What both screens show while it waits, so that people can compare."""
    token_hash = models.CharField(max_length=64, unique=True)
    address = models.CharField(max_length=45, blank=True)
    browser = models.CharField(max_length=120, blank=True)
    asked_at = models.DateTimeField()
    let_in_at = models.DateTimeField(null=True)
    ended_at = models.DateTimeField(null=True)
    seen_at = models.DateTimeField(null=True)
    wrong_pins = models.PositiveIntegerField(default=0)
    pin_again_at = models.DateTimeField(null=True)

    class Meta:
        ordering: ClassVar = ["id"]

    def __str__(self) -> str:
        return f"{self.name or self.words} ({self.status})"


class Owner(models.Model):
    """The owner's PIN, as a slow hash; one row, or none while no PIN is set."""

    pin = models.CharField(max_length=200)
    changed_at = models.DateTimeField()
    wrong_pins = models.PositiveIntegerField(default=0)
    """Wrong tries in a row at the farm computer itself; a phone's are kept with the phone."""
    pin_again_at = models.DateTimeField(null=True)

    def __str__(self) -> str:
        return "owner"


class LabelSetting(models.Model):
    """How the farm labels: one row."""

    size = models.CharField(max_length=10, default="4x3")
    dots_per_inch = models.PositiveSmallIntegerField(default=203)
    carrier = models.CharField(max_length=10, default="none")
    """Which code stands on a label: ``none``, ``store`` or ``gs1``."""
    pattern = models.CharField(max_length=20, default="2IIIIIVPPPPC")
    prefix = models.CharField(max_length=12, blank=True)
    """The farm's own licensed company prefix, where it has one."""

    def __str__(self) -> str:
        return "labels"


class ProductNumber(models.Model):
    """A product's numbers and price, where the farm has given it any."""

    name = models.CharField(max_length=60, unique=True)
    item = models.PositiveIntegerField(null=True)
    """The shop's own number for it."""
    base = models.CharField(max_length=12, blank=True)
    """Twelve digits of its article number, before the check digit."""
    price_per_lb = models.CharField(max_length=20, blank=True)

    class Meta:
        ordering: ClassVar = ["name"]

    def __str__(self) -> str:
        return self.name


class Bag(models.Model):
    """A kind of packaging, with its tare as weighed."""

    name = models.CharField(max_length=40, unique=True)
    weighed = models.JSONField(default=list)
    """Weights of empty, dry sets of packaging, as written."""
    tare_lb = models.CharField(max_length=20)
    active = models.BooleanField(default=True)

    class Meta:
        ordering: ClassVar = ["name"]

    def __str__(self) -> str:
        return self.name


class LabelClaim(models.Model):
    """A promise the farm prints, and the paper that shows it is true."""

    words = models.CharField(max_length=80)
    paper = models.CharField(max_length=160)
    on_file = models.DateField()
    until = models.DateField(null=True, blank=True)
    lot = models.CharField(max_length=20, blank=True)
    """The lot it is true of; empty for all."""
    active = models.BooleanField(default=True)

    class Meta:
        ordering: ClassVar = ["words", "id"]

    def __str__(self) -> str:
        return self.words


class ShopScale(models.Model):
    """A scale of the shop, and what it last sent."""

    name = models.CharField(max_length=40, unique=True)
    capacity_lb = models.CharField(max_length=20, default="30")
    division_lb = models.CharField(max_length=20, default="0.01")
    scale_class = models.CharField(max_length=4, default="III")
    test_lb = models.CharField(max_length=20, blank=True)
    seal = models.CharField(max_length=80, blank=True)
    """Whose seal it bears and until when, in the farm's words."""
    active = models.BooleanField(default=True)
    shown = models.CharField(max_length=30, blank=True)
    state = models.CharField(max_length=20, blank=True)
    shown_at = models.DateTimeField(null=True)
    stable = models.CharField(max_length=30, blank=True)
    """The newest weight that stood still."""
    stable_id = models.CharField(max_length=40, blank=True)
    """Its own id, so that it is taken once."""

    class Meta:
        ordering: ClassVar = ["id"]

    def __str__(self) -> str:
        return self.name


class Season(models.Model):
    """A season the family plans: what was asked, as it was last written."""

    name = models.CharField(max_length=80)
    from_on = models.DateField()
    until_on = models.DateField()
    request = models.JSONField()
    """The mapping as written, faults and all; what a plan was worked out from stands with it."""
    taken = models.JSONField(default=dict)
    """What was taken from a plan into the records: lots by kind and hatch, days by date."""
    created_at = models.DateTimeField()

    class Meta:
        ordering: ClassVar = ["-created_at", "-id"]

    def __str__(self) -> str:
        return self.name


class SeasonVersion(models.Model):
    """One working out of a season. A replan adds one; older ones stay readable."""

    class Status(models.TextChoices):
        WAITING = "waiting"
        WORKING = "working"
        DONE = "done"
        FAILED = "failed"

    season = models.ForeignKey(Season, on_delete=models.PROTECT, related_name="versions")
    number = models.PositiveIntegerField()
    status = models.CharField(max_length=10, choices=Status.choices, default=Status.WAITING)
    asked_on = models.DateField()
    """The farm's date it was worked out for; nothing before it could be changed."""
    request = models.JSONField()
    replans = models.PositiveIntegerField(null=True)
    """The version this one is held to; empty for a plan from scratch."""
    plan = models.TextField(blank=True)
    """The plan as JSON text, as it was worked out."""
    trouble = models.TextField(blank=True)
    """Why it could not be worked out, in words."""
    worker = models.CharField(max_length=40, blank=True)
    """Which run of the program is at it; with that gone, it will never be finished."""
    program = models.CharField(max_length=40, blank=True)
    asked_at = models.DateTimeField()
    finished_at = models.DateTimeField(null=True)

    class Meta:
        ordering: ClassVar = ["season", "-number"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["season", "number"], name="season_version_once")
        ]

    def __str__(self) -> str:
        return f"{self.season_id}/{self.number} ({self.status})"


class Pack(models.Model):
    """How a package stands: worked out from the journal, never written by hand."""

    package = models.CharField(max_length=40, primary_key=True)
    """Id of the journal entry that weighed it."""
    seq = models.PositiveBigIntegerField()
    day = models.ForeignKey(Day, on_delete=models.PROTECT, related_name="packs")
    number = models.PositiveIntegerField()
    product = models.CharField(max_length=80)
    net_lb = models.CharField(max_length=12)
    price_per_lb = models.CharField(max_length=12, blank=True)
    total = models.CharField(max_length=12, blank=True)
    birds = models.PositiveIntegerField(default=1)
    lot = models.CharField(max_length=40)
    tank = models.CharField(max_length=40, blank=True)
    lot_code = models.CharField(max_length=500)
    packed_on = models.DateField()
    state = models.CharField(max_length=10, default="stock")
    place = models.CharField(max_length=40, blank=True)
    order = models.CharField(max_length=20, blank=True)
    sale = models.CharField(max_length=40, blank=True)
    held = models.CharField(max_length=400, blank=True)
    void = models.BooleanField(default=False)
    """Taken back at the scale: it was never a package."""

    class Meta:
        ordering: ClassVar = ["packed_on", "seq"]
        indexes: ClassVar = [
            models.Index(fields=["state", "place"], name="pack_state_place"),
            models.Index(fields=["lot_code"], name="pack_lot_code"),
            models.Index(fields=["sale"], name="pack_sale"),
            models.Index(fields=["order"], name="pack_order"),
        ]

    def __str__(self) -> str:
        return f"{self.lot_code} {self.number}"


class PackSource(models.Model):
    """Which flock and which chill batch a package came from; parts may come from several."""

    package = models.CharField(max_length=40)
    day = models.ForeignKey(Day, on_delete=models.PROTECT, related_name="+")
    lot = models.CharField(max_length=40)
    tank = models.CharField(max_length=40, blank=True)

    class Meta:
        ordering: ClassVar = ["id"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["package", "lot", "tank"], name="pack_source_once")
        ]
        indexes: ClassVar = [models.Index(fields=["lot"], name="pack_source_lot")]

    def __str__(self) -> str:
        return f"{self.package} {self.lot} {self.tank}"


class PackEvent(models.Model):
    """Which journal entries are about which package: worked out from the journal."""

    package = models.CharField(max_length=40)
    seq = models.PositiveBigIntegerField()

    class Meta:
        ordering: ClassVar = ["seq"]
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["package", "seq"], name="pack_event_once")
        ]

    def __str__(self) -> str:
        return f"{self.package} {self.seq}"


class WorkedOut(models.Model):
    """Up to which journal entry something has been worked out."""

    name = models.CharField(max_length=20, primary_key=True)
    seq = models.PositiveBigIntegerField(default=0)

    def __str__(self) -> str:
        return f"{self.name} {self.seq}"


class Place(models.Model):
    """Where packages are kept: a freezer, a refrigerator, a shelf or a box in one."""

    name = models.CharField(max_length=40, unique=True)
    kind = models.CharField(max_length=20, default="freezer")
    inside = models.CharField(max_length=40, blank=True)
    """The place it is in; empty for one that stands alone."""
    volume = models.CharField(max_length=20, blank=True)
    """Room inside as it was written, with its unit."""
    active = models.BooleanField(default=True)

    class Meta:
        ordering: ClassVar = ["name"]

    def __str__(self) -> str:
        return self.name


class Customer(models.Model):
    """Somebody who buys."""

    name = models.CharField(max_length=80)
    address = models.CharField(max_length=200, blank=True)
    phone = models.CharField(max_length=40, blank=True)
    kind = models.CharField(max_length=20, default="household")
    note = models.CharField(max_length=200, blank=True)
    active = models.BooleanField(default=True)

    class Meta:
        ordering: ClassVar = ["name", "id"]

    def __str__(self) -> str:
        return self.name


class CustomerOrder(models.Model):
    """What a customer asked for."""

    class Status(models.TextChoices):
        OPEN = "open"
        PICKED_UP = "picked up"
        CANCELLED = "cancelled"

    customer = models.ForeignKey(Customer, on_delete=models.PROTECT, related_name="orders")
    status = models.CharField(max_length=10, choices=Status.choices, default=Status.OPEN)
    placed_at = models.DateTimeField()
    pickup_on = models.DateField()
    pickup_from = models.TimeField(null=True, blank=True)
    pickup_until = models.TimeField(null=True, blank=True)
    venue = models.CharField(max_length=20, default="farm")
    wishes = models.JSONField(default=list)
    """One for each bird: product, weights as written, giblets, a package pinned by hand."""
    occasion = models.CharField(max_length=40, blank=True)
    every_weeks = models.PositiveSmallIntegerField(default=0)
    """A standing order comes again after so many weeks; 0 is for once."""
    note = models.CharField(max_length=200, blank=True)
    version = models.PositiveIntegerField(default=1)

    class Meta:
        ordering: ClassVar = ["pickup_on", "placed_at", "id"]
        indexes: ClassVar = [models.Index(fields=["status", "pickup_on"], name="order_status")]

    def __str__(self) -> str:
        return f"{self.pk}: {self.customer_id}"


class Proof(models.Model):
    """A photo or a paper that shows something was done, byte for byte, each kept once."""

    APPEND_ONLY: ClassVar = True

    sha256 = models.CharField(max_length=64, unique=True)
    kind = models.CharField(max_length=20)
    """What the bytes are: one of ``records.proofs.KINDS``, found by looking at them."""
    name = models.CharField(max_length=120)
    """What it was called where it came from; words for people, never a path."""
    raw = models.BinaryField()
    who = models.CharField(max_length=40, blank=True)
    received_at = models.DateTimeField()

    class Meta:
        ordering: ClassVar = ["id"]

    def __str__(self) -> str:
        return self.name


class Personal(models.Model):
    """What a line of the journal says about a customer, apart from it, so that it can be erased.

    The line holds the SHA-256 of salt and text. The database lets nobody change or delete a row;
    the one thing it allows is to empty salt and text together.
    """

    ERASE_ONLY: ClassVar = ("salt", "text")

    key = models.CharField(max_length=32, primary_key=True)
    customer = models.ForeignKey(
        Customer, null=True, on_delete=models.PROTECT, related_name="personal"
    )
    salt = models.CharField(max_length=32, blank=True)
    text = models.TextField(blank=True)
    """Name and address as JSON text; empty once it was erased."""
    erased_on = models.DateField(null=True)

    class Meta:
        ordering: ClassVar = ["key"]

    def __str__(self) -> str:
        return self.key


class VisitCode(models.Model):
    """A code that lets a visitor read the inspection's pages for a while; kept as a slow hash."""

    code_hash = models.CharField(max_length=200)
    label = models.CharField(max_length=60, blank=True)
    made_at = models.DateTimeField()
    until = models.DateTimeField()
    ended_at = models.DateTimeField(null=True)
    wrong_tries = models.PositiveIntegerField(default=0)
    again_at = models.DateTimeField(null=True)

    class Meta:
        ordering: ClassVar = ["-id"]

    def __str__(self) -> str:
        return f"{self.pk} until {self.until}"
