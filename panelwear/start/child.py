"""Commands of ours in a process of their own, without a terminal: what they say is kept, line by line."""

from __future__ import annotations

import contextlib
import os
import signal
import subprocess
import sys
import threading
from collections import deque
from collections.abc import Callable, Sequence
from typing import IO

MOST_LINES = 4000
UNBROKEN = "1000"
"""Columns of its lines: the pages break them as wide as the screen is."""


class Child:
    """A command that runs; its standard input is closed, so everything it asks it asks on the screen.

    What it says is also written to our own standard output, as if it had been typed there; of a command that gives a
    record, the record is kept apart and not written there.
    """

    def __init__(self, words: Sequence[str], *, gives_a_record: bool = False) -> None:
        # -P: a folder of the same name where we were started is not taken for the program.
        self._process = subprocess.Popen(
            [sys.executable, "-P", "-m", "panelwear", *words],
            stdin=subprocess.DEVNULL,
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE if gives_a_record else subprocess.STDOUT,
            text=True,
            encoding="utf-8",
            errors="replace",
            env={**os.environ, "PYTHONUNBUFFERED": "1", "PYTHONIOENCODING": "utf-8", "COLUMNS": UNBROKEN},
        )
        self._lines: deque[str] = deque(maxlen=MOST_LINES)
        self._record = ""
        self._asked = False
        out, err = self._process.stdout, self._process.stderr
        spoken = err if gives_a_record else out
        readers: list[tuple[Callable[[IO[str]], None], IO[str] | None]] = [(self._read, spoken)]
        readers += [(self._read_record, out)] if gives_a_record else []
        self._readers = [threading.Thread(target=read, args=(said,), daemon=True) for read, said in readers]
        for reader in self._readers:
            reader.start()

    def _read(self, spoken: IO[str]) -> None:
        with spoken as said:
            for line in said:
                self._lines.append(line.rstrip("\r\n"))
                with contextlib.suppress(OSError, ValueError, AttributeError):  # nobody may read ours, or there is none
                    sys.stdout.write(line)
                    sys.stdout.flush()

    def _read_record(self, written: IO[str]) -> None:
        with written:
            self._record = written.read()

    @property
    def record(self) -> str:
        """The record it gave, once it has ended."""
        return self._record

    @property
    def lines(self) -> list[str]:
        """What it has said so far."""
        return list(self._lines)

    @property
    def code(self) -> int | None:
        """How it ended, once all it said has been read; ``None``: it runs."""
        if self._process.poll() is None or any(reader.is_alive() for reader in self._readers):
            return None
        return self._process.returncode

    def wait(self) -> int:
        """Wait for its end; Control-C reaches it as well as us, and it winds up before we go on."""
        while True:
            try:
                for reader in self._readers:
                    reader.join()
                return self._process.wait()
            except KeyboardInterrupt:
                continue

    def stop(self) -> None:
        """Ask it to end as Control-C would; the second time it is ended."""
        if self._process.poll() is not None:
            return
        if self._asked or sys.platform == "win32":
            self._process.kill()
        else:
            self._process.send_signal(signal.SIGINT)
        self._asked = True
