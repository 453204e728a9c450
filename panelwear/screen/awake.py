"""Hold off what would change the screen by itself while a run stands: screen saver, blanking, notifications.

Everything asked for ends with its connection: a run that is killed leaves nothing switched off.
"""

from __future__ import annotations

import contextlib
import struct
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

from panelwear.screen.session_bus import BusError, SessionBus
from panelwear.screen.xconnection import XConnection, XUnavailableError

_SAVER = ("org.freedesktop.ScreenSaver", "/org/freedesktop/ScreenSaver", "org.freedesktop.ScreenSaver")
_NOTES = ("org.freedesktop.Notifications", "/org/freedesktop/Notifications", "org.freedesktop.Notifications")
_EXTENSION = "MIT-SCREEN-SAVER"
_VERSION, _SUSPEND = 0, 5
_KEEP_ON, _KEEP_OFF = 0x80000002, 0x80000000
"""ES_CONTINUOUS with and without ES_DISPLAY_REQUIRED (Win32 SetThreadExecutionState)."""
REASON = "a colorimeter reads the screen"
BLANKS = "the screen may blank or a screen saver may come up in mid-run ({why}): switch both off by hand"
POPS_UP = "notifications cannot be held off here ({why}): switch 'do not disturb' on by hand"


class Awake:
    """What is held off, from the making of it until ``close``.

    Args:
        driver: Name of the display driver in use.
    """

    def __init__(self, driver: str) -> None:
        self.refused: list[str] = []
        """A sentence for each thing that could not be held off."""
        self._bus: SessionBus | None = None
        self._x: XConnection | None = None
        self._windows = False
        if driver == "windows":
            self._windows = _tell_windows(_KEEP_ON)
            self.refused += [] if self._windows else [BLANKS.format(why="the system refused")]
        elif driver in {"x11", "wayland"}:
            self._ask(driver)

    def _ask(self, driver: str) -> None:
        why, suspended = "", False
        if driver == "x11":
            try:
                self._x = XConnection()
                suspended = suspend(self._x)
            except XUnavailableError as error:
                why = str(error)
        try:
            self._bus = SessionBus()
        except BusError as error:
            if not suspended:  # without a bus there is no desktop either: nobody else blanks, nobody notifies
                self.refused.append(BLANKS.format(why=why or error))
            return
        refusal = self._inhibit(_SAVER, "panelwear", REASON, signature=("s", "s"))
        # A desktop's own saver listens to the bus alone; where there is none, the server's is the only one.
        if refusal and not (suspended and "ServiceUnknown" in refusal):
            self.refused.append(BLANKS.format(why=refusal))
        refusal = self._inhibit(_NOTES, "panelwear", REASON, (), signature=("s", "s", "a{sv}"))
        if refusal and "ServiceUnknown" not in refusal:  # nobody who could pop up needs no holding off
            self.refused.append(POPS_UP.format(why=refusal))

    def _inhibit(self, whom: tuple[str, str, str], *values: Any, signature: tuple[str, ...]) -> str:
        """Ask for quiet; returns why it was refused."""
        if self._bus is None:
            return ""
        try:
            self._bus.call(*whom, "Inhibit", *values, signature=signature)
        except BusError as error:
            return str(error)
        return ""

    def close(self) -> None:
        """Let everything come up again; twice does no harm."""
        if self._bus is not None:
            self._bus.close()
        if self._x is not None:
            self._x.close()
        if self._windows:
            _tell_windows(_KEEP_OFF)
        self._bus, self._x, self._windows = None, None, False


def suspend(x: XConnection) -> bool:
    """Suspend the X server's own screen saver and power saving until the connection closes; ``False``: it cannot.

    MIT-SCREEN-SAVER 1.1, request Suspend.
    """
    if not x.has(_EXTENSION):
        return False
    version = x.ask(_VERSION, struct.pack("=BBH", 1, 1, 0), extension=_EXTENSION)
    if version is None or struct.unpack_from("=HH", version, 8) < (1, 1):
        return False
    x.tell(_SUSPEND, struct.pack("=I", 1), extension=_EXTENSION)
    return True


def _tell_windows(state: int) -> bool:
    if sys.platform == "win32":
        import ctypes

        return bool(ctypes.windll.kernel32.SetThreadExecutionState(state))
    return False


@contextmanager
def awake(driver: str) -> Iterator[tuple[str, ...]]:
    """Hold off what would change the screen; yields a sentence for each thing that is not to be held off."""
    held = Awake(driver)
    with contextlib.closing(held):
        yield tuple(held.refused)
