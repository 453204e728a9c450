"""Which files of a checkpoint closing covers: all that a person or the program put there, photographs included."""

from __future__ import annotations

from collections.abc import Collection
from pathlib import Path

_OF_THE_SYSTEM = {"Thumbs.db", "desktop.ini"}
"""File managers leave these wherever a person looked at photographs; names that begin with a dot likewise."""

DERIVED = "maps"
"""Folder of a checkpoint whose files are made of others in it, and can be made again: maps of its photographs."""


def evidence_files(directory: Path, besides: Collection[str]) -> list[str]:
    """List the files below a folder by their path in it, but for those named, maps, and what file managers leave."""
    found = [p.relative_to(directory).as_posix() for p in directory.rglob("*") if p.is_file()]
    kept = (name for name in found if name not in besides and not name.startswith(f"{DERIVED}/"))
    return sorted(name for name in kept if not _is_of_the_system(name))


def _is_of_the_system(name: str) -> bool:
    last = name.rpartition("/")[2]
    return last.startswith(".") or last in _OF_THE_SYSTEM
