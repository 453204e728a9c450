"""The pixels an X server holds: through memory shared with it where it can do that, else through the connection.

Layouts of requests and answers: X Window System Protocol, appendix B; MIT Shared Memory Extension 1.2.
"""

from __future__ import annotations

import mmap
import os
import struct
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from panelwear.screen.xconnection import IMAGE, XConnection
from panelwear.screen.xwindows import Box

Packed = NDArray[np.uint32]
"""``(height, width)`` pixels, 0xRRGGBB in the lower 24 bits; what the upper eight hold is nobody's business."""
RGB = np.uint32(0xFFFFFF)
_SHM = "MIT-SHM"
_VERSION, _GET, _ATTACH_FILE = 0, 4, 6
_WHOLE_PIXMAP = 2
"""The image format in which a pixel comes as it lies in memory."""
_ALL_PLANES = 0xFFFFFFFF


class XPixels:
    """Asks for boxes of the desktop's pixels.

    A large box that comes through the connection is copied by the kernel in pieces no larger than its buffer, the
    server and this program taking turns; in shared memory it is one copy. The answers are what tells that the
    server has written, so nothing older can be taken for new.

    Args:
        x: The connection.
        most_px: Pixels of all boxes that are ever asked for at once; a box beyond them is refused by the server.
    """

    def __init__(self, x: XConnection, most_px: int) -> None:
        self._x = x
        self._segment = 0
        self._memory: Packed = np.empty(0, np.uint32)
        self._share(most_px)

    @property
    def shared(self) -> bool:
        """Whether memory is shared with the server."""
        return bool(self._segment)

    def _share(self, most_px: int) -> None:
        """Hand the server memory of ours and try it out; where that fails all stays as it is."""
        x = self._x
        version = x.ask(_VERSION, extension=_SHM) if x.can_pass_files and x.has(_SHM) else None
        if version is None or struct.unpack_from("=HH", version, 8) < (1, 2):
            return
        try:
            file = os.memfd_create("panelwear-pixels")
        except (OSError, AttributeError):
            return
        try:
            os.ftruncate(file, 4 * most_px)
            memory = mmap.mmap(file, 4 * most_px)
        except OSError:
            os.close(file)
            return
        segment = x.new_id()
        x.tell(_ATTACH_FILE, struct.pack("=IBxxx", segment, 0), extension=_SHM, file=file)
        self._segment, self._memory = segment, np.frombuffer(memory, np.uint32)
        if self.take(self.ask([(0, 0, 1, 1)]))[0] is None:
            self._segment, self._memory = 0, np.empty(0, np.uint32)

    def ask(self, boxes: Sequence[Box]) -> list[tuple[Box, int, int]]:
        """Ask for some boxes at once, with other requests under way; ``take`` takes the answers before the next ask."""
        asked, at = [], 0
        for box in boxes:
            place = struct.pack("=IhhHHI", self._x.root.window, *box, _ALL_PLANES)
            if self._segment:
                where = struct.pack("=BxxxII", _WHOLE_PIXMAP, self._segment, 4 * at)
                number = self._x.send(_GET, place + where, extension=_SHM)
            else:
                number = self._x.send(IMAGE, place, byte=_WHOLE_PIXMAP)
            asked.append((box, number, at))
            at += box[2] * box[3]
        return asked

    def take(self, asked: Sequence[tuple[Box, int, int]]) -> list[Packed | None]:
        """Wait for the answers; a box that is not wholly on the desktop has none.

        Where memory is shared the pixels hold until the next ask.
        """
        return [self._taken(*one) for one in asked]

    def _taken(self, box: Box, number: int, at: int) -> Packed | None:
        count, shape = box[2] * box[3], (box[3], box[2])
        reply = self._x.reply(number)
        if reply is None:
            return None
        if self._segment:
            return self._memory[at : at + count].reshape(shape)
        return np.frombuffer(reply, np.uint32, count, 32).reshape(shape)


def first_difference(found: Packed, wanted: Packed) -> tuple[int, int] | None:
    """Return row and column of the first pixel whose colour differs; ``None``: every pixel is as wanted."""
    if np.array_equal(found, wanted):
        return None  # the upper eight bits agree as a rule: one pass in place of three
    differs = ((found ^ wanted) & RGB) != 0
    if not differs.any():
        return None
    row, column = divmod(int(np.argmax(differs)), found.shape[1])
    return row, column
