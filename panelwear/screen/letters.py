"""The program's one type family, regular and bold: how wide a text is, where it breaks, and how it is set on a surface.

The files lie beside this module (``faces``, under the SIL Open Font License), so that every machine sets the same
letters. Text is set whole, with the family's own kerning; small sizes are drawn larger and reduced, so that letters
stand where their widths say, and not on whole pixels.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache
from importlib import resources
from typing import Any

import numpy as np

from panelwear.screen.palette import CAPITAL_SHARE
from panelwear.telling.words import NO_BREAK, bound

LINE_SHARE = 1.42
"""From one line to the next, of the size."""
EDGE = 1.4
"""Exponent by which a half-covered edge is lightened. Codes mixed plainly give it less than its share of the light, and
bright strokes on a dark ground get thin; its whole share (2.2) makes a regular weight look half bold."""
COARSE_PX = 40
"""From this size on a pixel is small beside a stroke, and text is drawn as it is."""
FINER = 3
"""How much larger smaller text is drawn before it is reduced."""
WIDTHS_KEPT = 4096
"""Texts whose widths a face remembers: a page is laid out again at each key, most of its words are the same."""
Ink = tuple[int, int, int]


@cache
def _font(size: int, bold: bool) -> Any:
    import pygame

    if not pygame.font.get_init():
        pygame.font.init()
    name = f"Inter-{'Bold' if bold else 'Regular'}.otf"
    with resources.as_file(resources.files("panelwear.screen") / "faces" / name) as path:
        return pygame.font.Font(str(path), size)


def forget_fonts() -> None:
    """Drop the cached fonts; needed when the display part of the library is restarted."""
    _font.cache_clear()
    Face.cached.cache_clear()


@cache
def _lightened() -> np.ndarray[tuple[int], np.dtype[np.uint8]]:
    return np.round(255 * (np.arange(256) / 255) ** (1 / EDGE)).astype(np.uint8)


class Face:
    """One weight at one size."""

    def __init__(self, size: int, *, bold: bool = False) -> None:
        self.size = size
        self._finer = FINER if size < COARSE_PX else 1
        self._font = _font(size * self._finer, bold)
        self._widths: dict[str, int] = {}

    @staticmethod
    @cache
    def cached(size: int, bold: bool = False) -> Face:
        """Return a face that was made before; measuring the same text again then costs nothing."""
        return Face(size, bold=bold)

    @property
    def line_px(self) -> int:
        """From one line to the next."""
        return round(LINE_SHARE * self.size)

    @property
    def capital_px(self) -> float:
        """Height of a capital."""
        return CAPITAL_SHARE * self.size

    def width(self, text: str) -> int:
        """How many pixels a text takes across."""
        known = self._widths.get(text)
        if known is None:
            if len(self._widths) >= WIDTHS_KEPT:
                self._widths.clear()
            known = self._widths[text] = -(-int(self._font.size(settable(text))[0]) // self._finer)
        return known

    def draw(self, surface: Any, text: str, at: tuple[int, int], ink: Ink) -> None:
        """Set one line; ``at`` is the upper left corner of its line box, in whose middle the capitals stand."""
        if not self.width(text):
            return
        import pygame

        whole = self._font.render(settable(text), True, (255, 255, 255))
        width, height = (-(-side // self._finer) for side in whole.get_size())
        covered = pygame.Surface((width * self._finer, height * self._finer), pygame.SRCALPHA)
        covered.fill((255, 255, 255, 0))
        covered.blit(whole, (0, 0), special_flags=pygame.BLEND_RGBA_MAX)
        if self._finer > 1:
            covered = pygame.transform.smoothscale(covered, (width, height))
        text_only = pygame.Surface((width, height), pygame.SRCALPHA)
        text_only.fill((*ink, 0))
        pygame.surfarray.pixels_alpha(text_only)[:] = _lightened()[pygame.surfarray.pixels_alpha(covered)]
        top = at[1] + (self.line_px + self.capital_px) / 2 - self._font.get_ascent() / self._finer
        surface.blit(text_only, (at[0], round(top)))


def settable(text: str) -> str:
    """Put the sign for an unknown character where one has no shape: texts come from files and from other programs."""
    return "".join(one if one.isprintable() else "\ufffd" for one in text)


def wrap(text: str, face: Face, width: int) -> list[str]:
    """Break a text at spaces so that it fits ``width`` pixels; line breaks in it are kept, longer words are broken."""
    lines: list[str] = []
    for part in text.split("\n"):
        line = ""
        for word in _words(part, face, width):
            longer = f"{line} {word}" if line else word
            if line and face.width(longer) > width:
                lines.append(line)
                longer = word
            while len(longer) > 1 and face.width(longer) > width and " " not in longer:
                fits = _that_fit(longer, face, width)
                lines.append(longer[:fits])
                longer = longer[fits:]
            line = longer
        lines.append(line)
    return [line.replace(NO_BREAK, " ") for line in lines]


def _words(part: str, face: Face, width: int) -> Iterator[str]:
    """Yield what may stand on lines of their own: words, a number with its unit as one where it fits."""
    for word in bound(part, NO_BREAK).split(" "):
        yield from [word] if NO_BREAK not in word or face.width(word) <= width else word.split(NO_BREAK)


def _that_fit(word: str, face: Face, width: int) -> int:
    """Return how many letters of a word fit, one at least."""
    return next((n for n in range(len(word) - 1, 1, -1) if face.width(word[:n]) <= width), 1)


def cut(text: str, face: Face, width: int) -> str:
    """Shorten a line from its end until it fits ``width`` pixels; an ellipsis says that something is missing."""
    if face.width(text) <= width:
        return text
    while text and face.width(f"{text}…") > width:
        text = text[:-1]
    return f"{text}…"


def cut_before(text: str, face: Face, width: int) -> str:
    """Shorten a line from its beginning: of what is typed the end is wanted."""
    if face.width(text) <= width:
        return text
    while text and face.width(f"…{text}") > width:
        text = text[1:]
    return f"…{text}"
