"""The only module that speaks to a port: opens it, writes, and reads whole lines against a deadline.

A reply is read into an own buffer, so that a time-out, a dying port or a cancelled wait keeps the bytes that did
come. pyserial's ``readline`` times out per byte, and loses what it has when the port goes; neither is used.
"""

from __future__ import annotations

import errno
import select
import socket
import time
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Protocol

import serial
from serial.tools import list_ports

from probe_io.errors import BadReply, CannotOpen, LinkError, NoReply, Unplugged
from probe_io.instrument import Line
from probe_io.reading import Idle
from probe_io.wire import DROPPED, RECEIVED, SENT, Record, TranscriptLine, escaped

PORT_ERRORS: tuple[type[Exception], ...] = (serial.SerialException, OSError)
try:
    import termios
except ImportError:  # Windows has no termios, and so none of its errors
    pass
else:
    # termios.error is no OSError: a port that went away raises it from flush and reset.
    PORT_ERRORS = (*PORT_ERRORS, termios.error)

OPEN_ERRORS: tuple[type[Exception], ...] = (*PORT_ERRORS, ValueError, NotImplementedError)
SLICE_S = 0.01
"""One blocking read, and how often ``idle`` is called; well under the 20 ms in which the screen wants to be served."""
WRITE_TIME_OUT_S = 1.0
PARITY = {"none": "N", "even": "E", "odd": "O", "mark": "M", "space": "S"}


@dataclass(frozen=True, slots=True)
class Port:
    """A serial port the system knows."""

    name: str
    description: str
    serial_number: str
    hardware: str
    """Vendor and product id and the like, as the system writes it."""


def ports() -> tuple[Port, ...]:
    """List the serial ports; pseudo-terminals are not among them, but open by name."""
    found = list_ports.comports()
    listed = (Port(p.device, p.description or "", p.serial_number or "", p.hwid or "") for p in found)
    return tuple(sorted(listed, key=lambda port: port.name))


class Carrier(Protocol):
    """What carries lines to an instrument and back: a ``Link``, or in tests a line with a schedule of faults."""

    url: str

    def open(self) -> None:
        """Open it."""
        ...

    def reopen(self) -> None:
        """Open it afresh."""
        ...

    @property
    def has_stale(self) -> bool:
        """Whether bytes wait that nobody has asked for."""
        ...

    def write(self, data: bytes) -> None:
        """Send bytes."""
        ...

    def read_line(self, time_out_s: float, idle: Idle | None = None) -> bytes:
        """Read up to the terminator."""
        ...

    def drain(
        self, quiet_s: float, idle: Idle | None = None, *, until_s: float = 0.0, at_most_s: float = 10.0
    ) -> bytes:
        """Throw away what comes until the line is silent."""
        ...

    def close(self) -> None:
        """Let it go."""
        ...


SCHEMES = ("socket", "rfc2217")
"""What is opened besides devices. Others of pyserial's write files (``spy``) or search ports by a pattern."""


def refuse_scheme(url: str) -> None:
    """Raise ``CannotOpen`` for a URL that could do more than open a line: a probe.toml may be anybody's."""
    scheme, mark, _ = url.partition("://")
    if mark and scheme.lower() not in SCHEMES:
        allowed = "a device, a COM name, socket://host:port, rfc2217://host:port, keyboard or simulated"
        raise CannotOpen(f"{escaped(url.encode())}: is no port name or URL that is opened; give {allowed}")


class Link:
    """A port or socket that carries lines; opened exclusively where the system can."""

    def __init__(self, url: str, line: Line, record: Record | None = None) -> None:
        self.url = url
        self.line = line
        self._record = record
        self._buffer = bytearray()
        self._heard = bytearray()
        self._port: Any = None  # its ``in_waiting`` is missing from the published types
        self._socket: socket.socket | None = None

    def open(self) -> None:
        """Open the port with its line settings; raises ``CannotOpen``."""
        line = self.line
        refuse_scheme(self.url)
        try:
            port = serial.serial_for_url(
                self.url,
                do_not_open=True,
                baudrate=line.baud,
                bytesize=line.bits,
                parity=PARITY[line.parity],
                stopbits=line.stop,
                xonxoff=line.flow == "xon-xoff",
                rtscts=line.flow == "rts-cts",
                dsrdtr=line.flow == "dsr-dtr",
                timeout=SLICE_S,
                # The client of a remote serial port knows no limit for writing, and refuses to be told one.
                write_timeout=None if self.url.lower().startswith("rfc2217:") else WRITE_TIME_OUT_S,
                exclusive=True,
            )
            # Set before opening: a line that rises on opening resets some boards.
            port.dtr = line.dtr
            port.rts = line.rts
            port.open()
        except OPEN_ERRORS as error:
            raise CannotOpen(_why_not(self.url, error)) from error
        carrier = getattr(port, "_socket", None)
        if isinstance(carrier, socket.socket):
            # Else two short commands in a row wait 40 ms for an acknowledgement; pyserial has no setting for it.
            carrier.setsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY, 1)
            # Other URLs with a socket speak a protocol of their own over it, which a thread of pyserial's reads.
            self._socket = carrier if self.url.startswith("socket://") else None
        self._port = port
        self._buffer.clear()

    def reopen(self) -> None:
        """Open the port afresh: what a driver or an adapter still holds of old answers is gone."""
        self.close()
        self.open()

    @property
    def is_open(self) -> bool:
        """Whether the link was opened and not closed since; says nothing of the cable."""
        return self._port is not None

    @property
    def has_stale(self) -> bool:
        """Whether bytes wait that nobody has asked for."""
        port = self._opened()
        try:
            return bool(self._buffer) or bool(port.in_waiting)
        except PORT_ERRORS as error:
            raise self._gone(error) from error

    def write(self, data: bytes) -> None:
        """Send bytes; raises ``Unplugged``, or ``LinkError`` when flow control holds them back."""
        port = self._opened()
        self._note_heard(RECEIVED)
        self._note(SENT, data)
        try:
            port.write(data)
        except serial.SerialTimeoutException as error:
            raise LinkError(
                f"{self.url}: the instrument does not take what is sent; check flow control and the cable"
            ) from error
        except PORT_ERRORS as error:
            raise self._gone(error) from error

    def read_line(self, time_out_s: float, idle: Idle | None = None) -> bytes:
        """Read up to the terminator and leave it out.

        Raises:
            NoReply: The terminator did not come within ``time_out_s``; ``raw`` has what did.
            BadReply: More than ``limit_bytes`` came without one.
            Unplugged: The port is gone; ``raw`` has what came before.
        """
        end = time.monotonic() + time_out_s
        scanned = 0
        beat = _Beat(idle)
        while True:
            at = self._buffer.find(self.line.end_in, scanned)
            if at >= 0:
                found = bytes(self._buffer[:at])
                del self._buffer[: at + len(self.line.end_in)]
                self._note_heard(RECEIVED)
                return found
            if len(self._buffer) > self.line.limit_bytes:
                raise BadReply(
                    f"{self.url}: more than {self.line.limit_bytes} bytes came without the end of a reply; "
                    f"check the line settings and end_in. It began {escaped(bytes(self._buffer), 24)}",
                    self._spill(),
                )
            if time.monotonic() >= end:
                raise self._time_out(time_out_s)
            scanned = max(0, len(self._buffer) - len(self.line.end_in) + 1)
            self._receive()
            beat()

    def drain(
        self, quiet_s: float, idle: Idle | None = None, *, until_s: float = 0.0, at_most_s: float = 10.0
    ) -> bytes:
        """Throw away what comes until the line has been silent for ``quiet_s``.

        Args:
            quiet_s: Silence that counts as clear.
            idle: Called between slices.
            until_s: Monotonic time before which the line is not called clear: an answer may still be under way.
            at_most_s: A line that babbles longer than this past ``until_s`` raises ``BadReply``.
        """
        self._note_heard(RECEIVED)
        dropped = bytearray(self._spill())
        now = last = time.monotonic()
        limit = max(now, until_s) + quiet_s + at_most_s
        beat = _Beat(idle)
        while now < max(last + quiet_s, until_s):
            if self._receive():
                last = time.monotonic()
                dropped += self._buffer
                self._buffer.clear()
            beat()
            now = time.monotonic()
            if now > limit:
                self._note_heard(DROPPED)
                raise BadReply(
                    f"{self.url}: the line does not fall silent; something sends without being asked",
                    bytes(dropped[-256:]),
                )
        self._note_heard(DROPPED)
        return bytes(dropped)

    def close(self) -> None:
        """Let the port go; never raises."""
        if self._port is None:
            return
        try:
            self._port.close()
        except PORT_ERRORS:
            pass  # a port that is gone cannot be closed better than this
        finally:
            self._port = self._socket = None
            self._buffer.clear()

    def _receive(self) -> bool:
        port = self._opened()
        try:
            data = port.read(max(1, port.in_waiting)) if self._socket is None else _received(self._socket)
        except PORT_ERRORS as error:
            raise self._gone(error) from error
        if data:
            self._buffer += data
            self._heard += data
        return bool(data)

    def _opened(self) -> Any:
        if self._port is None:
            raise LinkError(f"{self.url}: the link is not open")
        return self._port

    def _spill(self) -> bytes:
        self._note_heard(RECEIVED)
        data = bytes(self._buffer)
        self._buffer.clear()
        return data

    def _time_out(self, time_out_s: float) -> Exception:
        # Some systems let reads time out in silence after the adapter was pulled; its name is then gone.
        if self.url.startswith("/") and not Path(self.url).exists():
            return self._gone(None)
        came = self._spill()
        tail = f"only {escaped(came, 40)} came" if came else "nothing came"
        return NoReply(f"{self.url}: no whole reply within {time_out_s:.3g} s; {tail}", came)

    def _gone(self, error: Exception | None) -> Unplugged:
        # What takes one client only hangs up on a second one, which then cannot tell it from a pulled cable.
        busy = "" if "://" not in self.url else ", or it is busy with another client"
        fault = Unplugged(f"{self.url}: the probe was unplugged or the connection closed{busy}", self._spill())
        fault.__cause__ = error
        return fault

    def _note_heard(self, direction: str) -> None:
        if self._heard:
            self._note(direction, bytes(self._heard))
            self._heard.clear()

    def _note(self, direction: str, data: bytes) -> None:
        if self._record is not None:
            self._record(TranscriptLine(time.monotonic(), direction, data))


def _received(carrier: socket.socket) -> bytes:
    """Take all that has come over a socket, or wait a slice for it.

    pyserial's ``in_waiting`` of a socket only says 0 or 1, so through it a reply comes byte by byte.
    """
    ready, _, _ = select.select([carrier], [], [], SLICE_S)
    if not ready:
        return b""
    data = carrier.recv(4096)
    if not data:
        raise serial.SerialException("the connection was closed")
    return data


class _Beat:
    """Calls ``idle`` in time, even while a slow line drips byte by byte and no read ever comes back empty."""

    def __init__(self, idle: Idle | None) -> None:
        self._idle = idle
        self._last_s = time.monotonic()

    def __call__(self) -> None:
        if self._idle is not None and time.monotonic() - self._last_s >= SLICE_S * 0.8:
            self._idle()
            self._last_s = time.monotonic()


def _why_not(url: str, error: Exception) -> str:
    number = getattr(error, "errno", None)
    text = str(error)
    if isinstance(error, ValueError) and not isinstance(error, OSError):
        return f"{url}: is no port name or URL that can be opened: {text}"
    if number in {errno.EAGAIN, errno.EBUSY} or "lock" in text:
        return f"{url}: is in use by another program; close that first"
    if number == errno.EACCES or "PermissionError" in text:
        return f"{url}: no permission; on Linux join the group 'dialout' and log in again, else close what uses it"
    if number == errno.ENOENT or "FileNotFoundError" in text:
        return f"{url}: there is no such port; is the cable in? List the ports to see their names"
    if "refused" in text:
        return f"{url}: nothing answers at this address; is the server running?"
    return f"{url}: cannot be opened: {text}"
