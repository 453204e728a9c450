"""A folder that is made of many panels: known by its mark, with one small file a panel that says what was made of what.

A panel's file is written last, so what it says is there; what it does not say is made again.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path
from typing import Any
from urllib.parse import quote, unquote

from panelwear import __version__
from panelwear.atomic import (
    ARCHIVE,
    CHECKPOINT_FILES,
    COMPARISON,
    clean_left_over,
    make_folder,
    refuse_links,
    refuse_own_names,
    write_json,
)
from panelwear.errors import FileFault, StorageFault, UsageError
from panelwear.folder.files import load_json

MARKS = (ARCHIVE, COMPARISON)
FORMAT = "panelwear many panels 1"
PANELS = "panels"
COLUMNS = 2
"""Rises when tables get more columns: an entry of before is then not gone by, and its panel is read again."""
_COLUMNS = "columns_version"
SOFTWARE = f"panelwear {__version__}"
Entry = Mapping[str, Any]


@contextmanager
def opened(out: Path, mark: str) -> Iterator[None]:
    """Make a folder of many panels, or go on with one, and hold it.

    Raises:
        UsageError: something else is there.
        StorageFault: it cannot be made, or another run holds it.
    """
    from filelock import FileLock, Timeout

    refuse_foreign_folder(out, mark)
    make_folder(out / PANELS)
    if not (out / mark).exists():
        write_json(out / mark, {"format": FORMAT})
    lock = FileLock(out / "run.lock")
    try:
        lock.acquire(timeout=0)
    except Timeout:
        raise StorageFault(f"{out}: another panelwear run writes into this folder; end it first") from None
    except OSError as error:
        raise StorageFault(f"{out}: cannot be locked ({error.strerror})") from None
    try:
        clean_left_over(out)
        clean_left_over(out / PANELS)
        yield
    finally:
        lock.release()


def refuse_foreign_folder(out: Path, mark: str) -> None:
    """Raise ``UsageError`` where a folder holds what was not made here, or lies in a panel folder's checkpoint."""
    refuse_links(out)
    try:
        inside = [p for p in (out.resolve(), *out.resolve().parents) if any((p / n).exists() for n in CHECKPOINT_FILES)]
        if inside:
            raise UsageError(f"{out}: lies in a checkpoint, which is never written to; name another folder with --out")
        refuse_own_names(out)
        if out.is_symlink() or (out.exists() and not out.is_dir()):
            raise UsageError(f"{out}: is no plain folder; name another one with --out")
        there = sorted(p.name for p in out.iterdir()) if out.exists() else []
    except OSError as error:
        raise StorageFault(f"{out}: cannot be looked at ({error.strerror})") from None
    if there and mark not in there:
        raise UsageError(f"{out}: holds '{there[0]}', which no such run made; name another folder with --out")
    if there:
        data = load_json(out / mark)
        if not isinstance(data, dict) or data.get("format") != FORMAT:
            raise UsageError(f"{out / mark}: is of another version; name another folder with --out")


def as_name(key: str) -> str:
    """Return a panel's key as the name of a file or of a partition; every engine takes ``%2F`` back to a slash."""
    return quote(key, safe=" +,@")


def entry_path(out: Path, key: str) -> Path:
    """Return where the entry of a panel stands."""
    return out / PANELS / f"{as_name(key)}.json"


def is_of_now(entry: Entry) -> bool:
    """Tell whether an entry, and what was made with it, is as this version makes it."""
    return (entry.get("software"), entry.get(_COLUMNS)) == (SOFTWARE, COLUMNS)


def entry_of(out: Path, key: str, *, older_too: bool = False) -> Entry | None:
    """Return a panel's entry; ``None`` where there is none, none that can be read, or an older version's."""
    path = entry_path(out, key)
    try:
        data = load_json(path) if path.exists() else None
    except (FileFault, StorageFault):
        return None
    return data if isinstance(data, dict) and (older_too or is_of_now(data)) else None


def write_entry(out: Path, key: str, entry: Entry) -> None:
    """Write a panel's entry, whole; one that a power cut tears is none, and its panel is worked on again."""
    told = {"panel": key, "software": SOFTWARE, _COLUMNS: COLUMNS, **entry}
    write_json(entry_path(out, key), told, lasting=False)


def entries(out: Path, *, older_too: bool = False) -> Iterator[Entry]:
    """Yield the entries that are there, in the order of the panels' keys; one at a time is in memory.

    Args:
        out: the folder.
        older_too: those of older versions as well: of panels that were not there to be read again.
    """
    for path in sorted((out / PANELS).glob("*.json"), key=lambda path: unquote(path.stem)):
        entry = entry_of(out, unquote(path.stem), older_too=older_too)
        if entry is not None:
            yield entry
