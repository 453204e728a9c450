"""Which panel folders lie below a root, and what their files are, by digest."""

from __future__ import annotations

import os
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from panelwear.atomic import PANEL, sha256_of
from panelwear.errors import StorageFault, UsageError
from panelwear.folder.checkpoint import PHOTOS, folders_of
from panelwear.folder.evidence_files import evidence_files

_AT_THE_TOP = {".toml", ".csv", ".json"}
"""Ends of the files beside ``panel.toml`` that figures may rest on: probe, correction matrix, evenings."""


@dataclass(frozen=True, slots=True)
class Found:
    """One panel folder."""

    key: str
    """Its path below the root, with slashes, the same on every machine; the root's own name where it is the root."""
    folder: Path


def panel_folders(root: Path, made_here: tuple[str, ...] = ()) -> Iterator[Found]:
    """Yield the panel folders below a root, in the order of their paths.

    Links are not followed, nothing is looked for inside a panel folder, and hidden folders are passed by.

    Args:
        root: where to look.
        made_here: names of the marks of folders that this program made of panels; they are passed by too.

    Raises:
        UsageError: the root is no folder.
        StorageFault: a folder below it cannot be listed.
    """
    if not root.is_dir():
        raise UsageError(f"{root}: there is no such folder; name one above panel folders")

    def unreadable(error: OSError) -> None:
        raise StorageFault(f"{error.filename}: cannot be read ({error.strerror})")

    for path, folders, files in os.walk(root, onerror=unreadable):
        here = Path(path)
        if PANEL in files:
            key = here.relative_to(root).as_posix()
            yield Found(here.resolve().name if key == "." else key, here)
            folders.clear()
        elif any(mark in files for mark in made_here):
            folders.clear()
        folders[:] = sorted(name for name in folders if not name.startswith("."))


def sources_of(folder: Path, correction: str = "") -> dict[str, str]:
    """Return the digest of every file a panel's figures rest on, by its path in the folder.

    Photographs are there by name alone: no figure rests on what they show, but one that was added is told.

    Args:
        folder: the panel folder.
        correction: file of the correction matrix, as ``probe.toml`` names it.

    Raises:
        StorageFault: a file cannot be read.
    """
    try:
        top = sorted(p.name for p in folder.iterdir() if p.suffix in _AT_THE_TOP and p.is_file())
        inside = [(own, evidence_files(own, ())) for own in folders_of(folder)]
    except OSError as error:
        raise StorageFault(f"{folder}: cannot be read ({error.strerror})") from None
    found = {name: sha256_of(folder / name) for name in top}
    if correction and (folder / correction).is_file():
        found[correction] = sha256_of(folder / correction)
    for own, names in inside:
        for name in names:
            digest = "" if name.startswith(PHOTOS) else sha256_of(own / name)
            found[f"checkpoints/{own.name}/{name}"] = digest
    return found
