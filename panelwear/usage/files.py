"""``usage.toml`` on the disk: read, and whole blocks appended; what stands there is left as it is."""

from __future__ import annotations

import hashlib
import itertools
from collections.abc import Sequence
from pathlib import Path

from groundwork.documents import parse_toml
from panelwear.atomic import make_folder, write_whole
from panelwear.errors import FileFault, StorageFault
from panelwear.folder.files import load_toml
from panelwear.usage.blocks import HEAD, stretch_text
from panelwear.usage.maps import DoseMap, packed
from panelwear.usage.records import FILE, FOLDER, Stretch, Usage, parse_usage


def load_usage(directory: Path) -> Usage:
    """Read ``usage.toml`` of a panel folder; nothing told when there is none."""
    path = directory / FILE
    return parse_usage(load_toml(path)) if path.exists() else Usage()


def keep_map(directory: Path, found: DoseMap) -> tuple[str, str]:
    """Write a dose map into the panel folder, under the first name that is free; returns name and digest."""
    data = packed(found)
    make_folder(directory / FOLDER)
    name = next(n for n in (f"screens-{i}.npz" for i in itertools.count(1)) if not (directory / FOLDER / n).exists())
    write_whole(directory / FOLDER / name, data)
    return name, hashlib.sha256(data).hexdigest()


def append_stretches(directory: Path, stretches: Sequence[Stretch]) -> Path:
    """Append stretches to ``usage.toml``; what would not read back as they are is not written.

    Raises:
        FileFault: the file has faults already, or would have.
        StorageFault: it cannot be read or written.
    """
    path = directory / FILE
    before = load_usage(directory)
    try:
        text = path.read_text(encoding="utf-8-sig") if path.exists() else HEAD
    except (OSError, UnicodeDecodeError) as error:
        raise StorageFault(f"{path}: cannot be read ({error}); nothing was changed") from None
    text = text.rstrip() + "\n" + "".join(stretch_text(one) for one in stretches)
    if parse_usage(parse_toml(text.encode(), FILE, FileFault)).stretches != (*before.stretches, *stretches):
        raise FileFault((f"{FILE}: what was told cannot be appended without touching the rest; write it by hand",))
    write_whole(path, text.encode())
    return path
