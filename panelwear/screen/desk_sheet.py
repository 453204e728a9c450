"""How a desk is drawn: thin lines with a dark seam, so that they are seen on any picture, and a card of words."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from panelwear.screen.card import place
from panelwear.screen.desk import Backdrop, Desk, Edge, Grey, Label, Ring, SideCard
from panelwear.screen.letters import Face, wrap
from panelwear.screen.light import GAMMA, LINEAR
from panelwear.screen.page import Room, Tone
from panelwear.screen.palette import codes_for
from panelwear.screen.pen import Area, frame

INK_CD_M2: dict[Room, float] = {"dark": 1.0, "lit": 18.0}
"""Ink of the strongest tone. Lines go along with the hand: were they any step of light that counts, the governor would
hold each move back for half a second."""
INK_OF_PEAK = 0.06
"""Nor is it more than this share of the panel's white, for the same reason: of 300 cd/m², as which any dimmer panel is
judged too, that is 18 cd/m²."""
OVER_PICTURE = 3.0
"""Lines on a picture are so many times brighter: they must stand out of its whites."""
PICTURE_CD_M2: dict[Room, float] = {"dark": 1.0, "lit": 5.0}
"""White of the picture beneath."""
SHARES: dict[Tone, float] = {"strong": 1.0, "warning": 1.0, "plain": 0.7, "soft": 0.45}
CARD_WIDE = 0.33
LEAST_PX = 14
"""Smallest size of text: with many words a card grows smaller until it fits."""
STEP = 1.25
"""From one line of a card to the next, of the size."""
DOT_PX = 6
KEPT_TEXTS = 400


class DeskSheet:
    """Draws desks onto a surface; remembers the dimmed picture, which is the same for many."""

    def __init__(self, pygame: Any, peak_cd_m2: float) -> None:
        self._pygame = pygame
        self._peak_cd_m2 = peak_cd_m2
        self._dimmed: tuple[Backdrop, Room, Any] | None = None
        self._texts: dict[tuple[Face, str, tuple[int, int, int]], Any] = {}

    def draw(self, surface: Any, desk: Desk) -> None:
        """Draw all of it."""
        self._surface, self._desk = surface, desk
        self._line = max(1, round(surface.get_height() / 1080))
        surface.fill((0, 0, 0))
        if desk.backdrop is not None:
            surface.blit(self._picture(desk.backdrop, desk.room), (0, 0))
        for edge in desk.edges:
            self._edge(edge)
        for ring in desk.rings:
            self._ring(ring)
        for x, y, w, h in ((r.x, r.y, r.w, r.h) for r in desk.handles):
            surface.fill((0, 0, 0), (x - 1, y - 1, w + 2, h + 2))
            surface.fill(self._ink("strong"), (x, y, w, h))
        self._labels(desk.labels)
        self._card(desk.card)

    def _ink(self, tone: Tone) -> tuple[int, int, int]:
        strongest = ink_cd_m2(self._desk.room, self._desk.backdrop is not None, self._peak_cd_m2)
        return codes_for(strongest * SHARES[tone], self._peak_cd_m2)

    def _picture(self, backdrop: Backdrop, room: Room) -> Any:
        known = self._dimmed
        if known is None or known[0] is not backdrop or known[1] != room:
            rows, columns = backdrop.picture.shape
            grey = self._pygame.image.frombuffer(np.ascontiguousarray(backdrop.picture), (columns, rows), "P")
            grey.set_palette(
                [(code,) * 3 for code in dimmed_codes(picture_cd_m2(room, self._peak_cd_m2), self._peak_cd_m2)]
            )
            known = self._dimmed = (backdrop, room, grey.convert(self._surface))
        return known[2]

    def _edge(self, edge: Edge) -> None:
        (x0, y0), (x1, y1) = edge.start, edge.end
        line, ink = self._line * (2 if edge.tone == "strong" else 1), self._ink(edge.tone)
        flat = y0 == y1
        long = (x1 - x0) if flat else (y1 - y0)
        if self._desk.backdrop is not None:
            seam = (
                (x0, y0 - self._line, long, line + 2 * self._line)
                if flat
                else (x0 - self._line, y0, line + 2 * self._line, long)
            )
            self._surface.fill((0, 0, 0), seam)
        dot = DOT_PX * line if edge.dotted else max(1, long)
        for at in range(0, max(1, long), 2 * dot if edge.dotted else dot):
            part = min(dot, long - at) or line
            self._surface.fill(ink, (x0 + at, y0, part, line) if flat else (x0, y0 + at, line, part))

    def _ring(self, ring: Ring) -> None:
        (x, y), (across, down) = ring.at, ring.radii
        ink, line = self._ink(ring.tone), self._line
        box = self._pygame.Rect(round(x - across), round(y - down), round(2 * across), round(2 * down))
        if self._desk.backdrop is not None:
            self._pygame.draw.ellipse(self._surface, (0, 0, 0), box.inflate(2 * line, 2 * line), 3 * line)
        if box.w > 2 and box.h > 2:
            self._pygame.draw.ellipse(self._surface, ink, box, line)
        arm = 4 * line
        self._surface.fill(ink, (round(x) - arm, round(y), 2 * arm, line))
        self._surface.fill(ink, (round(x), round(y) - arm, line, 2 * arm))

    def _text(self, face: Face, text: str, tone: Tone) -> Any:
        """Render words on black; most are the same in the next picture, and are kept."""
        key = (face, text, self._ink(tone))
        if key not in self._texts:
            if len(self._texts) >= KEPT_TEXTS:
                self._texts.clear()
            rendered = self._pygame.Surface((face.width(text), face.line_px)).convert(self._surface)
            face.draw(rendered, text, (0, 0), key[2])
            pixels = self._pygame.surfarray.pixels3d(rendered)
            pixels[is_red(pixels)] = 0
            del pixels  # as long as it lives nothing can be drawn
            self._texts[key] = rendered
        return self._texts[key]

    def _labels(self, labels: Sequence[Label]) -> None:
        width, height = self._surface.get_size()
        face = Face.cached(_size(width, height))
        there: list[Any] = []
        for label in labels:
            text = self._text(face, label.text, label.tone)
            inset = face.line_px // 3
            box = text.get_rect(topleft=(label.at[0] + inset, label.at[1] + inset)).clamp(self._surface.get_rect())
            while (hit := box.collidelist(there)) >= 0 and there[hit].bottom + box.h <= height:
                box.top = there[hit].bottom
            there.append(box)
            self._surface.blit(text, box)

    def _card(self, card: SideCard) -> Area:
        width, height = self._surface.get_size()
        inside = round(width * CARD_WIDE)
        sizes = range(_size(width, height), LEAST_PX - 1, -1)
        laid = next((one for size in sizes if (one := _Laid.of(card, size, inside)).tall + 2 * size <= height), None)
        laid = laid or _Laid.of(card, LEAST_PX, inside)
        size, face, head, lines, step = laid.size, laid.face, laid.head, laid.lines, laid.step
        box = place(card.corner, (width, height), (inside, min(laid.tall, height)), size)
        self._surface.fill((0, 0, 0), box)
        frame(self._surface, box, self._ink("soft"), self._line)
        y = box[1] + size
        for text, indent, tone, bold, stays in lines:
            if text:
                used = head if bold else face
                self._surface.blit(self._text(used, text, tone), (box[0] + size + indent, y))
            if not stays:
                y += step if text else step // 2
        return box


def _size(width: int, height: int) -> int:
    return max(LEAST_PX, round(min(height / 34, width / 54)))


Line = tuple[str, int, Tone, bool, bool]
"""Text, its indent in pixels, its ink, whether it is a head, whether the next one stands on the same line."""


@dataclass(frozen=True, slots=True)
class _Laid:
    """A card's words as they are broken and sized."""

    size: int
    face: Face
    head: Face
    lines: list[Line]

    @classmethod
    def of(cls, card: SideCard, size: int, wide: int) -> _Laid:
        face, head = Face.cached(size), Face.cached(round(size * 1.25), True)
        return cls(size, face, head, _laid_out(card, face, head, wide - 2 * size, size))

    @property
    def step(self) -> int:
        return round(STEP * self.size)

    @property
    def tall(self) -> int:
        steps = sum(self.step if text else self.step // 2 for text, *_, stays in self.lines if not stays)
        return steps + 2 * self.size


def _laid_out(card: SideCard, face: Face, head: Face, inside: int, size: int) -> list[Line]:
    """Break a card into lines."""
    lines: list[Line] = [(text, 0, "strong", True, False) for text in wrap(card.title, head, inside)]
    lines.append(("", 0, "plain", False, False))
    if card.entry is not None:
        lines += [(f"name: {card.entry}_", 0, "strong", False, False), ("", 0, "plain", False, False)]
    lines += _columns(card.rows, face, inside, size, "plain")
    for text, tone in card.words:
        lines.append(("", 0, "plain", False, False))
        lines += [(piece, 0, tone, False, False) for piece in wrap(text, face, inside)]
    if card.keys:
        lines.append(("", 0, "plain", False, False))
        lines += _columns(card.keys, face, inside, size, "soft")
    return lines


def _columns(rows: Sequence[tuple[str, str]], face: Face, inside: int, size: int, tone: Tone) -> list[Line]:
    """Lay two aligned columns out; what is too long for the second is broken there."""
    second = max((face.width(name) for name, _ in rows), default=0) + size
    lines: list[Line] = []
    for name, value in rows:
        pieces = wrap(value, face, inside - second)
        lines.append((name, 0, "soft", False, True))
        lines += [(piece, second, tone, False, False) for piece in pieces]
    return lines


def is_red(codes: Grey) -> NDArray[np.bool_]:
    """Tell which pixels, red first along the last axis, are a saturated red (WCAG 2.3.1: R / (R + G + B) of 0.8).

    The faint edge of warm letters is one where only its red still makes a whole code: words that move with the hand
    would bring it on and off many times a second.
    """
    linear = LINEAR[codes]
    return np.asarray(linear[..., 0] >= 0.8 * linear.sum(axis=-1), dtype=np.bool_) & (codes[..., 0] > 0)


def ink_cd_m2(room: Room, over_picture: bool, peak_cd_m2: float) -> float:
    """Return the luminance of the strongest ink."""
    ink = INK_CD_M2[room] * (OVER_PICTURE if over_picture and room == "dark" else 1.0)
    return min(ink, INK_OF_PEAK * peak_cd_m2)


def picture_cd_m2(room: Room, peak_cd_m2: float) -> float:
    """Return the luminance of the white of a picture beneath: lines stand out of it on any panel."""
    return min(PICTURE_CD_M2[room], ink_cd_m2(room, True, peak_cd_m2) / OVER_PICTURE)


def dimmed_codes(white_cd_m2: float, peak_cd_m2: float) -> list[int]:
    """Return the code of each grey, with white at ``white_cd_m2`` (assumed gamma 2.2) and all else in proportion."""
    scale = min(1.0, white_cd_m2 / peak_cd_m2) ** (1 / GAMMA)
    return [int(code * scale) for code in range(256)]
