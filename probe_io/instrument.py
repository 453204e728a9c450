"""What an instrument file says, as plain records."""

from __future__ import annotations

from dataclasses import dataclass

from probe_io.template import Command, Template

NOTHING = Command("", ())
MEANINGS = ("retry", "over-range", "low-light", "stop")
"""What an error reply can mean for a reading."""


@dataclass(frozen=True, slots=True)
class Line:
    """How the bytes travel."""

    baud: int = 9600
    bits: int = 8
    parity: str = "none"
    stop: float = 1
    flow: str = "none"
    dtr: bool = True
    rts: bool = True
    end_out: bytes = b"\n"
    end_in: bytes = b"\n"
    echo: bool = False
    """The instrument sends each command back before it answers."""
    encoding: str = "ascii"
    limit_bytes: int = 4096
    """A reply longer than this is garbage."""
    open_delay_s: float = 0.0
    quiet_s: float = 0.2
    """How long the line must be silent before it counts as clear."""
    checksum: str = "none"
    checksum_mark: str = ""
    """What stands between the text and the checksum digits."""
    checksum_on: str = "both"


@dataclass(frozen=True, slots=True)
class Exchange:
    """Something sent, and what must come back, if anything."""

    send: Command
    expect: Template | None = None
    identity: bool = False
    """The reply says who the instrument is."""


@dataclass(frozen=True, slots=True)
class Setting:
    """A value sent once after opening."""

    name: str
    send: Command
    value: float | str
    expect: Template | None = None
    low: float | None = None
    high: float | None = None
    choices: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Integration:
    """How long the instrument may gather light."""

    default_s: float = 1.0
    shortest_s: float = 0.001
    longest_s: float = 60.0
    send: Command | None = None
    """Sent before a measurement when the time wanted has changed."""
    expect: Template | None = None


@dataclass(frozen=True, slots=True)
class Poll:
    """How to ask whether the instrument is still busy."""

    send: Command
    busy: Template
    every_s: float = 0.1


@dataclass(frozen=True, slots=True)
class Measure:
    """How one reading is taken and read."""

    send: Command
    reply: Template
    quantity: str
    factor: float
    """cd/m² in one unit of the reply."""
    unit: str = "cd/m2"
    wait: str = "reply"
    """``reply``, ``poll`` or ``fixed``."""
    ack: Template | None = None
    """What the instrument answers at once when it has understood."""
    poll: Poll | None = None
    fixed_s: float = 0.0
    """With ``wait = "fixed"``: waited on top of the integration time."""
    fetch: Command | None = None
    """With ``poll`` and ``fixed``: what asks for the result."""
    missing: tuple[float, ...] = ()
    over_range: tuple[float, ...] = ()
    """Values that stand for infinity."""
    low_light_below_cd_m2: float | None = None
    over_range_above_cd_m2: float | None = None


@dataclass(frozen=True, slots=True)
class TimeOut:
    """How long a reply may take: ``times_integration`` · integration + ``margin_s``."""

    margin_s: float = 2.0
    times_integration: float = 1.0
    exchange_s: float = 2.0
    """For everything that is not a reading."""

    def of_reading_s(self, integration_s: float) -> float:
        """Longest wait for a reading, in seconds."""
        return self.times_integration * integration_s + self.margin_s


@dataclass(frozen=True, slots=True)
class Retry:
    """What to do about a failed try."""

    times: int = 2
    delay_s: float = 0.0
    give_up_after: int = 3
    """So many failed readings in a row, by silence or garbage, and the probe counts as lost."""


@dataclass(frozen=True, slots=True)
class ErrorReply:
    """One error reply and what it means; they are tried in the order of the file."""

    reply: Template
    meaning: str
    """One of ``MEANINGS``."""
    say: Command = NOTHING
    """What it means in words; the holes of the reply may stand in it."""


@dataclass(frozen=True, slots=True)
class ErrorQueue:
    """How to ask the instrument what went wrong, until nothing is left."""

    send: Command
    none: Template
    """The reply that means: nothing (more)."""
    at_most: int = 32


@dataclass(frozen=True, slots=True)
class Resync:
    """How to find the beginning of a reply again after a fault."""

    first: tuple[Command, ...] = ()
    ask: Command | None = None
    """A question whose answer cannot be taken for a reading; all that comes before the answer is thrown away."""
    expect: Template | None = None
    last: tuple[Command, ...] = ()


@dataclass(frozen=True, slots=True)
class Instrument:
    """How one kind of probe is spoken to."""

    name: str
    description: str
    line: Line
    measure: Measure
    integration: Integration = Integration()
    time_out: TimeOut = TimeOut()
    retry: Retry = Retry()
    opening: tuple[Exchange, ...] = ()
    settings: tuple[Setting, ...] = ()
    errors: tuple[ErrorReply, ...] = ()
    error_queue: ErrorQueue | None = None
    resync: Resync = Resync()
    closing: tuple[Exchange, ...] = ()
    sha256: str = ""
    """Digest of the file's bytes."""
    source: str = ""
    """Where it was read from."""

    @property
    def silence_s(self) -> float:
        """How long an instrument that says nothing is waited for when it is opened, in seconds.

        Each try waits for the answer; before the next one an answer that is late is waited for as long again.
        """
        tries, each_s = 1 + self.retry.times, self.time_out.exchange_s
        return self.line.open_delay_s + (2 * tries - 1) * each_s + tries * self.line.quiet_s
