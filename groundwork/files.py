"""Reading a file that may be anybody's: only plain files, and no more of them than one of ours can hold."""

from __future__ import annotations

import errno
import os
import stat
from io import BufferedReader
from pathlib import Path

LARGEST_TABLE = 400_000_000
"""Bytes of the largest CSV that is read: a million readings, hundreds of hours of measuring at one checkpoint."""
LARGEST_DOCUMENT = 64_000_000
"""Bytes of the largest TOML or JSON that is read at all; each kind has a limit of its own below it."""

_KINDS = (
    (stat.S_ISDIR, "a folder"),
    (stat.S_ISFIFO, "a pipe"),
    (stat.S_ISCHR, "a device"),
    (stat.S_ISBLK, "a device"),
    (stat.S_ISSOCK, "a socket"),
)


def opened(path: Path | str, largest: int = LARGEST_DOCUMENT) -> tuple[BufferedReader, int]:
    """Open a plain file for reading, to be read piece by piece, and tell how many bytes it has.

    A pipe is not waited for and a device not drained: what is no plain file is refused before anything is read.

    Args:
        path: the file.
        largest: bytes it may have.

    Raises:
        OSError: it is not there, is no plain file, or is larger; ``strerror`` says which.
    """
    name = os.fspath(path)
    if "\0" in name:
        raise OSError(errno.EINVAL, "no file can have this name", name)
    # Without O_NONBLOCK, opening a pipe waits for somebody to write into it.
    handle = os.open(path, os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0))
    found = os.fstat(handle)
    if stat.S_ISREG(found.st_mode) and found.st_size <= largest:
        return os.fdopen(handle, "rb"), found.st_size
    os.close(handle)
    if stat.S_ISREG(found.st_mode):
        raise _too_large(largest, name)
    what = next((words for fits, words in _KINDS if fits(found.st_mode)), "something else")
    raise OSError(errno.EINVAL, f"it is {what}, no plain file", name)


def content(path: Path | str, largest: int = LARGEST_DOCUMENT) -> bytes:
    """Read a plain file whole; arguments and errors as ``opened`` has them."""
    file, _ = opened(path, largest)
    with file:
        data = file.read(largest + 1)
    if len(data) > largest:
        raise _too_large(largest, os.fspath(path))
    return data


def _too_large(largest: int, name: str) -> OSError:
    return OSError(errno.EFBIG, f"it is larger than {largest} bytes; it cannot be a file of panelwear", name)
