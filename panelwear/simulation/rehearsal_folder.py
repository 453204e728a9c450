"""The folder a rehearsal writes into: nothing of anybody else's is ever overwritten or removed."""

from __future__ import annotations

from fnmatch import fnmatch
from pathlib import Path
from typing import Any

from groundwork.documents import parse_json
from panelwear.atomic import refuse_links, refuse_own_names, sha256_of, write_json
from panelwear.errors import FileFault, StorageFault

MARK = "rehearsal.json"
FORMAT = "panelwear rehearsal 1"
PANEL, PICTURES, TRUTH, ABOUT = "harbour-desk", "pictures", "true-values.json", "about.txt"
PHOTOGRAPHS_TRUTH = "true-photographs"
OURS = (PANEL, PICTURES, TRUTH, ABOUT, PHOTOGRAPHS_TRUTH)
"""Everything a rehearsal makes, besides its mark."""

MADE = (
    f"{PANEL}/*.toml",
    f"{PANEL}/run.lock",
    f"{PANEL}/checkpoints/*.csv",
    f"{PANEL}/checkpoints/*.json",
    f"{PANEL}/checkpoints/*.toml",
    f"{PANEL}/checkpoints/*.txt",
    f"{PANEL}/checkpoints/*/photos/sim_*.dng",
    f"{PANEL}/reports/*.html",
    f"{PICTURES}/*.png",
    f"{PHOTOGRAPHS_TRUTH}/*.json",
    f"{PHOTOGRAPHS_TRUTH}/*.npz",
    TRUTH,
    ABOUT,
)
"""Names that a rehearsal gives; a file of any other is somebody's, whenever it was put there."""


def prepare(directory: Path) -> None:
    """Make the folder ready; what an earlier rehearsal left is removed, and nothing else.

    Raises:
        UsageError: a panel folder keeps that place for itself.
        StorageFault: a link in a panel folder leads there, or something stands there that no rehearsal made,
            or that was changed since.
    """
    refuse_links(directory)
    refuse_own_names(directory)
    if directory.exists() and not directory.is_dir():
        raise StorageFault(f"{directory}: is a file; name another folder with --out")
    mark = _mark(directory)
    if mark is None:
        there = sorted(p.name for p in directory.iterdir()) if directory.exists() else []
        if there:
            raise StorageFault(
                f"{directory}: holds {_some(there)}, which no rehearsal made; name another folder with --out"
            )
    else:
        _refuse_foreign(directory, mark)
        _remove_ours(directory)
    try:
        directory.mkdir(parents=True, exist_ok=True)
        (directory / PICTURES).mkdir(exist_ok=True)
    except OSError as error:
        raise StorageFault(f"{directory}: cannot be made ({error.strerror})") from None
    write_json(directory / MARK, {"format": FORMAT, "status": "running", "files": {}})


def finish(directory: Path, facts: dict[str, Any]) -> None:
    """Note what was made, with digests, so that the next rehearsal can tell it from anything else."""
    _note(directory, {"status": "done", **facts})


def note(directory: Path) -> None:
    """Note what was made so far, so that the next rehearsal can remove it should this one be interrupted."""
    _note(directory, {"status": "running"})


def _note(directory: Path, facts: dict[str, Any]) -> None:
    named = {p.relative_to(directory).as_posix(): p for p in _files(directory) if not p.is_symlink()}
    files = {name: sha256_of(path) for name, path in named.items() if any(fnmatch(name, made) for made in MADE)}
    write_json(directory / MARK, {"format": FORMAT, **facts, "files": files})


def _mark(directory: Path) -> dict[str, Any] | None:
    try:
        data = parse_json((directory / MARK).read_bytes(), MARK, FileFault)
    except (FileNotFoundError, NotADirectoryError):
        return None
    except (OSError, FileFault):
        raise StorageFault(f"{directory / MARK}: cannot be read; name another folder with --out") from None
    if not isinstance(data, dict) or data.get("format") != FORMAT or not isinstance(data.get("files"), dict):
        raise StorageFault(f"{directory / MARK}: is not the mark of a rehearsal; name another folder with --out")
    return data


def _files(directory: Path) -> list[Path]:
    found = []
    for name in OURS:
        path = directory / name
        if path.is_dir() and not path.is_symlink():
            found += [below for below in _below(path) if below.is_symlink() or not below.is_dir()]
        elif path.is_symlink() or path.exists():
            found.append(path)
    return found


def _below(folder: Path) -> list[Path]:
    """List everything in a folder, links themselves included and never followed."""
    found = []
    for path in sorted(folder.iterdir()):
        found.append(path)
        if path.is_dir() and not path.is_symlink():
            found += _below(path)
    return found


def _refuse_foreign(directory: Path, mark: dict[str, Any]) -> None:
    known = mark["files"]
    there = {p.relative_to(directory).as_posix(): p for p in _files(directory)}
    added = [name for name, path in there.items() if name not in known or path.is_symlink()]
    changed = [name for name, path in there.items() if name not in added and sha256_of(path) != known[name]]
    for names, what in (
        (added, "not known to be a rehearsal's"),
        (changed, "which was changed since the rehearsal"),
    ):
        if names:
            raise StorageFault(
                f"{directory}: holds {_some(names)}, {what}; keep it, and name another folder with --out"
            )


def _remove_ours(directory: Path) -> None:
    try:
        for path in _files(directory):
            path.unlink()
        for name in OURS:
            below = directory / name
            folders = [below, *(p for p in _below(below) if p.is_dir())] if below.is_dir() else []
            for folder in reversed(folders):  # a folder stands before what it holds
                folder.rmdir()
    except OSError as error:
        raise StorageFault(f"{directory}: the last rehearsal cannot be removed ({error.strerror})") from None


def _some(names: list[str]) -> str:
    shown = ", ".join(f"'{name}'" for name in names[:3])
    return shown if len(names) <= 3 else f"{shown} and {len(names) - 3} more"
