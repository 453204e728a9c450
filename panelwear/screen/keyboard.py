"""Where the keyboard was before the screen took it, so that it goes back there.

Without a window manager nobody else gives it back. X11 only; elsewhere, and with a window manager, the desktop does so.
"""

from __future__ import annotations

import struct
from collections.abc import Callable

from panelwear.screen.xconnection import FOCUS, GIVE_FOCUS, XConnection, XUnavailableError

NOWHERE = {0, 1}
"""No window has the keyboard, or whichever lies under the pointer: what the server falls back to."""
_REVERT_TO_PARENT = 2


def focus_kept(driver: str) -> Callable[[], None]:
    """Note which window has the keyboard; call what is returned once our own window has gone.

    Args:
        driver: Name of the display driver in use; anything but ``x11`` notes nothing.
    """
    kept = _ask(_focus) if driver == "x11" else 0
    return lambda: _give_back(kept)


def _ask(what: Callable[[XConnection], int]) -> int:
    # A connection for a moment each time: nothing stays open between, and a server that has gone is nobody's trouble.
    try:
        x = XConnection()
    except XUnavailableError:
        return 0
    try:
        return what(x)
    except XUnavailableError:
        return 0
    finally:
        x.close()


def _focus(x: XConnection) -> int:
    reply = x.ask(FOCUS)
    return 0 if reply is None else int(struct.unpack_from("=I", reply, 8)[0])


def _give_back(window: int) -> None:
    """Give the keyboard back to the window that had it, if nobody has it now."""

    def give(x: XConnection) -> int:
        if _focus(x) not in NOWHERE | {x.root.window}:
            return 0  # somebody has given it away already
        x.send(GIVE_FOCUS, struct.pack("=II", window, 0), byte=_REVERT_TO_PARENT, answered=False)
        return _focus(x)  # the answer shows that the server has done the one before; a window that has gone is refused

    if window not in NOWHERE:
        _ask(give)
