"""What was found wrong with a checkpoint after it was closed; the readings themselves stay."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime
from typing import Any

from panelwear.atomic import write_json
from panelwear.errors import FileFault, UsageError
from panelwear.folder.checkpoint import Checkpoint, stamp
from panelwear.folder.record import read_json

FILE = "amendments.json"


def of(checkpoint: Checkpoint) -> list[dict[str, Any]]:
    """Return the amendments, oldest first; ``FileFault`` when the file was damaged."""
    path = checkpoint.directory / FILE
    if not path.exists():
        return []
    listed: list[dict[str, Any]] = read_json(path)
    problems = tuple(f"{FILE}: {fault}" for fault in faults(listed))
    if problems:
        raise FileFault(problems)
    return listed


def faults(listed: object) -> Iterator[str]:
    """Say what is wrong with a list of amendments."""
    if not isinstance(listed, list):
        yield "wanted a list of amendments; restore it from a copy"
        return
    for number, one in enumerate(listed, start=1):
        if not (isinstance(one, dict) and all(isinstance(one.get(key), str) for key in ("utc", "text"))):
            yield f"amendment {number}: wanted utc and text, both in quotes"


def add(checkpoint: Checkpoint, text: str, now: datetime) -> None:
    """Add one amendment to a closed checkpoint."""
    if not checkpoint.is_closed:
        raise UsageError(f"{checkpoint.name} is still open; an amendment is for a closed checkpoint")
    write_json(checkpoint.directory / FILE, [*of(checkpoint), {"utc": stamp(now), "text": text}])
