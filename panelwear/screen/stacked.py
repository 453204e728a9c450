"""Other programs' windows on Microsoft Windows: which of them stand above ours, asked of the system itself.

Nothing tells a program there what the screen shows within two milliseconds, but the order of all windows is known at
any time: what is visible and stands above ours over the pattern is light in the reading, focus or no focus.

The calls are those of the system's documented interface (GetTopWindow, GetWindow, IsWindowVisible, IsIconic,
GetWindowRect, GetWindowTextW, and DwmGetWindowAttribute for windows that are there and not shown).
"""

from __future__ import annotations

import ctypes
from dataclasses import dataclass
from typing import Any, Protocol

from panelwear.screen.xwindows import UNNAMED, Box, meet, printable

_NEXT = 2
"""GW_HWNDNEXT: the window below."""
_CLOAKED = 14
"""DWMWA_CLOAKED: not 0 where the desktop keeps a window from being seen."""
MOST = 10_000
"""Windows that are looked through at most: the order can change meanwhile, and must not turn in a circle."""
TITLE = 200
"""Characters of a title that are read."""


@dataclass(frozen=True, slots=True)
class Stacked:
    """One window as the system tells of it."""

    number: int
    box: Box
    shown: bool
    title: str = ""


class Stack(Protocol):
    """The system's windows from the topmost down."""

    def top(self) -> int:
        """Number of the topmost window; 0: there is none."""
        ...

    def below(self, number: int) -> int:
        """Number of the window under one; 0: it is the last, or is gone."""
        ...

    def window(self, number: int) -> Stacked | None:
        """Tell of one window; ``None``: it is gone."""
        ...


class SystemStack:
    """The real one. ``AttributeError`` or ``OSError`` where the system has no such calls."""

    def __init__(self) -> None:
        # Handles are pointers: without the types they would be cut to 32 bits.
        self._user: Any = ctypes.WinDLL("user32")  # type: ignore[attr-defined, unused-ignore]
        self._desktop: Any = ctypes.WinDLL("dwmapi")  # type: ignore[attr-defined, unused-ignore]
        handle = ctypes.c_void_p
        self._user.GetTopWindow.argtypes, self._user.GetTopWindow.restype = [handle], handle
        self._user.GetWindow.argtypes, self._user.GetWindow.restype = [handle, ctypes.c_uint], handle
        for name in ("IsWindowVisible", "IsIconic"):
            getattr(self._user, name).argtypes = [handle]
        self._user.GetWindowRect.argtypes = [handle, ctypes.c_void_p]
        self._user.GetWindowTextW.argtypes = [handle, ctypes.c_wchar_p, ctypes.c_int]
        self._desktop.DwmGetWindowAttribute.argtypes = [handle, ctypes.c_uint, ctypes.c_void_p, ctypes.c_uint]

    def top(self) -> int:
        """Number of the topmost window."""
        return int(self._user.GetTopWindow(None) or 0)

    def below(self, number: int) -> int:
        """Number of the window under one."""
        return int(self._user.GetWindow(number, _NEXT) or 0)

    def window(self, number: int) -> Stacked | None:
        """Tell of one window."""
        edges = (ctypes.c_long * 4)()
        if not self._user.GetWindowRect(number, edges):
            return None
        left, top, right, bottom = edges
        cloaked = ctypes.c_uint(0)
        self._desktop.DwmGetWindowAttribute(number, _CLOAKED, ctypes.byref(cloaked), ctypes.sizeof(cloaked))
        shown = bool(self._user.IsWindowVisible(number)) and not self._user.IsIconic(number) and not cloaked.value
        title = ctypes.create_unicode_buffer(TITLE)
        self._user.GetWindowTextW(number, title, TITLE)
        return Stacked(number, (left, top, right - left, bottom - top), shown, title.value)


class StackWatch:
    """Asks which window stands over ours.

    Args:
        stack: The system's windows.
        own: Number of ours.
    """

    def __init__(self, stack: Stack, own: int) -> None:
        self._stack = stack
        self._own = own

    def over(self) -> str:
        """Name what lies over our window; empty: nothing does, or ours cannot be found."""
        return self._looked()[0]

    def against(self) -> str:
        """Say what is known against the pattern; empty: nothing."""
        name, fault = self._looked()
        return f"{name} lies over the pattern" if name else fault

    def _looked(self) -> tuple[str, str]:
        """Look through the windows from the top: the first that lies over ours, or why there is no answer."""
        own = self._stack.window(self._own)
        if own is None or not own.shown:
            return "", "the pattern's window is hidden or gone"
        number = self._stack.top()
        for _ in range(MOST):
            if number in {0, self._own}:
                return "", "" if number else "the pattern's window is not among the desktop's windows"
            found = self._stack.window(number)
            if found is not None and found.shown and meet(found.box, own.box):
                return printable(found.title) or UNNAMED, ""
            number = self._stack.below(number)
        return "", "the order of the desktop's windows cannot be read"
