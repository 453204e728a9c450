"""Noticing that the X server went away, where the X library would otherwise end the process on the spot."""

from __future__ import annotations

import atexit
import ctypes
from typing import Any

_KEPT: list[Any] = []
"""Handlers the X library may call as long as the process lives."""


class LossGuard:
    """Keeps the process alive when the connection to the X server breaks, and remembers that it did.

    The X library calls ``exit`` after a broken connection unless a handler is set for that display (libX11 1.7 and
    newer). Where this cannot be set, nothing changes.
    """

    def __init__(self, pygame: Any) -> None:
        self.lost = False
        self._quit = pygame.quit
        if pygame.display.get_driver() == "x11":
            try:
                self._guard(pygame)
            except (OSError, AttributeError, KeyError, ValueError, TypeError):
                return

    def _guard(self, pygame: Any) -> None:
        x11 = ctypes.CDLL("libX11.so.6")
        capsule = pygame.display.get_wm_info()["display"]
        get_name = ctypes.pythonapi.PyCapsule_GetName
        get_name.restype, get_name.argtypes = ctypes.c_char_p, [ctypes.py_object]
        get_pointer = ctypes.pythonapi.PyCapsule_GetPointer
        get_pointer.restype, get_pointer.argtypes = ctypes.c_void_p, [ctypes.py_object, ctypes.c_char_p]
        display = get_pointer(capsule, get_name(capsule))
        on_exit = ctypes.CFUNCTYPE(None, ctypes.c_void_p, ctypes.c_void_p)(self._note)
        on_error = ctypes.CFUNCTYPE(ctypes.c_int, ctypes.c_void_p)(self._note_error)
        x11.XSetIOErrorExitHandler.argtypes = [ctypes.c_void_p, type(on_exit), ctypes.c_void_p]
        x11.XSetIOErrorExitHandler.restype = None
        x11.XSetIOErrorHandler.argtypes = [type(on_error)]
        x11.XSetIOErrorHandler.restype = ctypes.c_void_p
        x11.XSetIOErrorHandler(on_error)  # the default one prints three lines of its own
        x11.XSetIOErrorExitHandler(display, on_exit, None)
        # A monitor that was taken away makes requests fail, the last ones on leaving: no reason to end on the spot.
        on_refusal = ctypes.CFUNCTYPE(ctypes.c_int, ctypes.c_void_p, ctypes.c_void_p)(_pass_over)
        x11.XSetErrorHandler.argtypes = [type(on_refusal)]
        x11.XSetErrorHandler.restype = ctypes.c_void_p
        x11.XSetErrorHandler(on_refusal)
        _KEPT.extend((on_exit, on_error, on_refusal))

    def _note(self, _display: object, _data: object) -> None:
        self._lose()

    def _note_error(self, _display: object) -> int:
        self._lose()
        return 0

    def _lose(self) -> None:
        self.lost = True
        # Leaving the library tidily would wait forever for an answer from the server that is gone.
        atexit.unregister(self._quit)


def _pass_over(_display: object, _refused: object) -> int:
    """Take note of a refused request: what it was to do shows in what the watch finds next."""
    return 0
