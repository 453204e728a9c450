"""Whether there is room on the disk for what a run will write, asked before its first question."""

from __future__ import annotations

import shutil
from pathlib import Path

from panelwear.errors import StorageFault

MARGIN_BYTES = 16_000_000
"""Left over on top of what a run is thought to write: retried readings, and what other programs write meanwhile."""
READING_BYTES = 500
"""One line of ``readings.csv``; the longest seen had 429."""
BESIDE_BYTES = 1_000_000
"""Record, sequence and metadata of a session, the record twice while it is written anew."""
MEGABYTE = 1_000_000


def bytes_of_run(readings: int, stored: int = 0) -> int:
    """Return how many bytes a session may write.

    Args:
        readings: how many the sequence will probably take.
        stored: bytes of ``readings.csv`` that are there already; what is read again is kept beside in a copy.
    """
    return readings * READING_BYTES + 2 * stored + BESIDE_BYTES


def free_bytes(directory: Path) -> int:
    """Return the bytes this person may still write where ``directory`` is, or will be made."""
    # A folder that is yet to be made lies on the disk of the first one above it that is there.
    there = next(path for path in (directory, *directory.absolute().parents) if path.exists())
    return shutil.disk_usage(there).free


def refuse_without_room(directory: Path, wanted_bytes: int) -> None:
    """Raise ``StorageFault`` where less is free than is wanted and a margin; nothing is written to find out."""
    try:
        free = free_bytes(directory)
    except OSError:
        return  # a file system that does not tell; a line that cannot be written is said then
    needed = wanted_bytes + MARGIN_BYTES
    if free < needed:
        raise StorageFault(
            f"{directory}: {free / MEGABYTE:.1f} MB are free on this disk, and this may write "
            f"{needed / MEGABYTE:.1f} MB ({MARGIN_BYTES / MEGABYTE:.0f} MB of it to spare); free some space and begin "
            "again: nothing was begun"
        )
