"""Read a TOML file that a person wrote: not there, not UTF-8 and not TOML are sentences."""

from __future__ import annotations

import math
import tomllib
from collections.abc import Iterator
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
    return parse_toml(text, path.name)


def parse_toml(text: str, file: str) -> dict[str, Any]:
    """Parse TOML; ``FileFault`` names line and column, or every key whose number is none (``nan``, ``inf``)."""
    try:
        data = tomllib.loads(text)
    except (tomllib.TOMLDecodeError, RecursionError) as error:
        raise FileFault((f"{file}: {error}",)) from None
    if problems := tuple(f"{file}: {key}: {value} is no number" for key, value in _endless(data, "")):
        raise FileFault(problems)
    return data


def _endless(value: object, key: str) -> Iterator[tuple[str, float]]:
    if isinstance(value, float) and not math.isfinite(value):
        yield key, value
    elif isinstance(value, dict):
        for name, one in value.items():
            yield from _endless(one, f"{key}.{name}" if key else name)
    elif isinstance(value, list):
        for number, one in enumerate(value, start=1):
            yield from _endless(one, f"{key}[{number}]")
