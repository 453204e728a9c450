"""What an X server drives a monitor with: where it shows, in which mode, which monitor, by which colour table.

Layouts of requests and answers: X Resize, Rotate and Reflect Extension (RandR) 1.5, appendix A.
"""

from __future__ import annotations

import hashlib
import struct
from dataclasses import dataclass

import numpy as np

from panelwear.screen.xconnection import XConnection

RANDR = "RANDR"
_SELECT, _PROPERTY, _CRTC, _GAMMA, _RESOURCES = 4, 15, 20, 23, 25
_ROUNDING = 64
"""Of 65535: a quarter of a drive level of 8 bits."""
_HEARD = 0b1111
"""Changes of screen, controller, output and output property."""


@dataclass(frozen=True, slots=True)
class OutputState:
    """One controller (CRTC) and the monitor it drives."""

    crtc: int
    box: tuple[int, int, int, int]
    """x, y, w, h on the desktop, in pixels; without size it drives nothing."""
    mode: int
    """Number of the mode: another one may have other pixels, or another refresh rate."""
    rotation: int
    monitor_sha256: str
    """Digest of what the monitor says of itself (EDID); empty when it says nothing."""
    colour_table: bytes
    """The graphics card's colour table, 16 bits an entry, red, green, blue one after the other; empty: it has none."""

    @property
    def colour_table_sha256(self) -> str:
        """Digest of the colour table as 8-bit codes, for the record; empty when there is none."""
        codes = np.round(np.frombuffer(_set(self.colour_table), np.uint16) / 257)
        return _digest(codes.astype(np.uint8).tobytes())

    def differs(self, then: OutputState) -> str:
        """Say in one sentence what is not as it was; empty when all is."""
        if not self.mode or not self.box[2]:
            return "the monitor was unplugged or switched off"
        if self.monitor_sha256 != then.monitor_sha256:
            return "another monitor was plugged in" if self.monitor_sha256 else "the monitor was unplugged"
        if (self.mode, self.box, self.rotation) != (then.mode, then.box, then.rotation):
            return (
                f"the monitor's mode or position was changed ({then.box[2]} x {then.box[3]} pixels at "
                f"{then.box[0]},{then.box[1]} became {self.box[2]} x {self.box[3]} at {self.box[0]},{self.box[1]})"
            )
        if not same_table(self.colour_table, then.colour_table):
            return "the graphics card's colour table was changed (night light, a profile loader?)"
        return ""


def listen(x: XConnection) -> bool:
    """Ask to hear of changes; ``False`` where the server has no such extension."""
    if not x.has(RANDR):
        return False
    x.ask(0, struct.pack("=II", 1, 5), extension=RANDR)
    x.tell(_SELECT, struct.pack("=IHH", x.root.window, _HEARD, 0), extension=RANDR)
    return True


def is_change(x: XConnection, event: bytes) -> bool:
    """Whether an event tells of a monitor."""
    first = x.first_event(RANDR)
    return bool(first) and event[0] & 0x7F in {first, first + 1}


def find_crtc(x: XConnection, middle: tuple[int, int]) -> int:
    """Find the controller that shows a pixel of the desktop; 0 when none does."""
    reply = x.ask(_RESOURCES, struct.pack("=I", x.root.window), extension=RANDR)
    if reply is None:
        return 0
    count = struct.unpack_from("=H", reply, 16)[0]
    for crtc in struct.unpack_from(f"={count}I", reply, 32):
        state = read_state(x, crtc)
        left, top, w, h = state.box
        if state.mode and left <= middle[0] < left + w and top <= middle[1] < top + h:
            return int(crtc)
    return 0


def read_state(x: XConnection, crtc: int) -> OutputState:
    """Ask how a controller stands now; one that is gone drives nothing."""
    reply = x.ask(_CRTC, struct.pack("=II", crtc, 0), extension=RANDR)
    if reply is None:
        return OutputState(crtc, (0, 0, 0, 0), 0, 0, "", b"")
    left, top, w, h, mode, rotation = struct.unpack_from("=hhHHIH", reply, 12)
    outputs = struct.unpack_from(f"={struct.unpack_from('=H', reply, 28)[0]}I", reply, 32)
    said = b"".join(_edid(x, output) for output in outputs)
    table = colour_table(x.reply(ask_colour_table(x, crtc)))
    return OutputState(crtc, (left, top, w, h), mode, rotation, _digest(said), table)


def ask_colour_table(x: XConnection, crtc: int) -> int:
    """Ask for a controller's colour table; no event tells of it, so it is asked at every reading."""
    return x.send(_GAMMA, struct.pack("=I", crtc), extension=RANDR)


def colour_table(reply: bytes | None) -> bytes:
    """Take a colour table out of its answer."""
    return b"" if reply is None else reply[32 : 32 + 6 * struct.unpack_from("=H", reply, 8)[0]]


def same_table(one: bytes, other: bytes) -> bool:
    """Whether two colour tables make the same light: rounding differs from program to program."""
    if one == other:
        return True
    first, second = (np.frombuffer(_set(table), np.uint16).astype(np.int32) for table in (one, other))
    return len(first) == len(second) and bool(np.abs(first - second).max(initial=0) <= _ROUNDING)


def _set(table: bytes) -> bytes:
    # A server that was never given a table answers with nothing but zeros, and means the straight line.
    if any(table):
        return table
    size = len(table) // 6
    line = np.round(np.linspace(0, 65535, size)).astype(np.uint16)
    return np.tile(line, 3).tobytes()


def _edid(x: XConnection, output: int) -> bytes:
    body = struct.pack("=IIIIIBBH", output, x.atom("EDID"), 0, 0, 128, 0, 0, 0)
    reply = x.ask(_PROPERTY, body, extension=RANDR) if x.atom("EDID") else None
    if reply is None:
        return b""
    return reply[32 : 32 + struct.unpack_from("=I", reply, 16)[0] * max(1, reply[1] // 8)]


def _digest(data: bytes) -> str:
    return hashlib.sha256(data).hexdigest() if data else ""
