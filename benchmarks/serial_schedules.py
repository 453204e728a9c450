"""Read patches that all differ through schedules of line faults, and count readings with another patch's light.

``python -m benchmarks.serial_schedules [--schedules 2000] [--share 0.25]``: every answer, also that to the question for
the name, meets with a fault by this chance: late by up to 13 s, lost, doubled, torn, glued to the next one, echoed, or
the plug pulled.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Callable

import numpy as np

from probe_io import instrument_file
from probe_io.instrument import Instrument
from probe_io.simulated.dialects import DIALECTS, Dialect, LightSource
from probe_io.simulated.faults import FaultPlan
from probe_io.simulated.schedule import FATES, Fate, Tally, tally_of

ANSWERS = 60
BY_CONTROL = "known patches"
LATEST_S = (0.05, 0.3, 1.0, 2.0, 4.0, 6.0, 13.0)

Speaker = Callable[[LightSource, FaultPlan], Dialect]


def instruments() -> dict[str, tuple[Instrument, Speaker]]:
    """Return both shipped instruments, and the plain one without its question to find the step by, twice.

    The last is read as an inspection reads it: after a missing answer known patches come first.
    """
    plain = (instrument_file.SHIPPED / "plain-lines.toml").read_text(encoding="utf-8")
    without = plain[: plain.index("[resync]")].encode()
    return {
        "scpi-colorimeter": (instrument_file.find("scpi-colorimeter"), DIALECTS["scpi-colorimeter"]),
        "plain-lines": (instrument_file.find("plain-lines"), DIALECTS["plain-lines"]),
        "no resync question": (instrument_file.parse(without, "plain-lines"), DIALECTS["plain-lines"]),
        BY_CONTROL: (instrument_file.parse(without, "plain-lines"), DIALECTS["plain-lines"]),
    }


def fates(seed: int, share: float) -> list[Fate]:
    """Draw what becomes of each answer."""
    rng = np.random.default_rng((seed, 31))
    kinds = [str(rng.choice(FATES)) if rng.random() < share else "as it is" for _ in range(ANSWERS)]
    return [Fate(kind, float(rng.choice(LATEST_S) * rng.random())) for kind in kinds]


def tally(name: str, schedules: int, share: float = 0.25, first: int = 0) -> Tally:
    """Add up what many schedules led to."""
    instrument, speaker = instruments()[name]
    control = name == BY_CONTROL
    seeds = range(first, first + schedules)
    found = [tally_of(instrument, speaker, fates(seed, share), by_control=control) for seed in seeds]
    return Tally(*(sum(getattr(one, part) for one in found) for part in ("right", "failed", "mispaired")))


def main() -> int:
    """Print a line an instrument."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--schedules", type=int, default=2000)
    parser.add_argument("--share", type=float, default=0.25)
    asked = parser.parse_args()
    print(f"{asked.schedules} schedules an instrument, 24 readings each; a fault in {asked.share:.0%} of the answers")
    print(f"{'instrument':24}{'right':>9}{'failed, said':>14}{'mispaired':>11}")
    for name in instruments():
        found = tally(name, asked.schedules, asked.share)
        print(f"{name:24}{found.right:9}{found.failed:14}{found.mispaired:11}")
    return 0


if __name__ == "__main__":
    sys.exit(main())
