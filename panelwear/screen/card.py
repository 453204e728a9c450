"""Cards and outlines: text for the person in a dark room, dimmer than the field, or 1 cd/m² where that is dark.

A card that is read while the probe is in the hand, and nothing is measured, shows 18 cd/m² on a dark field.

Text stands in a warm tint (little blue: it spoils adapted eyes least), left-aligned under a thin title rule; the
progress bar is a hairline along the card's foot. On fields below 5 cd/m² the text is at most 1 cd/m²; on brighter
ones it keeps to nine tenths of the field, on a ground a twenty-fourth of that. The field is what lies behind the card
or the whole frame's mean, whichever is more: an eye adapted to a bright window cannot read 1 cd/m² beside it.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import Any

import numpy as np

from panelwear.screen.contract import Card
from panelwear.screen.light import GAMMA, LINEAR, LUMINANCE_SHARES

DIM_CD_M2 = 1.0
"""Most a card shows on a dark field."""
BY_HAND_CD_M2 = 18.0
"""Text of a card that is read while the probe is moved: like the target's lines, 7 : 1 against black even with 3 cd/m²
of the room's light on the glass, and a step below the 20 cd/m² from which ITU-R BT.1702 counts flashes. Eyes that come
from a bright patch cannot read 1 cd/m²."""
LOWEST = 0.36
"""Largest share of the height such a card takes: from its corner it keeps 24 mm from a probe on a 27-inch panel."""
SMALLEST_PX = 14
DARK_FIELD_CD_M2 = 5.0
"""Fields below this are dark ones."""
TEXT_SHARE = 0.9
OUTLINE_SHARE = 0.34
GROUND_SHARE = 1 / 24
TINT = (1.0, 0.74, 0.42)
"""Linear shares of the three channels in a card's text."""
LINE_SIZE = 0.7
"""Size of the text of a card of one line, of the others' size."""
WIDEST = 0.6
"""Largest share of the screen's width a card takes."""
Box = tuple[int, int, int, int]


def codes_for(luminance_cd_m2: float, peak_cd_m2: float) -> tuple[int, int, int]:
    """Find tinted codes that show at most ``luminance_cd_m2`` on an assumed gamma of 2.2."""
    tint_luminance = float(np.dot(TINT, LUMINANCE_SHARES))
    linear = [min(1.0, share * luminance_cd_m2 / peak_cd_m2 / tint_luminance) for share in TINT]
    red, green, blue = (int(255 * value ** (1 / GAMMA)) for value in linear)
    return red, green, blue


def text_luminance(behind_cd_m2: float) -> float:
    """Choose a card's text luminance for a field: nine tenths of it, or 1 cd/m² below 5 cd/m²."""
    return DIM_CD_M2 if behind_cd_m2 < DARK_FIELD_CD_M2 else TEXT_SHARE * behind_cd_m2


def luminance_behind(surface: Any, box: Box, peak_cd_m2: float) -> float:
    """Return the mean luminance in cd/m² of a part of a surface (assumed gamma 2.2)."""
    x, y, w, h = box
    view = np.asarray(surface.get_view("2"))[x : x + w, y : y + h]
    step = max(1, min(view.shape) // 97) if view.size else 1
    packed = view[::step, ::step]
    linear = np.stack([LINEAR[(packed >> shift) & 255] for shift in (16, 8, 0)], axis=-1)
    return float(linear.reshape(-1, 3).mean(axis=0) @ LUMINANCE_SHARES) * peak_cd_m2 if linear.size else 0.0


@cache
def _font(size: int) -> Any:
    import pygame

    if not pygame.font.get_init():
        pygame.font.init()
    # The library brings this font along: nothing of the system is needed.
    return pygame.font.Font(None, size)


def forget_fonts() -> None:
    """Drop the cached fonts; needed when the display part of the library is restarted."""
    _font.cache_clear()


def wrap(text: str, font: Any, width: int) -> list[str]:
    """Break a line at spaces so that it fits ``width`` pixels; line breaks in it are kept."""
    lines: list[str] = []
    for part in text.split("\n"):
        line = ""
        for word in part.split(" "):
            longer = f"{line} {word}" if line else word
            if line and font.size(longer)[0] > width:
                lines.append(line)
                line = word
            else:
                line = longer
        lines.append(line)
    return lines


def cut(text: str, font: Any, width: int) -> str:
    """Shorten a line from its end until it fits ``width`` pixels; an ellipsis says that something is missing."""
    if font.size(text)[0] <= width:
        return text
    while text and font.size(f"{text}…")[0] > width:
        text = text[:-1]
    return f"{text}…"


@dataclass(frozen=True, slots=True)
class _Layout:
    """A card's text as it is broken and sized."""

    size: int
    font: Any
    head: Any
    title: list[str]
    lines: list[str]
    entry: list[str]
    foot: int

    @property
    def margin(self) -> int:
        return round(self.size * 0.9)

    @property
    def step(self) -> int:
        return round(1.18 * int(self.font.get_linesize()))

    @property
    def head_step(self) -> int:
        return round(1.15 * int(self.head.get_linesize()))

    @property
    def gap(self) -> int:
        return self.size // 2 if self.title and (self.lines or self.entry) else 0

    @property
    def box(self) -> tuple[int, int]:
        """Width and height."""
        widths = [*(self.head.size(line)[0] for line in self.title)]
        widths += [self.font.size(line)[0] for line in [*self.lines, *self.entry]]
        texts = self.head_step * len(self.title) + self.gap + self.step * len(self.lines)
        entry = (self.step + self.size // 2) * len(self.entry)
        return max([*widths, self.size * 10]) + 2 * self.margin, 2 * self.margin + texts + entry + self.foot


def _lay_out(card: Card, size: int, room: int) -> _Layout:
    """Break a card's text at ``room`` pixels."""
    font, head = _font(size), _font(round(size * 1.25))
    title = wrap(card.title, head, room) if card.title else []
    lines = [piece for line in card.lines for piece in wrap(line, font, room)]
    if card.one_line:
        lines = [cut(" ".join(card.lines), font, room)]
    entry = [] if card.entry is None else [f"{card.entry}_"]
    return _Layout(size, font, head, title, lines, entry, 0 if card.share_done is None else size // 2)


def _sized(card: Card, width: int, height: int) -> _Layout:
    """Choose the size of a card's text; one beside a probe shrinks until it keeps clear of it."""
    whole = min(height / 30, width / 44)
    room = round(width * WIDEST)
    if not card.by_hand:
        return _lay_out(card, max(SMALLEST_PX, round(whole * (LINE_SIZE if card.one_line else 1))), room)
    sizes = sorted({max(SMALLEST_PX, round(whole * share)) for share in (1.0, 0.9, 0.8, 0.7, 0.6)}, reverse=True)
    laid = (_lay_out(card, size, room) for size in sizes)
    smallest = _lay_out(card, sizes[-1], room)
    return next((one for one in laid if one.box[1] <= LOWEST * height), smallest)


def _ink(card: Card, behind_cd_m2: float, mean_cd_m2: float) -> float:
    """Choose the luminance of a card's text, for the field behind it and the whole frame's mean."""
    # A line beside a hand-held meter stays as dim as its own place allows: its light would be read with the patch.
    ink = text_luminance(behind_cd_m2 if card.one_line else max(behind_cd_m2, mean_cd_m2))
    return max(ink, BY_HAND_CD_M2) if card.by_hand else ink


def draw_card(surface: Any, card: Card, peak_cd_m2: float) -> Box:
    """Draw a card onto a surface and return its box."""
    width, height = surface.get_size()
    laid = _sized(card, width, height)
    size, margin, step, font = laid.size, laid.margin, laid.step, laid.font
    box_w, box_h = laid.box
    box = place(card.corner, (width, height), (min(box_w, width), min(box_h, height)), size)
    behind = luminance_behind(surface, box, peak_cd_m2)
    ink = _ink(card, behind, luminance_behind(surface, (0, 0, width, height), peak_cd_m2))
    text = codes_for(ink, peak_cd_m2)
    soft = codes_for(ink / 3, peak_cd_m2)
    ground = codes_for(ink * GROUND_SHARE, peak_cd_m2) if behind > DIM_CD_M2 else (0, 0, 0)
    surface.fill(ground, box)
    _frame(surface, box, soft, 1)
    x, y = box[0] + margin, box[1] + margin
    for line in laid.title:
        surface.blit(laid.head.render(line, True, text, ground), (x, y))
        y += laid.head_step
    if laid.gap:
        surface.fill(soft, (x, y, box[2] - 2 * margin, 1))
        y += laid.gap
    for line in laid.lines:
        surface.blit(font.render(line, True, text, ground), (x, y))
        y += step
    for line in laid.entry:
        _frame(surface, (x - size // 4, y, box[2] - 2 * margin + size // 2, step), soft, 1)
        surface.blit(font.render(line, True, text, ground), (x, y + size // 8))
    if card.share_done is not None:
        bar_w = box[2] - 2 * margin
        bar_y = box[1] + box[3] - margin
        surface.fill(soft, (x, bar_y + size // 8, bar_w, 1))
        surface.fill(text, (x, bar_y, round(bar_w * min(1.0, max(0.0, card.share_done))), max(2, size // 6)))
    return box


def place(corner: str, screen: tuple[int, int], card: tuple[int, int], inset: int) -> Box:
    """Find where a card of a size goes."""
    x = {"left": inset, "right": screen[0] - card[0] - inset}.get(corner.rpartition("-")[2])
    y = {"top": inset, "bottom": screen[1] - card[1] - inset}.get(corner.partition("-")[0])
    if x is None or y is None:
        x, y = (screen[0] - card[0]) // 2, (screen[1] - card[1]) // 2
    return max(0, x), max(0, y), card[0], card[1]


def draw_outline(surface: Any, box: Box, peak_cd_m2: float) -> None:
    """Draw one thin outline, darker than a bright field behind it, at most 1 cd/m² on a dark one."""
    width, height = surface.get_size()
    left, top = max(0, box[0]), max(0, box[1])
    right, bottom = min(width, box[0] + box[2]), min(height, box[1] + box[3])
    if right <= left or bottom <= top:
        return
    inside = (left, top, right - left, bottom - top)
    behind = luminance_behind(surface, inside, peak_cd_m2)
    luminance = OUTLINE_SHARE * behind if behind >= DARK_FIELD_CD_M2 else min(DIM_CD_M2, OUTLINE_SHARE * behind)
    if behind < DIM_CD_M2:
        luminance = DIM_CD_M2
    elif luminance < DIM_CD_M2:
        luminance = 0.0  # black is the only thing both dimmer and visible there
    _frame(surface, inside, codes_for(luminance, peak_cd_m2), max(1, round(height / 540)))


def _frame(surface: Any, box: Box, codes: tuple[int, int, int], line: int) -> None:
    x, y, w, h = box
    surface.fill(codes, (x, y, w, line))
    surface.fill(codes, (x, y + h - line, w, line))
    surface.fill(codes, (x, y, line, h))
    surface.fill(codes, (x + w - line, y, line, h))
