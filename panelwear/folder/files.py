"""The TOML and JSON files of a panel folder: read with all faults at once, and a zone's block written."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

from groundwork.documents import parse_json, parse_toml
from groundwork.files import content
from panelwear.atomic import make_folder
from panelwear.errors import FileFault, StorageFault, UsageError
from panelwear.readings.records import text_of
from sequences.model import Zone

_ZONE = """
[[zones]]
name = {name}
rect_px = [{x}, {y}, {w}, {h}]
probe_at_px = [{px}, {py}]
{reference}"""


def expect_panel_folder(directory: Path) -> None:
    """Raise ``UsageError`` where a folder is no panel folder, ``StorageFault`` where unreadable. None is made."""
    try:
        (directory / "panel.toml").stat()
    except (FileNotFoundError, NotADirectoryError):
        what = "holds no panel.toml" if directory.is_dir() else "there is no such folder"
        raise UsageError(f"{directory}: {what}; 'panelwear new DIR' makes a panel folder") from None
    except OSError as error:
        raise StorageFault(f"{directory}: cannot be read ({error.strerror})") from None


def load_toml(path: Path) -> dict[str, Any]:
    """Parse a TOML file; ``FileFault`` names line and column, ``StorageFault`` a file that is not there."""
    return parse_toml(_content(path), path.name, FileFault)


def load_json(path: Path) -> Any:
    """Parse a JSON file of ours; ``FileFault`` when it is none, ``StorageFault`` when it cannot be read."""
    raw = _content(path)
    return parse_json(
        raw, path.name, lambda problems: FileFault(tuple(f"{p}; restore it from a copy" for p in problems))
    )


def _content(path: Path) -> bytes:
    try:
        return content(path)
    except FileNotFoundError:
        raise StorageFault(f"{path}: there is no such file") from None
    except OSError as error:
        raise StorageFault(f"{path}: cannot be read ({error.strerror})") from None


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


def free_folder(checkpoints: Path, base: str) -> Path:
    """Make a new checkpoint's folder; one that a killed run left without any file is used, others are passed by."""
    directory, number = checkpoints / base, 1
    while directory.exists() and (not directory.is_dir() or any(p.is_file() for p in directory.rglob("*"))):
        number += 1
        directory = checkpoints / f"{base}-{number}"
    make_folder(directory / "photos")
    return directory
