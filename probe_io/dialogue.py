"""Ask and answer over a link, so that an answer always belongs to its question.

After any fault the dialogue counts as out of step: before the next request it waits until an answer that is
still under way has come and been thrown away (or, where the instrument file has a question whose answer cannot
be mistaken, until that answer comes).
"""

from __future__ import annotations

import time

from groundwork.clock import Clock
from probe_io.errors import BadReply, NoReply
from probe_io.instrument import Instrument
from probe_io.link import Link
from probe_io.reading import Idle
from probe_io.template import Template, Value
from probe_io.wire import CHECKSUMS, escaped

PAUSE_SLICE_S = 0.01
STALE_QUIET_S = 0.05


class Dialogue:
    """One instrument on one link."""

    def __init__(self, link: Link, instrument: Instrument, clock: Clock) -> None:
        self._link = link
        self._instrument = instrument
        self._line = instrument.line
        self._clock = clock
        self._out_of_step = True
        self._late_until_s = 0.0
        self._unanswered = 0

    @property
    def out_of_step(self) -> bool:
        """Whether the next request must be preceded by ``resync``."""
        return self._out_of_step

    def say(self, text: str, idle: Idle | None = None) -> None:
        """Send a command that has no answer."""
        if self._link.has_stale:
            self._link.drain(STALE_QUIET_S, idle)
        self._send(text, idle, self._instrument.time_out.exchange_s)

    def ask(self, text: str, time_out_s: float, idle: Idle | None = None, lines: int = 1) -> str:
        """Send a question and return its answer of ``lines`` lines, joined by newlines."""
        if self._link.has_stale:
            self._link.drain(STALE_QUIET_S, idle)
        self._send(text, idle, time_out_s)
        return self.answer(time_out_s, idle, lines)

    def answer(self, time_out_s: float, idle: Idle | None = None, lines: int = 1) -> str:
        """Return the answer to what was sent already."""
        # Out of step from here until the whole answer has come: a raising idle must not leave it behind.
        self._expect_late(time_out_s)
        end = time.monotonic() + time_out_s
        found: list[str] = []
        while len(found) < lines:
            try:
                raw = self._link.read_line(max(0.0, end - time.monotonic()), idle)
            except NoReply:
                # Late by up to as long again: that is how long the answer is waited for, only to be thrown away.
                self._expect_late(time_out_s)
                raise
            found.append(self._unpacked(raw))
            if len(found) == 1 and lines > 1 and self._is_error(found[0]):
                break
        self._in_step()
        return "\n".join(found)

    def expect(self, template: Template, reply: str) -> dict[str, Value]:
        """Match an answer; a mismatch puts the dialogue out of step and raises ``BadReply``."""
        try:
            return template.match(reply)
        except ValueError as mismatch:
            self.lost_step()
            raw = reply.encode(self._line.encoding)
            raise BadReply(f"{self._link.url}: the reply {escaped(raw)} does not match: {mismatch}", raw) from mismatch

    def lost_step(self) -> None:
        """Say that the last answer made no sense, so the next request must be preceded by ``resync``."""
        self._out_of_step = True

    def pause(self, seconds: float, idle: Idle | None = None) -> None:
        """Let time pass in slices, so that the screen stays alive."""
        if self._clock.fast:
            self._clock.sleep(seconds)
            return
        end = self._clock.monotonic_s() + seconds
        while (left := end - self._clock.monotonic_s()) > 0:
            self._clock.sleep(min(left, PAUSE_SLICE_S))
            if idle is not None:
                idle()

    def resync(self, idle: Idle | None = None) -> list[str]:
        """Find the beginning of a reply again; return what the instrument's error queue had to say."""
        how = self._instrument.resync
        complaints: list[str] = []
        self._out_of_step = True
        for command in how.first:
            self._link.write(self._packed(command.fill({})))
        if how.ask is None or how.expect is None:
            self._link.drain(self._line.quiet_s, idle, until_s=self._late_until_s)
        else:
            self._link.drain(STALE_QUIET_S, idle)
            self._barrier(how.ask.fill({}), how.expect, idle)
        self._in_step()
        if self._instrument.error_queue is not None:
            complaints = self._read_error_queue(idle)
        for command in how.last:
            self.say(command.fill({}), idle)
        return complaints

    def _barrier(self, question: str, expected: Template, idle: Idle | None) -> None:
        wait_s = max(0.0, self._late_until_s - time.monotonic()) + self._instrument.time_out.exchange_s
        # Written past the echo check: an old answer may come before the echo.
        self._link.write(self._packed(question))
        self._unanswered += 1
        end = time.monotonic() + wait_s
        while True:
            raw = self._link.read_line(max(0.0, end - time.monotonic()), idle)
            if expected.fits(raw.decode(self._line.encoding, errors="replace")):
                break
        if self._unanswered > 1:
            # This may have been the answer to an earlier question of the same words.
            self._link.drain(self._line.quiet_s, idle)
        self._unanswered = 0

    def _read_error_queue(self, idle: Idle | None) -> list[str]:
        queue = self._instrument.error_queue
        found: list[str] = []
        if queue is None:
            return found
        for _ in range(queue.at_most):
            reply = self.ask(queue.send.fill({}), self._instrument.time_out.exchange_s, idle)
            if queue.none.fits(reply):
                break
            found.append(reply)
        return found

    def _send(self, text: str, idle: Idle | None, time_out_s: float) -> None:
        self._expect_late(time_out_s)
        packed = self._packed(text)
        self._link.write(packed)
        if self._line.echo:
            wanted = packed.removesuffix(self._line.end_out)
            echoed = self._link.read_line(self._instrument.time_out.exchange_s, idle)
            if echoed.strip() != wanted.strip():
                raise BadReply(
                    f"{self._link.url}: wanted the echo of {escaped(wanted)}, got {escaped(echoed)}; check echo", echoed
                )
        self._in_step()

    def _expect_late(self, time_out_s: float) -> None:
        self._out_of_step = True
        self._late_until_s = max(self._late_until_s, time.monotonic() + time_out_s)

    def _in_step(self) -> None:
        self._out_of_step = False
        self._late_until_s = 0.0

    def _is_error(self, line: str) -> bool:
        return any(error.reply.fits(line) for error in self._instrument.errors)

    def _packed(self, text: str) -> bytes:
        data = text.encode(self._line.encoding)
        if self._line.checksum_on != "replies" and self._line.checksum != "none":
            digits = CHECKSUMS[self._line.checksum](data)
            data += (self._line.checksum_mark + digits).encode(self._line.encoding)
        return data + self._line.end_out

    def _unpacked(self, raw: bytes) -> str:
        line = self._line
        data = raw
        if line.checksum_on != "commands" and line.checksum != "none":
            width = len(CHECKSUMS[line.checksum](b""))
            mark = line.checksum_mark.encode(line.encoding)
            data, digits = raw[: -width - len(mark)], raw[-width:]
            wanted = CHECKSUMS[line.checksum](data)
            whole = data + mark + digits == raw and len(raw) >= width + len(mark)
            if not whole or digits.decode(line.encoding, errors="replace").upper() != wanted:
                raise BadReply(f"{self._link.url}: the checksum of {escaped(raw)} is wrong", raw)
        try:
            return data.decode(line.encoding)
        except UnicodeDecodeError:
            raise BadReply(f"{self._link.url}: the reply {escaped(raw)} is not {line.encoding} text", raw) from None
