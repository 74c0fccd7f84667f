"""How fast a million logger rows are read and judged, against a plain loop over rows.

Run: python benchmarks/heat_logger.py [rows]
"""

import csv
import io
import resource
import sys
import time
from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import numpy as np

from pinfeather.heat.logger import Log, Mapping, judge, read_log

LIMIT_DEGC = (40 - 32) * 5 / 9
START = datetime(2026, 7, 14, 6, 0, tzinfo=UTC)


def made_up_file(rows: int) -> bytes:
    """Make a log of chill runs, one reading every 5 seconds, in Fahrenheit and local time."""
    rng = np.random.default_rng(7)
    seconds = 5 * np.arange(rows)
    cycle = seconds % 14400
    degC = 1.0 + 37.0 * np.exp(-cycle / 3000.0) + 0.1 * rng.standard_normal(rows)
    zone = ZoneInfo("America/Chicago")
    lines = ["Date/Time,Temp (F)"]
    first = START.astimezone(zone).replace(tzinfo=None)
    lines += [
        f"{first + timedelta(seconds=int(s)):%m/%d/%Y %H:%M:%S},{t * 1.8 + 32:.2f}"
        for s, t in zip(seconds, degC, strict=True)
    ]
    return "\n".join(lines).encode()


def plain(data: bytes) -> tuple[int, float]:
    """Read and judge row by row, as one would write it without arrays."""
    zone = ZoneInfo("America/Chicago")
    before, above, count = None, 0.0, 0
    for row in csv.DictReader(io.StringIO(data.decode())):
        local = datetime.strptime(row["Date/Time"], "%m/%d/%Y %H:%M:%S").replace(tzinfo=zone)
        moment = local.timestamp()
        degC = (float(row["Temp (F)"]) - 32) * 5 / 9
        over = degC - LIMIT_DEGC
        if before is not None:
            gap, last = moment - before[0], before[1]
            if last > 0 and over > 0:
                above += gap
            elif last > 0 or over > 0:
                above += gap * max(last, over) / (abs(last) + abs(over))
        before = (moment, over)
        count += 1
    return count, above


def main() -> None:
    rows = int(sys.argv[1]) if len(sys.argv) > 1 else 1_000_000
    data = made_up_file(rows)
    mapping = Mapping("Date/Time", "Temp (F)", "F", "America/Chicago")
    started = time.perf_counter()
    log: Log = read_log(data, mapping=mapping)
    read = time.perf_counter() - started
    judged = judge(log, limit_degC=LIMIT_DEGC)
    whole = time.perf_counter() - started
    peak_MB = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    part = b"\n".join(data.split(b"\n", 100_001)[:100_001])
    started = time.perf_counter()
    count, above = plain(part)
    loop = (time.perf_counter() - started) / count
    same = judge(read_log(part, mapping=mapping), limit_degC=LIMIT_DEGC).above_s
    print(f"{len(log.times_s):,} rows read in {read:.2f} s, judged in {whole - read:.3f} s")
    print(f"{len(log.times_s) / whole:,.0f} rows/s; plain loop {1 / loop:,.0f} rows/s")
    print(
        f"ratio {loop * len(log.times_s) / whole:.1f}; same answer within {abs(same - above):.1e} s"
    )
    print(f"peak memory with the file itself {peak_MB:.0f} MB; above limit {judged.above_s:.0f} s")


if __name__ == "__main__":
    main()
