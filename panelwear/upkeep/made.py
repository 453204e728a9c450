"""Files and folders that the program makes but nobody has to check: what each is, by its first bytes."""

from __future__ import annotations

import stat
from pathlib import Path

_HEAD_BYTES = 4096
_STARTS = (
    (b"\x89PNG\r\n\x1a\n", "picture"),
    (b"\xff\xd8\xff", "picture"),
    (b"# seconds, > sent", "byte log"),
)
_REPORT = b'<meta name="generator" content="panelwear'
_REHEARSAL = "rehearsal.json"


def nothing_to_check(path: Path) -> str:
    """Say what a report, a picture, a byte log or a rehearsal's folder is; empty where it is something else."""
    if path.is_dir():
        return "rehearsal" if (path / _REHEARSAL).is_file() else ""
    if not stat.S_ISREG(path.stat().st_mode):
        return ""
    if path.name == _REHEARSAL:
        return "mark of a rehearsal"
    with path.open("rb") as file:
        head = file.read(_HEAD_BYTES)
    if _REPORT in head:
        return "report"
    return next((what for start, what in _STARTS if head.startswith(start)), "")
