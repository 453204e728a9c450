"""Counts the file-system calls of this process and breaks one of them: for a child that is made for it and ends."""

from __future__ import annotations

import errno
import os
import signal
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

CALLS = ("open", "write", "fsync", "replace", "rename", "unlink", "rmdir", "mkdir", "chmod")
"""Functions of ``os`` that reach the disk; ``pathlib`` and the lock go through them too."""
WAYS = ("kill before", "kill after", "kill in the middle", "disk full", "disk full in the middle", "no permission")


@dataclass(slots=True)
class Breaker:
    """Stands between the program and ``os``."""

    way: str = ""
    at: int = 0
    """Which call, from 1; 0: none, they are only counted."""
    count: int = 0

    def install(self) -> None:
        """Put itself in the place of every call; this process never gets them back."""
        for name in CALLS:
            setattr(os, name, self._instead_of(name, getattr(os, name)))

    def _instead_of(self, name: str, real: Callable[..., Any]) -> Callable[..., Any]:
        def call(*given: Any, **named: Any) -> Any:
            self.count += 1
            hit = self.at and self.count == self.at
            full = self.at and self.count >= self.at and self.way.startswith("disk full")
            if full and _takes_room(name, given):
                self._fill(name, real, given)
            if hit and self.way == "no permission" and name not in {"write", "fsync"}:
                raise PermissionError(errno.EACCES, os.strerror(errno.EACCES), _path(given))
            if hit and self.way == "kill in the middle" and name == "write":
                real(given[0], given[1][: len(given[1]) // 2])
            if hit and self.way in {"kill before", "kill in the middle"}:
                os.kill(os.getpid(), signal.SIGKILL)
            done = real(*given, **named)
            if hit and self.way == "kill after":
                os.kill(os.getpid(), signal.SIGKILL)
            return done

        return call

    def _fill(self, name: str, real: Callable[..., Any], given: tuple[Any, ...]) -> None:
        """Refuse as a full disk does, for good; in the middle: what fits of the first line is written."""
        if self.way == "disk full in the middle" and name == "write" and self.count == self.at:
            real(given[0], given[1][: len(given[1]) // 2])
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC), _path(given))


def _takes_room(name: str, given: tuple[Any, ...]) -> bool:
    makes = name == "open" and len(given) > 1 and bool(given[1] & os.O_CREAT) and not os.path.exists(given[0])  # noqa: PTH110
    return makes or name in {"write", "fsync", "mkdir"}


def _path(given: tuple[Any, ...]) -> str:
    return given[0] if isinstance(given[0], str) else str(given[0])
