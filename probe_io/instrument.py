"""What an instrument file says, as records that ``groundwork.tables`` reads: a class a table, a field a key."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any, Literal

from groundwork.tables import LOOSE, NOT_A_KEY, limits, made_by, one_of
from probe_io.errors import InstrumentFileError
from probe_io.reading import HOLES, UNITS
from probe_io.template import Command, Template, TemplateFault, parse_command, parse_template
from probe_io.wire import CHECKSUMS

Fault = tuple[str, str]
"""Key and sentence: what does not go together in a table."""

FORMAT = Literal["panelwear-instrument/1"]
EXTRA_HOLES = ("integration_s", "integration_ms")
"""What a reply may tell besides its quantity, and a command that measures may be told."""
NOTHING = Command("", ())
MEANINGS = ("retry", "over-range", "low-light", "stop")
"""What an error reply can mean for a reading."""


def _command(*holes: str) -> dict[str, Any]:
    """Make the metadata of a command with these holes."""
    return made_by(lambda text, _decimal: parse_command(text, holes))


_TEMPLATE = made_by(lambda text, _decimal: parse_template(text))
_MEASURED = made_by(parse_template)
"""A reply whose numbers are written with the decimal sign of ``[measure]``."""


def _ending(text: str, _decimal: str) -> bytes:
    try:
        return text.encode("latin-1")
    except UnicodeEncodeError:
        raise ValueError(f"is {text!r}; wanted characters of latin-1") from None


@dataclass(frozen=True, slots=True)
class Line:
    """How the bytes travel."""

    baud: int = field(default=9600, metadata=limits(low=50, high=4_000_000))
    bits: int = field(default=8, metadata=limits(low=5, high=8))
    parity: Literal["none", "even", "odd", "mark", "space"] = "none"
    stop: float = field(default=1, metadata=limits(low=1, high=2))
    flow: Literal["none", "xon-xoff", "rts-cts", "dsr-dtr"] = "none"
    dtr: bool = True
    rts: bool = True
    end_out: bytes = field(default=b"\n", metadata=made_by(_ending))
    end_in: bytes = field(default=b"\n", metadata=made_by(_ending))
    echo: bool = False
    """The instrument sends each command back before it answers."""
    encoding: Literal["ascii", "latin-1"] = "ascii"
    limit_bytes: int = field(default=4096, metadata=limits(low=16, high=1_000_000))
    """A reply longer than this is garbage."""
    open_delay_s: float = field(default=0.0, metadata=limits(low=0, high=60))
    quiet_s: float = field(default=0.2, metadata=limits(low=0.01, high=10))
    """How long the line must be silent before it counts as clear."""
    checksum: str = field(default="none", metadata=one_of(CHECKSUMS))
    checksum_mark: str = ""
    """What stands between the text and the checksum digits."""
    checksum_on: Literal["both", "replies", "commands"] = "both"

    def faults(self) -> Iterator[Fault]:
        """Say which values cannot be."""
        if self.stop not in {1, 1.5, 2}:
            yield "stop", f"{self.stop:g} is not known; allowed: 1, 1.5, 2"
        if not self.end_in:
            yield "end_in", 'is empty; wanted what ends each reply, such as "\\r\\n"'
        for key, ending in (("end_out", self.end_out), ("end_in", self.end_in)):
            if self.encoding == "ascii" and not ending.isascii():
                yield key, f"is {ending.decode('latin-1')!r}; wanted characters of ascii"


@dataclass(frozen=True, slots=True)
class Exchange:
    """Something sent, and what must come back, if anything."""

    send: Command = field(metadata=_command())
    expect: Template | None = field(default=None, metadata=_TEMPLATE)
    identity: bool = False
    """The reply says who the instrument is."""

    def faults(self) -> Iterator[Fault]:
        """Say when an identity is to be read out of nothing."""
        if self.identity and self.expect is None:
            yield "identity", "is true, but the exchange expects no reply; add expect"


@dataclass(frozen=True, slots=True)
class InstrumentSetting:
    """A value sent once after opening."""

    name: str
    send: Command = field(metadata=_command("value"))
    value: float | str
    expect: Template | None = field(default=None, metadata=_TEMPLATE)
    low: float = field(default=-1e9, metadata=limits(low=-1e9, high=1e9))
    high: float = field(default=1e9, metadata=limits(low=-1e9, high=1e9))
    choices: tuple[str, ...] = field(default=(), metadata=LOOSE)

    def wanted(self, value: float | str) -> str:
        """Say what was wanted instead of a value; empty when it will do."""
        if self.choices:
            return "" if value in self.choices else "one of " + ", ".join(self.choices)
        if not isinstance(value, str) and self.low <= value <= self.high:
            return ""
        return f"a number from {self.low:g} to {self.high:g}"

    def faults(self) -> Iterator[Fault]:
        """Say when the value is none of those that may be chosen."""
        if wanted := self.wanted(self.value):
            yield "value", f"is {self.value!r}; wanted {wanted}"


@dataclass(frozen=True, slots=True)
class Integration:
    """How long the instrument may gather light."""

    default_s: float = field(default=1.0, metadata=limits(low=0, high=600))
    shortest_s: float = field(default=0.001, metadata=limits(low=0, high=600))
    longest_s: float = field(default=60.0, metadata=limits(low=0, high=600))
    send: Command | None = field(default=None, metadata=_command(*EXTRA_HOLES))
    """Sent before a measurement when the time wanted has changed."""
    expect: Template | None = field(default=None, metadata=_TEMPLATE)

    def faults(self) -> Iterator[Fault]:
        """Say when the usual time lies outside of the possible ones."""
        if not self.shortest_s <= self.default_s <= self.longest_s:
            yield "default_s", f"is {self.default_s:g}; wanted a time from shortest_s to longest_s"


@dataclass(frozen=True, slots=True)
class Poll:
    """How to ask whether the instrument is still busy."""

    send: Command = field(metadata=_command())
    busy: Template = field(metadata=_TEMPLATE)
    every_s: float = field(default=0.1, metadata=limits(low=0.005, high=60))


@dataclass(frozen=True, slots=True)
class Measurement:
    """How one reading is taken and read."""

    send: Command = field(metadata=_command(*EXTRA_HOLES))
    reply: Template = field(metadata=_MEASURED)
    quantity: str = field(metadata=one_of(HOLES))
    decimal: Literal["point", "comma"] = "point"
    unit: str = field(default="cd/m2", metadata=one_of((*UNITS, "factor")))
    factor: float | None = field(default=None, metadata=limits(low=1e-9, high=1e9))
    """With ``unit = "factor"``: cd/m² in one unit of the reply."""
    wait: Literal["reply", "poll", "fixed"] = "reply"
    ack: Template | None = field(default=None, metadata=_TEMPLATE)
    """What the instrument answers at once when it has understood."""
    poll: Poll | None = None
    fixed_s: float = field(default=0.0, metadata=limits(low=0, high=600))
    """With ``wait = "fixed"``: waited on top of the integration time."""
    fetch: Command | None = field(default=None, metadata=_command(*EXTRA_HOLES))
    """With ``poll`` and ``fixed``: what asks for the result."""
    missing: tuple[float, ...] = field(default=(), metadata=LOOSE)
    over_range: tuple[float, ...] = field(default=(), metadata=LOOSE)
    """Values that stand for infinity."""
    low_light_below_cd_m2: float | None = field(default=None, metadata=limits(low=0, high=1e6))
    over_range_above_cd_m2: float | None = field(default=None, metadata=limits(low=0, high=1e9))

    @property
    def cd_m2_per_unit(self) -> float:
        """What one unit of the reply is in cd/m²."""
        return UNITS[self.unit] if self.factor is None else self.factor

    def faults(self) -> Iterator[Fault]:
        """Say what the way to wait, the unit and the quantity lack."""
        if self.wait == "poll" and self.fetch is None:
            yield "fetch", 'is missing; with wait = "poll" it asks for the result'
        if self.wait == "poll" and self.poll is None:
            yield "poll", 'is missing; with wait = "poll" it says how to ask whether the instrument is busy'
        if self.wait != "poll" and self.poll is not None:
            yield "poll", 'is only used with wait = "poll"'
        if self.unit == "factor" and self.factor is None:
            yield "factor", 'is missing; unit = "factor" needs the cd/m² in one unit of the reply'
        if self.unit != "factor" and self.factor is not None:
            yield "factor", 'is only allowed with unit = "factor"'
        for name in EXTRA_HOLES:
            if self.reply.holes.get(name, "number") not in {"number", "integer"}:
                yield "reply", f"the hole {{{name}}} must be a number"
        needed = HOLES[self.quantity]
        for name in needed:
            if self.reply.holes.get(name) not in {"number", "integer"}:
                yield "reply", f'has no hole {{{name}:number}}; quantity = "{self.quantity}" needs {", ".join(needed)}'


@dataclass(frozen=True, slots=True)
class TimeOut:
    """How long a reply may take: ``times_integration`` · integration + ``margin_s``."""

    margin_s: float = field(default=2.0, metadata=limits(low=0.02, high=600))
    times_integration: float = field(default=1.0, metadata=limits(low=0, high=100))
    exchange_s: float = field(default=2.0, metadata=limits(low=0.02, high=600))
    """For everything that is not a reading."""

    def of_reading_s(self, integration_s: float) -> float:
        """Longest wait for a reading, in seconds."""
        return self.times_integration * integration_s + self.margin_s


@dataclass(frozen=True, slots=True)
class Retry:
    """What to do about a failed try."""

    times: int = field(default=2, metadata=limits(low=0, high=20))
    delay_s: float = field(default=0.0, metadata=limits(low=0, high=60))
    give_up_after: int = field(default=3, metadata=limits(low=1, high=1000))
    """So many failed readings in a row, by silence or garbage, and the probe counts as lost."""


@dataclass(frozen=True, slots=True)
class ErrorReply:
    """One error reply and what it means; they are tried in the order of the file."""

    reply: Template = field(metadata=_MEASURED)
    meaning: str = field(metadata=one_of(MEANINGS))
    say: Command = field(default=NOTHING, metadata=made_by(lambda text, _decimal: parse_command(text, None)))
    """What it means in words; the holes of the reply may stand in it."""

    def faults(self) -> Iterator[Fault]:
        """Say which holes of the words the reply cannot fill."""
        try:
            parse_command(self.say.text, tuple(self.reply.holes))
        except TemplateFault as fault:
            yield "say", str(fault)


@dataclass(frozen=True, slots=True)
class ErrorQueue:
    """How to ask the instrument what went wrong, until nothing is left."""

    send: Command = field(metadata=_command())
    none: Template = field(metadata=_TEMPLATE)
    """The reply that means: nothing (more)."""
    at_most: int = field(default=32, metadata=limits(low=1, high=1000))


@dataclass(frozen=True, slots=True)
class Resync:
    """How to find the beginning of a reply again after a fault."""

    first: tuple[Command, ...] = field(default=(), metadata=_command() | LOOSE)
    ask: Command | None = field(default=None, metadata=_command())
    """A question whose answer cannot be taken for a reading; all that comes before the answer is thrown away."""
    expect: Template | None = field(default=None, metadata=_TEMPLATE)
    last: tuple[Command, ...] = field(default=(), metadata=_command() | LOOSE)

    def faults(self) -> Iterator[Fault]:
        """Say when there is a question without an answer."""
        if (self.ask is None) != (self.expect is None):
            yield "ask", "ask and expect go together; write both or neither"


@dataclass(frozen=True, slots=True)
class Instrument:
    """How one kind of probe is spoken to."""

    format: FORMAT
    name: str
    line: Line
    measure: Measurement
    description: str = ""
    integration: Integration = Integration()
    time_out: TimeOut = TimeOut()
    retry: Retry = Retry()
    opening: tuple[Exchange, ...] = field(default=(), metadata=LOOSE)
    settings: tuple[InstrumentSetting, ...] = field(default=(), metadata=LOOSE)
    errors: tuple[ErrorReply, ...] = field(default=(), metadata=LOOSE)
    error_queue: ErrorQueue | None = None
    resync: Resync = Resync()
    closing: tuple[Exchange, ...] = field(default=(), metadata=LOOSE)
    sha256: str = field(default="", metadata=NOT_A_KEY)
    """Digest of the file's bytes."""
    source: str = field(default="", metadata=NOT_A_KEY)
    """Where it was read from."""

    def faults(self) -> Iterator[Fault]:
        """Say when it would have two names, or could take a reading for the line's proof."""
        if sum(exchange.identity for exchange in self.opening) > 1:
            yield "opening", "more than one exchange has identity = true; one is allowed"
        expect = self.resync.expect
        replies = (self.measure.reply, *(error.reply for error in self.errors))
        if expect is not None and any(expect.overlaps(reply) for reply in replies):
            yield "resync", f"expect is {expect.text!r}, which a reading fits too; choose another question"

    @property
    def silence_s(self) -> float:
        """How long an instrument that says nothing is waited for when it is opened, in seconds.

        Each try waits for the answer; before the next one an answer that is late is waited for as long again.
        """
        tries, each_s = 1 + self.retry.times, self.time_out.exchange_s
        return self.line.open_delay_s + (2 * tries - 1) * each_s + tries * self.line.quiet_s


def checked_settings(instrument: Instrument, given: Mapping[str, float | str]) -> dict[str, float | str]:
    """Return a value for each setting of the instrument; raises ``InstrumentFileError`` with every fault."""
    known = {setting.name: setting for setting in instrument.settings}
    faults = [
        f"{instrument.name}: there is no setting '{name}'; known are {', '.join(known) or 'none'}"
        for name in given
        if name not in known
    ]
    found: dict[str, float | str] = {}
    for name, setting in known.items():
        value = given.get(name, setting.value)
        if wanted := setting.wanted(value):
            faults.append(f"{instrument.name}: setting '{name}' is {value!r}; wanted {wanted}")
        found[name] = value
    if faults:
        raise InstrumentFileError(tuple(faults))
    return found
