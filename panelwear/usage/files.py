"""``usage.toml`` on the disk: read, and whole blocks appended; what stands there stays as it is, to the byte."""

from __future__ import annotations

import hashlib
import itertools
import os
from collections.abc import Iterator, Sequence
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path

from groundwork.documents import parse_toml
from groundwork.files import content
from panelwear.atomic import make_folder, write_whole
from panelwear.errors import FileFault, StorageFault
from panelwear.folder.files import load_toml
from panelwear.usage.blocks import HEAD, stretch_text
from panelwear.usage.maps import DoseMap, packed
from panelwear.usage.records import ALWAYS, FILE, FOLDER, Stretch, Usage, parse_usage


@dataclass(frozen=True, slots=True)
class UsageFile:
    """``usage.toml`` at one moment."""

    path: Path
    raw: bytes
    """Empty where there is none yet."""
    usage: Usage

    def with_stretches(self, stretches: Sequence[Stretch]) -> bytes:
        """Return the file's bytes, and behind them stretches; its own line ends go on.

        Raises:
            FileFault: the outcome would not read as what was told.
        """
        text = ("\n" if self.raw and not self.raw.endswith(b"\n") else "") + "".join(map(stretch_text, stretches))
        more = text.replace("\n", "\r\n") if b"\r\n" in self.raw else text
        raw = (self.raw or HEAD.encode()) + more.encode()
        if parse_usage(parse_toml(raw, FILE, FileFault)).stretches != (*self.usage.stretches, *stretches):
            raise FileFault((f"{FILE}: what was told cannot be appended without touching the rest; write it by hand",))
        return raw


def load_usage(directory: Path) -> Usage:
    """Read ``usage.toml`` of a panel folder; nothing told when there is none."""
    path = directory / FILE
    if path.is_symlink() and not path.exists():
        raise FileFault((f"{FILE}: is a link to what is not there; put the file itself in its place",))
    return parse_usage(load_toml(path)) if path.exists() else Usage()


def usage_file(directory: Path) -> UsageFile:
    """Read ``usage.toml`` to append to it.

    Raises:
        FileFault: it has faults already, is a link, or holds its stretches so that none can follow.
        StorageFault: it cannot be read.
    """
    path = directory / FILE
    if path.is_symlink():
        raise FileFault((f"{FILE}: is a link, which is not followed; put the file itself in its place",))
    if not path.exists():
        return UsageFile(path, b"", Usage())
    try:
        raw = content(path)
    except OSError as error:
        raise StorageFault(f"{path}: cannot be read ({error.strerror}); nothing was changed") from None
    data = parse_toml(raw, FILE, FileFault)
    found = UsageFile(path, raw, parse_usage(data))
    if "stretches" in data:
        _refuse_inline(found)
    return found


def _refuse_inline(found: UsageFile) -> None:
    """Raise ``FileFault`` where the stretches are one list in brackets, which TOML lets nothing be added to."""
    try:
        found.with_stretches([Stretch(ALWAYS)])
    except FileFault:
        raise FileFault(
            (
                f"{FILE}: holds its stretches in one list, 'stretches = [...]', behind which none can be appended; "
                "write each as a block that begins with [[stretches]] (docs/usage.md); nothing was changed",
            )
        ) from None


@dataclass(frozen=True, slots=True)
class MapFile:
    """A dose map as it is going to be kept."""

    path: Path
    data: bytes

    @property
    def sha256(self) -> str:
        """Digest of its bytes."""
        return hashlib.sha256(self.data).hexdigest()


def map_file(directory: Path, found: DoseMap) -> MapFile:
    """Pack a dose map and find the first name that is free; nothing is written."""
    paths = (directory / FOLDER / f"screens-{number}.npz" for number in itertools.count(1))
    return MapFile(next(path for path in paths if not os.path.lexists(path)), packed(found))


def append_stretches(directory: Path, stretches: Sequence[Stretch], dose_map: MapFile | None = None) -> Path:
    """Append stretches to ``usage.toml``; what would not read back as they are is not written.

    Args:
        directory: panel folder.
        stretches: what was told.
        dose_map: what one of them names; kept only where the stretches are.

    Raises:
        FileFault: the file has faults already, or would have.
        StorageFault: it cannot be read or written.
    """
    found = usage_file(directory)
    raw = found.with_stretches(stretches)
    with _kept_beside(dose_map):
        write_whole(found.path, raw)
    return found.path


@contextmanager
def _kept_beside(dose_map: MapFile | None) -> Iterator[None]:
    """Write a dose map, and take it away again where what names it cannot be written."""
    if dose_map is None:
        yield
        return
    folder = dose_map.path.parent
    was_there = folder.exists()
    make_folder(folder)
    try:
        write_whole(dose_map.path, dose_map.data)
        yield
    except BaseException:
        with suppress(OSError):
            dose_map.path.unlink(missing_ok=True)
            if not was_there:
                folder.rmdir()
        raise
