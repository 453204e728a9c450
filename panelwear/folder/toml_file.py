"""Read a TOML file that a person wrote: not there, not UTF-8 and not TOML are sentences."""

from __future__ import annotations

import json
import math
import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from panelwear.errors import FileFault, StorageFault
from panelwear.readings.records import text_of
from sequences.model import Zone

_ZONE = """
[[zones]]
name = {name}
rect_px = [{x}, {y}, {w}, {h}]
probe_at_px = [{px}, {py}]
{reference}"""


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


def quoted(text: str) -> str:
    """Write text as a TOML basic string (JSON's escapes are a subset of TOML's)."""
    return json.dumps(text, ensure_ascii=False).replace("\x7f", "\\u007f")


def zone_block(zone: Zone) -> str:
    """Write a zone as a ``[[zones]]`` block, to be appended to ``panel.toml``."""
    reference = f"reference = {quoted(zone.reference)}\n" if zone.reference else ""
    return _ZONE.format(
        name=quoted(zone.name),
        x=zone.rect.x,
        y=zone.rect.y,
        w=zone.rect.w,
        h=zone.rect.h,
        px=text_of(zone.probe_at_px[0]),
        py=text_of(zone.probe_at_px[1]),
        reference=reference,
    )
