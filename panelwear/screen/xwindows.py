"""Other programs' windows on an X server: which of them come to lie over ours, and what they are called."""

from __future__ import annotations

import struct
from dataclasses import dataclass

from panelwear.screen.xconnection import ATTRIBUTES, GEOMETRY, PROPERTY, SELECT, TRANSLATE, TREE, XConnection

Box = tuple[int, int, int, int]
"""x, y, w, h in pixels of the whole desktop."""
_CREATED, _DESTROYED, _UNMAPPED, _MAPPED, _REPARENTED, _CONFIGURED, _CIRCULATED = 16, 17, 18, 19, 21, 22, 26
_EVENT_MASK, _SUBSTRUCTURE = 1 << 11, 1 << 19
_INPUT_ONLY, _VIEWABLE = 2, 2
GONE = "a window that is gone again"
UNNAMED = "a window without a name"


@dataclass(slots=True)
class _Known:
    box: Box
    mapped: bool


def meet(one: Box, other: Box) -> bool:
    """Whether two boxes have pixels in common; what is smaller than 2 x 2 is a program's helper, not a picture."""
    across = min(one[0] + one[2], other[0] + other[2]) - max(one[0], other[0])
    down = min(one[1] + one[3], other[1] + other[3]) - max(one[1], other[1])
    return across > 1 and down > 1


class WindowsAbove:
    """Hears of every window that appears, moves or is raised over a box, however short, compositor or not.

    Every client may ask to hear of the root's children: managed, unmanaged and shaped ones come the same way, in
    order, and nothing that was on between two looks is missed.

    Args:
        connection: To the server.
        own: The window of ours, inside a frame or not.
    """

    def __init__(self, connection: XConnection, own: int) -> None:
        self._x = connection
        self._own = own
        root = connection.root.window
        connection.tell(SELECT, struct.pack("=III", root, _EVENT_MASK, _SUBSTRUCTURE))
        self._known: dict[int, _Known] = {}
        for window in self._children(root):
            self._learn(window)

    def _children(self, window: int) -> list[int]:
        reply = self._x.ask(TREE, struct.pack("=I", window))
        if reply is None:
            return []
        return list(struct.unpack_from(f"={struct.unpack_from('=H', reply, 16)[0]}I", reply, 32))

    def _learn(self, window: int) -> None:
        place = self._x.ask(GEOMETRY, struct.pack("=I", window))
        state = self._x.ask(ATTRIBUTES, struct.pack("=I", window))
        if place is not None and state is not None:
            x, y, w, h, border = struct.unpack_from("=hhHHH", place, 12)
            self._known[window] = _Known((x, y, w + 2 * border, h + 2 * border), state[26] == _VIEWABLE)

    def ask_own_box(self) -> tuple[int, int]:
        """Ask where our window is; ``own_box`` takes the answers, so that other requests can be under way with it."""
        place = self._x.send(GEOMETRY, struct.pack("=I", self._own))
        return place, self._x.send(TRANSLATE, struct.pack("=IIhh", self._own, self._x.root.window, 0, 0))

    def own_box(self, asked: tuple[int, int]) -> Box | None:
        """Return where our window is on the desktop; ``None`` when it is gone."""
        place, moved = self._x.reply(asked[0]), self._x.reply(asked[1])
        if place is None or moved is None:
            return None
        w, h = struct.unpack_from("=HH", place, 16)
        x, y = struct.unpack_from("=hh", moved, 12)
        return x, y, w, h

    def _own_top(self) -> int:
        """Our window's outermost parent: itself, or the frame a window manager gave it."""
        window, root = self._own, self._x.root.window
        while (reply := self._x.ask(TREE, struct.pack("=I", window))) is not None:
            parent = struct.unpack_from("=I", reply, 12)[0]
            if parent in {root, 0}:
                break
            window = parent
        return window

    def heard(self, events: list[bytes], box: Box) -> list[str]:
        """Take the server's events in, and name the windows that came over a box.

        Args:
            events: As they came, 32 bytes each; others are passed over.
            box: Where nothing may lie.

        Returns:
            One name an appearance: what the window calls itself, or ``GONE`` where it went too soon to be asked.
        """
        suspects = [window for event in events if (window := self._take(event, box))]
        return self._over_ours(dict.fromkeys(suspects)) if suspects else []

    def _take(self, event: bytes, box: Box) -> int:
        """Follow one event; returns the window when it may have come over the box, else 0."""
        kind, window = event[0] & 0x7F, struct.unpack_from("=I", event, 8)[0]
        known = self._known.get(window)
        if kind == _CREATED:
            x, y, w, h, border = struct.unpack_from("=hhHHH", event, 12)
            self._known[window] = _Known((x, y, w + 2 * border, h + 2 * border), mapped=False)
        elif kind == _DESTROYED:
            self._known.pop(window, None)
        elif kind == _REPARENTED:
            if struct.unpack_from("=I", event, 12)[0] != self._x.root.window:
                self._known.pop(window, None)
            elif known is None:
                self._learn(window)
        elif known is None:
            return 0
        elif kind == _UNMAPPED:
            known.mapped = False
        elif kind in {_MAPPED, _CONFIGURED, _CIRCULATED}:
            if kind == _MAPPED:
                known.mapped = True
            if kind == _CONFIGURED:
                x, y, w, h, border = struct.unpack_from("=hhHHH", event, 16)
                known.box = (x, y, w + 2 * border, h + 2 * border)
            return window if known.mapped and meet(known.box, box) else 0
        return 0

    def _over_ours(self, suspects: dict[int, None]) -> list[str]:
        top = self._own_top()
        order = self._children(self._x.root.window)
        below = set(order[: order.index(top) + 1]) if top in order else set()
        there = set(order)
        return [
            self.name(window) if window in there else GONE
            for window in suspects
            if window not in below and window not in {top, self._own} and not self._sees_nothing(window)
        ]

    def _sees_nothing(self, window: int) -> bool:
        state = self._x.ask(ATTRIBUTES, struct.pack("=I", window))
        return state is not None and struct.unpack_from("=H", state, 12)[0] == _INPUT_ONLY

    def at(self, x: int, y: int) -> str:
        """Name the topmost window over ours at a pixel of the desktop; empty when there is none."""
        top = self._own_top()
        order = self._children(self._x.root.window)
        above = order[order.index(top) + 1 :] if top in order else order
        for window in reversed(above):
            self._learn(window)  # its events may still be on the way
            known = self._known.get(window)
            there = known is not None and known.mapped and meet(known.box, (x - 1, y - 1, 3, 3))
            if there and not self._sees_nothing(window):
                return self.name(window)
        return ""

    def name(self, window: int, deep: bool = True) -> str:
        """Return what a window calls itself: its title, else its program; a frame is named after what it frames."""
        for atom in ("_NET_WM_NAME", "WM_NAME", "WM_CLASS"):
            body = struct.pack("=IIIII", window, self._x.atom(atom), 0, 0, 64)
            reply = self._x.ask(PROPERTY, body)
            if reply is None:
                continue
            length = struct.unpack_from("=I", reply, 16)[0]
            text = reply[32 : 32 + length].replace(b"\0", b" ").decode("utf-8", "replace")
            if words := printable(text):
                return f"the window '{words}'"
        for child in self._children(window) if deep else ():
            if (found := self.name(child, deep=False)) != UNNAMED:
                return found
        return UNNAMED


def printable(text: str) -> str:
    """Keep of another program's words what may stand on a terminal, in at most 60 characters."""
    return " ".join("".join(c if c.isprintable() else " " for c in text).split())[:60]
