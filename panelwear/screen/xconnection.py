"""An own connection to the X server, for asking: the drawing library's connection stays untouched.

Requests are put together by hand and carried by libxcb, which is there wherever the X library is. Errors come back
with the request they belong to; a server that goes away ends nothing but the connection.
"""

from __future__ import annotations

import ctypes
import ctypes.util
import os
import socket
import struct
from dataclasses import dataclass
from functools import cache
from typing import Any

ATTRIBUTES, SELECT, GEOMETRY, TREE, ATOM, PROPERTY, TRANSLATE, IMAGE, EXTENSION = 3, 2, 14, 15, 16, 20, 40, 73, 98
GIVE_FOCUS, FOCUS = 42, 43
"""Opcodes of the core protocol that are asked (X Window System Protocol, X Consortium, appendix B)."""
_CHECKED = 1


class XUnavailableError(Exception):
    """The X server cannot be asked: no library, no server, or it went away."""


class _Iovec(ctypes.Structure):
    _fields_ = (("base", ctypes.c_void_p), ("length", ctypes.c_size_t))


class _Extension(ctypes.Structure):
    _fields_ = (("name", ctypes.c_char_p), ("number", ctypes.c_int))


class _Protocol(ctypes.Structure):
    _fields_ = (
        ("count", ctypes.c_size_t),
        ("extension", ctypes.POINTER(_Extension)),
        ("opcode", ctypes.c_uint8),
        ("isvoid", ctypes.c_uint8),
    )


@cache
def _library() -> tuple[Any, Any]:
    try:
        xcb = ctypes.CDLL(ctypes.util.find_library("xcb") or "libxcb.so.1")
        free = ctypes.CDLL(None).free
    except (OSError, AttributeError, TypeError) as error:
        raise XUnavailableError(f"libxcb is not there ({error})") from error
    pointer = ctypes.c_void_p
    xcb.xcb_connect.restype, xcb.xcb_connect.argtypes = pointer, [ctypes.c_char_p, ctypes.POINTER(ctypes.c_int)]
    xcb.xcb_connection_has_error.argtypes = [pointer]
    xcb.xcb_get_setup.restype, xcb.xcb_get_setup.argtypes = pointer, [pointer]
    xcb.xcb_send_request.restype = ctypes.c_uint
    xcb.xcb_send_request.argtypes = [pointer, ctypes.c_int, pointer, ctypes.POINTER(_Protocol)]
    xcb.xcb_wait_for_reply.restype = pointer
    xcb.xcb_wait_for_reply.argtypes = [pointer, ctypes.c_uint, ctypes.POINTER(pointer)]
    xcb.xcb_poll_for_event.restype, xcb.xcb_poll_for_event.argtypes = pointer, [pointer]
    xcb.xcb_flush.argtypes = xcb.xcb_disconnect.argtypes = [pointer]
    xcb.xcb_generate_id.restype, xcb.xcb_generate_id.argtypes = ctypes.c_uint, [pointer]
    xcb.xcb_get_file_descriptor.argtypes = [pointer]
    if hasattr(xcb, "xcb_send_fd"):  # of 2013 and later
        xcb.xcb_send_fd.argtypes = [pointer, ctypes.c_int]
    free.argtypes = [pointer]
    free.restype = None
    return xcb, free


@dataclass(frozen=True, slots=True)
class Root:
    """The window behind all windows."""

    window: int
    width_px: int
    height_px: int
    plain: bool
    """Whether its pixels are 32 bits each, red, green and blue 8 bits from the top, in this machine's byte order."""


class XConnection:
    """A connection to the X server of ``$DISPLAY`` (or ``name``).

    Raises:
        XUnavailableError: there is none, here and in every later call.
    """

    def __init__(self, name: str | None = None) -> None:
        self._xcb, self._free = _library()
        number = ctypes.c_int(0)
        self._c = self._xcb.xcb_connect(name.encode() if name is not None else None, ctypes.byref(number))
        self._extensions: dict[str, tuple[_Extension, int] | None] = {}
        self._atoms: dict[str, int] = {}
        try:
            self._check()
            start = self._xcb.xcb_get_setup(self._c)
            setup = ctypes.string_at(start, 8 + 4 * struct.unpack_from("=H", ctypes.string_at(start, 8), 6)[0])
            self.root = read_root(setup, number.value)
        except XUnavailableError:
            self.close()
            raise

    def _check(self) -> None:
        if self._c is None or self._xcb.xcb_connection_has_error(self._c):
            raise XUnavailableError("the X server does not answer")

    def send(self, opcode: int, body: bytes = b"", *, byte: int = 0, extension: str = "", answered: bool = True) -> int:
        """Send a request and return its number; ``byte`` is the second byte of a core request."""
        self._check()
        found = None
        if extension:
            entry = self._extension(extension)
            if entry is None:
                raise XUnavailableError(f"the X server has no {extension}")
            found = ctypes.pointer(entry[0])
        data = struct.pack("=BBH", opcode, byte, 0) + body + bytes(-len(body) % 4)
        buffer = ctypes.create_string_buffer(data, len(data))
        vectors = (_Iovec * 3)()  # the library wants two places of its own before ours
        vectors[2].base, vectors[2].length = ctypes.addressof(buffer), len(data)
        protocol = _Protocol(1, found, opcode, 0 if answered else 1)
        at = ctypes.addressof(vectors) + 2 * ctypes.sizeof(_Iovec)
        return int(self._xcb.xcb_send_request(self._c, _CHECKED if answered else 0, at, ctypes.byref(protocol)))

    def reply(self, number: int) -> bytes | None:
        """Wait for the answer to a request; ``None``: refused, as for a window that is gone."""
        error = ctypes.c_void_p()
        found = self._xcb.xcb_wait_for_reply(self._c, number, ctypes.byref(error))
        if not found:
            if error.value:
                self._free(error)
                return None
            raise XUnavailableError("the X server went away")
        try:
            longer = struct.unpack_from("=I", ctypes.string_at(found, 8), 4)[0]
            return ctypes.string_at(found, 32 + 4 * longer)
        finally:
            self._free(found)

    def ask(self, opcode: int, body: bytes = b"", *, byte: int = 0, extension: str = "") -> bytes | None:
        """Send a request and wait for its answer."""
        return self.reply(self.send(opcode, body, byte=byte, extension=extension))

    def tell(self, opcode: int, body: bytes = b"", *, extension: str = "", file: int | None = None) -> None:
        """Send a request that has no answer; whether it was refused is not heard. A ``file`` goes along, closed."""
        if file is not None:
            self._xcb.xcb_send_fd(self._c, file)
        self.send(opcode, body, extension=extension, answered=False)
        self._xcb.xcb_flush(self._c)

    @property
    def can_pass_files(self) -> bool:
        """Whether an open file can be handed to the server: over a socket of this machine, by nothing else."""
        self._check()
        if not (hasattr(self._xcb, "xcb_send_fd") and hasattr(socket, "AF_UNIX")):
            return False
        with socket.socket(fileno=os.dup(self._xcb.xcb_get_file_descriptor(self._c))) as line:
            return line.family == socket.AF_UNIX

    def new_id(self) -> int:
        """Return a number for a thing of ours at the server."""
        self._check()
        return int(self._xcb.xcb_generate_id(self._c))

    def events(self) -> list[bytes]:
        """Return what came by itself since the last call, 32 bytes each."""
        self._check()
        found = []
        while at := self._xcb.xcb_poll_for_event(self._c):
            event = ctypes.string_at(at, 32)
            self._free(at)
            if event[0] != 0:  # an error of a request that has no answer
                found.append(event)
        self._check()
        return found

    def _extension(self, name: str) -> tuple[_Extension, int] | None:
        if name not in self._extensions:
            word = name.encode()
            reply = self.ask(EXTENSION, struct.pack("=HH", len(word), 0) + word)
            there = reply is not None and reply[8] == 1
            self._extensions[name] = (_Extension(word, 0), reply[10]) if there and reply is not None else None
        return self._extensions[name]

    def has(self, extension: str) -> bool:
        """Whether the server knows an extension of the protocol."""
        return self._extension(extension) is not None

    def first_event(self, extension: str) -> int:
        """Return the number of an extension's first event; 0 where the server has none."""
        entry = self._extension(extension)
        return 0 if entry is None else entry[1]

    def atom(self, name: str) -> int:
        """Return the number of a name; 0 where nobody has used it yet."""
        if not self._atoms.get(name):
            word = name.encode()
            reply = self.ask(ATOM, struct.pack("=HH", len(word), 0) + word, byte=1)
            self._atoms[name] = 0 if reply is None else struct.unpack_from("=I", reply, 8)[0]
        return self._atoms[name]

    def close(self) -> None:
        """Leave; twice does no harm."""
        if self._c is not None:
            self._xcb.xcb_disconnect(self._c)
            self._c = None


def read_root(setup: bytes, number: int) -> Root:
    """Find a screen's root window in what the server says of itself at the beginning.

    Raises:
        XUnavailableError: there is no such screen.
    """
    vendor, _longest, screens, formats = struct.unpack_from("=HHBB", setup, 24)
    at = 40 + vendor + -vendor % 4
    bits = {setup[at + 8 * n]: setup[at + 8 * n + 1] for n in range(formats)}
    at += 8 * formats
    for screen in range(screens):
        window = struct.unpack_from("=I", setup, at)[0]
        width, height = struct.unpack_from("=HH", setup, at + 20)
        visual, depth, depths = *struct.unpack_from("=I", setup, at + 32), setup[at + 38], setup[at + 39]
        at += 40
        masks = (0, 0, 0)
        for _ in range(depths):
            visuals = struct.unpack_from("=H", setup, at + 2)[0]
            for n in range(visuals):
                if struct.unpack_from("=I", setup, at + 8 + 24 * n)[0] == visual:
                    masks = struct.unpack_from("=III", setup, at + 16 + 24 * n)
            at += 8 + 24 * visuals
        if screen == number:
            little = struct.pack("=H", 1)[0] == 1
            plain = masks == (0xFF0000, 0xFF00, 0xFF) and bits.get(depth) == 32 and (setup[30] == 0) == little
            return Root(window, width, height, plain)
    raise XUnavailableError(f"the X server has no screen {number}")
