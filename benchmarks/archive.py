"""Many panels: what ``compare --all`` and ``archive`` cost at 10, 100 and 1,000 panels, beside a script by hand.

``python -m benchmarks.archive [--panels 10,100,1000] [--root DIR] [--jobs N] [--only NAME]``: writes simulated panel
folders (six checkpoints of 300 readings each, all of it invented) below DIR, or a folder that is removed again, and
runs each command in a process of its own on so many of them. Wall and processor seconds are those of the command with
all its processes; ``together`` is the most memory they held at once, looked at five times a second, ``largest`` that of
one. The slope, ms a panel between one row and the row before, is given of wall and of processor. Wanted of
``compare --all`` on two cores: 1,000 panels in 60 s, 1 GB, and memory that does not grow with the panels. The script by
hand (``support/pandas_means.py``) takes means and ratios alone: no drift, no uncertainty, no verdict.
"""

from __future__ import annotations

import argparse
import os
import subprocess
import sys
import tempfile
import time
from dataclasses import dataclass
from pathlib import Path

from benchmarks.comparison_power import patches_for
from benchmarks.fast_panel.folders import HEIGHT, WIDTH, ZONES, plan_of_300, write_panel
from panelwear.simulation.usage import harbour_desk_zones

LOOK_EVERY_S = 0.2
BY_HAND = "pandas by hand"
NAMES = ("compare --all", "archive", BY_HAND)
HEAD = (
    f"{'command':<16}{'panels':>7}{'wall':>10}{'processor':>12}{'a panel':>11}{'processor':>12}{'together':>11}"
    f"{'largest':>10}  exit code"
)


@dataclass(frozen=True, slots=True)
class Cost:
    """Of one command with all its processes."""

    wall_s: float
    busy_s: float
    together_mb: float
    largest_mb: float
    exit_code: int


def cost_of(words: list[str]) -> Cost:
    """Run a command and say what it took."""
    began, most, largest = time.perf_counter(), 0.0, 0.0
    busy_s: dict[int, float] = {}
    process = subprocess.Popen(words, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    while process.poll() is None:
        family = _family(process.pid)
        held = [_memory_mb(pid) for pid in family]
        busy_s |= {pid: _busy_s(pid) or busy_s.get(pid, 0.0) for pid in family}
        most, largest = max(most, sum(held)), max(largest, *held, 0.0)
        time.sleep(LOOK_EVERY_S)
    return Cost(time.perf_counter() - began, sum(busy_s.values()), most, largest, process.returncode)


def _busy_s(pid: int) -> float:
    """Return the processor seconds of one process, without those it started; 0 where it is gone."""
    try:
        told = Path(f"/proc/{pid}/stat").read_text(encoding="ascii", errors="replace").rpartition(")")[2].split()
    except OSError:
        return 0.0
    return (int(told[11]) + int(told[12])) / os.sysconf("SC_CLK_TCK")


def _family(pid: int) -> list[int]:
    """Return a process and all it started."""
    parents: dict[int, list[int]] = {}
    for folder in Path("/proc").iterdir():
        if folder.name.isdigit():
            try:
                told = (folder / "stat").read_text(encoding="ascii", errors="replace").rpartition(")")[2].split()
            except OSError:
                continue
            parents.setdefault(int(told[1]), []).append(int(folder.name))
    found, waiting = [], [pid]
    while waiting:
        found.append(waiting.pop())
        waiting += parents.get(found[-1], [])
    return found


def _memory_mb(pid: int) -> float:
    """Return what a process holds for itself: what several share counts in parts (proportional set size)."""
    try:
        told = Path(f"/proc/{pid}/smaps_rollup").read_text(encoding="ascii")
    except OSError:
        return 0.0
    return next((int(line.split()[1]) / 1024 for line in told.splitlines() if line.startswith("Pss:")), 0.0)


def main() -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--panels", default="10,100,1000")
    parser.add_argument("--root", type=Path)
    parser.add_argument("--jobs", default=str(len(os.sched_getaffinity(0))))
    parser.add_argument("--only", choices=NAMES, action="append")
    asked = parser.parse_args()
    counts = [int(word) for word in asked.panels.split(",")]
    with tempfile.TemporaryDirectory() as made:
        root = asked.root or Path(made)
        _write(root, max(counts))
        load = " ".join(f"{value:.1f}" for value in os.getloadavg())
        print(f"{asked.jobs} processes; load of the machine before: {load} on {os.cpu_count()} cores")
        print(HEAD)
        for name in asked.only or NAMES:
            before: tuple[int, float, float] = (0, 0.0, 0.0)
            for count in counts:
                before = _row(name, count, root, asked.jobs, before)


def _row(name: str, count: int, root: Path, jobs: str, before: tuple[int, float, float]) -> tuple[int, float, float]:
    with tempfile.TemporaryDirectory(dir=root) as out:
        some = Path(out) / "some"
        some.mkdir()
        for seed in range(1, count + 1):  # hard links: no byte is copied
            _linked(root / "panels" / f"panel-{seed:04}", some / f"panel-{seed:04}")
        ours = [sys.executable, "-m", "panelwear", *name.split(), str(some), "--out", f"{out}/out", "--jobs", jobs]
        by_hand = [sys.executable, "-m", "benchmarks.support.pandas_means", str(some)]
        cost = cost_of(by_hand if name == BY_HAND else ours)
    more, wall, busy = count - before[0], cost.wall_s - before[1], cost.busy_s - before[2]
    print(
        f"{name:<16}{count:>7}{cost.wall_s:>8.1f} s{cost.busy_s:>10.1f} s{1000 * wall / more:>8.0f} ms"
        f"{1000 * busy / more:>9.0f} ms{cost.together_mb:>8.0f} MB{cost.largest_mb:>7.0f} MB{cost.exit_code:>11}",
        flush=True,
    )
    return count, cost.wall_s, cost.busy_s


def _linked(folder: Path, to: Path) -> None:
    for path in sorted(folder.rglob("*")):
        other = to / path.relative_to(folder)
        if path.is_dir():
            other.mkdir(parents=True, exist_ok=True)
        else:
            other.parent.mkdir(parents=True, exist_ok=True)
            os.link(path, other)


def _write(root: Path, count: int) -> None:
    zones = tuple(zone for zone in harbour_desk_zones(WIDTH, HEIGHT) if zone.name in ZONES)
    plan = plan_of_300(patches_for("checkpoint", zones))
    for seed in range(1, count + 1):
        folder = root / "panels" / f"panel-{seed:04}"
        if not folder.exists():
            write_panel(folder, plan, seed)


if __name__ == "__main__":
    main()
