"""A probe made of an instrument file and a link."""

from __future__ import annotations

import time
from collections.abc import Callable, Mapping
from dataclasses import replace

from groundwork.clock import Clock, RealClock
from probe_io.dialogue import Believed, Dialogue, Pace
from probe_io.errors import AnotherMeter, BadReply, InstrumentStopped, LinkError, NoReply, ProbeError, WrongIdentity
from probe_io.instrument import Exchange, Instrument, Line, checked_settings
from probe_io.light import Answer, Taken, reading_of
from probe_io.link import Carrier, Link
from probe_io.reading import Idle, ProbeIdentity, Reading
from probe_io.template import Command, Template, Value
from probe_io.wire import Record, escaped

TRIABLE = (NoReply, BadReply)
"""Faults that another try may heal; everything else ends the reading at once."""


class SerialProbe:
    """A colorimeter on a serial port or a socket, spoken to as its instrument file says.

    Readings that fail after the retries of the file come back as a ``Reading`` without Y; the probe raises when it
    is unplugged, when the instrument reports a final fault, and after ``retry.give_up_after`` failed readings in a row.
    """

    def __init__(
        self,
        instrument: Instrument,
        url: str,
        *,
        clock: Clock | None = None,
        settings: Mapping[str, float | str] | None = None,
        record: Record | None = None,
        carrier: Callable[[str, Line, Record | None], Carrier] = Link,
        now_s: Callable[[], float] = time.monotonic,
        dwells: bool = True,
    ) -> None:
        """Make a probe; nothing is opened yet.

        Args:
            instrument: how it is spoken to.
            url: where it is.
            clock: stamps the readings.
            settings: values for the instrument file's settings, by name.
            record: takes each line of the byte transcript.
            carrier: makes the link.
            now_s: the machine's own clock, on which answers travel.
            dwells: whether the instrument really takes its integration times; a simulated one need not.
        """
        self.instrument = instrument
        self._carrier = carrier
        self._real_s = now_s
        self.url = url
        self._clock = clock or RealClock()
        self._settings = checked_settings(instrument, settings or {})
        self._record = record
        self._identity: ProbeIdentity | None = None
        self._integration_sent_s: float | None = None
        self._failed_in_a_row = 0
        self._pace = Pace(is_timed=dwells and not self._clock.fast)
        self.by_control = False
        self._missed = False
        self._known_at = 0
        """How often the step had been looked for when the instrument last said who it is."""
        self._asked_at_s = 0.0
        """On the machine's own clock, on which answers travel even where time is virtual."""
        self._link = carrier(url, instrument.line, record)
        self._dialogue = Dialogue(self._link, instrument, self._clock, now_s, self._pace)

    def move_to(self, url: str) -> None:
        """Use another port from the next ``open`` on; an adapter may come back under another name."""
        SerialProbe.close(self)
        self.url = url
        self._link = self._carrier(url, self.instrument.line, self._record)
        self._dialogue = Dialogue(self._link, self.instrument, self._clock, self._real_s, self._pace)

    def open(self, idle: Idle | None = None) -> ProbeIdentity:
        """Open the link, identify the instrument, send the settings; opening twice does nothing more.

        Raises:
            CannotOpen: The port is not there, not allowed, or in use.
            WrongIdentity: Something else answered.
            NoReply: Nothing answered.
        """
        if self._identity is not None:
            return self._identity
        self._link.open()
        try:
            self._dialogue = Dialogue(self._link, self.instrument, self._clock, self._real_s, self._pace)
            self._dialogue.pause(self.instrument.line.open_delay_s, idle)
            identity = self._introduce(idle)
            self._apply_settings(idle)
        except BaseException:
            self._link.close()
            raise
        self._integration_sent_s = None
        self._failed_in_a_row = 0
        self._identity = identity
        self._known_at = self._dialogue.resyncs
        self._missed |= bool(self._pace.fastest_s)  # what the line owed when it was cut off may still come
        return identity

    def measure(self, integration_s: float | None = None, idle: Idle | None = None) -> Reading:
        """Take one reading.

        Args:
            integration_s: Wanted integration time; the instrument's default when ``None``, or where it chooses for
                itself; held to its limits, and the reading says so.
            idle: Called at least every 20 ms; what it raises ends the wait, and the next reading starts clean.
        """
        if self._identity is None:
            raise LinkError(f"{self.url}: the probe is not open")
        limits = self.instrument.integration
        notes: list[str] = []
        can_be_told = limits.send is not None or bool(self.instrument.measure.send.holes)
        asked = integration_s if integration_s is not None and can_be_told else limits.default_s
        integration_s = min(max(asked, limits.shortest_s), limits.longest_s)
        if integration_s != asked:
            notes.append(f"integration {asked:g} s asked, held to {integration_s:g} s")
        reading = self._tries(integration_s, notes, idle)
        if self._clock.fast:
            self._clock.sleep(reading.integration_s)
            return replace(reading, took_s=self._clock.monotonic_s() - reading.requested_at_s)
        return reading

    def identify(self, idle: Idle | None = None) -> bool:
        """Ask again who answers; ``False`` where the instrument file has no question for it.

        Raises:
            AnotherMeter: it is not the one that was opened.
        """
        if self._identity is None:
            raise LinkError(f"{self.url}: the probe is not open")
        question = next((exchange for exchange in self.instrument.opening if exchange.identity), None)
        if question is None:
            return False
        then, now = self._identity, self._named(*self._exchange(question, idle))
        self._known_at = self._dialogue.resyncs
        if (now.model, now.serial) != (then.model, then.serial):
            raise AnotherMeter(f"{self.url}: {now.name} answers, and before it was {then.name}", now.reply)
        return True

    def light_changes(self) -> None:
        """Hear that other light is read from now on: an older answer that comes again is suspect then."""
        self._pace.light_changes()

    @property
    def control_due(self) -> bool:
        """Whether an answer was missing, and nothing the instrument can be asked proves the line in step."""
        return self._missed and self.by_control and self.instrument.resync.ask is None

    def line_is_proved(self) -> None:
        """Hear that a known patch read as it is known."""
        self._missed = False

    def line_is_lost(self) -> None:
        """Hear that it did not: the port is opened afresh and has to be silent before the next question."""
        self._dialogue.lost_step()

    def close(self) -> None:
        """Send the closing exchange and let the link go; never raises for a link that is already gone."""
        if self._identity is not None:
            try:
                for exchange in self.instrument.closing:
                    self._exchange(exchange, None)
            except ProbeError:
                pass  # the link may be gone, which is no news when it is being closed
        self._identity = None
        self._link.close()

    def _introduce(self, idle: Idle | None) -> ProbeIdentity:
        found: dict[str, Value] = {}
        reply = ""
        for exchange in self.instrument.opening:
            answer, values = self._exchange(exchange, idle)
            if exchange.identity:
                reply, found, self._known_at = answer, values, self._dialogue.resyncs
        return self._named(reply, found)

    def _named(self, reply: str, found: Mapping[str, Value]) -> ProbeIdentity:
        return ProbeIdentity(
            instrument=self.instrument.name,
            link=self.url,
            model=str(found.get("model", "")).strip(),
            serial=str(found.get("serial", "")).strip(),
            firmware=str(found.get("firmware", "")).strip(),
            reply=reply.encode(self.instrument.line.encoding),
            instrument_sha256=self.instrument.sha256,
        )

    def _exchange(self, exchange: Exchange, idle: Idle | None) -> tuple[str, dict[str, Value]]:
        text = exchange.send.fill({})
        time_out_s = self.instrument.time_out.exchange_s
        other: BadReply | None = None
        for left in range(self.instrument.retry.times, -1, -1):
            try:
                self._back_in_step(idle)
                if exchange.expect is None:
                    self._dialogue.say(text, idle)
                    return "", {}
                reply = self._dialogue.ask(text, time_out_s, idle, exchange.expect.lines)
                return reply, self._dialogue.expect(exchange.expect, reply)
            except TRIABLE as fault:
                other = fault if isinstance(fault, BadReply) else other
                if left:
                    continue
                if other is not None and self._identity is None:
                    raise self._another_answers(other) from fault
                if isinstance(fault, NoReply) and not fault.raw:
                    raise self._never_answered(fault) from fault
                raise
        raise AssertionError  # pragma: no cover - the loop returns or raises

    def _another_answers(self, fault: BadReply) -> WrongIdentity:
        return WrongIdentity(
            f"{self.url}: another instrument answers than '{self.instrument.name}' describes: {escaped(fault.raw)}; "
            "choose the right instrument file or port",
            fault.raw,
        )

    def _never_answered(self, fault: NoReply) -> NoReply:
        times = 1 + self.instrument.retry.times
        return NoReply(
            f"{self.url}: asked {times} times as '{self.instrument.name}' describes, {self._in_short(fault)}; "
            "is it switched on, and is this its instrument file?"
        )

    def _apply_settings(self, idle: Idle | None) -> None:
        for setting in self.instrument.settings:
            value = self._settings[setting.name]
            self._exchange_filled(setting.send.fill({"value": value}), setting.expect, idle)

    def _exchange_filled(self, text: str, expect: Template | None, idle: Idle | None) -> None:
        self._exchange(Exchange(Command(text, (text,)), expect), idle)

    def _back_in_step(self, idle: Idle | None) -> list[str]:
        return self._dialogue.resync(idle) if self._dialogue.out_of_step else []

    def _tries(self, integration_s: float, notes: list[str], idle: Idle | None) -> Reading:
        retry = self.instrument.retry
        requested_at_s = self._clock.monotonic_s()
        raw = b""
        fault: ProbeError | None = None
        tried = 0
        known = self.control_due
        for tried in range(retry.times + 1):
            if tried:
                self._dialogue.pause(retry.delay_s, idle)
            requested_at_s = self._clock.monotonic_s()
            try:
                answer = self._believed(integration_s, idle)
            except TRIABLE as error:
                fault, raw = error, error.raw
                notes.append(self._in_short(error))
                self._missed = True
                self._recover(notes, idle)
                if self.control_due and not known:
                    break
                continue
            fault, raw = None, answer.raw
            if self.control_due and not known:
                notes.append("an answer was out of step")
                break
            if answer.meaning == "stop":
                raise InstrumentStopped(f"{self.url}: the instrument reports: {answer.say}", answer.raw)
            if answer.meaning != "retry":
                self._failed_in_a_row = 0
                took_s = self._clock.monotonic_s() - answer.requested_at_s
                return reading_of(self.instrument.measure, answer, Taken(integration_s, took_s, tried > 0), notes)
            notes.append(answer.say)
        self._count_failure(fault)
        return Reading(
            None,
            None,
            None,
            integration_s=integration_s,
            requested_at_s=requested_at_s,
            took_s=self._clock.monotonic_s() - requested_at_s,
            flags=("retried",) if tried else (),
            note="; ".join(notes),
            raw=raw,
        )

    def _count_failure(self, fault: ProbeError | None) -> None:
        if fault is None:
            return
        self._failed_in_a_row += 1
        if self._failed_in_a_row >= self.instrument.retry.give_up_after:
            raise type(fault)(f"{fault}; {self._failed_in_a_row} readings in a row have failed", fault.raw) from fault

    def _recover(self, notes: list[str], idle: Idle | None) -> None:
        try:
            complaints = self._dialogue.resync(idle)
        except TRIABLE:
            return  # still out of step; the next try begins with another resync
        for complaint in complaints:
            notes.append(f"the instrument says {complaint}")
            for error in self.instrument.errors:
                if error.meaning == "stop" and error.reply.fits(complaint):
                    words = error.say.fill(error.reply.match(complaint)) or complaint
                    raise InstrumentStopped(f"{self.url}: the instrument reports: {words}")

    def _in_short(self, fault: ProbeError) -> str:
        return str(fault).removeprefix(f"{self.url}: ")

    def _attempt(self, integration_s: float, idle: Idle | None) -> Answer:
        self._back_in_step(idle)
        self._set_integration(integration_s, idle)
        measure, dialogue = self.instrument.measure, self._dialogue
        values: dict[str, Value] = {"integration_s": integration_s, "integration_ms": integration_s * 1000.0}
        time_out_s = self.instrument.time_out.of_reading_s(integration_s)
        exchange_s = self.instrument.time_out.exchange_s
        command = measure.send.fill(values)
        requested_at_s, self._asked_at_s = self._clock.monotonic_s(), self._real_s()
        if measure.wait == "reply" and measure.ack is None:
            return self._read(dialogue.ask(command, time_out_s, idle, measure.reply.lines), requested_at_s)
        if measure.ack is not None:
            reply = dialogue.ask(command, exchange_s, idle)
            if (refusal := self._error(reply, requested_at_s)) is not None:
                return refusal
            dialogue.expect(measure.ack, reply)
        else:
            dialogue.say(command, idle)
        if measure.poll is not None:
            refusal = self._poll(time_out_s, requested_at_s, idle)
            if refusal is not None:
                return refusal
            time_out_s = exchange_s
        elif measure.wait == "fixed":
            dialogue.pause(integration_s + measure.fixed_s, idle)
            time_out_s = exchange_s
        if measure.fetch is None:
            return self._read(dialogue.answer(time_out_s, idle, measure.reply.lines), requested_at_s)
        fetch = measure.fetch.fill(values)
        return self._read(dialogue.ask(fetch, time_out_s, idle, measure.reply.lines), requested_at_s)

    def _believed(self, integration_s: float, idle: Idle | None) -> Answer:
        """Ask until an answer is believed: a suspect one is thrown away, and the next may be like it."""
        time_out_s = self.instrument.time_out.of_reading_s(integration_s)
        for second in (False, True):
            answer = self._attempt(integration_s, idle)
            taken = Believed(answer.raw, self._real_s() - self._asked_at_s, integration_s)
            if self._dialogue.prove(taken, time_out_s, idle, second=second):
                break
        if self._dialogue.resyncs != self._known_at:
            # Answers were missing or torn: what answers now may be another instrument on the same line.
            self._missed, self._known_at = True, self._dialogue.resyncs
            self.identify(idle)
        return answer

    def _set_integration(self, integration_s: float, idle: Idle | None) -> None:
        send = self.instrument.integration.send
        if send is None or self._integration_sent_s == integration_s:
            return
        text = send.fill({"integration_s": integration_s, "integration_ms": integration_s * 1000.0})
        self._exchange_filled(text, self.instrument.integration.expect, idle)
        self._integration_sent_s = integration_s

    def _poll(self, time_out_s: float, requested_at_s: float, idle: Idle | None) -> Answer | None:
        poll = self.instrument.measure.poll
        if poll is None:
            return None
        end = self._real_s() + time_out_s
        while True:
            reply = self._dialogue.ask(poll.send.fill({}), self.instrument.time_out.exchange_s, idle)
            if not poll.busy.fits(reply):
                return self._error(reply, requested_at_s)
            if self._real_s() > end:
                self._dialogue.lost_step()
                raise NoReply(f"{self.url}: still busy after {time_out_s:.3g} s", reply.encode("latin-1"))
            self._dialogue.pause(poll.every_s, idle)

    def _error(self, reply: str, requested_at_s: float) -> Answer | None:
        for error in self.instrument.errors:
            if error.reply.fits(reply):
                raw = reply.encode(self.instrument.line.encoding)
                values = error.reply.match(reply)
                say = error.say.fill(values) or f"the instrument answers {escaped(raw)}"
                return Answer(values, raw, error.meaning, say, requested_at_s)
        return None

    def _read(self, reply: str, requested_at_s: float) -> Answer:
        refusal = self._error(reply, requested_at_s)
        if refusal is not None:
            return refusal
        values = self._dialogue.expect(self.instrument.measure.reply, reply)
        return Answer(values, reply.encode(self.instrument.line.encoding), requested_at_s=requested_at_s)
