"""Files and folders that the program makes but nobody has to check: what each is, by its first bytes."""

from __future__ import annotations

import stat
from pathlib import Path

from panelwear.atomic import ARCHIVE, COMPARISON

_HEAD_BYTES = 4096
_STARTS = (
    (b"\x89PNG\r\n\x1a\n", "picture"),
    (b"\xff\xd8\xff", "picture"),
    (b"# seconds, > sent", "byte log"),
)
_REPORT = b'<meta name="generator" content="panelwear'
_REHEARSAL = "rehearsal.json"
_FOLDERS = {_REHEARSAL: "rehearsal", ARCHIVE: "archive of many panels", COMPARISON: "comparison of many panels"}
"""Mark of a folder, and what the folder is."""


def nothing_to_check(path: Path) -> str:
    """Say what a report, a picture, a byte log or a rehearsal's folder is; empty where it is something else."""
    if path.is_dir():
        return next((what for mark, what in _FOLDERS.items() if (path / mark).is_file()), "")
    if not stat.S_ISREG(path.stat().st_mode):
        return ""
    if path.name in _FOLDERS:
        return f"mark of a {_FOLDERS[path.name]}" if path.name != ARCHIVE else f"mark of an {_FOLDERS[path.name]}"
    with path.open("rb") as file:
        head = file.read(_HEAD_BYTES)
    if _REPORT in head:
        return "report"
    return next((what for start, what in _STARTS if head.startswith(start)), "")
