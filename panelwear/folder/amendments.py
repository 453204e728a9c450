"""What was found wrong with a checkpoint after it was closed; the readings themselves stay."""

from __future__ import annotations

import json
from datetime import datetime
from typing import Any

from panelwear.errors import UsageError
from panelwear.folder.atomic import write_json
from panelwear.folder.checkpoint import Checkpoint, stamp


def of(checkpoint: Checkpoint) -> list[dict[str, Any]]:
    """Return the amendments, oldest first."""
    path = checkpoint.directory / "amendments.json"
    if not path.exists():
        return []
    listed: list[dict[str, Any]] = json.loads(path.read_text(encoding="utf-8"))
    return listed


def add(checkpoint: Checkpoint, text: str, now: datetime) -> None:
    """Add one amendment to a closed checkpoint."""
    if not checkpoint.is_closed:
        raise UsageError(f"{checkpoint.name} is still open; an amendment is for a closed checkpoint")
    write_json(checkpoint.directory / "amendments.json", [*of(checkpoint), {"utc": stamp(now), "text": text}])
