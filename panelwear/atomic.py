"""Whole files: temporary name, sync, rename, so that a crash leaves the old file or the new one, never half."""

from __future__ import annotations

import contextlib
import hashlib
import json
import os
import re
import secrets
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any, BinaryIO

from groundwork.files import LARGEST_TABLE, opened
from panelwear.errors import StorageFault, UsageError

_HELD_BY_ANOTHER = {5, 32, 33}
"""Windows error numbers when a scanner, a sync client or a viewer holds the target for a moment."""

TEMPORARY = ".tmp"
_LEFT_OVER = re.compile(r"^\..+\.(\d+)-[0-9a-f]{8}\.tmp$")
CHECKPOINT_FILES = ("checkpoint.json", "readings.csv")
ARCHIVE, COMPARISON = "panelwear-archive.json", "panelwear-comparison.json"
PANEL = "panel.toml"
_OWN_FOLDERS = (PANEL, ARCHIVE, COMPARISON)
"""Files by which a folder is known as one of this program's: a panel folder, or one made of many."""


def refuse_links(path: Path) -> None:
    """Raise ``StorageFault`` where a link inside a folder of this program would choose where ``path`` is written.

    Such a folder may come from anybody, and a link in it leads wherever its sender liked. Links above it are the
    person's own, as is one that leads to the whole folder. Nothing that is written, made or removed goes around this.
    """
    at, own = Path(path.anchor), None
    for part in path.absolute().parts:
        if part == os.pardir:
            at = Path(os.path.realpath(at)).parent
            own = next((p for p in (*reversed(at.parents), at) if _is_own_folder(p)), None)
            continue
        at = at / part
        if own is not None and at.is_symlink():
            raise StorageFault(
                f"{at}: is a link inside the folder {own}, and nothing is written through one; put a folder or file of "
                "its own in its place"
            )
        if own is None and _is_own_folder(at):
            own = at


def _is_own_folder(folder: Path) -> bool:
    return any(os.path.lexists(folder / name) for name in _OWN_FOLDERS)


def _replace(source: str, target: Path) -> None:
    for attempt in range(10):
        try:
            Path(source).replace(target)
        except PermissionError as error:
            if getattr(error, "winerror", None) not in _HELD_BY_ANOTHER or attempt == 9:
                raise
            time.sleep(0.2)
        else:
            return


def _sync_folder(folder: Path) -> None:
    if os.name != "posix":
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def write_whole(path: Path, data: bytes, *, lasting: bool = True) -> None:
    """Write a file so that it is there whole or not at all; ``StorageFault`` when it cannot be written.

    ``lasting``: wait until it would outlive a power cut; what can be made again, and is known when torn, need not.
    """
    with writing_whole(path, lasting=lasting) as out:
        out.write(data)


@contextlib.contextmanager
def writing_whole(path: Path, *, lasting: bool = True) -> Iterator[BinaryIO]:
    """Write a file piece by piece so that it is there whole or not at all; ``lasting`` as in ``write_whole``.

    Where the caller raises, nothing is left; ``StorageFault`` when it cannot be written.
    """
    refuse_links(path)
    temporary = ""
    try:
        name = path.with_name(f".{path.name[:60]}.{os.getpid()}-{secrets.token_hex(4)}{TEMPORARY}")
        # 0o666 is what the person's umask is taken from, as for any other program's files.
        handle = os.open(name, os.O_WRONLY | os.O_CREAT | os.O_EXCL | getattr(os, "O_BINARY", 0), 0o666)
        temporary = str(name)
        with os.fdopen(handle, "wb") as out:
            yield out
            out.flush()
            if lasting:
                os.fsync(out.fileno())
        if path.exists():
            Path(temporary).chmod(path.stat().st_mode & 0o777)
        _replace(temporary, path)
        temporary = ""
        if lasting:
            _sync_folder(path.parent)
    except OSError as error:
        raise StorageFault(f"{path}: cannot be written ({error.strerror}); nothing was changed") from None
    finally:
        if temporary:
            with contextlib.suppress(OSError):
                Path(temporary).unlink()


def write_out(path: Path, data: bytes, made_here: Callable[[bytes], bool], what: str) -> None:
    """Write a file that a person named: a new one, or in the place of an older one of the same kind, never another.

    Args:
        path: where to.
        data: the bytes.
        made_here: tells from the beginning of a file (``HEAD_BYTES``) whether it is of the kind that is written.
        what: the kind, as a person calls it.

    Raises:
        UsageError: see ``refuse_foreign``.
        StorageFault: it cannot be written, or a link in a panel folder leads there.
    """
    refuse_foreign(path, made_here, what)
    write_whole(path, data)


HEAD_BYTES = 4096


def refuse_foreign(path: Path, made_here: Callable[[bytes], bool], what: str) -> None:
    """Raise ``UsageError`` where writing to ``path`` would overwrite something else, or change a checkpoint.

    A file without a byte is as much somebody's as any other: none that is written here is left so.

    Raises:
        UsageError: that is so, or it names no file, or a place that a panel folder keeps for itself.
        StorageFault: it cannot be looked at, or a link in a panel folder leads there (``refuse_links``).
    """
    if not path.name:
        raise UsageError(f"{path}: names no file; add one to it")
    refuse_links(path)
    try:
        inside = next((p for p in path.resolve().parents if any((p / n).exists() for n in CHECKPOINT_FILES)), None)
        if inside is not None or path.resolve().parent.name == "checkpoints":
            raise UsageError(f"{path}: lies in a checkpoint, which is never written to; name another file")
        refuse_own_names(path)
        if path.is_symlink():
            raise UsageError(f"{path}: is a link, which is not followed; name the file itself")
        if not path.exists():
            return
        if not path.is_file():
            raise UsageError(f"{path}: is no plain file; name another one")
        with path.open("rb") as file:
            head = file.read(HEAD_BYTES)
    except (OSError, RuntimeError, ValueError) as error:
        raise StorageFault(f"{path}: cannot be looked at ({getattr(error, 'strerror', None) or error})") from None
    if not made_here(head):
        kind = f"is no {what}" if head else f"is empty, so no {what}"
        raise UsageError(f"{path}: is there already and {kind}; it is not overwritten: name another file")


_ITS_FOLDERS = ("checkpoints", "set-aside", "usage")
_ITS_FILES = (
    PANEL, "probe.toml", "usage.toml", "stability.csv", "run.lock", "set-aside.json", "reports", "exports",
    *CHECKPOINT_FILES, "readings.csv-metadata.json", "sequence.toml", "marks.csv", "matches.csv", "amendments.json",
    "photos", "shoots", "maps",
)  # fmt: skip
"""What of a panel folder no file is named after that somebody wants written: it would be read as something else."""


def refuse_own_names(path: Path) -> None:
    """Raise ``UsageError`` where a panel folder has a file or folder of its own at ``path``, or would have one."""
    real = Path(os.path.realpath(path))
    for folder in real.parents:
        if os.path.lexists(folder / PANEL):
            first, *rest = (part.casefold() for part in real.relative_to(folder).parts)
            if first in _ITS_FOLDERS or (first in _ITS_FILES and not rest):
                raise UsageError(
                    f"{path}: is a place that the panel folder {folder} keeps for itself; name another one"
                )


def clean_left_over(folder: Path) -> None:
    """Remove the temporary files of runs that were killed; of a run that lives still, none. POSIX only."""
    if os.name != "posix":
        return
    with contextlib.suppress(OSError, StorageFault):
        refuse_links(folder)
        for path in folder.iterdir():
            found = _LEFT_OVER.match(path.name)
            if found and path.is_file() and not path.is_symlink() and not _lives(int(found[1])):
                path.unlink()


def _lives(process: int) -> bool:
    try:
        os.kill(process, 0)
    except (ProcessLookupError, OverflowError):
        return False
    except PermissionError:
        return True
    return True


def make_folder(folder: Path) -> None:
    """Make a folder for what is written; ``StorageFault`` when it cannot be made, or a link would choose where."""
    refuse_links(folder)
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise StorageFault(f"{folder}: cannot be made ({error.strerror})") from None


def as_file_name(name: str) -> str:
    """Return a panel's name as a file may be called on any system."""
    plain = "".join(c if c.isalnum() or c in "_." else "-" for c in name)
    return "-".join(part for part in plain.split("-") if part).strip("-.") or "panel"


def write_json(path: Path, content: Any, *, lasting: bool = True) -> None:
    """Write JSON as a whole file; ``lasting`` as in ``write_whole``."""
    data = (json.dumps(content, indent=2, ensure_ascii=False, allow_nan=False) + "\n").encode()
    write_whole(path, data, lasting=lasting)


def sha256_of(path: Path) -> str:
    """Digest of a file's bytes; ``StorageFault`` when it cannot be read."""
    try:
        with opened(path, LARGEST_TABLE)[0] as file:
            return hashlib.file_digest(file, "sha256").hexdigest()
    except OSError as error:
        raise StorageFault(f"{path}: cannot be read ({error.strerror})") from None
