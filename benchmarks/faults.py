"""Break everything that can break round an inspection, and print one table of what was lost by it.

``python -m benchmarks.faults [--quick] [--only NAME]``; NAME: kills, storage, serial, fuzz, popups, unplug, flashes.
Every figure is counted from something that was run, by a judge that ``tests/benchmarks/test_faults.py`` shows to find
fault; a dash stands where a row judges nothing of the kind. It needs what the tests need (``pip install -e ".[test]"``,
Xvfb, xdotool, ImageMagick), two monitors also Xorg's dummy driver and root; a row that cannot be run here says so, and
counts as wrong. Exit code 1 when anything is wrong.

lost: readings stored or owed that are not there. mispaired: readings believed with another patch's light. overwritten:
files of other people or of sealed checkpoints that changed. stuck: did not end, or no way on. tracebacks: no sentence.
dazzling: more than three flashes in a second of any region above 0.002 of the screen.
"""

from __future__ import annotations

import argparse
import shutil
import sys
import tempfile
from collections.abc import Callable, Iterator
from functools import partial
from pathlib import Path

from benchmarks import flashes, fuzz, serial_schedules
from benchmarks.support import fault_screen, fault_storage
from benchmarks.support.fault_counts import HEAD, Counts, line
from benchmarks.support.fault_stand import FaultStand
from probe_io.simulated.schedule import Tally

READINGS = 24
"""Readings of one serial schedule."""
NAMES = ("kills", "storage", "serial", "fuzz", "popups", "unplug", "flashes")
TOOLS = {
    "popups": ("Xvfb", "xdotool"),
    "unplug": ("Xorg", "xrandr", "xdotool"),
    "flashes": ("Xvfb", "xdotool"),
}
RowOf = tuple[str, str, Callable[[], Counts]]


def of_schedules(found: Tally, schedules: int) -> Counts:
    """Judge what schedules of line faults led to: a reading that failed was said to have, any other is lost."""
    lost = schedules * READINGS - found.right - found.failed - found.mispaired
    return Counts(tries=schedules, lost=lost, mispaired=found.mispaired)


def of_fuzz(found: fuzz.Fuzzed) -> Counts:
    """Judge how damaged files ended."""
    return Counts(tries=sum(found.ends.values()), tracebacks=len(found.faults))


def of_eye(eye: flashes.Eye) -> Counts:
    """Judge what was seen of a screen; one that was looked at too seldom counts as dazzling."""
    unseen = eye.rate_hz < flashes.LEAST_RATE_HZ or eye.shown < eye.wanted
    dazzling = eye.counter.worst > flashes.MOST or unseen
    return Counts(tries=1, stuck=int(not eye.in_time), tracebacks=int(eye.traceback), dazzling=int(dazzling))


def serial(schedules: int) -> Counts:
    """Try schedules of line faults with every instrument."""
    names = serial_schedules.instruments()
    each = (of_schedules(serial_schedules.tally(name, schedules), schedules) for name in names)
    return sum(each, Counts())


def fuzzed(tries: int, seed: int) -> Counts:
    """Check damaged files."""
    with tempfile.TemporaryDirectory() as folder:
        return of_fuzz(fuzz.fuzz(tries, seed, Path(folder)))


def flashed(cases: int | None, seconds: float) -> Counts:
    """Watch every command that opens a screen with its keys mashed."""
    found = Counts()
    for case in flashes.CASES[:cases]:
        eye = flashes.seen(case, seconds)
        found += of_eye(eye)
        if eye.is_wrong:
            print(f"{case.name}: {eye.told}", file=sys.stderr, flush=True)
    return found


def rows(quick: bool, seed: int, stand: FaultStand) -> Iterator[RowOf]:
    """Yield every row: group, what, and how it is counted."""
    yield from fault_storage.rows(stand, quick, seed)
    yield "serial", "answers late, lost, doubled, torn, cut off", partial(serial, 50 if quick else 2000)
    yield "fuzz", "damaged files of every kind", partial(fuzzed, 300 if quick else 20_000, seed)
    yield from fault_screen.rows(quick, seed)
    yield "flashes", "flashes with keys mashed", partial(flashed, 2 if quick else None, 4.0 if quick else 8.0)


def missing(group: str) -> str:
    """Name what a row needs and this machine has not."""
    return ", ".join(tool for tool in TOOLS.get(group, ()) if shutil.which(tool) is None)


def main() -> int:
    """Print the table; 1 when anything in it is wrong or could not be run."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--quick", action="store_true", help="small counts, some minutes")
    parser.add_argument("--only", action="append", choices=NAMES, help="only these rows; may be repeated")
    parser.add_argument("--seed", type=int, default=1)
    asked = parser.parse_args()
    wrong = False
    print(HEAD, flush=True)
    with tempfile.TemporaryDirectory() as place:
        for group, what, count in rows(asked.quick, asked.seed, FaultStand.made(Path(place))):
            if asked.only and group not in asked.only:
                continue
            if missing(group):
                print(f"{what}: not run, {missing(group)} is not installed here", flush=True)
                wrong = True
                continue
            found = count()
            wrong |= found.wrong > 0
            print(line(what, found), flush=True)
    return int(wrong)


if __name__ == "__main__":
    sys.exit(main())
