"""Ask and answer over a link, so that an answer always belongs to its question.

After any fault the dialogue counts as out of step: before the next request it waits until a question whose answer
cannot be mistaken is answered. Where the instrument file has none, the port is opened afresh, the line has to be silent
for longer than any answer ever took, and the next reading is believed only when nothing else comes after it: one answer
that is later than all that would else be taken for the next one's, and so on for ever.
"""

from __future__ import annotations

import time
from collections import deque
from collections.abc import Callable
from dataclasses import dataclass, field, replace

from groundwork.clock import Clock
from probe_io.errors import BadReply, NoReply
from probe_io.instrument import Instrument
from probe_io.link import Carrier
from probe_io.reading import Idle
from probe_io.template import Template, Value
from probe_io.wire import CHECKSUMS, escaped

PAUSE_SLICE_S = 0.01
FASTER = 0.9
"""An answer in less than this share of the fastest time so far may be an old one that comes late."""
SLOWER = 1.02
"""One that takes more than this share of the fastest, and repeats an older one to the last digit, may be that one."""
MUCH_SLOWER = 1.5
PROMPT_BYTES = 3
"""Some instruments send a prompt behind a reply; more than that is part of another answer."""
RECENT = 60
"""So many readings back an answer can have come twice."""
JITTER_S = 0.05
"""Two answers this close in time are equally fast."""
STALE_QUIET_S = 0.05


@dataclass(frozen=True, slots=True)
class Believed:
    """A reading as it is weighed before it is believed."""

    raw: bytes
    took_s: float
    integration_s: float


@dataclass(slots=True)
class Pace:
    """What is known of an instrument's answers; it outlives a link that was cut off."""

    is_timed: bool = True
    """Whether integration takes its time on the machine's clock; else an answer's haste tells of its load only."""
    longest_s: float = 0.0
    fastest_s: dict[float, float] = field(default_factory=dict)
    """By integration time in s."""
    recent: deque[bytes] = field(default_factory=lambda: deque(maxlen=RECENT))
    misbehaved: bool = False
    """Whether an answer was ever missing, torn, or came unasked: from then on repeated ones are suspect."""
    of_this_light: set[bytes] | None = None
    """Answers since the light was said to change; ``None``: nobody says when it does."""

    def light_changes(self) -> None:
        """Hear that other light is read from now on."""
        self.of_this_light = set()

    def is_old(self, raw: bytes) -> bool:
        """Tell whether it repeats an answer to other light to the last digit."""
        return raw in self.recent and self.of_this_light is not None and raw not in self.of_this_light

    def believe(self, answer: Believed) -> None:
        """Learn from an answer that is believed."""
        self.recent.append(answer.raw)
        if self.of_this_light is not None:
            self.of_this_light.add(answer.raw)
        fastest_s = self.fastest_s.get(answer.integration_s, answer.took_s)
        self.fastest_s[answer.integration_s] = min(fastest_s, answer.took_s)
        self.longest_s = max(self.longest_s, answer.took_s)


def _comma_hint(template: Template, reply: str) -> str:
    """Say when nothing but the decimal sign keeps a reply from fitting."""
    for sign, word in ((",", "comma"), (".", "point")):
        if sign != template.decimal and replace(template, decimal=sign).fits(reply):
            return f'; its numbers have a decimal {word}: write decimal = "{word}" in [measure]'
    return ""


class Dialogue:
    """One instrument on one link."""

    def __init__(
        self,
        link: Carrier,
        instrument: Instrument,
        clock: Clock,
        now_s: Callable[[], float] = time.monotonic,
        pace: Pace | None = None,
    ) -> None:
        self._link = link
        self._now_s = now_s
        self._instrument = instrument
        self._line = instrument.line
        self._clock = clock
        self._out_of_step = True
        self._late_until_s = 0.0
        self._unanswered = 0
        self._missing = False
        self._pace = pace or Pace(is_timed=not clock.fast)
        # A line that was cut off may still bring what it owes.
        self._unproved = bool(self._pace.fastest_s)
        self._resyncing = False
        self._suspected = b""
        self.resyncs = 0
        """How often the step was looked for: from then on another instrument may be on the line."""

    @property
    def out_of_step(self) -> bool:
        """Whether the next request must be preceded by ``resync``."""
        return self._out_of_step

    def say(self, text: str, idle: Idle | None = None) -> None:
        """Send a command that has no answer."""
        self._clear(idle)
        self._send(text, idle, self._instrument.time_out.exchange_s)

    def ask(self, text: str, time_out_s: float, idle: Idle | None = None, lines: int = 1) -> str:
        """Send a question and return its answer of ``lines`` lines, joined by newlines."""
        self._clear(idle)
        self._send(text, idle, time_out_s)
        return self.answer(time_out_s, idle, lines)

    def answer(self, time_out_s: float, idle: Idle | None = None, lines: int = 1) -> str:
        """Return the answer to what was sent already."""
        # Out of step from here until the whole answer has come: a raising idle must not leave it behind.
        self._expect_late(time_out_s)
        end = self._now_s() + time_out_s
        found: list[str] = []
        while len(found) < lines:
            try:
                raw = self._link.read_line(max(0.0, end - self._now_s()), idle)
            except NoReply:
                # Late by up to as long again: that is how long the answer is waited for, only to be thrown away.
                self._expect_late(time_out_s)
                self._missing = self._pace.misbehaved = True
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
            hint = _comma_hint(template, reply)
            raise BadReply(
                f"{self._link.url}: the reply {escaped(raw)} does not match: {mismatch}{hint}", raw
            ) from mismatch

    def lost_step(self) -> None:
        """Say that the last answer made no sense, so the next request must be preceded by ``resync``."""
        self._out_of_step = self._missing = self._pace.misbehaved = True

    def prove(self, answer: Believed, time_out_s: float, idle: Idle | None = None, *, second: bool = False) -> bool:
        """Tell whether a reading is believed to be the answer to its question.

        A reading is suspect after a missing answer on an instrument without a question to find the step by, when it
        came faster than any before, and when it repeats an older one to the last digit: that may have come late or
        twice. Nothing else may then come for as long as the right answer may still take. One that came too fast, or
        is the first to repeat an answer to other light, is not believed even so: the right answer may have been lost.
        ``False``: it is to be asked for again.

        Args:
            answer: the reading.
            time_out_s: how long the right answer may take.
            idle: called between slices.
            second: it was asked for again, so that it may be as fast as it is.

        Raises:
            BadReply: another answer came behind it, so one of the two belongs to an earlier question.
        """
        pace = self._pace
        fastest_s = pace.fastest_s.get(answer.integration_s, 0.0)
        # One that is asked for again for haste alone would make two rehearsals differ.
        too_fast = pace.is_timed and fastest_s * FASTER > answer.took_s and fastest_s - answer.took_s > JITTER_S
        repeated = answer.raw in pace.recent
        # The right answer was due by now: an old one that came twice may stand in its place.
        is_slow = pace.is_timed and answer.took_s > fastest_s * SLOWER + JITTER_S
        stands_in = repeated and (pace.misbehaved or is_slow)
        wait_s = self._line.quiet_s if repeated else 0.0
        if too_fast or not fastest_s:
            wait_s = max(2 * pace.longest_s, self._line.quiet_s)
        if self._unproved:
            wait_s = max(wait_s, time_out_s)
        came = self._link.drain(wait_s, idle) if wait_s else b""
        if len(came.strip()) > PROMPT_BYTES:
            self.lost_step()
            raise BadReply(f"{self._link.url}: another answer came behind the one that was waited for", came)
        if (too_fast or stands_in or pace.is_old(answer.raw) or self._unproved) and not second:
            self._suspected = answer.raw
            return False
        late = answer.took_s > fastest_s * MUCH_SLOWER + JITTER_S
        if stands_in and (late or answer.raw != self._suspected):
            self.lost_step()
            raise BadReply(f"{self._link.url}: an answer of some time ago came in place of the right one", answer.raw)
        self._unproved = False
        pace.believe(answer)
        return True

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
        self._resyncing = True
        self.resyncs += 1
        try:
            return self._resync(idle)
        finally:
            self._resyncing = False

    def _resync(self, idle: Idle | None) -> list[str]:
        how = self._instrument.resync
        complaints: list[str] = []
        self._out_of_step = True
        for command in how.first:
            self._link.write(self._packed(command.fill({})))
        if how.ask is None or how.expect is None:
            if self._missing:
                self._link.reopen()
                self._unproved = True
            self._link.drain(max(self._line.quiet_s, 2 * self._pace.longest_s), idle, until_s=self._late_until_s)
            self._missing = False
        else:
            self._link.drain(STALE_QUIET_S, idle)
            self._barrier(how.ask.fill({}), how.expect, idle)
        self._in_step()
        if self._instrument.error_queue is not None:
            complaints = self._read_error_queue(idle)
        for command in how.last:
            self.say(command.fill({}), idle)
        return complaints

    def _clear(self, idle: Idle | None) -> None:
        """Throw away what came unasked; a whole line of it means that an answer is no longer the last question's."""
        came = self._link.drain(STALE_QUIET_S, idle) if self._link.has_stale else b""
        if self._line.end_in in came and not (self._out_of_step or self._resyncing):
            self._missing = self._pace.misbehaved = True
            self.resync(idle)

    def _barrier(self, question: str, expected: Template, idle: Idle | None) -> None:
        wait_s = max(0.0, self._late_until_s - self._now_s()) + self._instrument.time_out.exchange_s
        # Written past the echo check: an old answer may come before the echo.
        self._link.write(self._packed(question))
        self._unanswered += 1
        end = self._now_s() + wait_s
        while True:
            raw = self._link.read_line(max(0.0, end - self._now_s()), idle)
            if expected.fits(raw.decode(self._line.encoding, errors="replace")):
                break
            if not self._missing and not self._unproved:
                # Nothing of ours is under way: this is no late answer, but another instrument's.
                self.lost_step()
                raise BadReply(f"{self._link.url}: asked {question}, {escaped(raw)} came", raw)
        if self._unanswered > 1:
            # This may have been the answer to an earlier question of the same words.
            self._link.drain(self._line.quiet_s, idle)
        self._unanswered = 0
        self._missing = False

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
        self._late_until_s = max(self._late_until_s, self._now_s() + time_out_s)

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
