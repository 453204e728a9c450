"""Kills and storage faults: an inspection of fakes, in a child, on real files, each try resumed and judged."""

from __future__ import annotations

import os
import random
import subprocess
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import replace
from functools import partial
from pathlib import Path

from benchmarks.support.broken_calls import WAYS, Breaker
from benchmarks.support.fault_counts import Counts
from benchmarks.support.fault_stand import PATIENCE_S, Ended, FaultStand, begin, in_child, judged, open_folders
from panelwear.errors import FileFault, StorageFault

KILLED = -9
STORAGE = StorageFault.exit_code


def calls_of_a_run(stand: FaultStand) -> int:
    """Count the file-system calls of an undisturbed run."""
    told = stand.place / "calls"
    breaker = Breaker()

    def action() -> None:
        begin(folder)
        told.write_text(str(breaker.count), encoding="ascii")

    folder = stand.copy()
    if in_child(action, breaker.install).code != 0:
        raise RuntimeError("an undisturbed run failed")
    return int(told.read_text(encoding="ascii"))


def at_every_call(stand: FaultStand, ways: tuple[str, ...], every: int) -> Counts:
    """Break every call, or each ``every``-th one, of a run in each of some ways."""
    found = Counts()
    # A record that may not be read is told among the faults of all files.
    expected = (KILLED,) if ways[0].startswith("kill") else (STORAGE, FileFault.exit_code)
    for way in ways:
        for at in range(1, calls_of_a_run(stand) + 1, every):
            folder = stand.copy()
            first = in_child(partial(begin, folder), Breaker(way, at).install)
            if first.code != 0 or not way.startswith("kill"):  # else the call was no write: nothing was killed
                found += judged(stand, folder, first, expected)
    return found


def at_random(stand: FaultStand, tries: int, seed: int) -> Counts:
    """Kill a run from outside, at any moment of it."""
    began_s = time.monotonic()
    in_child(partial(begin, stand.copy()))
    lasts_s, draw, found = time.monotonic() - began_s, random.Random(seed), Counts()
    for _ in range(tries):
        folder = stand.copy()
        first = in_child(partial(begin, folder), kill_s=draw.uniform(0.0005, lasts_s))
        found += judged(stand, folder, first, (KILLED,))
    return found


def _renamed(path: Path) -> None:
    other = path.with_name("saved")
    other.write_bytes(b"".join(path.read_bytes().splitlines(keepends=True)[:3]))
    other.replace(path)


def _shortened(path: Path) -> None:
    os.truncate(path, path.stat().st_size // 2)


def _added_to(path: Path) -> None:
    with path.open("ab") as file:
        file.write(b"1,2,3\r\n")


MEDDLING: tuple[Callable[[Path], None], ...] = (_renamed, Path.unlink, _shortened, _added_to)
"""What another program does to ``readings.csv``: saves by renaming, deletes, cuts, adds."""


def meddled(stand: FaultStand, every: int) -> Counts:
    """Let another program take ``readings.csv`` away before each reading; the kept file is put back, as is said."""
    found = Counts()
    for meddle in MEDDLING:
        for at in range(2, len(stand.whole) + 1, every):
            folder = stand.copy()
            first = in_child(partial(begin, folder, partial(_before, folder, meddle, at)))
            found += judged(stand, folder, first, (STORAGE,), ready=put_back(folder, first))
    return found


def _before(folder: Path, meddle: Callable[[Path], None], at: int, count: int) -> None:
    if count == at:
        meddle(open_folders(folder)[0] / "readings.csv")


def put_back(folder: Path, first: Ended) -> bool:
    """Do what the sentence asks for; false where the run did not stop, or kept nothing."""
    kept = [path for one in open_folders(folder) for path in one.glob("readings.kept-*.csv")]
    if first.code != STORAGE or len(kept) != 1:
        return False
    kept[0].replace(kept[0].with_name("readings.csv"))
    return True


@contextmanager
def small_disk(place: Path, kilobytes: int) -> Iterator[Path]:
    """Mount a file system in memory that is soon full; needs root."""
    place.mkdir(exist_ok=True)
    subprocess.run(["mount", "-t", "tmpfs", "-o", f"size={kilobytes}k", "none", str(place)], check=True)
    try:
        yield place
    finally:
        subprocess.run(["umount", "-l", str(place)], check=True, timeout=PATIENCE_S)


def can_mount() -> bool:
    """Tell whether small file systems can be mounted here."""
    return os.name == "posix" and os.geteuid() == 0


def really_full(stand: FaultStand, every: int) -> Counts:
    """Run on small file systems that are full at another moment each; more room is made, and it is gone on with."""
    size = sum(path.stat().st_size // 4096 + 1 for path in stand.template.rglob("*")) * 4
    found = Counts()
    for more in range(4, 84, 4 * every):
        with small_disk(stand.place / "disk", size + more) as disk:
            there = replace(stand, place=disk)
            folder = there.copy()
            first = in_child(partial(begin, folder))
            words = ["mount", "-o", "remount,size=16m", str(disk)]
            subprocess.run(words, check=True, timeout=PATIENCE_S)
            found += judged(there, folder, first, (STORAGE,))
    return found


def rows(stand: FaultStand, quick: bool, seed: int) -> Iterator[tuple[str, str, Callable[[], Counts]]]:
    """Yield the rows of kills and storage: group, what, and how it is counted."""
    every = 9 if quick else 1
    kills, faults = WAYS[:3], WAYS[3:]
    yield "kills", "killed at every file-system call", partial(at_every_call, stand, kills, every)
    yield "kills", "killed at random moments", partial(at_random, stand, 20 if quick else 300, seed)
    yield "storage", "disk full or no permission, at every call", partial(at_every_call, stand, faults, every)
    yield "storage", "readings.csv replaced, deleted, cut, added to", partial(meddled, stand, 5 if quick else 1)
    if can_mount():
        yield "storage", "a small disk that is really full", partial(really_full, stand, 5 if quick else 1)
