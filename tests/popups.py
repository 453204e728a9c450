"""Somebody else's grey windows on an X server: for some seconds or for a moment, managed or not.

Run as a module, it waits for a line, says ``UP`` for each window and ends by itself.

Words: x y w h seconds_up seconds_between times code managed|unmanaged
"""

# ruff: noqa: T201 - it speaks on standard output
from __future__ import annotations

import ctypes
import struct
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager

from panelwear.screen.xconnection import GEOMETRY, XConnection
from tests.screens import Display

_CREATE, _DESTROY, _MAP, _SET = 1, 4, 8, 18
_BACKGROUND, _OVERRIDE = 1 << 1, 1 << 9
_ATOM, _STRING = 4, 31
NAME = "harbour mail"


class PopUps:
    """A client that puts up grey windows.

    Args:
        name: Of the display; ``None``: of ``$DISPLAY``.
    """

    def __init__(self, name: str | None = None) -> None:
        self.x = XConnection(name)

    def up(self, box: tuple[int, int, int, int], code: int, *, managed: bool) -> int:
        """Map a window of one grey; returns its number once the server has it."""
        window = int(self.x._xcb.xcb_generate_id(ctypes.c_void_p(self.x._c)))
        pixel = code << 16 | code << 8 | code
        values = struct.pack("=II", pixel, 0 if managed else 1)
        places = struct.pack("=IIhhHHHHII", window, self.x.root.window, *box, 0, 1, 0, _BACKGROUND | _OVERRIDE)
        self.x.tell(_CREATE, places + values)
        self._put(window, self.x.atom("WM_NAME"), _STRING, 8, NAME.encode())
        state = struct.pack("=II", self._atom("_NET_WM_STATE_ABOVE"), self._atom("_NET_WM_STATE_FULLSCREEN"))
        if managed:
            self._put(window, self._atom("_NET_WM_STATE"), _ATOM, 32, state)
        self.x.tell(_MAP, struct.pack("=I", window))
        self.x.ask(GEOMETRY, struct.pack("=I", window))
        return window

    def _atom(self, name: str) -> int:
        word = name.encode()
        reply = self.x.ask(16, struct.pack("=HH", len(word), 0) + word)
        assert reply is not None
        return int(struct.unpack_from("=I", reply, 8)[0])

    def _put(self, window: int, atom: int, kind: int, bits: int, data: bytes) -> None:
        head = struct.pack("=IIIBBBBI", window, atom, kind, bits, 0, 0, 0, len(data) * 8 // bits)
        self.x.tell(_SET, head + data)

    def down(self, window: int) -> None:
        """Take a window away."""
        self.x.tell(_DESTROY, struct.pack("=I", window))
        self.x.ask(GEOMETRY, struct.pack("=I", self.x.root.window))


@contextmanager
def popping_up(
    display: Display,
    box: tuple[int, int, int, int],
    *,
    up_s: float,
    between_s: float,
    times: int,
    code: int = 118,
    managed: bool = False,
) -> Iterator[subprocess.Popen[str]]:
    """Have windows come and go beside the test, from a line on its standard input on; it says ``UP`` at each."""
    words = [*map(str, box), str(up_s), str(between_s), str(times), str(code), "managed" if managed else "unmanaged"]
    command = [sys.executable, "-m", "tests.popups", *words]
    with subprocess.Popen(
        command, env=display.environment(), stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True
    ) as process:
        try:
            assert process.stdin is not None and process.stdout is not None
            assert process.stdout.readline() == "READY\n"
            yield process
        finally:
            process.kill()


def main(words: list[str]) -> None:
    x, y, w, h = map(int, words[:4])
    up_s, between_s = float(words[4]), float(words[5])
    pop_ups = PopUps()
    print("READY", flush=True)
    sys.stdin.readline()
    for _ in range(int(words[6])):
        time.sleep(between_s)
        window = pop_ups.up((x, y, w, h), int(words[7]), managed=words[8] == "managed")
        print("UP", flush=True)
        time.sleep(up_s)
        pop_ups.down(window)
    print("END", flush=True)


if __name__ == "__main__":
    main(sys.argv[1:])
