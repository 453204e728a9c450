"""The person's terminal: written plainly, read line by line without ever blocking."""

from __future__ import annotations

import math
import os
import queue
import select
import sys
import threading
from typing import TextIO

from panelwear.telling.layout import text_of
from panelwear.telling.out import width_of
from panelwear.telling.parts import paragraphs


class Terminal:
    """Lines in, lines out, and one line that keeps changing.

    Args:
        source: Where answers are typed; ``None``: standard input.
        sink: Where text goes; ``None``: standard output.
        quiet: Whether the line that keeps changing is left out.
    """

    def __init__(self, source: TextIO | None = None, sink: TextIO | None = None, *, quiet: bool = False) -> None:
        self._quiet = quiet
        self._source = source if source is not None else sys.stdin
        self._sink = sink if sink is not None else sys.stdout
        self._buffer = b""
        self._lines: queue.SimpleQueue[str | None] = queue.SimpleQueue()
        self._reader: threading.Thread | None = None
        self._running = ""
        """The line that keeps changing, as far as it is written; it stays below all that is said."""
        self._asking = False
        """Whether the cursor stands behind a question."""
        self.ended = self._source is None or self._source.closed
        """True once no answer can come any more."""

    @property
    def interactive(self) -> bool:
        """Whether a person sees the text as it is written."""
        return self._sink.isatty()

    @property
    def width(self) -> int:
        """Columns of a line, without the last: a line that is full may be broken by the terminal."""
        return width_of(self._sink) - 1

    @property
    def room(self) -> float:
        """Columns of the line that keeps changing; in a file it is a line as any other."""
        return self.width if self.interactive else math.inf

    def say(self, text: str) -> None:
        """Write a paragraph, or several, broken where the line ends."""
        kept = self._lift_running()
        self._new_line()
        said = text_of(paragraphs(*text.split("\n")), self.width)
        self._sink.write(f"{said}\n{kept}")
        self._running = kept
        self._sink.flush()

    def echo(self, text: str) -> None:
        """Write behind the question what was answered elsewhere, and end its line."""
        self._sink.write(f"{text}\n" if self._asking or text else "")
        self._asking = False
        self._sink.flush()

    def prompt(self, text: str) -> None:
        """Write a question on a line of its own and leave the cursor behind it."""
        self._lift_running()
        self._new_line()
        asked = text_of(paragraphs(*text.split("\n")), self.width)
        self._sink.write(f"{asked} " if self.interactive else f"{asked}\n")
        self._asking = self.interactive
        self._sink.flush()

    def running(self, text: str) -> None:
        """Write a line, no longer than ``room``, over the last one; where nobody watches, a line of its own."""
        if self._quiet:
            return
        if not self.interactive:
            self._sink.write(f"{text}\n")
        else:
            if self._asking:
                self._new_line()
            self._sink.write(f"\r{text.ljust(len(self._running))}")
            self._running = text
        self._sink.flush()

    def _lift_running(self) -> str:
        """Take the running line away, and return what it was."""
        kept, self._running = self._running, ""
        if kept:
            self._sink.write(f"\r{' ' * len(kept)}\r")
        return kept

    def leave_running(self) -> None:
        """Leave the running line where it is: nothing more is to come of it."""
        if self._running:
            self._sink.write("\n")
            self._running = ""
            self._sink.flush()

    def _new_line(self) -> None:
        """Leave a question behind; what is written next begins at the left."""
        if self._asking:
            self._sink.write("\n")
        self._asking = False

    def bell(self) -> None:
        """Ring."""
        if self.interactive:
            self._sink.write("\a")
            self._sink.flush()

    def poll(self) -> str | None:
        """Return a typed line without its end, or ``None`` when there is none yet."""
        if self.ended:
            return None
        line = self._poll_thread() if os.name == "nt" else self._poll_select()
        if line is not None:
            self._asking = False  # the person's Enter has ended the line
        return line

    def forget_typed(self) -> bool:
        """Throw away what was typed and not read yet; returns whether Escape was among it.

        Only where a person types: what a script has prepared on a pipe is an answer.
        """
        if self.ended or not self._source.isatty():
            return False
        if os.name == "nt":
            while self._poll_thread() is not None:
                pass
            return False
        typed, self._buffer = self._buffer + _unread(self._source.fileno()), b""
        # Arrow keys and their like begin with Escape too, and something follows at once.
        return any(rest == b"" or rest[:1] in b"\r\n\x1b" for rest in typed.split(b"\x1b")[1:])

    def _poll_select(self) -> str | None:
        try:
            number = self._source.fileno()
            ready = select.select([number], [], [], 0)[0]
            data = os.read(number, 4096) if ready and b"\n" not in self._buffer else None
        except (OSError, ValueError):
            self.ended = True
            return None
        if data == b"":
            self.ended = True
        self._buffer += data or b""
        line, found, rest = self._buffer.partition(b"\n")
        if found or (self.ended and line):
            self._buffer = rest
            return line.decode("utf-8", "replace").rstrip("\r")
        return None

    def _poll_thread(self) -> str | None:
        if self._reader is None:
            self._reader = threading.Thread(target=self._read_lines, daemon=True)
            self._reader.start()
        try:
            line = self._lines.get_nowait()
        except queue.Empty:
            return None
        if line is None:
            self.ended = True
        return line

    def _read_lines(self) -> None:
        for line in self._source:
            self._lines.put(line.rstrip("\r\n"))
        self._lines.put(None)


def _unread(number: int) -> bytes:
    """Return what waits at a terminal, a line without its end included."""
    import termios

    typed = b""
    try:
        before = termios.tcgetattr(number)
        now = [*before[:6], list(before[6])]
        now[3] &= ~termios.ICANON
        now[6][termios.VMIN], now[6][termios.VTIME] = 0, 0
        termios.tcsetattr(number, termios.TCSANOW, now)
        try:
            while data := os.read(number, 4096):
                typed += data
        finally:
            termios.tcsetattr(number, termios.TCSANOW, before)
    except (OSError, termios.error):
        return typed
    return typed
