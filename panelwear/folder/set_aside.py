"""Checkpoints set aside: moved out of ``checkpoints/`` whole, with who, when and why; and put back the same way."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import asdict, dataclass, field
from datetime import datetime
from pathlib import Path
from typing import Any

from groundwork.tables import LOOSE, read
from panelwear.atomic import make_folder, refuse_links, write_json
from panelwear.errors import FileFault, StorageFault, UsageError
from panelwear.folder.checkpoint import CHECKPOINTS, folders_of, stamp
from panelwear.folder.files import load_json

FOLDER = "set-aside"
LOG = "set-aside.json"


@dataclass(frozen=True, slots=True)
class SetAside:
    """One checkpoint that was set aside."""

    checkpoint: str
    """Its name below ``checkpoints/``."""
    folder: str
    """Its name below ``set-aside/``; another one where that was taken."""
    utc: str
    why: str
    by: str = ""
    back_utc: str = ""
    """When it was put back; empty: it lies there."""

    def told(self) -> str:
        """Say it in a sentence without its full stop."""
        by = f" by {self.by}" if self.by else ""
        return f"{self.checkpoint}: set aside on {self.utc[:10]}{by}: {self.why.rstrip('.')}"


@dataclass(frozen=True, slots=True)
class _Log:
    set_aside: tuple[SetAside, ...] = field(metadata=LOOSE)


def checked_log(data: Any, file: str) -> tuple[SetAside, ...]:
    """Return what the log says, oldest first; else ``FileFault`` with every fault."""
    return read(_Log, {"set_aside": data}, file, FileFault, unknown_too=False).set_aside


def log_of(panel_dir: Path) -> tuple[SetAside, ...]:
    """Return all that was ever set aside, oldest first; ``FileFault`` when the log was damaged."""
    path = panel_dir / FOLDER / LOG
    return checked_log(load_json(path), LOG) if path.exists() else ()


def lying_there(panel_dir: Path) -> tuple[SetAside, ...]:
    """Return what is set aside now."""
    newest = {one.folder: one for one in log_of(panel_dir)}  # a killed move left a note that the next one repeats
    return tuple(one for one in newest.values() if not one.back_utc and (panel_dir / FOLDER / one.folder).is_dir())


def discard(panel_dir: Path, name: str, *, why: str, by: str, now: datetime) -> SetAside:
    """Move a checkpoint, also one that cannot be read, to ``set-aside/``; nothing in it is touched.

    Raises:
        UsageError: there is no such checkpoint.
        StorageFault: it cannot be moved; then it stays where it is.
    """
    if name not in {folder.name for folder in folders_of(panel_dir)}:
        there = ", ".join(folder.name for folder in folders_of(panel_dir)) or "none"
        raise UsageError(f"{panel_dir}: has no checkpoint '{name}'; there are {there}")
    log = log_of(panel_dir)
    aside = panel_dir / FOLDER
    entry = SetAside(name, next(free for free in _names(name) if not (aside / free).exists()), stamp(now), why, by)
    refuse_links(panel_dir / CHECKPOINTS)
    make_folder(aside)
    # Noted before it is moved: a killed run leaves a note too many, never a move that nobody can explain.
    _write(panel_dir, (*log, entry))
    _moved(panel_dir / CHECKPOINTS / name, aside / entry.folder)
    return entry


def put_back(panel_dir: Path, name: str, now: datetime) -> SetAside:
    """Move a checkpoint that was set aside back; the newest, where one was set aside more than once.

    Raises:
        UsageError: there is none, or its place is taken.
        StorageFault: it cannot be moved; then it stays where it is.
    """
    there = [one for one in lying_there(panel_dir) if name in (one.checkpoint, one.folder)]
    if not there:
        listed = ", ".join(one.checkpoint for one in lying_there(panel_dir)) or "nothing"
        raise UsageError(f"'{name}' is not set aside; {listed} is")
    found = there[-1]
    place = panel_dir / CHECKPOINTS / found.checkpoint
    if place.exists():
        raise UsageError(f"{place}: is there already; set that one aside first")
    make_folder(place.parent)
    _moved(panel_dir / FOLDER / found.folder, place)
    back = SetAside(**{**asdict(found), "back_utc": stamp(now)})
    _write(panel_dir, tuple(back if one == found else one for one in log_of(panel_dir)))
    return back


def _names(name: str) -> Iterator[str]:
    yield name
    number = 2
    while True:
        yield f"{name}-{number}"
        number += 1


def _moved(source: Path, target: Path) -> None:
    refuse_links(target)
    try:
        source.rename(target)
    except OSError as error:
        raise StorageFault(f"{source}: cannot be moved to {target} ({error.strerror}); it stays") from None


def _write(panel_dir: Path, log: tuple[SetAside, ...]) -> None:
    write_json(panel_dir / FOLDER / LOG, [asdict(one) for one in log])
