"""What a large ``readings.csv`` costs: a rehearsal whose second checkpoint was read again and again, and each command.

``python -m benchmarks.large_file PANEL [--megabytes 200] [--tree DIR]``: PANEL is a rehearsal's ``harbour-desk``; it is
copied. Every reading of the copy is taken as often as the size asks for, one after the other in the same showing, a
second apart; places, patches and values stay, and each value has a little noise of its own. Prints how many readings
that are, and seconds and peak memory of ``compare``, ``check`` and ``report``. Wanted of ``compare`` at 200 MB: 10 s
and 500 MB.
"""

from __future__ import annotations

import argparse
import csv
import json
import os
import random
import shutil
import subprocess
import tempfile
import time
from collections.abc import Iterator
from datetime import datetime, timedelta
from pathlib import Path

HERE = Path(__file__).parents[1]
NOISE = 0.0005
"""Standard deviation of what each reading adds of its own, as a share; x and y stay, as X, Y, Z keep their ratios."""
DIGITS = 7
"""Of the values, as the rehearsal's probe sends them."""
SEALED = ("digests_at_close", "closed_utc", "record_sha256", "readings")


def read_again(rows: list[dict[str, str]], times: int) -> Iterator[dict[str, str]]:
    """Yield every row so many times, in an evening stretched accordingly."""
    rng = random.Random(1)
    began, first_s = datetime.fromisoformat(rows[0]["time_utc"]), float(rows[0]["monotonic_s"])
    number = 0
    for row in rows:
        for repeat in range(times):
            number += 1
            at_s = round((float(row["monotonic_s"]) - first_s) * times + repeat, 3)
            moment = (began + timedelta(seconds=at_s)).isoformat(timespec="milliseconds").replace("+00:00", "Z")
            share = rng.gauss(1.0, NOISE)
            values = {name: row[name] and f"{share * float(row[name]):.{DIGITS}g}" for name in COLOURS}
            counted = str((int(row["repeat"]) - 1) * times + repeat + 1)
            yield (
                row
                | values
                | {"row": str(number), "time_utc": moment, "monotonic_s": repr(first_s + at_s), "repeat": counted}
            )


COLOURS = ("X_cd_m2", "Y_cd_m2", "Z_cd_m2")


def enlarged(panel: Path, megabytes: float, into: Path) -> tuple[Path, int]:
    """Copy a panel's first two checkpoints, the second enlarged and both open; returns the copy and its readings."""
    copy = into / panel.name
    shutil.copytree(panel, copy)
    kept, rest = sorted((copy / "checkpoints").iterdir())[:2], sorted((copy / "checkpoints").iterdir())[2:]
    for folder in rest:
        shutil.rmtree(folder)
    for folder in kept:
        record = json.loads((folder / "checkpoint.json").read_text(encoding="utf-8"))
        record = {key: value for key, value in record.items() if key not in SEALED} | {"status": "open"}
        (folder / "checkpoint.json").write_text(json.dumps(record), encoding="utf-8")
    path = kept[1] / "readings.csv"
    times = max(round(megabytes * 1e6 / path.stat().st_size), 1)
    with path.open(newline="", encoding="utf-8") as file:
        rows = [*csv.DictReader(file)]
    with path.open("w", newline="", encoding="utf-8") as file:
        writer = csv.DictWriter(file, rows[0].keys(), lineterminator="\r\n")
        writer.writeheader()
        writer.writerows(read_again(rows, times))
    return copy, len(rows) * times


def cost(words: list[str]) -> tuple[float, float, int, int]:
    """Return wall s, processor s, peak resident MB and exit code of a command, of its own alone."""
    began = time.perf_counter()
    process = subprocess.Popen(words, stdout=subprocess.DEVNULL)
    _, status, used = os.wait4(process.pid, 0)
    process.returncode = os.waitstatus_to_exitcode(status)
    wall = time.perf_counter() - began
    return wall, used.ru_utime + used.ru_stime, round(used.ru_maxrss / 1024), process.returncode


def main() -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("panel", type=Path)
    parser.add_argument("--megabytes", type=float, default=200.0)
    parser.add_argument("--tree", type=Path, default=HERE, help="another checkout, with the Python of its .venv")
    asked = parser.parse_args()
    command = str(asked.tree / ".venv/bin/panelwear")
    with tempfile.TemporaryDirectory() as made:
        panel, readings = enlarged(asked.panel, asked.megabytes, Path(made))
        print(f"{asked.megabytes:g} MB, {readings} readings")
        print(f"{'command':<10}{'wall':>9}{'processor':>12}{'peak':>9}  exit code")
        for name, more in (("compare", []), ("check", []), ("report", ["--out", str(Path(made) / "report.html")])):
            wall, busy, peak, code = cost([command, name, str(panel), *more])
            print(f"{name:<10}{wall:>7.1f} s{busy:>10.1f} s{peak:>6} MB{code:>11}", flush=True)


if __name__ == "__main__":
    main()
