"""Read a TOML file that a person wrote: not there, not UTF-8 and not TOML are sentences."""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

from panelwear.errors import FileFault, StorageFault


def load_toml(path: Path) -> dict[str, Any]:
    """Parse a TOML file; ``FileFault`` names line and column, ``StorageFault`` a file that is not there."""
    try:
        text = path.read_bytes().decode("utf-8")
    except FileNotFoundError:
        raise StorageFault(f"{path}: there is no such file; 'panelwear new DIR' makes a panel folder") from None
    except UnicodeDecodeError as error:
        raise FileFault((f"{path.name}: byte {error.start}: not UTF-8; save it as UTF-8",)) from None
    except OSError as error:
        raise StorageFault(f"{path}: cannot be read ({error.strerror})") from None
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise FileFault((f"{path.name}: {error}",)) from None
