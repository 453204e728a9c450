"""The drawing library's events in our own words."""

from __future__ import annotations

import sys
from functools import cache
from typing import Any

from panelwear.screen.contract import ScreenEvent

_WINDOW = {
    "VIDEOEXPOSE": "expose",
    "WINDOWEXPOSED": "expose",
    "WINDOWFOCUSLOST": "focus-lost",
    "WINDOWFOCUSGAINED": "focus-gained",
    "WINDOWHIDDEN": "hidden",
    "WINDOWMINIMIZED": "hidden",
    "WINDOWRESIZED": "resized",
    "WINDOWSIZECHANGED": "resized",
    "WINDOWMOVED": "display-changed",
    "WINDOWDISPLAYCHANGED": "display-changed",
    "WINDOWSHOWN": "expose",
    "WINDOWRESTORED": "expose",
    "QUIT": "quit",
    "WINDOWCLOSE": "quit",
}
_KEYS = {
    "K_ESCAPE": "escape",
    "K_RETURN": "return",
    "K_KP_ENTER": "return",
    "K_SPACE": "space",
    "K_LEFT": "left",
    "K_RIGHT": "right",
    "K_UP": "up",
    "K_DOWN": "down",
    "K_TAB": "tab",
    "K_BACKSPACE": "backspace",
    "K_DELETE": "delete",
    "K_PAGEUP": "page-up",
    "K_PAGEDOWN": "page-down",
    "K_HOME": "home",
    "K_END": "end",
    **{f"K_F{n}": f"f{n}" for n in range(1, 13)},
    **{f"K_KP{n}": str(n) for n in range(10)},
    "K_KP_PLUS": "+",
    "K_KP_MINUS": "-",
    "K_KP_PERIOD": ".",
}


_SIDED = ("SHIFT", "CTRL", "ALT", "META", "SUPER")
_MODIFIERS = (
    *(f"K_{side}{name}" for name in _SIDED for side in "LR"),
    *("K_MODE", "K_CAPSLOCK", "K_NUMLOCK", "K_SCROLLOCK"),
)
"""Keys that mean nothing by themselves."""


def _table(library: Any, names: dict[str, str]) -> dict[int, str]:
    return {getattr(library, name): word for name, word in names.items() if hasattr(library, name)}


@cache
def _window_kinds() -> dict[int, str]:
    import pygame

    return _table(pygame, _WINDOW)


@cache
def _modifiers() -> dict[int, str]:
    import pygame

    return _table(pygame, dict.fromkeys(_MODIFIERS, ""))


@cache
def _key_names() -> dict[int, str]:
    import pygame

    return _table(pygame, _KEYS)


def translate(event: Any, at_s: float) -> ScreenEvent | None:
    """Turn one event of the library into ours; ``None`` for what does not concern us.

    ``at_s``: when it was taken from the queue, on our monotonic clock.
    """
    import pygame

    kind = _window_kinds().get(event.type)
    if kind is not None:
        return ScreenEvent(kind, at_s)
    if event.type == pygame.KEYDOWN and event.key not in _modifiers():
        return _key(event, at_s)
    if event.type == pygame.TEXTINPUT:
        return ScreenEvent("text", at_s, text=event.text)
    return _pointer(event, at_s)


def _pointer(event: Any, at_s: float) -> ScreenEvent | None:
    import pygame

    if event.type in {pygame.MOUSEBUTTONDOWN, pygame.MOUSEBUTTONUP}:
        # Buttons 4 and up are the wheel's old form; it comes again as a wheel event.
        if event.button > 3:
            return None
        word = "pointer-down" if event.type == pygame.MOUSEBUTTONDOWN else "pointer-up"
        return ScreenEvent(word, at_s, x=event.pos[0], y=event.pos[1], button=event.button)
    if event.type == pygame.MOUSEMOTION:
        return ScreenEvent("pointer-move", at_s, x=event.pos[0], y=event.pos[1])
    if event.type == pygame.MOUSEWHEEL and event.y:
        return ScreenEvent("wheel", at_s, button=1 if event.y > 0 else -1)
    return None


def _key(event: Any, at_s: float) -> ScreenEvent:
    import pygame

    shift = bool(event.mod & pygame.KMOD_SHIFT)
    held = pygame.KMOD_CTRL | (pygame.KMOD_META if sys.platform == "darwin" else 0)
    control = bool(event.mod & held)
    name = _key_names().get(event.key)
    if name is None:
        # With Control held, or for a character no key is labelled with, the key's own label says more.
        typed = getattr(event, "unicode", "")
        name = typed.lower() if typed.isprintable() and typed and not control else pygame.key.name(event.key)
    return ScreenEvent("key", at_s, key=name, shift=shift, control=control)
