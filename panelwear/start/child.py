"""Commands of ours in a process of their own, without a terminal: what they say is kept, line by line."""

from __future__ import annotations

import contextlib
import os
import signal
import subprocess
import sys
import threading
from collections import deque
from collections.abc import Sequence

MOST_LINES = 4000
UNBROKEN = "1000"
"""Columns of its lines: the pages break them as wide as the screen is."""


class Child:
    """A command that runs; its standard input is closed, so everything it asks it asks on the screen.

    What it says is also written to our own standard output, as if it had been typed there.
    """

    def __init__(self, words: Sequence[str]) -> None:
        # -P: a folder of the same name where we were started is not taken for the program.
        self._process = subprocess.Popen(
            [sys.executable, "-P", "-m", "panelwear", *words],
            stdin=subprocess.DEVNULL,
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
            text=True,
            encoding="utf-8",
            errors="replace",
            env={**os.environ, "PYTHONUNBUFFERED": "1", "PYTHONIOENCODING": "utf-8", "COLUMNS": UNBROKEN},
        )
        self._lines: deque[str] = deque(maxlen=MOST_LINES)
        self._asked = False
        self._reader = threading.Thread(target=self._read, daemon=True)
        self._reader.start()

    def _read(self) -> None:
        assert self._process.stdout is not None  # noqa: S101 - it was asked for
        with self._process.stdout as said:
            for line in said:
                self._lines.append(line.rstrip("\r\n"))
                with contextlib.suppress(OSError, ValueError, AttributeError):  # nobody may read ours, or there is none
                    sys.stdout.write(line)
                    sys.stdout.flush()

    @property
    def lines(self) -> list[str]:
        """What it has said so far."""
        return list(self._lines)

    @property
    def code(self) -> int | None:
        """How it ended, once all it said has been read; ``None``: it runs."""
        if self._process.poll() is None or self._reader.is_alive():
            return None
        return self._process.returncode

    def wait(self) -> int:
        """Wait for its end; Control-C reaches it as well as us, and it winds up before we go on."""
        while True:
            try:
                self._reader.join()
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
