"""What a row costs: formatted, written with one write, synced. Prints a table."""

from __future__ import annotations

import statistics
import tempfile
import time
from pathlib import Path

from panelwear.readings import records, store
from panelwear.readings.row import Row
from tests.panelwear.readings.rows import SOME_ROW

ROWS = 500


def main() -> None:
    with tempfile.TemporaryDirectory() as folder:
        times = []
        with store.Store(Path(folder) / "readings.csv", Row) as journal:
            for _ in range(ROWS):
                began = time.perf_counter()
                journal.append(SOME_ROW)
                times.append(time.perf_counter() - began)
    times.sort()
    print(f"{len(records.record_line(SOME_ROW))} bytes a row, {ROWS} rows on this disk")
    print(f"median {statistics.median(times) * 1e6:.0f} us, p95 {times[int(0.95 * ROWS)] * 1e6:.0f} us")


if __name__ == "__main__":
    main()
