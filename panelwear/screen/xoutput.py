"""What an X server drives a monitor with: where it shows, in which mode, which monitor, by which colour table.

Layouts of requests and answers: X Resize, Rotate and Reflect Extension (RandR) 1.5, appendix A.
"""

from __future__ import annotations

import hashlib
import struct
from dataclasses import dataclass

from panelwear.screen.xconnection import XConnection

RANDR = "RANDR"
_SELECT, _PROPERTY, _CRTC, _GAMMA, _RESOURCES = 4, 15, 20, 23, 25
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
    colour_table_sha256: str
    """Digest of the graphics card's colour table; empty when it has none."""

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
        if self.colour_table_sha256 != then.colour_table_sha256:
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
        return OutputState(crtc, (0, 0, 0, 0), 0, 0, "", "")
    left, top, w, h, mode, rotation = struct.unpack_from("=hhHHIH", reply, 12)
    outputs = struct.unpack_from(f"={struct.unpack_from('=H', reply, 28)[0]}I", reply, 32)
    said = b"".join(_edid(x, output) for output in outputs)
    table = colour_table(x.reply(ask_colour_table(x, crtc)))
    return OutputState(crtc, (left, top, w, h), mode, rotation, _digest(said), table)


def ask_colour_table(x: XConnection, crtc: int) -> int:
    """Ask for a controller's colour table; no event tells of it, so it is asked at every reading."""
    return x.send(_GAMMA, struct.pack("=I", crtc), extension=RANDR)


def colour_table(reply: bytes | None) -> str:
    """Digest of a colour table as it was answered."""
    return "" if reply is None else _digest(reply[32 : 32 + 6 * struct.unpack_from("=H", reply, 8)[0]])


def _edid(x: XConnection, output: int) -> bytes:
    body = struct.pack("=IIIIIBBH", output, x.atom("EDID"), 0, 0, 128, 0, 0, 0)
    reply = x.ask(_PROPERTY, body, extension=RANDR) if x.atom("EDID") else None
    if reply is None:
        return b""
    return reply[32 : 32 + struct.unpack_from("=I", reply, 16)[0] * max(1, reply[1] // 8)]


def _digest(data: bytes) -> str:
    return hashlib.sha256(data).hexdigest() if data else ""
