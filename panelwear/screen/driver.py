"""Opening the display so that every pixel is the panel's own: environment before, checks after.

The drawing library takes its settings from the environment, and only before its display part starts.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from panelwear.errors import ScreenFault

HARMFUL = (
    "PYGAME_FORCE_SCALE",
    "PYGAME_DISPLAY",
    "SDL_VIDEO_CENTERED",
    "SDL_VIDEO_WINDOW_POS",
    "SDL_WINDOWS_DPI_SCALING",
)
"""Variables that change size, scale or monitor behind our back."""
BLIND_DRIVERS = ("dummy", "offscreen", "evdev")


@dataclass(frozen=True, slots=True)
class Environment:
    """What to set and what to drop before the display part of the library starts."""

    put: Mapping[str, str]
    drop: tuple[str, ...]

    def apply(self) -> None:
        """Change this process's environment."""
        for name in self.drop:
            os.environ.pop(name, None)
        os.environ.update(self.put)


def plan_environment(environ: Mapping[str, str], platform: str, *, off_screen: bool) -> Environment:
    """Choose driver and hints for an environment (pure).

    Raises:
        ScreenFault: there is no display, or a driver that shows nothing is asked for outside a rehearsal.
    """
    put = {
        "PYGAME_HIDE_SUPPORT_PROMPT": "1",
        # The library would minimise the pattern when another monitor is clicked.
        "SDL_VIDEO_MINIMIZE_ON_FOCUS_LOSS": "0",
        "SDL_WINDOWS_DPI_AWARENESS": "permonitorv2",
        # One click both focuses the screen and counts as a click.
        "SDL_MOUSE_FOCUS_CLICKTHROUGH": "1",
    }
    drop = [name for name in HARMFUL if name in environ]
    if off_screen:
        return Environment({**put, "SDL_VIDEODRIVER": "dummy"}, tuple(drop))
    wanted = environ.get("SDL_VIDEODRIVER", "")
    if wanted in BLIND_DRIVERS:
        raise ScreenFault(
            f"SDL_VIDEODRIVER={wanted} shows nothing to anyone; unset it, "
            "or use 'panelwear rehearse', which needs no screen"
        )
    if platform.startswith("linux") or "bsd" in platform:
        if environ.get("WAYLAND_DISPLAY"):
            # Through the X server of a scaled Wayland desktop every pixel is resampled; the native driver is exact.
            put["SDL_VIDEODRIVER"] = "wayland"
            drop.append("SDL_FRAMEBUFFER_ACCELERATION")
        elif environ.get("DISPLAY"):
            put["SDL_VIDEODRIVER"] = "x11"
            put["SDL_FRAMEBUFFER_ACCELERATION"] = "0"
        else:
            raise ScreenFault(
                "there is no display here (neither DISPLAY nor WAYLAND_DISPLAY is set); "
                "start it on the machine that drives the panel, or try 'panelwear rehearse', which needs no screen"
            )
    return Environment(put, tuple(name for name in drop if name in environ))


def load(*, off_screen: bool) -> Any:
    """Start the display part of the drawing library and return the library.

    Raises:
        ScreenFault: no display can be reached.
    """
    environment = plan_environment(os.environ, sys.platform, off_screen=off_screen)
    environment.apply()
    _be_dpi_aware()
    import pygame

    if pygame.display.get_init():
        pygame.display.quit()
    try:
        # Never pygame.init(): it would open the sound device as well.
        pygame.display.init()
    except pygame.error as error:
        where = os.environ.get("WAYLAND_DISPLAY") or os.environ.get("DISPLAY") or "this machine"
        raise ScreenFault(
            f"the display {where} cannot be opened ({error}); check that you may use it, or try 'panelwear rehearse'"
        ) from error
    return pygame


def _be_dpi_aware() -> None:
    if sys.platform == "win32":
        import contextlib
        import ctypes

        # Refused when it was set before: the hint in the environment has done the same then.
        with contextlib.suppress(OSError, AttributeError):
            ctypes.windll.shcore.SetProcessDpiAwareness(2)


def is_fork(pygame: Any) -> bool:
    """Whether the drop-in fork is installed in the library's place."""
    return bool(getattr(pygame, "IS_CE", False))


def native_size(pygame: Any, number: int) -> tuple[tuple[int, int], bool]:
    """Return a monitor's own pixels and whether the desktop scales on it.

    Raises:
        ScreenFault: no such monitor, or the fork on a scaled Wayland desktop.
    """
    desktop = pygame.display.get_desktop_sizes()
    if not 0 <= number < len(desktop):
        there = "only number 0" if len(desktop) == 1 else f"numbers 0 to {len(desktop) - 1}"
        raise ScreenFault(f"there is no screen {number}; there is {there} (see 'panelwear screens')")
    size = tuple(desktop[number])
    if pygame.display.get_driver() != "wayland":
        return size, False
    modes = pygame.display.list_modes(display=number)
    if not isinstance(modes, list) or not modes:
        return size, False
    native = tuple(modes[0])
    if native != size and is_fork(pygame):
        raise ScreenFault(
            "on a scaled Wayland desktop this Python's drawing library zooms the picture; "
            "set the scale of the screen to 100 %, or use Python 3.13 or older"
        )
    return native, native != size


def exactness_problems(pygame: Any, surface: Any, wanted: tuple[int, int]) -> list[str]:
    """List what is wrong with an opened surface; empty when size, depth and masks are as they must be."""
    problems = []
    size = tuple(surface.get_size())
    window = tuple(pygame.display.get_window_size())
    if size != wanted:
        problems.append(f"the surface is {size[0]} x {size[1]}, the monitor {wanted[0]} x {wanted[1]} pixels")
    if window != wanted:
        problems.append(f"the window is {window[0]} x {window[1]}, the monitor {wanted[0]} x {wanted[1]} pixels")
    if surface.get_bitsize() != 32:
        problems.append(f"the surface has {surface.get_bitsize()} bits a pixel, not 32")
    if tuple(surface.get_masks()[:3]) != (0xFF0000, 0xFF00, 0xFF):
        problems.append("red, green and blue do not lie where they should")
    return problems
