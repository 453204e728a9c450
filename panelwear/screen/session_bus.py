"""A small client of the desktop's session bus: enough to ask for something that lasts as long as the connection.

D-Bus Specification 0.43, "Message Protocol" and "Authentication Protocol" (EXTERNAL over a local socket).
"""

from __future__ import annotations

import os
import socket
import struct
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

TIMEOUT_S = 2.0
LONGEST = 1 << 20
"""A message of more bytes is none for us."""
CALL, RETURN, ERROR, SIGNAL = 1, 2, 3, 4
_PATH, _INTERFACE, _MEMBER, _NAME, _REPLY, _DESTINATION, _SENDER, _SIGNATURE = range(1, 9)
_KINDS = {_PATH: "o", _INTERFACE: "s", _MEMBER: "s", _NAME: "s", _REPLY: "u", _DESTINATION: "s", _SENDER: "s"}
_KINDS[_SIGNATURE] = "g"
BUS = "org.freedesktop.DBus"


class BusError(Exception):
    """The bus is not there, or what was asked was refused."""


@dataclass(frozen=True, slots=True)
class Message:
    """One message; ``fields`` by their numbers, ``values`` the basic ones at the beginning of the body."""

    kind: int
    serial: int
    fields: dict[int, Any]
    values: tuple[Any, ...] = ()

    @property
    def member(self) -> str:
        """Name of the method or signal."""
        return str(self.fields.get(_MEMBER, ""))


def _pad(data: bytearray, to: int) -> None:
    data += bytes(-len(data) % to)


def _put(data: bytearray, kind: str, value: Any) -> None:
    if kind == "u":
        _pad(data, 4)
        data += struct.pack("<I", value)
    elif kind == "g":
        data += bytes([len(value)]) + value.encode() + b"\0"
    elif kind == "a{sv}":  # an empty one is all that is ever sent
        _pad(data, 4)
        data += struct.pack("<I", 0)
        _pad(data, 8)
    else:
        _pad(data, 4)
        word = value.encode()
        data += struct.pack("<I", len(word)) + word + b"\0"


def encode(message: Message, signature: Sequence[str] = ()) -> bytes:
    """Turn a message into bytes; ``signature`` names the type of each value (``s``, ``u`` or an empty ``a{sv}``)."""
    body = bytearray()
    for kind, value in zip(signature, message.values, strict=True):
        _put(body, kind, value)
    fields = dict(message.fields)
    if signature:
        fields[_SIGNATURE] = "".join(signature)
    array = bytearray()
    for code, value in fields.items():
        _pad(array, 8)
        array += bytes([code, 1]) + _KINDS[code].encode() + b"\0"
        _put(array, _KINDS[code], value)
    head = bytearray(struct.pack("<BBBBIII", ord("l"), message.kind, 0, 1, len(body), message.serial, len(array)))
    head += array
    _pad(head, 8)
    return bytes(head + body)


class _Reader:
    def __init__(self, data: bytes, order: str) -> None:
        self.data, self.order, self.at = data, order, 0

    def align(self, to: int) -> None:
        self.at += -self.at % to

    def number(self) -> int:
        self.align(4)
        self.at += 4
        return int(struct.unpack_from(f"{self.order}I", self.data, self.at - 4)[0])

    def text(self, length: int) -> str:
        self.at += length + 1
        return self.data[self.at - length - 1 : self.at - 1].decode("utf-8", "replace")

    def value(self, kind: str) -> Any:
        if kind == "u":
            return self.number()
        if kind == "g":
            self.at += 1
            return self.text(self.data[self.at - 1])
        if kind in {"s", "o"}:
            return self.text(self.number())
        raise BusError(f"a value of type '{kind}' is none we know")


def decode(data: bytes) -> Message:
    """Read a message; values are read as far as they are text or whole numbers.

    Raises:
        BusError: it is none.
    """
    try:
        order = {ord("l"): "<", ord("B"): ">"}[data[0]]
        serial, length = struct.unpack_from(f"{order}II", data, 8)
        reader = _Reader(data, order)
        reader.at = 16
        fields: dict[int, Any] = {}
        while reader.at < 16 + length:
            reader.align(8)
            code = data[reader.at]
            reader.at += 1
            fields[code] = reader.value(reader.value("g"))
        body = _Reader(data[16 + length + -length % 8 :], order)
        values = []
        for kind in str(fields.get(_SIGNATURE, "")):
            if kind not in "sou":
                break
            values.append(body.value(kind))
    except (KeyError, IndexError, struct.error) as error:
        raise BusError(f"the bus sent something that is no message ({error})") from error
    return Message(data[1], serial, fields, tuple(values))


class SessionBus:
    """A connection to the session bus.

    Args:
        address: As in ``DBUS_SESSION_BUS_ADDRESS``, which is taken when none is given.

    Raises:
        BusError: there is no bus.
    """

    def __init__(self, address: str | None = None) -> None:
        where = _path(os.environ.get("DBUS_SESSION_BUS_ADDRESS", "") if address is None else address)
        self._socket = socket.socket(socket.AF_UNIX)
        self._socket.settimeout(TIMEOUT_S)
        self._serial = 0
        try:
            self._socket.connect(where)
            user = str(os.getuid()).encode().hex()
            self._socket.sendall(f"\0AUTH EXTERNAL {user}\r\n".encode())
            answer = self._socket.recv(512)
            if not answer.startswith(b"OK"):
                raise BusError("the session bus does not let us in")
            self._socket.sendall(b"BEGIN\r\n")
            self.name = str(self.call(BUS, "/org/freedesktop/DBus", BUS, "Hello")[0])
        except OSError as error:
            self.close()
            raise BusError(f"the session bus does not answer ({error})") from error
        except BusError:
            self.close()
            raise

    def send(self, kind: int, fields: dict[int, Any], values: tuple[Any, ...], signature: Sequence[str]) -> int:
        """Send one message; returns its number."""
        self._serial += 1
        self._socket.sendall(encode(Message(kind, self._serial, fields, values), signature))
        return self._serial

    def answer(self, call: Message, values: tuple[Any, ...], signature: Sequence[str]) -> None:
        """Answer a call, as a service does."""
        self.send(RETURN, {_REPLY: call.serial, _DESTINATION: call.fields[_SENDER]}, values, signature)

    def receive(self) -> Message:
        """Wait for the next message."""
        head = self._read(16)
        order = "<" if head[0] == ord("l") else ">"
        body, _, fields = struct.unpack_from(f"{order}III", head, 4)
        rest = fields + -fields % 8 + body
        if rest > LONGEST:
            raise BusError("the bus sent a message that is too long")
        return decode(head + self._read(rest))

    def _read(self, count: int) -> bytes:
        data = b""
        while len(data) < count:
            more = self._socket.recv(count - len(data))
            if not more:
                raise BusError("the session bus closed the connection")
            data += more
        return data

    def call(
        self, service: str, path: str, interface: str, member: str, *values: Any, signature: Sequence[str] = ()
    ) -> tuple[Any, ...]:
        """Call a method and wait for what it returns.

        Raises:
            BusError: refused, unknown, or no answer within two seconds.
        """
        fields = {_PATH: path, _DESTINATION: service, _INTERFACE: interface, _MEMBER: member}
        try:
            number = self.send(CALL, fields, values, signature)
            while True:
                got = self.receive()
                if got.fields.get(_REPLY) != number:
                    continue
                if got.kind == ERROR:
                    raise BusError(" ".join(map(str, (got.fields.get(_NAME, "refused"), *got.values[:1]))))
                return got.values
        except OSError as error:
            raise BusError(f"{member}: no answer ({error})") from error

    def close(self) -> None:
        """Leave; whatever was asked for ends with it."""
        self._socket.close()


def _path(address: str) -> str:
    for one in address.split(";"):
        kind, _, rest = one.partition(":")
        given = dict(pair.split("=", 1) for pair in rest.split(",") if "=" in pair)
        if kind == "unix" and "path" in given:
            return given["path"]
        if kind == "unix" and "abstract" in given:
            return "\0" + given["abstract"]
    raise BusError("there is no session bus here" if not address else f"the session bus '{address}' is no local socket")
