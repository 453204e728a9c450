"""Where the program keeps what it remembers of a person: which folders were opened, what was read this evening."""

from __future__ import annotations

import os
import sys
from collections.abc import Mapping
from pathlib import Path


def state_folder(environ: Mapping[str, str], platform: str, home: Path) -> Path:
    """Return where a person's programs keep such files: XDG's base directories, or the system's own place."""
    if platform == "win32":
        return Path(environ.get("LOCALAPPDATA") or home / "AppData" / "Local") / "panelwear"
    if platform == "darwin":
        return home / "Library" / "Application Support" / "panelwear"
    stated = Path(environ.get("XDG_STATE_HOME", ""))
    return (stated if stated.is_absolute() else home / ".local" / "state") / "panelwear"


def users_state_folder() -> Path:
    """Return that of this person on this machine; ``RuntimeError`` where nobody's home is known."""
    return state_folder(os.environ, sys.platform, Path.home())
