"""Five hundred labels with codes of their own, against typesetting the same words as plain text.

Run: python benchmarks/label_printing.py
"""

import datetime as dt
import time
from decimal import Decimal

import typst

from pinfeather.packs.bag_code import CodeSettings, package_code
from pinfeather.packs.price import total_price
from pinfeather.reports.labels import (
    ICONS,
    LabelSheetItem,
    SafeHandling,
    SafeHandlingLine,
    labels_pdf,
    trace_text,
)
from pinfeather.rules.label import label_elements
from pinfeather.rules.profile import load

LABELS = 500
WANTED_S = 2.0
DAY = dt.date(2026, 9, 12)
AT = dt.datetime(2026, 9, 12, 12, tzinfo=dt.UTC)


def made(carrier: str) -> list[LabelSheetItem]:
    """One day's packages, each with its own weight, price and code."""
    block = label_elements(load("us-federal"), "producer_20000").safe_handling
    safe = SafeHandling(
        block.heading.text,
        block.rationale.text,
        tuple(SafeHandlingLine(i, s.text) for i, s in zip(ICONS, block.statements, strict=True)),
    )
    items = []
    for number in range(1, LABELS + 1):
        net = Decimal(300 + number) / 100
        total = total_price(net, Decimal("5.25"))
        lot = f"2026-09-12 B{number % 4} T{number % 2 + 1}"
        code = package_code(
            CodeSettings(carrier), item=101, base="952012345678", net_lb=net, total=total,
            packed_on=DAY, lot=lot.replace(" ", "-"), serial=number,
        )  # fmt: skip
        items.append(
            LabelSheetItem(
                "Whole chicken", net, DAY, lot, "Juniper Hollow Farm",
                ("418 Cold Spring Lane", "Millbrook Falls, VT 05999"), "Keep Refrigerated",
                Decimal("5.25"), total, safe, "Exempted—P.L. 90-492",
                trace=trace_text(lot=lot, packed_on=DAY, farm="Juniper Hollow Farm"), code=code,
            )
        )  # fmt: skip
    return items


def plain_s(items: list[LabelSheetItem]) -> float:
    """Seconds for the same words, one label to a page, without layout or codes."""
    words = "#set page(width: 4in, height: 3in)\n#set text(size: 6pt)\n" + "#pagebreak()\n".join(
        f"#raw({label.product + label.lot + str(label.net_weight_lb)!r:s})\n".replace("'", '"')
        for label in items
    )
    begin = time.perf_counter()
    typst.compile(words.encode(), format="pdf", ignore_system_fonts=True)
    return time.perf_counter() - begin


def main() -> None:
    """Print the times, and the ratio to plain text in the same run."""
    for carrier in ("none", "store", "gs1"):
        items = made(carrier)
        labels_pdf(items[:5], "4x3", printed_at=AT)
        reference_s = min(plain_s(items) for _ in range(2))
        for size in ("4x3", "4x6"):
            begin, busy = time.perf_counter(), time.process_time()
            pdf = labels_pdf(items, size, printed_at=AT)
            took_s, busy_s = time.perf_counter() - begin, time.process_time() - busy
            print(
                f"{LABELS} labels {size}, code {carrier}: {took_s:.2f} s, "
                f"{busy_s:.2f} s of processor "
                f"({took_s / reference_s:.1f} times plain text, {len(pdf) // 1024} KiB); "
                f"wanted under {WANTED_S:.0f} s"
            )


if __name__ == "__main__":
    main()
