"""Cards and outlines: text for the person in a dark room, dimmer than the field, or 1 cd/m² where that is dark.

A card that is read while the probe is in the hand, and nothing is measured, shows 18 cd/m² on a dark field.

Text stands in a warm tint (little blue: it spoils adapted eyes least), left-aligned under a thin title rule; the
progress bar is a hairline along the card's foot. On fields below 5 cd/m² the text is at most 1 cd/m²; on brighter
ones it keeps to nine tenths of the field, on a ground a twenty-fourth of that. The field is what lies behind the card
or the whole frame's mean, whichever is more: an eye adapted to a bright window cannot read 1 cd/m² beside it.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import zip_longest
from typing import Any

import numpy as np

from panelwear.screen.contract import Card
from panelwear.screen.key_lines import Pair, pairs_of
from panelwear.screen.letters import Face, Ink, cut, cut_before, wrap
from panelwear.screen.light import LINEAR, LUMINANCE_SHARES
from panelwear.screen.palette import codes_for
from panelwear.screen.pen import frame

DIM_CD_M2 = 1.0
"""Most a card shows on a dark field."""
BY_HAND_CD_M2 = 18.0
"""Text of a card that is read while the probe is moved: like the target's lines, 7 : 1 against black even with 3 cd/m²
of the room's light on the glass, and a step below the 20 cd/m² from which ITU-R BT.1702 counts flashes. Eyes that come
from a bright patch cannot read 1 cd/m²."""
LOWEST = 0.36
"""Largest share of the height such a card takes: from its corner it keeps 24 mm from a probe on a 27-inch panel."""
SMALLEST_PX = 12
DARK_FIELD_CD_M2 = 5.0
"""Fields below this are dark ones."""
TEXT_SHARE = 0.9
OUTLINE_SHARE = 0.34
GROUND_SHARE = 1 / 24
KEYS_WIDEST = 0.4
"""Largest share of a card's width that keys take beside what they do."""
LINE_SIZE = 0.75
"""Size of the text of a card of one line, of the others' size."""
WIDEST = 0.6
"""Largest share of the screen's width a card takes."""
WIDEST_BY_HAND = 0.72
"""The same of a card that has to be low."""
Box = tuple[int, int, int, int]


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


@dataclass(frozen=True, slots=True)
class _Line:
    """One line as it is set: keys at the left edge, what they do at the edge of the second column."""

    text: str
    key: str = ""
    after_key: bool = False
    """Whether it stands in the second column."""


@dataclass(frozen=True, slots=True)
class _Layout:
    """A card's text as it is broken and sized."""

    size: int
    face: Face
    head: Face
    title: list[str]
    lines: list[_Line]
    key_w: int
    """Width of the column of keys."""
    entry: list[str]
    foot: int
    low: bool = False
    """One line that keeps as small as it can."""

    @property
    def margin(self) -> int:
        return round(self.size * (0.6 if self.low else 1.2))

    @property
    def gap(self) -> int:
        return round(self.size * 0.8) if self.title and (self.lines or self.entry) else 0

    @property
    def entry_step(self) -> int:
        return self.face.line_px + round(self.size * 0.7)

    @property
    def box(self) -> tuple[int, int]:
        """Width and height."""
        widths = [*(self.head.width(line) for line in self.title), *(self.face.width(line) for line in self.entry)]
        widths += [self.face.width(line.text) + (self.key_w if line.after_key else 0) for line in self.lines]
        texts = self.head.line_px * len(self.title) + self.gap + self.face.line_px * len(self.lines)
        entry = self.entry_step * len(self.entry)
        return max([*widths, self.size * 12]) + 2 * self.margin, 2 * self.margin + texts + entry + self.foot


def _lay_out(card: Card, size: int, room: int) -> _Layout:
    """Break a card's text at ``room`` pixels."""
    face, head = Face.cached(size), Face.cached(round(size * 1.2), True)
    title = wrap(card.title, head, room) if card.title else []
    told = [] if card.one_line else [pairs_of(line) for line in card.lines]
    keys = [face.width(key) for pairs in told for key, _ in pairs]
    key_w = min(max(keys, default=0), round(room * KEYS_WIDEST)) + round(size * 0.9) if keys else 0
    if card.one_line:
        lines = [_Line(cut(" ".join(card.lines), face, room))]
    else:
        pieces = (_broken(*one, face, (key_w, room)) for one in zip(card.lines, told, strict=True))
        lines = [line for piece in pieces for line in piece]
    entry = [] if card.entry is None else [cut_before(f"{card.entry}_", face, room)]
    return _Layout(
        size, face, head, title, lines, key_w, entry, 0 if card.share_done is None else size // 2, card.one_line
    )


def _broken(line: str, pairs: list[Pair], face: Face, widths: tuple[int, int]) -> list[_Line]:
    """Break one line of a card; a pair of key and meaning is broken in two columns."""
    key_w, room = widths
    if not pairs:
        return [_Line(piece) for piece in wrap(line, face, room)]
    lines: list[_Line] = []
    for key, does in pairs:
        keys, meanings = wrap(key, face, key_w), wrap(does, face, room - key_w)
        lines += [_Line(m, k, after_key=True) for k, m in zip_longest(keys, meanings, fillvalue="")]
    return lines


def _sized(card: Card, width: int, height: int, least_px: int) -> _Layout:
    """Choose the size of a card's text; one beside a probe shrinks until it keeps clear of it."""
    whole = min(height / 38, width / 60)
    room = round(width * (WIDEST_BY_HAND if card.by_hand else WIDEST))
    least_px = max(SMALLEST_PX, min(least_px, height // 18))
    if not card.by_hand:
        return _lay_out(card, max(least_px, round(whole * (LINE_SIZE if card.one_line else 1))), room)
    sizes = {max(least_px, round(whole * share)) for share in (1.0, 0.9, 0.8, 0.7)}
    # A probe's housing is worse than small letters.
    sizes |= {max(SMALLEST_PX, round(whole * share)) for share in (0.8, 0.7, 0.6)}
    laid = (_lay_out(card, size, room) for size in sorted(sizes, reverse=True))
    smallest = _lay_out(card, min(sizes), room)
    return next((one for one in laid if one.box[1] <= LOWEST * height), smallest)


def _ink(card: Card, behind_cd_m2: float, mean_cd_m2: float) -> float:
    """Choose the luminance of a card's text, for the field behind it and the whole frame's mean."""
    # A line beside a hand-held meter stays as dim as its own place allows: its light would be read with the patch.
    ink = text_luminance(behind_cd_m2 if card.one_line else max(behind_cd_m2, mean_cd_m2))
    return max(ink, BY_HAND_CD_M2) if card.by_hand else ink


def draw_card(surface: Any, card: Card, peak_cd_m2: float, least_px: int = 0) -> Box:
    """Draw a card onto a surface and return its box.

    Args:
        surface: Holds the frame that the card lies over.
        card: What it says.
        peak_cd_m2: Peak white as far as known.
        least_px: Least size of its text, for the eye (``palette.least_text_px``).
    """
    width, height = surface.get_size()
    laid = _sized(card, width, height, least_px)
    box_w, box_h = laid.box
    box = place(card.corner, (width, height), (min(box_w, width), min(box_h, height)), laid.size)
    behind = luminance_behind(surface, box, peak_cd_m2)
    ink = _ink(card, behind, luminance_behind(surface, (0, 0, width, height), peak_cd_m2))
    text, soft = codes_for(ink, peak_cd_m2), codes_for(ink / 3, peak_cd_m2)
    # A room lit for the hand lies over the ground too: on a dark field it stays black, or 7 : 1 is missed.
    black = behind <= (DARK_FIELD_CD_M2 if card.by_hand else DIM_CD_M2)
    surface.fill((0, 0, 0) if black else codes_for(ink * GROUND_SHARE, peak_cd_m2), box)
    frame(surface, box, soft, 1)
    _write(surface, laid, box, text, soft)
    if card.share_done is not None:
        x, y, bar_w = box[0] + laid.margin, box[1] + box[3] - laid.margin, box[2] - 2 * laid.margin
        surface.fill(soft, (x, y + laid.size // 8, bar_w, 1))
        surface.fill(text, (x, y, round(bar_w * min(1.0, max(0.0, card.share_done))), max(2, laid.size // 6)))
    return box


def _write(surface: Any, laid: _Layout, box: Box, text: Ink, soft: Ink) -> None:
    """Set title, lines and what was typed so far."""
    margin, face, size = laid.margin, laid.face, laid.size
    x, y = box[0] + margin, box[1] + margin
    for line in laid.title:
        laid.head.draw(surface, line, (x, y), text)
        y += laid.head.line_px
    if laid.gap:
        surface.fill(soft, (x, y + laid.gap // 3, box[2] - 2 * margin, 1))
        y += laid.gap
    for one in laid.lines:
        face.draw(surface, one.key, (x, y), text)
        face.draw(surface, one.text, (x + (laid.key_w if one.after_key else 0), y), text)
        y += face.line_px
    for line in laid.entry:
        y += round(size * 0.35)
        frame(surface, (x - size // 3, y, box[2] - 2 * margin + 2 * (size // 3), face.line_px), soft, 1)
        face.draw(surface, line, (x, y), text)


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
    frame(surface, inside, codes_for(luminance, peak_cd_m2), max(1, round(height / 540)))
