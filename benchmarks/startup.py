"""Time to start: ``panelwear --version`` and ``--help`` beside a Python that does nothing. Prints a table."""

from __future__ import annotations

import statistics
import subprocess
import sys
import time
from pathlib import Path

ROUNDS = 15


def seconds(command: list[str]) -> float:
    began = time.perf_counter()
    subprocess.run(command, check=True, stdout=subprocess.DEVNULL)
    return time.perf_counter() - began


def main() -> None:
    program = str(Path(sys.executable).with_name("panelwear"))
    commands = {
        "python -c pass": [sys.executable, "-c", "pass"],
        "panelwear --version": [program, "--version"],
        "panelwear --help": [program, "--help"],
        "panelwear inspect --help": [program, "inspect", "--help"],
    }
    for command in commands.values():  # first runs write caches
        seconds(command)
    times: dict[str, list[float]] = {name: [] for name in commands}
    for _ in range(ROUNDS):  # in turns, so that a busy moment hits all alike
        for name, command in commands.items():
            times[name].append(seconds(command))
    base = statistics.median(times["python -c pass"])
    print(f"{'command':<28}{'median ms':>10}{'beside Python':>15}")
    for name, taken in times.items():
        median = statistics.median(taken)
        print(f"{name:<28}{median * 1000:>10.1f}{median / base:>14.2f}x")


if __name__ == "__main__":
    main()
