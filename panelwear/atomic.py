"""Whole files: temporary name, sync, rename, so that a crash leaves the old file or the new one, never half."""

from __future__ import annotations

import contextlib
import hashlib
import json
import os
import tempfile
import time
from pathlib import Path
from typing import Any

from panelwear.errors import StorageFault

_HELD_BY_ANOTHER = {5, 32, 33}
"""Windows error numbers when a scanner, a sync client or a viewer holds the target for a moment."""


def _replace(source: str, target: Path) -> None:
    for attempt in range(10):
        try:
            Path(source).replace(target)
        except PermissionError as error:
            if getattr(error, "winerror", None) not in _HELD_BY_ANOTHER or attempt == 9:
                raise
            time.sleep(0.2)
        else:
            return


def _sync_folder(folder: Path) -> None:
    if os.name != "posix":
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def write_whole(path: Path, data: bytes) -> None:
    """Write a file so that it is there whole or not at all; ``StorageFault`` when it cannot be written."""
    temporary = ""
    try:
        handle, temporary = tempfile.mkstemp(prefix=f".{path.name}.", dir=path.parent)
        with os.fdopen(handle, "wb") as out:
            out.write(data)
            out.flush()
            os.fsync(out.fileno())
        mode = path.stat().st_mode & 0o777 if path.exists() else 0o644
        Path(temporary).chmod(mode)
        _replace(temporary, path)
        _sync_folder(path.parent)
    except OSError as error:
        if temporary:
            with contextlib.suppress(OSError):
                Path(temporary).unlink()
        raise StorageFault(f"{path}: cannot be written ({error.strerror}); nothing was changed") from None


def write_json(path: Path, content: Any) -> None:
    """Write JSON as a whole file."""
    write_whole(path, (json.dumps(content, indent=2, ensure_ascii=False, allow_nan=False) + "\n").encode())


def sha256_of(path: Path) -> str:
    """Digest of a file's bytes; ``StorageFault`` when it cannot be read."""
    try:
        return hashlib.sha256(path.read_bytes()).hexdigest()
    except OSError as error:
        raise StorageFault(f"{path}: cannot be read ({error.strerror})") from None
