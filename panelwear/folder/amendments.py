"""What was found wrong with a checkpoint after it was closed; the readings themselves stay."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

from groundwork.tables import LOOSE, read
from panelwear.atomic import write_json
from panelwear.errors import FileFault, UsageError
from panelwear.folder.checkpoint import Checkpoint, stamp
from panelwear.folder.files import load_json

FILE = "amendments.json"


@dataclass(frozen=True, slots=True)
class _Amendment:
    utc: str
    text: str


@dataclass(frozen=True, slots=True)
class _Amendments:
    amendments: tuple[_Amendment, ...] = field(metadata=LOOSE)


def of(checkpoint: Checkpoint) -> list[dict[str, Any]]:
    """Return the amendments, oldest first; ``FileFault`` when the file was damaged."""
    path = checkpoint.directory / FILE
    return checked_amendments(load_json(path), FILE) if path.exists() else []


def checked_amendments(data: Any, file: str) -> list[dict[str, Any]]:
    """Return amendments that can be worked with; else ``FileFault`` with every fault."""
    read(_Amendments, {"amendments": data}, file, FileFault, unknown_too=False)
    listed: list[dict[str, Any]] = data
    return listed


def add(checkpoint: Checkpoint, text: str, now: datetime) -> None:
    """Add one amendment to a closed checkpoint."""
    if not checkpoint.is_closed:
        raise UsageError(f"{checkpoint.name} is still open; an amendment is for a closed checkpoint")
    write_json(checkpoint.directory / FILE, [*of(checkpoint), {"utc": stamp(now), "text": text}])
