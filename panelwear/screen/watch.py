"""Proving what stands on the screen: the server's pixels against ours, other windows, the monitor, the focus."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from typing import Any

from panelwear.screen import xoutput
from panelwear.screen.contract import Proof, ScreenEvent
from panelwear.screen.stacked import StackWatch, SystemStack
from panelwear.screen.xconnection import XConnection, XUnavailableError
from panelwear.screen.xpixels import RGB, Packed, XPixels, first_difference
from panelwear.screen.xwindows import Box, WindowsAbove
from patterns.frame import Rect

ROWS = 8
"""Rows over the whole screen that are compared beside the probe's place: an eighth of its height meets one."""
_TURN = 0.6180339887
"""The rows move on by this share of their distance (the golden section) from one proof to the next: none repeats."""
NO_FOCUS = (
    "another window has the keyboard, and this system does not tell what lies over the pattern: click on the pattern "
    "and the readings go on by themselves"
)
MOVED = "the pattern's window was moved, resized or taken off the monitor"


class FocusWatch:
    """Where the server does not tell what it shows: a lost focus is remembered until it is back.

    Args:
        focused: Whether our window had it at the beginning.
    """

    def __init__(self, focused: bool = True) -> None:
        self._lost = not focused

    def take(self, events: Iterable[ScreenEvent]) -> None:
        """Follow what happened."""
        for event in events:
            if event.kind in {"focus-lost", "hidden"}:
                self._lost = True
            elif event.kind == "focus-gained":
                self._lost = False

    def prove(self) -> Proof:
        """Say whether anything is known against the frame."""
        return Proof(holds=not self._lost, why=NO_FOCUS if self._lost else "")


class XWatch:
    """Asks the X server itself, over a connection of its own.

    Args:
        x: The connection; belongs to this object from now on.
        own: Number of our window.

    Raises:
        XUnavailableError: the server cannot be asked for its pixels.
    """

    def __init__(self, x: XConnection, own: int) -> None:
        self._x = x
        if not x.root.plain:
            raise XUnavailableError("the X server's pixels are not 8 bits a channel")
        self._windows = WindowsAbove(x, own)
        box = self._windows.own_box(self._windows.ask_own_box())
        if box is None:
            raise XUnavailableError("our window is not there")
        self._box: Box = box
        self._pixels = XPixels(x, box[2] * (box[3] + ROWS))
        self._phase = 0.0
        self._proofs_held = 0
        crtc = 0
        if xoutput.listen(x):
            crtc = xoutput.find_crtc(x, (box[0] + box[2] // 2, box[1] + box[3] // 2))
        self._then = self._now = xoutput.read_state(x, crtc) if crtc else None

    @property
    def output(self) -> xoutput.OutputState | None:
        """The monitor as it was found when the watch began."""
        return self._then

    def events(self, at_s: float) -> list[ScreenEvent]:
        """Return what came over our window, and what changed at the monitor, since the last call."""
        raw = self._x.events()
        found = [ScreenEvent("covered", at_s, text=name) for name in self._windows.heard(raw, self._box)]
        if self._then is not None and any(xoutput.is_change(self._x, event) for event in raw):
            before, self._now = self._now, xoutput.read_state(self._x, self._then.crtc)
            if self._now != before:
                found.append(ScreenEvent("display-changed", at_s, text=self._now.differs(self._then)))
        return found

    def prove(self, wanted: Packed, around: Rect | None) -> Proof | None:
        """Compare what the server holds with what is to be there; ``None`` where it cannot be read after all.

        Args:
            wanted: Every pixel of our window.
            around: What is compared whole; ``None``: some rows alone.
        """
        height, width = wanted.shape
        pieces = self._pieces(width, height, around)
        # All is asked before the first answer is waited for: one way to the server and back in place of twelve.
        place = self._windows.ask_own_box()
        table = xoutput.ask_colour_table(self._x, self._then.crtc) if self._then is not None else 0
        asked = self._pixels.ask([self._on_desktop(piece) for piece in pieces])
        box = self._windows.own_box(place)
        at_monitor = self._monitor(self._x.reply(table)) if table else ""
        found = self._pixels.take(asked)
        if at_monitor:
            return Proof(holds=False, why=at_monitor, compared=True)
        if box is None or box[2:] != (width, height) or box != self._box:
            return Proof(holds=False, why=MOVED, compared=True)
        nothing = not self._proofs_held
        for (x, y, w, h), there in zip(pieces, found, strict=True):
            if there is None:
                return Proof(holds=False, why=MOVED, compared=True)
            nothing = nothing and not (there & RGB).any()
            if (differs := first_difference(there, wanted[y : y + h, x : x + w])) is not None:
                if nothing:
                    return None  # a server that hands out black for every pixel
                return self._refuted(x + differs[1], y + differs[0])
        self._proofs_held += not nothing
        return Proof(holds=True, compared=True)

    def _monitor(self, table: bytes | None) -> str:
        if self._then is None or self._now is None:
            return ""
        if xoutput.colour_table(table) != self._now.colour_table:
            self._now = xoutput.read_state(self._x, self._then.crtc)
        return self._now.differs(self._then)

    def _refuted(self, x: int, y: int) -> Proof:
        name = self._windows.at(self._box[0] + x, self._box[1] + y)
        what = f"{name} lies over the pattern" if name else "what stands on the screen is not the pattern"
        return Proof(holds=False, why=f"{what} (x {x}, y {y})", compared=True)

    def _pieces(self, width: int, height: int, around: Rect | None) -> list[Box]:
        self._phase = (self._phase + _TURN) % 1.0
        rows = sorted({min(height - 1, int((n + self._phase) * height / ROWS)) for n in range(ROWS)})
        pieces: list[Box] = [(0, row, width, 1) for row in rows]
        if around is not None:
            left, top = max(0, around.x), max(0, around.y)
            right, bottom = min(width, around.right), min(height, around.bottom)
            if right > left and bottom > top:
                pieces.insert(0, (left, top, right - left, bottom - top))
        return pieces

    def _on_desktop(self, piece: Box) -> Box:
        x, y, w, h = piece
        return self._box[0] + x, self._box[1] + y, w, h

    def close(self) -> None:
        """Leave."""
        self._x.close()


class Watch:
    """All ways together: the server's own pixels, else the windows over ours where a system tells, and the focus.

    Args:
        x: ``None`` where there is no X server, or it cannot be asked.
        unasked: Why not, in a few words.
        focused: Whether our window had the focus at the beginning.
        stack: Tells which windows stand over ours, where a system does that and no more.
    """

    def __init__(
        self, x: XWatch | None = None, unasked: str = "", *, focused: bool = True, stack: StackWatch | None = None
    ) -> None:
        self._x = x
        self._stack = stack
        self._over = ""
        self._focus = FocusWatch(focused)
        self.unasked = unasked

    @property
    def output(self) -> xoutput.OutputState | None:
        """The monitor as it was found at the beginning; ``None`` where nothing tells."""
        return None if self._x is None else self._x.output

    def take(self, events: Iterable[ScreenEvent], at_s: float) -> list[ScreenEvent]:
        """Follow the drawing library's events; returns what the server tells beside them."""
        self._focus.take(events)
        if self._x is None:
            return self._came_over(at_s)
        try:
            return self._x.events(at_s)
        except XUnavailableError as error:
            self._give_up(str(error))
            return []

    def prove(self, wanted: Packed, around: Rect | None) -> Proof:
        """Say whether the pixels wanted stand on the screen, as far as can be told here."""
        if self._x is not None:
            try:
                proof = self._x.prove(wanted, around)
            except XUnavailableError as error:
                self._give_up(str(error))
            else:
                if proof is not None:
                    return proof
                self._give_up("the X server hands out no pixels")
        against = self._stack.against() if self._stack is not None else ""
        told = Proof(holds=False, why=against) if against else self._focus.prove()
        return replace(told, unasked=self.unasked)

    def _came_over(self, at_s: float) -> list[ScreenEvent]:
        """Tell once of what lies over our window and did not at the last look."""
        if self._stack is None:
            return []
        before, self._over = self._over, self._stack.over()
        return [ScreenEvent("covered", at_s, text=self._over)] if self._over and self._over != before else []

    def _give_up(self, why: str) -> None:
        self.close()
        self.unasked = why

    def close(self) -> None:
        """Leave; twice does no harm."""
        if self._x is not None:
            self._x.close()
            self._x = None


def watch_of(pygame: Any) -> Watch:
    """Make the watch that fits the display in use."""
    name = pygame.display.get_driver()
    if name != "x11":
        focused = bool(pygame.key.get_focused())
        unasked = f"the display driver '{name}' does not tell what it shows"
        return Watch(unasked=unasked, focused=focused, stack=_stack_of(pygame) if name == "windows" else None)
    try:
        x = XConnection()
    except XUnavailableError as error:
        return Watch(unasked=str(error))
    try:
        return Watch(XWatch(x, int(pygame.display.get_wm_info()["window"])))
    except (XUnavailableError, KeyError) as error:
        x.close()
        return Watch(unasked=str(error))


def _stack_of(pygame: Any) -> StackWatch | None:
    try:
        return StackWatch(SystemStack(), int(pygame.display.get_wm_info()["window"]))
    except (OSError, AttributeError, KeyError, TypeError, ValueError):
        return None
