"""Read instrument files: TOML in, an ``Instrument`` out, or every fault at once."""

from __future__ import annotations

import hashlib
import tomllib
from collections.abc import Mapping
from importlib import resources
from pathlib import Path

from probe_io.checksum import CHECKSUMS
from probe_io.errors import InstrumentFileError
from probe_io.instrument import (
    MEANINGS,
    NOTHING,
    ErrorQueue,
    ErrorReply,
    Exchange,
    Instrument,
    Integration,
    Line,
    Resync,
    Retry,
    Setting,
    TimeOut,
)
from probe_io.instrument_measure import read_command, read_measure, read_template
from probe_io.template import Command, Template, TemplateFault, parse_command
from probe_io.toml_reader import Table

FORMAT = "panelwear-instrument/1"
SHIPPED = resources.files("probe_io") / "instruments"


def looks_like(data: Mapping[str, object]) -> bool:
    """Say whether a parsed TOML file is meant to be an instrument file."""
    marked = str(data.get("format", "")).startswith("panelwear-instrument")
    return marked or ("measure" in data and "line" in data)


def shipped() -> tuple[str, ...]:
    """Name the instrument files that come with the program."""
    return tuple(sorted(f.name.removesuffix(".toml") for f in SHIPPED.iterdir() if f.name.endswith(".toml")))


def find(name_or_path: str | Path) -> Instrument:
    """Load an instrument by the name of a shipped file or by the path of one's own."""
    text = str(name_or_path)
    if text in shipped():
        file = SHIPPED / f"{text}.toml"
        return parse(file.read_bytes(), f"{text}.toml")
    path = Path(name_or_path)
    if path.suffix == ".toml" or path.exists():
        return load(path)
    names = ", ".join(shipped())
    raise InstrumentFileError((f"{text}: no instrument file of this name; shipped are {names}, or give a path",))


def load(path: str | Path) -> Instrument:
    """Load one file; raises ``InstrumentFileError`` with every fault it has."""
    try:
        data = Path(path).read_bytes()
    except OSError as error:
        raise InstrumentFileError((f"{path}: cannot be read: {error.strerror or error}",)) from error
    return parse(data, str(path))


def parse(data: bytes, where: str) -> Instrument:
    """Read the bytes of an instrument file; ``where`` names it in the faults."""
    try:
        raw = tomllib.loads(data.decode("utf-8"))
    except (tomllib.TOMLDecodeError, UnicodeDecodeError) as error:
        raise InstrumentFileError((f"{where}: is not TOML: {error}",)) from error
    faults: list[str] = []
    instrument = _instrument(Table(raw, where, "", faults), hashlib.sha256(data).hexdigest(), where)
    if faults or instrument is None:
        raise InstrumentFileError(tuple(faults))
    return instrument


def _instrument(top: Table, digest: str, where: str) -> Instrument | None:
    top.text("format", FORMAT, choices=(FORMAT,), required=True)
    name = top.text("name", "", required=True)
    description = top.text("description", "")
    line = _line(top.table("line", required=True))
    integration = _integration(top.table("integration"))
    time_out = _time_out(top.table("time_out"))
    retry = _retry(top.table("retry"))
    opening = tuple(_exchange(t) for t in top.tables("opening"))
    settings = tuple(_setting(t) for t in top.tables("settings"))
    measure_table = top.table("measure", required=True)
    decimal = {"point": ".", "comma": ","}[measure_table.text("decimal", "point", choices=("point", "comma"))]
    measure = read_measure(measure_table, decimal)
    errors = tuple(_error(t, decimal) for t in top.tables("errors"))
    queue = _error_queue(top.table("error_queue")) if top.has("error_queue") else None
    resync = _resync(top.table("resync"))
    closing = tuple(_exchange(t) for t in top.tables("closing"))
    top.done()
    if sum(e.identity for e in opening) > 1:
        top.fault("opening", "more than one exchange has identity = true; one is allowed")
    if measure is None:
        return None
    return Instrument(
        name=name,
        description=description,
        line=line,
        measure=measure,
        integration=integration,
        time_out=time_out,
        retry=retry,
        opening=opening,
        settings=settings,
        errors=errors,
        error_queue=queue,
        resync=resync,
        closing=closing,
        sha256=digest,
        source=where,
    )


def _ending(t: Table, key: str, encoding: str, *, required: bool) -> bytes:
    text = t.text(key, "\n")
    try:
        ending = text.encode(encoding)
    except UnicodeEncodeError:
        t.fault(key, f"is {text!r}; wanted characters of {encoding}")
        return b"\n"
    if required and not ending:
        t.fault(key, 'is empty; wanted what ends each reply, such as "\\r\\n"')
    return ending


def _line(t: Table) -> Line:
    encoding = t.text("encoding", "ascii", choices=("ascii", "latin-1"))
    line = Line(
        baud=t.integer("baud", 9600, 50, 4_000_000),
        bits=t.integer("bits", 8, 5, 8),
        parity=t.text("parity", "none", choices=("none", "even", "odd", "mark", "space")),
        stop=t.number("stop", 1, 1, 2),
        flow=t.text("flow", "none", choices=("none", "xon-xoff", "rts-cts", "dsr-dtr")),
        dtr=t.boolean("dtr", True),
        rts=t.boolean("rts", True),
        end_out=_ending(t, "end_out", encoding, required=False),
        end_in=_ending(t, "end_in", encoding, required=True),
        echo=t.boolean("echo", False),
        encoding=encoding,
        limit_bytes=t.integer("limit_bytes", 4096, 16, 1_000_000),
        open_delay_s=t.number("open_delay_s", 0.0, 0.0, 60.0),
        quiet_s=t.number("quiet_s", 0.2, 0.01, 10.0),
        checksum=t.text("checksum", "none", choices=tuple(CHECKSUMS)),
        checksum_mark=t.text("checksum_mark", ""),
        checksum_on=t.text("checksum_on", "both", choices=("both", "replies", "commands")),
    )
    if line.stop not in {1, 1.5, 2}:
        t.fault("stop", f"is {line.stop:g}; wanted one of 1, 1.5, 2")
    t.done()
    return line


def _integration(t: Table) -> Integration:
    found = Integration(
        default_s=t.number("default_s", 1.0, 0.0, 600.0),
        shortest_s=t.number("shortest_s", 0.001, 0.0, 600.0),
        longest_s=t.number("longest_s", 60.0, 0.0, 600.0),
        send=read_command(t, "send", ("integration_s", "integration_ms")),
        expect=read_template(t, "expect"),
    )
    if not found.shortest_s <= found.default_s <= found.longest_s:
        t.fault("default_s", f"is {found.default_s:g}; wanted a time from shortest_s to longest_s")
    t.done()
    return found


def _time_out(t: Table) -> TimeOut:
    found = TimeOut(
        margin_s=t.number("margin_s", 2.0, 0.02, 600.0),
        times_integration=t.number("times_integration", 1.0, 0.0, 100.0),
        exchange_s=t.number("exchange_s", 2.0, 0.02, 600.0),
    )
    t.done()
    return found


def _retry(t: Table) -> Retry:
    found = Retry(
        times=t.integer("times", 2, 0, 20),
        delay_s=t.number("delay_s", 0.0, 0.0, 60.0),
        give_up_after=t.integer("give_up_after", 3, 1, 1000),
    )
    t.done()
    return found


def _exchange(t: Table) -> Exchange:
    t.text("send", "", required=True)
    send = read_command(t, "send", ())
    expect = read_template(t, "expect")
    identity = t.boolean("identity", False)
    if identity and expect is None:
        t.fault("identity", "is true, but the exchange expects no reply; add expect")
    t.done()
    return Exchange(send or NOTHING, expect, identity)


def _setting(t: Table) -> Setting:
    name = t.text("name", "", required=True)
    t.text("send", "", required=True)
    send = read_command(t, "send", ("value",)) or NOTHING
    expect = read_template(t, "expect")
    choices = t.texts("choices")
    if choices:
        value: float | str = t.text("value", choices[0], choices=choices, required=True)
        low = high = None
    else:
        low, high = t.number("low", -1e9, -1e9, 1e9), t.number("high", 1e9, -1e9, 1e9)
        value = t.number("value", low, low, high, required=True)
    t.done()
    return Setting(name, send, value, expect, low, high, choices)


def _error(t: Table, decimal: str) -> ErrorReply:
    reply = read_template(t, "reply", decimal, required=True)
    meaning = t.text("meaning", "stop", choices=MEANINGS, required=True)
    say = read_command(t, "say", tuple(reply.holes) if reply else ()) or NOTHING
    t.done()
    return ErrorReply(reply or Template("", ()), meaning, say)


def _error_queue(t: Table) -> ErrorQueue:
    t.text("send", "", required=True)
    send = read_command(t, "send", ()) or NOTHING
    none = read_template(t, "none", required=True) or Template("", ())
    at_most = t.integer("at_most", 32, 1, 1000)
    t.done()
    return ErrorQueue(send, none, at_most)


def _commands(t: Table, key: str) -> tuple[Command, ...]:
    found = []
    for text in t.texts(key):
        try:
            found.append(parse_command(text, ()))
        except TemplateFault as fault:
            t.fault(key, str(fault))
    return tuple(found)


def _resync(t: Table) -> Resync:
    first = _commands(t, "first")
    ask = read_command(t, "ask", ())
    expect = read_template(t, "expect")
    last = _commands(t, "last")
    if (ask is None) != (expect is None):
        t.fault("ask", "ask and expect go together; write both or neither")
    t.done()
    return Resync(first, ask, expect, last)
