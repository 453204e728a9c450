"""Where the keyboard was before the screen took it, so that it goes back there.

Without a window manager nobody else gives it back. X11 only; elsewhere, and with a window manager, the desktop does so.
"""

from __future__ import annotations

import ctypes
from collections.abc import Callable
from typing import Any

NOWHERE = {0, 1}
"""No window has the keyboard, or whichever lies under the pointer: what the server falls back to."""
REVERT_TO_PARENT = 2


def focus_kept(driver: str) -> Callable[[], None]:
    """Note which window has the keyboard; call what is returned once our own window has gone.

    Args:
        driver: Name of the display driver in use; anything but ``x11`` notes nothing.
    """
    if driver != "x11":
        return _nothing
    try:
        kept = _XFocus()
    except (OSError, AttributeError):
        return _nothing
    return kept.give_back


def _nothing() -> None:
    """Leave the keyboard to the desktop."""


class _XFocus:
    def __init__(self) -> None:
        self._x11 = ctypes.CDLL("libX11.so.6")
        self._x11.XOpenDisplay.restype = ctypes.c_void_p
        self._x11.XOpenDisplay.argtypes = [ctypes.c_char_p]
        self._x11.XGetInputFocus.argtypes = [ctypes.c_void_p, ctypes.c_void_p, ctypes.c_void_p]
        self._x11.XSetInputFocus.argtypes = [ctypes.c_void_p, ctypes.c_ulong, ctypes.c_int, ctypes.c_ulong]
        self._x11.XSync.argtypes = [ctypes.c_void_p, ctypes.c_int]
        self._x11.XCloseDisplay.argtypes = [ctypes.c_void_p]
        self._x11.XSetErrorHandler.restype = ctypes.c_void_p
        self._x11.XSetErrorHandler.argtypes = [ctypes.c_void_p]
        self._window = self._ask(self._focus)

    def _ask(self, ask: Callable[[Any], int]) -> int:
        # A connection of its own for a moment each time: none is left open that a dying server could end us by.
        display = self._x11.XOpenDisplay(None)
        if not display:
            return 0
        try:
            return ask(display)
        finally:
            self._x11.XCloseDisplay(display)

    def _focus(self, display: Any) -> int:
        window, revert = ctypes.c_ulong(), ctypes.c_int()
        self._x11.XGetInputFocus(display, ctypes.byref(window), ctypes.byref(revert))
        return window.value

    def give_back(self) -> None:
        """Give the keyboard back to the window that had it, if nobody has it now."""
        if self._window not in NOWHERE:
            self._ask(self._give)

    def _give(self, display: Any) -> int:
        if self._focus(display) not in NOWHERE | {self._root(display)}:
            return 0  # somebody has given it away already
        # The window may have gone meanwhile; the default handler would end the process for that.
        ignore = ctypes.CFUNCTYPE(ctypes.c_int, ctypes.c_void_p, ctypes.c_void_p)(lambda _display, _error: 0)
        before = self._x11.XSetErrorHandler(ctypes.cast(ignore, ctypes.c_void_p))
        self._x11.XSetInputFocus(display, self._window, REVERT_TO_PARENT, 0)
        self._x11.XSync(display, 0)
        self._x11.XSetErrorHandler(before)
        return 0

    def _root(self, display: Any) -> int:
        self._x11.XDefaultRootWindow.restype = ctypes.c_ulong
        self._x11.XDefaultRootWindow.argtypes = [ctypes.c_void_p]
        return int(self._x11.XDefaultRootWindow(display))
